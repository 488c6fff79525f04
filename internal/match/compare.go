package match

import (
	"cmp"
	"math"
	"slices"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// Side is one sled with its chart.
type Side struct {
	Sled  fleet.Sled
	Chart *calibrate.Chart
}

// Setting is a gear (its place in Sled.Gears) and a start position on a sled.
type Setting struct {
	Side
	Gear    int
	StartFt float64
}

// Look says what is known of a setting by itself.
func Look(s Setting) Asked {
	a := Asked{
		Sled: s.Sled.ID, Gear: s.Sled.Gears[s.Gear].Label,
		Estimate: s.Chart.At(s.Gear, s.StartFt),
	}
	a.BoxSpeed, a.BoxSpeedLow, a.BoxSpeedHigh = s.Chart.BoxSpeed(s.Gear)
	return a
}

// topOut is a top-out distance in feet with all that is needed to compare it.
type topOut struct {
	gear int
	ft   float64
	way  float64 // T − c, the derivative of T by the prediction's logarithm
	calibrate.Prediction
}

func (s Side) topOut(gear int, start float64) (topOut, bool) {
	p, ok := s.Chart.Predict(gear, start)
	if !ok {
		return topOut{}, false
	}
	way := math.Exp(p.Log)
	return topOut{gear: gear, ft: s.Chart.TakeUpFt() + way, way: way, Prediction: p}, true
}

// ladder is every gear of which something is known at a start position, slowest first.
func (s Side) ladder(start float64) []topOut {
	var out []topOut
	for g := range s.Sled.Gears {
		if t, ok := s.topOut(g, start); ok {
			out = append(out, t)
		}
	}
	slices.SortStableFunc(out, func(a, b topOut) int { return cmp.Compare(b.ft, a.ft) })
	return out
}

// Compare finds the gear on the other sled that tops out nearest to the setting. The other sled starts at the same
// position unless onStartFt gives another; where its chart says nothing there, both are compared at full back.
func Compare(asked Setting, on Side, onStartFt *float64) Answer {
	out := Answer{Sled: on.Sled.ID}
	start, at := asked.StartFt, SameStart
	if onStartFt != nil && *onStartFt != asked.StartFt {
		start, at = *onStartFt, AskedStart
	}
	want, ok := asked.topOut(asked.Gear, asked.StartFt)
	ladder := on.ladder(start)
	switch {
	case !ok:
		out.Because = Because{AskedUnknown, asked.Sled.Name, asked.Sled.Gears[asked.Gear].Label, asked.StartFt}
		return out
	case len(ladder) == 0:
		full, okFull := asked.topOut(asked.Gear, 0)
		out.Because = on.unknownFrom(start)
		if ladder = on.ladder(0); !okFull || len(ladder) == 0 {
			return out
		}
		out.Because.Reason = ComparedFullBack
		want, start, at = full, 0, FullBack
	}
	c := comparison{asked: asked, on: on, want: want, ladder: ladder, start: start}
	c.answer(at, &out)
	return out
}

// unknownFrom says that nothing is known of a sled from a start position, or nothing at all.
func (s Side) unknownFrom(start float64) Because {
	if len(s.Chart.Starts()) == 0 {
		return Because{Reason: Unknown, Sled: s.Sled.Name}
	}
	return Because{Reason: UnknownFromThere, Sled: s.Sled.Name, StartFt: start}
}

// comparison is one setting against one sled's ladder at one start position.
type comparison struct {
	asked  Setting
	on     Side
	want   topOut
	ladder []topOut // slowest first, at least one
	start  float64  // on the other sled
}

func (c *comparison) answer(at ComparedAt, out *Answer) {
	chances := c.chances()
	best := 0
	for i, t := range c.ladder {
		// Slowest first: an equal difference further down does not replace it, so ties go to the slower gear.
		if math.Abs(t.ft-c.want.ft) < math.Abs(c.ladder[best].ft-c.want.ft)-1e-9 {
			best = i
		}
		d, half := t.ft-c.want.ft, c.on.Chart.Variances().HalfWidth(c.differenceSpread(t))
		out.Gears = append(out.Gears, Candidate{
			Gear: c.on.Sled.Gears[t.gear].Label, Estimate: c.on.Chart.Estimated(t.gear, t.Prediction),
			DifferenceFt: d, DifferenceLowFt: d - half, DifferenceHighFt: d + half, ChanceNearest: chances[i],
		})
	}
	near := c.ladder[best]
	n := &Nearest{
		Candidate: out.Gears[best], Confidence: confidence(chances[best]), ComparedAt: at,
	}
	n.BoxSpeed, n.BoxSpeedLow, n.BoxSpeedHigh = c.on.Chart.BoxSpeed(near.gear)
	out.Nearest = n
	for i := range out.Gears {
		if i != best && (out.RunnerUp == nil || chances[i] > out.RunnerUp.ChanceNearest) {
			out.RunnerUp = &RunnerUp{Gear: out.Gears[i].Gear, ChanceNearest: chances[i]}
		}
	}
	moved, ok := c.movedStart(math.Abs(n.DifferenceFt))
	if ok {
		out.MovedStart = &moved
	}
	n.OutOfReach = c.outOfReach(moved, ok)
}

// covariance of two top-outs in ft². Two sleds share nothing; one sled against itself does.
func (c *comparison) covariance(a, b topOut) calibrate.Spread {
	return c.on.Chart.Covariance(a.Prediction, b.Prediction).Times(a.way * b.way)
}

func (c *comparison) sameSled() bool { return c.asked.Sled.ID == c.on.Sled.ID }

// withWant is the covariance of a gear's top-out with the one asked for.
func (c *comparison) withWant(t topOut) calibrate.Spread {
	if !c.sameSled() {
		return calibrate.Spread{}
	}
	if t.gear == c.want.gear && c.start == c.want.StartFt {
		return t.Spread.Times(t.way * c.want.way) // the same setting, stated or measured
	}
	return c.covariance(t, c.want)
}

// differenceSpread is the variance of T_b − T_A in ft².
func (c *comparison) differenceSpread(t topOut) calibrate.Spread {
	return t.Spread.Times(t.way * t.way).Plus(c.want.Spread.Times(c.want.way * c.want.way)).Plus(c.withWant(t).Times(-2))
}

// outOfReach is nil on a sled with one known gear.
func (c *comparison) outOfReach(moved MovedStart, canMove bool) *bool {
	n := len(c.ladder)
	if n < 2 {
		return nil
	}
	slow, fast := c.ladder[0].ft, c.ladder[n-1].ft
	out := c.want.ft > slow+(slow-c.ladder[1].ft)/2
	if c.want.ft < fast-(c.ladder[n-2].ft-fast)/2 {
		out = !canMove || math.Abs(moved.StartFt-c.start) > ReachableMoveFt
	}
	return &out
}
