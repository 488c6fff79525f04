package calibrate_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
)

func TestChart_OfStraightShapePoolsStartPositions(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B")
	note(n, "A", 0, 240)
	note(n, "A", 6, 192) // 240 × 24/30
	note(n, "B", 6, 176)
	c := fit(n)
	assert.Equal(t, fleet.Straight, c.Shape())
	assert.InDelta(t, 240, c.At(0, 0).TopOutFt, 1e-6)
	assert.InDelta(t, 220, c.At(1, 0).TopOutFt, 1e-6, "B was measured at 6 ft only: 176 × 30/24")
	assert.InDelta(t, 240*20.0/30, c.At(0, 10).TopOutFt, 1e-6)
	speed := c.BoxSpeed(0).BoxSpeed
	assert.InDelta(t, 100*30.0/240, *speed, 1e-9)
	assert.Equal(t, []float64{0, 6}, c.Starts())
	share, ok := c.BoxShare(0, 6, 96) // half of the way from 6 ft: the box stands at 6 + 12 = 18 of 30 ft
	require.True(t, ok)
	assert.InDelta(t, 18.0/30, share, 1e-9)
	start, ok := c.StartFor(0, 192)
	require.True(t, ok)
	assert.InDelta(t, 6, start, 1e-9)
	_, ok = c.StartFor(0, 241)
	assert.False(t, ok, "later than from full back")
}

func TestChart_TakesTakeUpOffBeforeTheLogarithm(t *testing.T) {
	t.Parallel()
	n := sled(30, "A")
	n.Sled.TakeUpFt = 4
	note(n, "A", 0, 244)
	c := fit(n)
	assert.InDelta(t, 244, c.At(0, 0).TopOutFt, 1e-9)
	assert.InDelta(t, 4+240*0.8, c.At(0, 6).TopOutFt, 1e-9)
	speed := c.BoxSpeed(0).BoxSpeed
	assert.InDelta(t, 100*30.0/240, *speed, 1e-9)
}

func TestChart_NamesItsBasis(t *testing.T) {
	t.Parallel()
	taped, untaped, fullBack := sled(30, "A", "B", "C"), sled(0, "A", "B"), sled(0, "A")
	for _, n := range []*calibrate.Notebook{taped, untaped} {
		note(n, "A", 2, 240)
		note(n, "A", 8, 190)
		note(n, "B", 2, 220)
	}
	note(fullBack, "A", 0, 250)
	for _, c := range []struct {
		name  string
		chart *calibrate.Chart
		gear  int
		start float64
		want  fleet.Basis
	}{
		{"readings in this gear at this start position", fit(taped), 0, 2, fleet.Measured},
		{"between measured start positions", fit(taped), 0, 5, fleet.Interpolated},
		{"between a measured one and the top", fit(taped), 0, 12, fleet.Interpolated},
		{"this gear was not measured there, another was", fit(taped), 1, 8, fleet.Interpolated},
		{"before the first measured one, by the shape", fit(taped), 0, 0, fleet.Extended},
		{"a gear without a reading", fit(taped), 2, 2, fleet.Unknown},
		{"at the top nothing is left to pull", fit(taped), 0, 30, fleet.Unknown},
		{"without a travel, between measured ones", fit(untaped), 0, 5, fleet.Interpolated},
		{"without a travel, before the first", fit(untaped), 0, 0, fleet.Unknown},
		{"without a travel, beyond the last", fit(untaped), 0, 9, fleet.Unknown},
		{"full back only, asked there", fit(fullBack), 0, 0, fleet.Measured},
		{"full back only, asked elsewhere", fit(fullBack), 0, 1, fleet.Unknown},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			e := c.chart.At(c.gear, c.start)
			assert.Equal(t, c.want, e.Basis)
			assert.Equal(t, c.want != fleet.Unknown, e.Known())
			if e.Known() {
				assert.Less(t, e.LowFt, e.TopOutFt)
				assert.Less(t, e.TopOutFt, e.HighFt)
			}
		})
	}
	assert.Equal(t, fleet.FullBackOnly, fit(fullBack).Shape())
	assert.Equal(t, fleet.MeasuredShape, fit(untaped).Shape())
}

