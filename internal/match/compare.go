package match

import (
	"cmp"
	"math"
	"slices"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// levelFt is up to which difference two top-outs are the same to everybody. An assumption of our own.
const levelFt = 0.5

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

// topOut is a top-out distance in feet, as expected on the night asked about, with all that is needed to compare it.
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
	way := math.Exp(p.TonightLog)
	return topOut{gear: gear, ft: s.Chart.TakeUpFt() + way, way: way, Prediction: p}, true
}

// onAverage is the same on average over days.
func (t topOut) onAverage() topOut {
	way := math.Exp(t.Log)
	return topOut{gear: t.gear, ft: t.ft + (way - t.way), way: way, Prediction: t.Prediction}
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
	if asked.Sled.ID == on.Sled.ID {
		asked.Chart = on.Chart // a night may leave out a stray, and two models have no covariance
	}
	want, ok := asked.topOut(asked.Gear, asked.StartFt)
	want = want.onAverage()
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
		want, start, at = full.onAverage(), 0, FullBack
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
	usual := c.onAverage()
	chances, onAverage := c.chances(tonight), usual.chances(average)
	best := c.nearest()
	for i, t := range c.ladder {
		out.Gears = append(out.Gears, Candidate{
			Gear: c.on.Sled.Gears[t.gear].Label, Estimate: c.on.Chart.Estimated(t.gear, t.Prediction),
			Difference: c.difference(t, calibrate.Spread{}), ChanceNearest: chances[i],
			ChanceNearestOnAverage: onAverage[i],
		})
	}
	near := c.ladder[best]
	n := &Nearest{
		Candidate: out.Gears[best], Confidence: confidence(chances[best]), ComparedAt: at,
	}
	n.BoxSpeed, n.BoxSpeedLow, n.BoxSpeedHigh = c.on.Chart.BoxSpeed(near.gear)
	n.OwnSetting = c.ownSetting(near)
	out.Nearest = n
	if i := usual.nearest(); i != best {
		out.UsualGear = out.Gears[i].Gear
	}
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

// nearest is the place on the ladder, slowest first, of the gear that tops out nearest. An equal difference further
// down does not replace one, so ties go to the slower gear.
func (c *comparison) nearest() int {
	best := 0
	for i, t := range c.ladder {
		if math.Abs(t.ft-c.want.ft) < math.Abs(c.ladder[best].ft-c.want.ft)-1e-9 {
			best = i
		}
	}
	return best
}

// ownSetting says whether a gear is the very setting asked about, of a sled on a night that is not known to differ from
// others.
func (c *comparison) ownSetting(t topOut) bool {
	return c.sameSled() && t.gear == c.want.gear && c.start == c.want.StartFt && c.on.Chart.Night().Pulls == 0
}

// variances are those of the two sleds' crews, for what rests on both charts.
func (c *comparison) variances() calibrate.Variances {
	v := c.on.Chart.Variances()
	if c.asked.Chart != nil { // a distance by itself has none
		v = v.Both(c.asked.Chart.Variances())
	}
	return v
}

// difference of a top-out from the one asked for; more is a further variance in ft².
func (c *comparison) difference(t topOut, more calibrate.Spread) Difference {
	v := c.variances()
	usual := t.onAverage()
	d, dTonight := usual.ft-c.want.ft, t.ft-c.want.ft
	half, halfTonight := v.HalfWidth(c.apart(average, usual, usual.Spread).Plus(more)), v.HalfWidth(c.apart(tonight, t,
		t.Tonight).Plus(more))
	return Difference{
		DifferenceFt: dTonight, DifferenceLowFt: d - half, DifferenceHighFt: d + half,
		DifferenceTonightLowFt: dTonight - halfTonight, DifferenceTonightHighFt: dTonight + halfTonight,
	}
}

func (c *comparison) sameSled() bool { return c.asked.Sled.ID == c.on.Sled.ID }

// night says how the top-outs of the other sled err: on average over days, or on the night asked about, which all of
// them share. The setting asked for always stands for its average. Two sleds share nothing; one sled against itself
// does.
type night struct {
	own       func(*calibrate.Chart, calibrate.Prediction) calibrate.Spread
	together  func(chart *calibrate.Chart, a, b calibrate.Prediction) calibrate.Spread
	withAsked func(chart *calibrate.Chart, a, asked calibrate.Prediction) calibrate.Spread
}

var (
	average = night{
		own:       func(_ *calibrate.Chart, p calibrate.Prediction) calibrate.Spread { return p.Spread },
		together:  (*calibrate.Chart).Covariance,
		withAsked: (*calibrate.Chart).Covariance,
	}
	tonight = night{
		own:       (*calibrate.Chart).TonightMean,
		together:  (*calibrate.Chart).TonightCovariance,
		withAsked: (*calibrate.Chart).TonightWithAverage,
	}
)

// withWant is the covariance of a gear's top-out with the one asked for, in ft².
func (c *comparison) withWant(on night, t topOut) calibrate.Spread {
	if !c.sameSled() {
		return calibrate.Spread{}
	}
	if c.ownSetting(t) {
		return t.Spread.Times(t.way * c.want.way) // the same setting, stated or measured
	}
	return on.withAsked(c.on.Chart, t.Prediction, c.want.Prediction).Times(t.way * c.want.way)
}

// apart is the variance of T_b − T_A in ft², spread being that of T_b's logarithm.
func (c *comparison) apart(on night, t topOut, spread calibrate.Spread) calibrate.Spread {
	return spread.Times(t.way * t.way).Plus(c.want.Spread.Times(c.want.way * c.want.way)).Plus(c.withWant(on,
		t).Times(-2))
}

// onAverage is the same comparison with the other sled as it is on average over days.
func (c *comparison) onAverage() *comparison {
	out := *c
	out.ladder = make([]topOut, len(c.ladder))
	for i, t := range c.ladder {
		out.ladder[i] = t.onAverage()
	}
	return &out
}

// outOfReach says whether what is asked for lies beyond an end of the ladder, by more than half the step there, and no
// start within reach gets there. It is nil on a sled with one known gear.
func (c *comparison) outOfReach(moved MovedStart, canMove bool) *bool {
	n := len(c.ladder)
	if n < 2 {
		return nil
	}
	slow, fast := c.ladder[0].ft, c.ladder[n-1].ft
	out := (c.want.ft > slow+max((slow-c.ladder[1].ft)/2, levelFt) ||
		c.want.ft < fast-max((c.ladder[n-2].ft-fast)/2, levelFt)) &&
		!(canMove && math.Abs(moved.StartFt-c.start) <= ReachableMoveFt)
	return &out
}
