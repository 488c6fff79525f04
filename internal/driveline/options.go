package driveline

import (
	"cmp"
	"math"
	"slices"
)

// Sled is what part options are calculated for. What stays as it is cancels where a gear was measured: of the parts
// only those have to be known that are changed.
type Sled struct {
	Parts
	Gears    []Gear
	TravelFt float64 // 0 is unknown
	TakeUpFt float64
	WayLog   []float64 // logarithm of each gear's way to the top in feet, as the sled is; NaN, or no list, if unknown
	Factor   Factor    // measured over geared; it holds for other parts as well
}

// Way is the logarithm of a gear's way to the top in feet with the parts of an option, which gives the gear at a place
// its ratio. It is the gear's own, moved by what was changed, or, for a gear of another set and for one that was not
// measured, what the parts and the sled's factor say. False where neither is known.
func (s Sled) Way(o Option, place int, g Gear) (log float64, own, ok bool) {
	measured := place < len(s.WayLog) && !math.IsNaN(s.WayLog[place])
	if !measured || o.GearSet >= 0 {
		if r, known := o.BoxPerGround(g); known && s.TravelFt > 0 {
			log = math.Log(s.TravelFt/r) + s.Factor.Log
			if f := s.Factor; f.Slope != 0 {
				log += f.Slope * (math.Log(r) - f.Center)
			}
			return log, false, true
		}
	}
	if !measured {
		return 0, false, false
	}
	shift, missing := Shift(s.Parts, s.Gears[place], o.Parts, g)
	return s.WayLog[place] + shift, true, len(missing) == 0
}

// Choices are the parts at hand. Every combination is tried, each with the part that is on the sled as well.
type Choices struct {
	SprocketTeeth       []int
	AxleRatio           []float64 // of a one-speed axle
	FinalRatio          []float64
	TireCircumferenceFt []float64
	GearSets            [][]float64 // ratios in the order of the sled's gears
}

// Combinations is how many combinations there are.
func (c Choices) Combinations() int {
	return (len(c.SprocketTeeth) + 1) * (len(c.AxleRatio) + 1) * (len(c.FinalRatio) + 1) *
		(len(c.TireCircumferenceFt) + 1) * (len(c.GearSets) + 1)
}

// Option is one combination with how near its ladder comes to the reference's.
type Option struct {
	Parts
	GearSet int // place in Choices.GearSets, −1 for the gears that are on the sled
	Changed int // how many parts
	MeanFt  float64
	WorstFt float64
	Nearest []Miss // one for each of the reference's top-outs
}

// Miss is the gear nearest to one of the reference's top-outs; positive tops out later.
type Miss struct {
	Gear         int
	TopOutFt     float64
	DifferenceFt float64
}