// A day shared by repeats is not new evidence: two readings on two days say more than two on one.
func TestChart_CountsTheDayOnceForItsRepeats(t *testing.T) {
	t.Parallel()
	width := func(days ...string) float64 {
		n := sled(30, "A")
		for _, d := range days {
			note(n, "A", 0, 250, on(d))
		}
		e := calibrate.Fit(*n, calibrate.Variances{Day: 1e-4, Reading: 4.9e-5, DayDF: 100, ReadingDF: 100,
			AssumedReading: 4.9e-5}).At(0, 0)
		return math.Log(e.HighFt / e.LowFt)
	}
	// Variance of the mean: σ_d²/days + σ_r²/readings.
	one, sameDay, twoDays := width("2026-05-09"), width("2026-05-09", "2026-05-09"), width("2026-05-09", "2026-05-16")
	assert.InDelta(t, math.Sqrt((1+0.245)/(1+0.49)), sameDay/one, 0.005)
	assert.InDelta(t, math.Sqrt(0.5), twoDays/one, 0.005)
}

func TestChart_WeighsStoppedShortByHowWellItCouldBeRead(t *testing.T) {
	t.Parallel()
	n := sled(30, "A")
	note(n, "A", 0, 120, short(15)) // half of the travel in 120 ft: 240 ft to the top
	c := fit(n)
	e := c.At(0, 0)
	assert.InDelta(t, 240, e.TopOutFt, 1e-6)
	assert.Equal(t, fleet.Extended, e.Basis)
	topped := sled(30, "A")
	note(topped, "A", 0, 240)
	assert.Greater(t, e.HighFt-e.LowFt, fit(topped).At(0, 0).HighFt-fit(topped).At(0, 0).LowFt)

	// With w = v₀/(v₀ + u²): v₀ = 0.7 %² = 4.9e-5, u² = (0.1² + 0.5²)/15² + (1/120)² = 0.0011556 + 0.0000694, so w =
	// 0.0385: beside a topped-out reading of 250 ft it moves the mean by 0.0385/1.0385 of ln(240/250).
	note(n, "A", 0, 250)
	assert.InDelta(t, 250*math.Exp(math.Log(240.0/250)*0.0385/1.0385), fit(n).At(0, 0).TopOutFt, 0.02)

	untaped := sled(0, "A")
	note(untaped, "A", 0, 120, short(15))
	assert.False(t, fit(untaped).At(0, 0).Known(), "without a travel nobody knows what share of the way it was")
	note(untaped, "A", 0, 240)
	note(untaped, "A", 20, 80)
	assert.InDelta(t, 240, fit(untaped).At(0, 0).TopOutFt, 1, "its end lies among the measured start positions")
	assert.Equal(t, 2, fit(untaped).At(0, 0).Readings)
}

func TestChart_LeavesOutPastTopAndSetAside(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B")
	note(n, "A", 0, 240)
	want := fit(n).At(0, 0)
	note(n, "A", 0, 300, pastTop)
	note(n, "A", 0, 260, aside)
	note(n, "B", 0, 260, aside)
	assert.Equal(t, want, fit(n).At(0, 0))
	assert.False(t, fit(n).At(1, 0).Known())
}

func TestChart_UsesStatedUntilTheGearIsMeasured(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B")
	note(n, "A", 0, 240)
	note(n, "B", 0, 250, stated("the owner", 10), on("2025-04-01"))
	note(n, "B", 0, 260, stated("the builder", 6), on("2026-04-01"))
	before := fit(n).At(0, 0)
	e := fit(n).At(1, 0)
	assert.Equal(t, fleet.StatedBasis, e.Basis)
	assert.Equal(t, "the builder", e.StatedBy, "the newer figure")
	assert.InDelta(t, 260, e.TopOutFt, 1e-9)
	assert.InDelta(t, 254, e.LowFt, 1e-9)
	assert.InDelta(t, 266, e.HighFt, 1e-9)
	assert.InDelta(t, 260*0.8, fit(n).At(1, 6).TopOutFt, 1e-9, "moved along the shape")
	note(n, "B", 0, 255)
	assert.Equal(t, fleet.Measured, fit(n).At(1, 0).Basis)
	assert.InDelta(t, 255, fit(n).At(1, 0).TopOutFt, 1e-6)
	assert.InDelta(t, before.TopOutFt, fit(n).At(0, 0).TopOutFt, 1e-6)

	only := sled(0, "A")
	note(only, "A", 0, 235, stated("", 8))
	assert.InDelta(t, 235, fit(only).At(0, 0).TopOutFt, 1e-9)
	assert.Equal(t, fleet.FullBackOnly, fit(only).Shape())
}

