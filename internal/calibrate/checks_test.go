package calibrate_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

func only(checks []fleet.Check, code fleet.CheckCode) []fleet.Check {
	var out []fleet.Check
	for _, c := range checks {
		if c.Code == code {
			out = append(out, c)
		}
	}
	return out
}

// rounded is a check with its numbers as a table gives them.
func rounded(k fleet.Check) fleet.Check {
	k.DifferenceFt, k.DifferencePct = math.Round(k.DifferenceFt), math.Round(k.DifferencePct*10)/10
	if k.LowFt == 0 {
		k.ExpectedFt = math.Round(k.ExpectedFt)
	}
	for _, v := range []*float64{&k.ExpectedFt, &k.LowFt, &k.HighFt} {
		*v = math.Round(*v*10) / 10
	}
	return k
}

// season is a notebook with nothing wrong: two gears, four days, two repeats.
func season() *calibrate.Notebook {
	n := sled(30, "A", "B")
	for i, day := range []string{"2026-05-02", "2026-05-09", "2026-05-16", "2026-05-23"} {
		for k := range 2 {
			wobble := 1 + 0.004*float64((i+k)%3-1)
			note(n, "A", 0, 240*wobble, on(day))
			note(n, "B", 0, 224*wobble, on(day))
		}
	}
	return n
}

func TestChecks_PointAtWhatTheyMean(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	assert.Empty(t, fit(season()).Checks(now), "nothing is wrong")
	for _, c := range []struct {
		name   string
		change func(n *calibrate.Notebook)
		now    time.Time
		last   bool        // points at the reading added last
		found  fleet.Check // numbers in whole feet, travel and percentages in tenths
	}{
		{"a pull noted as past the top long before it", func(n *calibrate.Notebook) { note(n, "A", 0, 200, pastTop) },
			now, true, fleet.Check{
				Code: fleet.PastTopTooEarly, Gear: "A", Day: "2026-05-09", On: "2026-05-09", DistanceFt: 200,
				ExpectedFt: 240,
			}},
		{"a tape misread", func(n *calibrate.Notebook) { note(n, "A", 0, 300, on("2026-05-23")) }, now, true,
			fleet.Check{
				Code: fleet.ReadingOutOfLine, Gear: "A", Day: "2026-05-23", DistanceFt: 300, ExpectedFt: 240,
				DifferenceFt: 60,
			}},
		{"the wrong gear noted", func(n *calibrate.Notebook) { note(n, "A", 0, 224, on("2026-05-23")) }, now, true,
			fleet.Check{
				Code: fleet.ReadingFitsAnotherGear, Gear: "A", OtherGear: "B", Day: "2026-05-23",
				DistanceFt: 224, ExpectedFt: 240, DifferenceFt: -16, Mend: &fleet.Mend{Kind: fleet.AnotherGear,
					Gear:       "B",
					DistanceFt: 224},
			}},
		{
			"a gear with one reading", func(n *calibrate.Notebook) {
				n.Sled.Gears = append(n.Sled.Gears, fleet.Gear{ID: "gear C", Label: "C"})
				note(n, "C", 0, 200)
			}, now, false, fleet.Check{Code: fleet.GearReadOnce, Gear: "C"},
		},
		{
			"two gears a foot apart", func(n *calibrate.Notebook) {
				n.Sled.Gears = append(n.Sled.Gears, fleet.Gear{ID: "gear C", Label: "C"})
				note(n, "C", 0, 223)
				note(n, "C", 0, 223, on("2026-05-16"))
			}, now, false, fleet.Check{Code: fleet.GearsAlike, Gear: "C", OtherGear: "B", DifferenceFt: 1},
		},
		{"a season later", func(*calibrate.Notebook) {}, now.AddDate(1, 6, 0), false, fleet.Check{
			Code: fleet.NotMeasuredLately, On: "2026-05-23",
		}},
		{"a pull that stopped short on a sled without travel", func(n *calibrate.Notebook) {
			n.Sled.TravelFt = nil
			note(n, "A", 0, 120, short(15))
		}, now, true, fleet.Check{Code: fleet.ReadingUnused, Gear: "A", On: "2026-05-09", DistanceFt: 120}},
		{"a start within a hair of the top", func(n *calibrate.Notebook) { note(n, "A", 29.9999, 12) }, now, true,
			fleet.Check{
				Code: fleet.ReadingNearTop, Gear: "A", On: "2026-05-09", StartFt: 29.9999, DistanceFt: 12,
			}},
		{"one of them that stopped short", func(n *calibrate.Notebook) { note(n, "A", 28, 8, short(31.5)) }, now, true,
			fleet.Check{Code: fleet.ReadingNearTop, Gear: "A", On: "2026-05-09", StartFt: 28, DistanceFt: 8}},
		{"one that is confirmed", func(n *calibrate.Notebook) { note(n, "A", 0, 300, on("2026-05-23"), confirmed) },
			now, true, fleet.Check{
				Code: fleet.ReadingConfirmed, Gear: "A", Day: "2026-05-23", DistanceFt: 300,
				ExpectedFt: 239.9, LowFt: 237.7, HighFt: 242.1, DifferenceFt: 5,
			}},
		{"a day on soft tires", func(n *calibrate.Notebook) {
			for range 3 {
				note(n, "A", 0, 240*1.08, on("2026-05-30"))
				note(n, "B", 0, 224*1.08, on("2026-05-30"))
			}
		}, now, false, fleet.Check{Code: fleet.DayStandsOff, Day: "2026-05-30", DifferencePct: 8.1}},
		{"a travel taped from the wrong mark", func(n *calibrate.Notebook) {
			for _, d := range []string{"2026-05-02", "2026-05-09", "2026-05-16"} {
				note(n, "A", 10, 240*0.6, on(d)) // the travel is 25 ft
				note(n, "B", 10, 224*0.6, on(d))
			}
		}, now, false, fleet.Check{
			Code: fleet.TravelDisagrees, DistanceFt: 30, ExpectedFt: 25, LowFt: 24.5, HighFt: 25.5, Used: true,
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			n := season()
			c.change(n)
			all := fit(n).Checks(c.now)
			got := only(all, c.found.Code)
			require.Len(t, got, 1, "%+v", all)
			if c.last {
				c.found.Reading = n.Readings[len(n.Readings)-1].ID
			}
			assert.Equal(t, c.found, rounded(got[0]))
			// No check drops data by itself: the chart is the same before and after it was asked.
			assert.Equal(t, fit(n).At(0, 0),
				func() calibrate.Estimate { ch := fit(n); ch.Checks(c.now); return ch.At(0, 0) }())
		})
	}
}