// Options ranks the combinations by the mean absolute difference from the full-back top-outs of the reference. Ties,
// to a tenth of an inch, go to the fewest parts changed. It returns up to most.
func Options(s Sled, c Choices, reference []float64, most int) []Option {
	if len(reference) == 0 || len(s.Gears) == 0 {
		return nil
	}
	sets := [][]Gear{s.Gears}
	for _, ratios := range c.GearSets {
		set := slices.Clone(s.Gears)
		for i := range set {
			set[i].Ratio = 0
			if i < len(ratios) {
				set[i].Ratio = ratios[i]
			}
		}
		sets = append(sets, set)
	}
	out := make([]Option, 0, c.Combinations())
	tops := make([]float64, len(s.Gears))
	for k, gears := range sets {
		for _, teeth := range withCurrent(s.SprocketTeeth, c.SprocketTeeth) {
			for _, axle := range withCurrent(s.AxleRatio, c.AxleRatio) {
				for _, final := range withCurrent(s.FinalRatio, c.FinalRatio) {
					for _, tire := range withCurrent(s.TireCircumferenceFt, c.TireCircumferenceFt) {
						o := Option{Parts: s.Parts, GearSet: k - 1}
						o.SprocketTeeth, o.AxleRatio, o.FinalRatio, o.TireCircumferenceFt = teeth, axle, final, tire
						if o.score(s, gears, reference, tops) {
							out = append(out, o)
						}
					}
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Option) int {
		return cmp.Or(cmp.Compare(math.Round(a.MeanFt*120), math.Round(b.MeanFt*120)),
			cmp.Compare(a.Changed, b.Changed), cmp.Compare(a.MeanFt, b.MeanFt))
	})
	out = out[:min(len(out), max(most, 0))]
	for i := range out {
		out[i].topOuts(s, sets[out[i].GearSet+1], tops)
		for _, want := range reference {
			gear := nearest(tops, want)
			out[i].Nearest = append(out[i].Nearest, Miss{gear, tops[gear], tops[gear] - want})
		}
	}
	return out
}

// withCurrent is the part on the sled and every other one at hand, each once.
func withCurrent[T comparable](now T, others []T) []T {
	out := []T{now}
	for _, o := range others {
		if !slices.Contains(out, o) {
			out = append(out, o)
		}
	}
	return out
}

// topOuts fills tops with the full-back top-outs, NaN where one is unknown.
func (o Option) topOuts(s Sled, gears []Gear, tops []float64) {
	for i, g := range gears {
		tops[i] = math.NaN()
		if way, _, ok := s.Way(o, i, g); ok {
			tops[i] = s.TakeUpFt + math.Exp(way)
		}
	}
}

// score counts the parts changed and works out mean and worst; false when no gear is known. It fills tops.
func (o *Option) score(s Sled, gears []Gear, reference, tops []float64) bool {
	for _, differs := range [...]bool{
		o.SprocketTeeth != s.SprocketTeeth, o.AxleRatio != s.AxleRatio, o.FinalRatio != s.FinalRatio,
		o.TireCircumferenceFt != s.TireCircumferenceFt, o.GearSet >= 0,
	} {
		if differs {
			o.Changed++
		}
	}
	if o.SprocketTeeth != s.SprocketTeeth {
		o.BoxFtPerTurn = s.BoxFtPerTurn * float64(o.SprocketTeeth) / float64(max(s.SprocketTeeth, 1))
	}
	o.topOuts(s, gears, tops)
	for _, want := range reference {
		gear := nearest(tops, want)
		if gear < 0 {
			return false
		}
		off := math.Abs(tops[gear] - want)
		o.MeanFt += off / float64(len(reference))
		o.WorstFt = max(o.WorstFt, off)
	}
	return true
}

// nearest is the place of the top-out nearest to one, −1 where none is known.
func nearest(tops []float64, want float64) int {
	place, best := -1, math.Inf(1)
	for i, t := range tops {
		if d := math.Abs(t - want); d < best {
			place, best = i, d
		}
	}
	return place
}

// BestFactor is the factor on the way to the top, of a ratio that need not exist, with the least mean difference, and
// that mean in feet. tops are the sled's full-back top-outs, in feet.
func BestFactor(tops, reference []float64, takeUpFt float64) (factor, meanFt float64) {
	best, at := math.Inf(1), 1.0
	// The mean is piecewise smooth with its minima where some top-out meets a reference exactly.
	for _, t := range tops {
		for _, want := range reference {
			f := (want - takeUpFt) / (t - takeUpFt)
			if !(f > 0) || math.IsInf(f, 0) {
				continue
			}
			sum := 0.0
			for _, w := range reference {
				least := math.Inf(1)
				for _, u := range tops {
					least = min(least, math.Abs(takeUpFt+(u-takeUpFt)*f-w))
				}
				sum += least
			}
			if sum < best-1e-12 || (sum < best+1e-12 && math.Abs(math.Log(f)) < math.Abs(math.Log(at))) {
				best, at = sum, f
			}
		}
	}
	if len(reference) == 0 || math.IsInf(best, 1) {
		return 1, math.NaN()
	}
	return at, best / float64(len(reference))
}

// ReturnSpeed bounds the factor on the box's return speed when parts are changed. The return drive does not pass
// through the tires, the axle or the gears. It either turns the last shaft, where only the box's move in one turn
// counts, or comes in ahead of the final ratio. Which of the two is not noted, so they bound it. Common practice, no
// source. What stays as it is cancels; false where a part that was changed is unknown.
func ReturnSpeed(was, is Parts) (low, high float64, ok bool) {
	atTheShaft, final := 1.0, 1.0
	if before, after, changed := feetPerTurn(was, is); changed {
		atTheShaft = after / before
	}
	if was.FinalRatio != is.FinalRatio {
		final = was.FinalRatio / is.FinalRatio
	}
	for _, factor := range []float64{atTheShaft, final} {
		if !(factor > 0) || math.IsInf(factor, 1) {
			return 0, 0, false
		}
	}
	return min(atTheShaft, atTheShaft*final), max(atTheShaft, atTheShaft*final), true
}