// Three rungs: straight by the tape, straight by the travel the readings imply, measured.
func TestShape_ClimbsOnlyAsFarAsItMust(t *testing.T) {
	t.Parallel()
	build := func(taped float64, phi func(float64) float64) *calibrate.Chart {
		rng := rand.New(rand.NewPCG(1, 2))
		n := sled(taped, "A", "B", "C")
		for _, day := range []string{"2026-05-09", "2026-05-16", "2026-05-23"} {
			for g, full := range map[string]float64{"A": 220, "B": 235, "C": 252} {
				for _, s := range []float64{0, 5, 10, 15} {
					note(n, g, s, full*phi(s)*math.Exp(0.004*rng.NormFloat64()), on(day))
				}
			}
		}
		slices.SortFunc(n.Readings, func(a, b fleet.Figure) int { return int(a.DistanceFt - b.DistanceFt) })
		return fit(n)
	}
	straight := func(travel float64) func(float64) float64 {
		return func(s float64) float64 { return 1 - s/travel }
	}
	c := build(30, straight(30))
	assert.Equal(t, fleet.Straight, c.Shape())
	require.NotNil(t, c.ImpliedTravel())
	assert.False(t, c.ImpliedTravel().Used)
	assert.InDelta(t, 30, c.ImpliedTravel().TravelFt, 0.5)
	assert.Equal(t, 30.0, *c.TravelFt())

	c = build(33, straight(30))
	assert.Equal(t, fleet.Straight, c.Shape())
	require.True(t, c.ImpliedTravel().Used, "the tape was read from the wrong mark")
	assert.Less(t, c.ImpliedTravel().LowFt, 30.0)
	assert.Greater(t, c.ImpliedTravel().HighFt, 30.0)
	assert.InDelta(t, 235*0.5, c.At(1, 15).TopOutFt, 2)

	curved := func(s float64) float64 { return math.Sqrt(1 - s/30) }
	assert.Nil(t, c.Knots(0), "the box moves evenly")

	c = build(30, curved)
	assert.Equal(t, fleet.MeasuredShape, c.Shape())
	knots := c.Knots(3)
	assert.Equal(t, calibrate.Knot{}, knots[0])
	assert.Equal(t, calibrate.Knot{Way: 1, Rise: 1}, knots[len(knots)-1])
	for i, k := range knots[1:] {
		require.Greater(t, k.Way, knots[i].Way)
		share, ok := c.BoxShare(1, 3, c.At(1, 3).TopOutFt*k.Way)
		require.True(t, ok)
		assert.InDelta(t, (3+27*k.Rise)/30, share, 1e-9)
	}
	assert.InDelta(t, 235*curved(10), c.At(1, 10).TopOutFt, 2)
	assert.InDelta(t, 235*curved(7), c.At(1, 7).TopOutFt, 3)
	assert.Equal(t, fleet.Interpolated, c.At(1, 20).Basis, "between the last start position and the top")
	last := math.Inf(1)
	for s := 0.0; s < 29.9; s += 0.1 {
		here := c.At(1, s).TopOutFt
		require.LessOrEqual(t, here, last+1e-9, "at %g ft", s)
		last = here
	}
	start, ok := c.StartFor(1, c.At(1, 7).TopOutFt)
	require.True(t, ok)
	assert.InDelta(t, 7, start, 1e-6)
}

// A drive that runs unevenly is no heap of mistakes, and a heap of mistakes makes no drive uneven.
func TestShape_OfAnUnevenDriveLeavesNothingOut(t *testing.T) {
	t.Parallel()
	v := calibrate.Variances{Day: 1e-4, Reading: 0.49e-4, DayDF: 20, ReadingDF: 60, AssumedReading: 0.49e-4}
	starts := []float64{0, 4, 8, 12}
	for _, c := range []struct {
		name  string
		phi   []float64
		wrong int
		shape fleet.Shape
	}{
		{"slow at first", []float64{1, 0.93, 0.80, 0.55}, 0, fleet.MeasuredShape},
		{"fast at first", []float64{1, 0.80, 0.70, 0.60}, 0, fleet.MeasuredShape},
		{"even, with five misread tapes", []float64{1, 26.0 / 30, 22.0 / 30, 18.0 / 30}, 5, fleet.Straight},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			out, missed := 0, 0
			const notebooks = 20
			for seed := range uint64(notebooks) {
				rng := rand.New(rand.NewPCG(seed, 6))
				n := sled(30, "A", "B", "C")
				truth := func(g, k int) float64 { return (210 + 20*float64(g)) * c.phi[k] }
				for _, day := range []string{"2026-05-09", "2026-05-16", "2026-05-23"} {
					x := 0.01 * rng.NormFloat64()
					for g := range n.Sled.Gears {
						for k, s := range starts {
							note(n, n.Sled.Gears[g].Label, s, truth(g, k)*math.Exp(x+0.007*rng.NormFloat64()), on(day))
						}
					}
				}
				for _, i := range rng.Perm(len(n.Readings))[:c.wrong] {
					n.Readings[i].DistanceFt *= 1.15
				}
				chart := calibrate.Fit(*n, v)
				assert.Equal(t, c.shape, chart.Shape(), "%d", seed)
				out += len(chart.LeftOut())
				for g := range n.Sled.Gears {
					for k, s := range starts {
						if e := chart.At(g, s); truth(g, k) < e.LowFt || truth(g, k) > e.HighFt {
							missed++
						}
					}
				}
			}
			assert.InDelta(t, c.wrong*notebooks, out, 6, "left out")
			assert.Less(t, missed, notebooks*12/10, "averages outside their 95 % interval")
		})
	}
}

