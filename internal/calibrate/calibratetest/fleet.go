// Package calibratetest draws invented fleets whose true top-outs are known, to hold charts and answers against.
package calibratetest

import (
	"fmt"
	"math"
	"math/rand/v2"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// Spec says what a fleet is like. Standard deviations are of logarithms.
type Spec struct {
	Sleds, Gears     int
	DaySD, ReadingSD float64
	LeastDays        int // test days a sled, drawn evenly
	MostDays         int
	// start positions measured besides full back, each on about a third of the occasions
	Starts   []float64
	Balanced bool    // every gear at full back and every start position, once a day
	TapeSD   float64 // ft, error of taped travels and of marks on the rails
	Travel   float64 // ft, the same for all; 0 draws 28 to 36
	Plan     Plan    // which readings are taken; nil draws them
	// φ by the share of the travel that lies behind the box; nil is straight
	Bend func(share float64) float64
}

// Sled is one notebook and the truth behind it.
type Sled struct {
	calibrate.Notebook
	FullBack []float64 // true top-out of each gear from full back, ft
	Travel   float64   // true travel, ft
	marks    map[float64]float64
	days     []float64 // true effect of each test day, logarithm
	bend     func(share float64) float64
}

// TopOut is the true distance of a gear from a mark on the rails.
func (s Sled) TopOut(gear int, start float64) float64 {
	share := s.at(start) / s.Travel
	if s.bend != nil {
		return s.FullBack[gear] * s.bend(share)
	}
	return s.FullBack[gear] * (1 - share)
}

// DayEffects are the true effects of the test days, as logarithms.
func (s Sled) DayEffects() []float64 { return s.days }

// at is where a mark truly is.
func (s Sled) at(start float64) float64 {
	if start == 0 {
		return 0
	}
	return start + s.marks[start]
}

// DayReadings are the ids of the readings of one day.
func (s Sled) DayReadings(day string) []string {
	var ids []string
	for _, r := range s.Readings {
		if r.Day == day {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

// Draw makes a fleet. Top-outs from full back start near 190 ft and gears stand 10 to 20 ft apart, unevenly, as is
// common practice (no source).
func Draw(rng *rand.Rand, spec Spec) []Sled {
	out := make([]Sled, spec.Sleds)
	for i := range out {
		out[i] = drawSled(rng, spec, i)
	}
	return out
}

func drawSled(rng *rand.Rand, spec Spec, number int) Sled {
	s := Sled{Travel: 28 + 8*rng.Float64(), marks: map[float64]float64{}, bend: spec.Bend}
	if spec.Travel > 0 {
		s.Travel = spec.Travel
	}
	for _, m := range []float64{2, 4, 6, 8, 10, 12} {
		s.marks[m] = spec.TapeSD * rng.NormFloat64()
	}
	taped := s.Travel + spec.TapeSD*rng.NormFloat64()
	s.Sled = fleet.Sled{ID: fmt.Sprintf("sled-%d", number), Name: fmt.Sprintf("Sled %d", number), TravelFt: &taped,
		RailMarkFt: fleet.DefaultRailMarkFt}
	top := 190 + 20*rng.Float64()
	for g := range spec.Gears {
		s.Sled.Gears = append(s.Sled.Gears, fleet.Gear{ID: fmt.Sprint(number, "/", g), Label: fmt.Sprint(g + 1)})
		s.FullBack = append(s.FullBack, top)
		top += 10 + 10*rng.Float64()
	}
	if spec.Plan != nil {
		s.follow(rng, spec)
		return s
	}
	days := spec.LeastDays + rng.IntN(spec.MostDays-spec.LeastDays+1)
	for d := range days {
		day := spec.DaySD * rng.NormFloat64()
		s.days = append(s.days, day)
		for g := range spec.Gears {
			for k, start := range append([]float64{0}, spec.Starts...) {
				n := 1
				if !spec.Balanced {
					switch {
					case k > 0 && rng.IntN(3) > 0:
						n = 0
					case k == 0 && d > 0: // the first day measures every gear
						n = rng.IntN(3)
					}
				}
				for range n {
					s.Add(rng, spec.ReadingSD, day, d, g, start)
				}
			}
		}
	}
	return s
}

// follow takes the readings of a plan.
func (s *Sled) follow(rng *rand.Rand, spec Spec) {
	for d, pulls := range spec.Plan {
		day := spec.DaySD * rng.NormFloat64()
		s.days = append(s.days, day)
		for _, p := range pulls {
			s.Add(rng, spec.ReadingSD, day, d, p.Gear, p.StartFt)
		}
	}
}

// Add notes one topped-out reading on a day whose effect is dayEffect.
func (s *Sled) Add(rng *rand.Rand, readingSD, dayEffect float64, day, gear int, start float64) {
	d := s.TopOut(gear, start) * math.Exp(dayEffect+readingSD*rng.NormFloat64())
	s.Readings = append(s.Readings, fleet.Figure{
		ID: fmt.Sprint(s.Sled.ID, "/", len(s.Readings)), GearID: s.Sled.Gears[gear].ID, StartFt: start, DistanceFt: d,
		Ended: fleet.ToppedOut, MeasuredOn: fmt.Sprintf("2026-05-%02d", day+1),
		Day: fmt.Sprintf("2026-05-%02d", day+1),
	})
}

// LabelOf is the label of a reading's gear.
func (s *Sled) LabelOf(r fleet.Figure) string {
	return s.Sled.Gears[s.Sled.GearPlace(r.GearID)].Label
}

// Charts pools the fleet and fits every sled.
func Charts(sleds []Sled, a calibrate.Assumption) ([]*calibrate.Chart, calibrate.Repeatability) {
	shares := make([]calibrate.Share, len(sleds))
	for i, s := range sleds {
		shares[i] = calibrate.ShareOf(s.Notebook, a)
	}
	rep, v := calibrate.Pool(calibrate.Total(shares), a)
	charts := make([]*calibrate.Chart, len(sleds))
	for i, s := range sleds {
		charts[i] = calibrate.Fit(s.Notebook, v)
	}
	return charts, rep
}
