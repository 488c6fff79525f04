package calibrate_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
)

// shifts moves every gear alike.
func shifts(n *calibrate.Notebook, log float64) []float64 {
	out := make([]float64, len(n.Sled.Gears))
	for i := range out {
		out[i] = log
	}
	return out
}

// A change by ratio moves every top-out by exactly that ratio; taken back, the chart is as before to the last bit.
func TestChange_ByRatioMovesEveryTopOut(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n := calibratetest.Draw(rng, calibratetest.Spec{Sleds: 1, Gears: 4, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 2,
			MostDays: 4, Starts: []float64{4}})[0].Notebook
		ratio := rapid.Float64Range(0.5, 2).Draw(t, "ratio")
		v := calibrate.Variances{Day: 1e-4, Reading: 4.9e-5, DayDF: 9, ReadingDF: 30, AssumedReading: 4.9e-5}
		before := calibrate.Fit(n, v)
		changed := n
		changed.Changes = []calibrate.Change{{On: "2026-06-01", LogShift: shifts(&n, math.Log(ratio)),
			TravelFt: *n.Sled.TravelFt}}
		after := calibrate.Fit(changed, v)
		for g := range n.Sled.Gears {
			for _, s := range []float64{0, 2, 4} {
				a, b := before.At(g, s), after.At(g, s)
				require.Equal(t, fleet.Carried, b.Basis)
				assert.InEpsilon(t, ratio, b.TopOutFt/a.TopOutFt, 1e-9)
				assert.Greater(t, b.HighFt/b.LowFt, a.HighFt/a.LowFt, "a carried value is less well known")
			}
		}
		undone := changed
		undone.Changes = nil
		for g := range n.Sled.Gears {
			require.Equal(t, before.At(g, 3), calibrate.Fit(undone, v).At(g, 3))
		}
	})
}

func TestChange_StaysBesideReadingsSinceUnlessTheyDisagree(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B")
	for _, d := range []string{"2026-05-02", "2026-05-09"} {
		note(n, "A", 0, 240, on(d))
		note(n, "B", 0, 220, on(d))
	}
	n.Changes = []calibrate.Change{{On: "2026-06-01", LogShift: shifts(n, math.Log(1.1)), TravelFt: 30}}
	c := fit(n)
	assert.InDelta(t, 264, c.At(0, 0).TopOutFt, 1e-6)
	assert.Equal(t, fleet.Carried, c.At(0, 0).Basis)

	note(n, "A", 0, 264, on("2026-06-01"))
	width := func(c *calibrate.Chart, gear int) float64 { return c.At(gear, 0).HighFt - c.At(gear, 0).LowFt }
	before := width(c, 0)
	c = fit(n)
	assert.Equal(t, fleet.Measured, c.At(0, 0).Basis, "a reading of the day of the change counts as made after it")
	assert.InDelta(t, 264, c.At(0, 0).TopOutFt, 1e-6)
	assert.Equal(t, 3, c.At(0, 0).Readings)
	assert.Less(t, width(c, 0), before, "a reading exactly where it was expected narrows the interval")
	assert.Equal(t, fleet.Carried, c.At(1, 0).Basis)
	now := time.Date(2026, 6, 9, 0, 0, 0, 0, time.UTC)
	assert.Empty(t, only(c.Checks(now), "change-disagrees"))

	note(n, "B", 0, 270, on("2026-06-08"))
	c = fit(n)
	got := only(c.Checks(now), "change-disagrees")
	require.Len(t, got, 1)
	assert.Equal(t, "B", got[0].Gear)
	assert.Equal(t, 1, c.At(1, 0).Readings, "where they disagree the readings since are what counts")
	assert.Equal(t, 3, c.At(0, 0).Readings)
}