// Between measured positions a monotone interpolant never leaves its data's range, whatever the readings.
func TestInterpolation_StaysBetweenItsNeighbors(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := sled(0, "A")
		starts := []float64{0, 3, 5, 9, 14}
		distance := 300.0
		for _, s := range starts {
			note(n, "A", s, distance)
			distance *= rapid.Float64Range(0.6, 1.02).Draw(t, "step") // now and then out of order, as notebooks are
		}
		c := fit(n)
		for k := 1; k < len(starts); k++ {
			high, low := c.At(0, starts[k-1]).TopOutFt, c.At(0, starts[k]).TopOutFt
			assert.LessOrEqual(t, low, high+1e-9)
			for f := 0.1; f < 1; f += 0.2 {
				e := c.At(0, starts[k-1]+f*(starts[k]-starts[k-1]))
				assert.LessOrEqual(t, e.TopOutFt, high+1e-9)
				assert.GreaterOrEqual(t, e.TopOutFt, low-1e-9)
			}
		}
	})
}

// Gears and start positions that no chain of readings ties together say nothing of each other.
func TestChart_OfPartsThatDoNotHangTogether(t *testing.T) {
	t.Parallel()
	n := sled(0, "A", "B")
	note(n, "A", 0, 250)
	note(n, "B", 4, 200)
	c := fit(n)
	assert.True(t, c.At(0, 0).Known())
	assert.True(t, c.At(1, 4).Known())
	assert.False(t, c.At(0, 4).Known())
	assert.False(t, c.At(1, 0).Known())
	note(n, "A", 4, 215)
	c = fit(n)
	assert.InDelta(t, 200*250.0/215, c.At(1, 0).TopOutFt, 1e-6, "A ties the two positions together")
}

// The same readings give the same chart to the last bit, whatever the order of writing.
func TestChart_DoesNotDependOnTheOrderOfWriting(t *testing.T) {
	t.Parallel()
	spec := calibratetest.Spec{Sleds: 3, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 2, MostDays: 4,
		Starts: []float64{4, 8}}
	for seed := range uint64(20) {
		drawn := calibratetest.Draw(rand.New(rand.NewPCG(seed, 1)), spec)
		before, _ := calibratetest.Charts(drawn, assumed)
		rng := rand.New(rand.NewPCG(seed, 2))
		for _, s := range drawn {
			rng.Shuffle(len(s.Readings), func(i, j int) { s.Readings[i], s.Readings[j] = s.Readings[j], s.Readings[i] })
		}
		after, _ := calibratetest.Charts(drawn, assumed)
		for i := range drawn {
			for g := range drawn[i].FullBack {
				for _, s := range []float64{0, 3, 4} {
					require.Equal(t, before[i].At(g, s), after[i].At(g, s))
				}
			}
		}
	}
}

// One more reading moves the pooled figures a little; the lattice keeps most other charts as they are.
func TestLattice_RoundsByNoMoreThanOnePerCent(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(4, 4))
	sleds := calibratetest.Draw(rng,
		calibratetest.Spec{Sleds: 6, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 2, MostDays: 4})
	_, rep := calibratetest.Charts(sleds, assumed)
	m := rep.Measured
	blended := math.Sqrt((4*1.0 + m.DayDF*m.DayPct*m.DayPct) / (4 + m.DayDF))
	assert.InEpsilon(t, blended, rep.UsedDayPct, 0.0051, "half a 2 % step of the variance is half a percent of the sd")
}