// Readings made with another travel go along on a straight shape; a measured one does not say what they would be.
func TestChecks_NameReadingsOfAnotherTravelOnAMeasuredShape(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		phi    map[float64]float64
		unused int
	}{
		"straight": {map[float64]float64{0: 1, 4: 28.0 / 32, 8: 24.0 / 32, 12: 20.0 / 32}, 0},
		"uneven":   {map[float64]float64{0: 1, 4: 0.97, 8: 0.80, 12: 0.50}, 8},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			n := sled(32, "A", "B")
			n.Changes = []calibrate.Change{{On: "2026-06-01", LogShift: shifts(n, 0), TravelFt: 30}}
			for s, phi := range c.phi {
				for gear, full := range map[string]float64{"A": 240, "B": 260} {
					note(n, gear, s, full*(phi-2.0/32), on("2026-05-09"))
				}
				note(n, "A", s, 240*phi, on("2026-06-13"))
				note(n, "A", s, 240*phi, on("2026-06-20"))
			}
			checks := fit(n).Checks(june.AddDate(0, 1, 0))
			assert.Len(t, only(checks, fleet.ReadingOfAnotherTravel), c.unused)
			assert.Empty(t, only(checks, fleet.ReadingNearTop))
			assert.Empty(t, only(checks, fleet.ReadingUnused))
		})
	}
}

// Two mistakes among readings that a measured shape cannot use are no reason for one.
func TestShape_IsNotMeasuredForMistakesThatItCannotUse(t *testing.T) {
	t.Parallel()
	n := sled(32, "A", "B")
	n.Changes = []calibrate.Change{{On: "2026-06-01", LogShift: shifts(n, 0), TravelFt: 30}}
	for i, day := range []string{"2026-05-02", "2026-05-09", "2026-05-16"} {
		for _, s := range []float64{0, 6} {
			wobble := 1 + 0.004*float64(i-1)
			note(n, "B", s, 220*(30-s)/30*wobble, on(day))
			note(n, "B", s, 220*(30-s)/30*wobble, on(day))
			note(n, "A", s, 240*(32-s)/30*wobble, on("2026-06-"+day[8:]))
		}
	}
	n.Readings[3].DistanceFt *= 1.1
	n.Readings[7].DistanceFt *= 0.9
	c := fit(n)
	assert.Equal(t, fleet.Straight, c.Shape())
	assert.Equal(t, map[string]bool{"r03": true, "r07": true}, c.LeftOut())
	assert.True(t, c.At(1, 0).Known())
}

func TestChecks_FindTwoWrongReadingsOfOneGear(t *testing.T) {
	t.Parallel()
	n := season()
	note(n, "A", 0, 268, on("2026-05-16"))
	first := n.Readings[len(n.Readings)-1].ID
	note(n, "A", 0, 270, on("2026-05-23"))
	second := n.Readings[len(n.Readings)-1].ID
	var accused []string
	for _, k := range fit(n).Checks(time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)) {
		if k.Reading != "" {
			accused = append(accused, k.Reading)
		}
	}
	assert.ElementsMatch(t, []string{first, second}, accused, fmt.Sprint(accused))
}