// Readings made with another travel are held against those since as any others, by the way that their box had.
func TestChange_OfTravelIsComparedToo(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		off      float64 // of the readings since
		readings int     // that count in a gear
		disagree int     // gears
	}{
		{"readings since that lie where the travel puts them", 1, 12, 0},
		{"readings since that lie 8 % off", 1.08, 6, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			n := sled(32, "A", "B")
			n.Changes = []calibrate.Change{{On: "2026-06-01", LogShift: shifts(n, 0), TravelFt: 30}}
			for g, full := range map[string]float64{"A": 240, "B": 220} {
				for _, start := range []float64{0, 6} {
					for _, d := range []string{"2026-05-02", "2026-05-09", "2026-05-16"} {
						note(n, g, start, full*(30-start)/30, on(d))
					}
					for _, d := range []string{"2026-06-06", "2026-06-13", "2026-06-20"} {
						note(n, g, start, full*(32-start)/30*c.off, on(d))
					}
				}
			}
			chart := fit(n)
			assert.InDelta(t, 256*c.off, chart.At(0, 0).TopOutFt, 1e-6)
			assert.Equal(t, c.readings, chart.At(0, 0).Readings+chart.At(0, 6).Readings)
			got := only(chart.Checks(time.Date(2026, 6, 29, 0, 0, 0, 0, time.UTC)), "change-disagrees")
			require.Len(t, got, c.disagree)
			for _, k := range got {
				assert.InDelta(t, 100*(1/c.off-1), k.DifferencePct, 0.01)
			}
		})
	}
}

func TestChange_OfUnknownEffectAndOfTravel(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B")
	note(n, "A", 0, 240)
	note(n, "B", 0, 220, on("2026-06-08"))
	n.Changes = []calibrate.Change{{On: "2026-06-01", LogShift: shifts(n, math.NaN()), TravelFt: 30}}
	c := fit(n)
	assert.False(t, c.At(0, 0).Known())
	assert.True(t, c.At(1, 0).Known())
	require.Len(t, only(c.Checks(time.Date(2026, 6, 9, 0, 0, 0, 0, time.UTC)), "readings-outdated"), 1)

	// The cut-off was moved from 28 to 30 ft: the same drive line needs 30/28 of the way from full back, and from 7 ft
	// 23/21.
	moved := sled(30, "A")
	note(moved, "A", 0, 224)
	note(moved, "A", 7, 168)
	moved.Changes = []calibrate.Change{{On: "2026-06-01", LogShift: shifts(moved, 0), TravelFt: 28}}
	assert.InDelta(t, 240, fit(moved).At(0, 0).TopOutFt, 1e-6)
	assert.InDelta(t, 184, fit(moved).At(0, 7).TopOutFt, 1e-6)
}

// A gear without a reading stands to the measured ones as their ratios do, and is less well known than any of them.
func TestGeared_FollowsFromTheOtherGears(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B", "C")
	ratios := []float64{1.2, 1.1, 1.0}
	for _, d := range []string{"2026-05-02", "2026-05-09"} {
		note(n, "A", 0, 240, on(d))
		note(n, "B", 0, 220, on(d))
	}
	assert.False(t, fit(n).At(2, 0).Known())
	for _, r := range ratios {
		n.Slowness = append(n.Slowness, math.Log(r))
	}
	e := fit(n).At(2, 0)
	assert.Equal(t, fleet.Geared, e.Basis)
	assert.InDelta(t, 200, e.TopOutFt, 1e-6)
	assert.Greater(t, e.HighFt/e.LowFt, fit(n).At(0, 0).HighFt/fit(n).At(0, 0).LowFt)
	assert.InDelta(t, 160, fit(n).At(2, 6).TopOutFt, 1e-6)
	note(n, "C", 0, 203)
	assert.Equal(t, fleet.Measured, fit(n).At(2, 0).Basis)
	n.Slowness[2] = math.NaN()
	n.Readings = n.Readings[:len(n.Readings)-1]
	assert.False(t, fit(n).At(2, 0).Known(), "a gear whose own ratio is not known")
}
