package driveline

import (
	"cmp"
	"math"
	"slices"
)

// Sled is what part options are worked out for.
type Sled struct {
	Parts
	Gears     []Gear
	TravelFt  float64
	TakeUpFt  float64
	LogFactor float64 // logarithm of measured over geared; parts that are not changed keep it
	Slope     float64 // by which it runs with gear speed: LogFactor + Slope·(ln r − Center)
	Center    float64
	OwnLog    []float64 // of each gear that is on the sled by itself, instead; NaN, or no list, for a gear that has none
}

// LogFactorOf is the logarithm of measured over geared of the gear at a place.
func (s Sled) LogFactorOf(place int, own bool, boxPerGround float64) float64 {
	if own && place < len(s.OwnLog) && !math.IsNaN(s.OwnLog[place]) {
		return s.OwnLog[place]
	}
	if s.Slope == 0 {
		return s.LogFactor
	}
	return s.LogFactor + s.Slope*(math.Log(boxPerGround)-s.Center)
}

// Choices are the parts at hand; a list that is empty leaves the part as it is. Every combination is tried, with the part
// that is on the sled now among them.
type Choices struct {
	SprocketTeeth       []int
	AxleRatio           []float64 // of a one-speed axle
	FinalRatio          []float64
	TireCircumferenceFt []float64
	GearSets            [][]float64 // ratios in the order of the sled's gears
}

// Combinations is how many there are.
func (c Choices) Combinations() int {
	return (len(c.SprocketTeeth) + 1) * (len(c.AxleRatio) + 1) * (len(c.FinalRatio) + 1) * (len(c.TireCircumferenceFt) + 1) * (len(c.GearSets) + 1)
}

// Option is one combination with how near its ladder comes to the reference's.
type Option struct {
	SprocketTeeth       int
	AxleRatio           float64
	FinalRatio          float64
	TireCircumferenceFt float64
	GearSet             int // place in Choices.GearSets, −1 for the gears that are on the sled
	Changed             int // how many parts
	MeanFt              float64
	WorstFt             float64
	Nearest             []Miss // one for each of the reference's top-outs
}

// Miss is the gear nearest to one of the reference's top-outs; positive tops out later.
type Miss struct {
	Gear         int
	TopOutFt     float64
	DifferenceFt float64
}

// Options ranks the combinations by the mean of the differences from the reference's full-back top-outs, in feet and without
// their signs; ties, to a tenth of an inch, go to the fewest parts changed. It returns up to most.
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
	var out []Option
	tops := make([]float64, len(s.Gears))
	for k, gears := range sets {
		for _, teeth := range with0(s.SprocketTeeth, c.SprocketTeeth) {
			for _, axle := range with0(s.AxleRatio, c.AxleRatio) {
				for _, final := range with0(s.FinalRatio, c.FinalRatio) {
					for _, tire := range with0(s.TireCircumferenceFt, c.TireCircumferenceFt) {
						o := Option{SprocketTeeth: teeth, AxleRatio: axle, FinalRatio: final, TireCircumferenceFt: tire, GearSet: k - 1}
						o.Changed = o.changed(s)
						if o.judge(s, gears, reference, tops) {
							out = append(out, o)
						}
					}
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Option) int {
		return cmp.Or(cmp.Compare(math.Round(a.MeanFt*120), math.Round(b.MeanFt*120)), cmp.Compare(a.Changed, b.Changed), cmp.Compare(a.MeanFt, b.MeanFt))
	})
	out = out[:min(len(out), max(most, 0))]
	for i := range out {
		out[i].nearest(s, sets[out[i].GearSet+1], reference)
	}
	return out
}

// with0 is the part on the sled and every other one at hand.
func with0[T comparable](now T, others []T) []T {
	out := []T{now}
	for _, o := range others {
		if !slices.Contains(out, o) {
			out = append(out, o)
		}
	}
	return out
}

func (o Option) changed(s Sled) int {
	n := 0
	for _, differs := range []bool{
		o.SprocketTeeth != s.SprocketTeeth, o.AxleRatio != s.AxleRatio, o.FinalRatio != s.FinalRatio,
		o.TireCircumferenceFt != s.TireCircumferenceFt, o.GearSet >= 0,
	} {
		if differs {
			n++
		}
	}
	return n
}

// Parts are the sled's with the option's put in.
func (o Option) Parts(s Sled) Parts {
	p := s.Parts
	p.SprocketTeeth, p.FinalRatio, p.TireCircumferenceFt = o.SprocketTeeth, o.FinalRatio, o.TireCircumferenceFt
	if o.SprocketTeeth != s.SprocketTeeth {
		p.BoxFtPerTurn = s.BoxFtPerTurn * float64(o.SprocketTeeth) / float64(max(s.SprocketTeeth, 1))
	}
	if len(p.AxleRatios) == 0 {
		p.AxleRatio = o.AxleRatio
	}
	return p
}

// ladder fills tops with the full-back top-outs, NaN where a part is unknown.
func (o Option) ladder(s Sled, gears []Gear, tops []float64) {
	p := o.Parts(s)
	for i, g := range gears {
		tops[i] = math.NaN()
		if r, ok := p.BoxPerGround(g); ok {
			tops[i] = TopOut(r*math.Exp(-s.LogFactorOf(i, o.GearSet < 0, r)), s.TravelFt, 0, s.TakeUpFt)
		}
	}
}

// judge works out mean and worst; false when no gear is known.
func (o *Option) judge(s Sled, gears []Gear, reference, tops []float64) bool {
	o.ladder(s, gears, tops)
	for _, want := range reference {
		best := math.Inf(1)
		for _, t := range tops {
			if d := math.Abs(t - want); d < best {
				best = d
			}
		}
		if math.IsInf(best, 1) {
			return false
		}
		o.MeanFt += best / float64(len(reference))
		o.WorstFt = max(o.WorstFt, best)
	}
	return true
}

func (o *Option) nearest(s Sled, gears []Gear, reference []float64) {
	tops := make([]float64, len(gears))
	o.ladder(s, gears, tops)
	for _, want := range reference {
		m := Miss{Gear: -1, DifferenceFt: math.Inf(1)}
		for i, t := range tops {
			if math.Abs(t-want) < math.Abs(m.DifferenceFt) {
				m = Miss{Gear: i, TopOutFt: t, DifferenceFt: t - want}
			}
		}
		o.Nearest = append(o.Nearest, m)
	}
}

// BestFactor is by how much the way to the top would have to be multiplied, by one ratio that nobody need make, for the mean
// difference to be least, and that mean in feet. tops are the sled's full-back top-outs, in feet.
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
