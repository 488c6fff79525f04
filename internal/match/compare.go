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
	return Asked{
		Sled: s.Sled.ID, Gear: s.Sled.Gears[s.Gear].Label,
		Estimate: s.Chart.At(s.Gear, s.StartFt), Speed: s.Chart.BoxSpeed(s.Gear),
	}
}

// topOut is a top-out distance in feet, on the night asked about or on average over days, with all that is needed to
// compare it.
type topOut struct {
	gear int
	ft   float64
	way  float64 // T − c, the derivative of T by the outlook's logarithm
	calibrate.Outlook
	prediction calibrate.Prediction
}

func (s Side) topOut(gear int, start float64) (topOut, bool) {
	p, ok := s.Chart.Predict(gear, start)
	if !ok {
		return topOut{}, false
	}
	way := math.Exp(p.Tonight.Log)
	return topOut{gear: gear, ft: s.Chart.TakeUpFt() + way, way: way, Outlook: p.Tonight, prediction: p}, true
}

// onAverage is the same on average over days.
func (t topOut) onAverage() topOut {
	way := math.Exp(t.prediction.Log)
	t.ft += way - t.way
	t.way, t.Outlook = way, t.prediction.Outlook
	return t
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
	if asked.Sled.ID == on.Sled.ID {
		asked.Chart = on.Chart // a night may leave out a stray, and two models have no covariance
	}
	want, ok := asked.topOut(asked.Gear, asked.StartFt)
	if !ok {
		return Answer{Sled: on.Sled.ID,
			Because: Because{AskedUnknown, asked.Sled.Name, asked.Sled.Gears[asked.Gear].Label, asked.StartFt}}
	}
	c := comparison{asked: asked, on: on, want: want.onAverage()}
	return c.from(asked.StartFt, onStartFt, func() (topOut, bool) {
		full, ok := asked.topOut(asked.Gear, 0)
		return full.onAverage(), ok
	})
}

// from compares at the start position asked about or at that given for the other sled, and where nothing is known of
// that sled from there, at full back with what is wanted from full back.
func (c *comparison) from(askedFt float64, onStartFt *float64, fullBack func() (topOut, bool)) Answer {
	out, at := Answer{Sled: c.on.Sled.ID}, SameStart
	if c.start = askedFt; onStartFt != nil && *onStartFt != askedFt {
		c.start, at = *onStartFt, AskedStart
	}
	if c.ladder = c.on.ladder(c.start); len(c.ladder) == 0 {
		out.Because = c.on.unknownFrom(c.start)
		full, ok := fullBack()
		if c.ladder = c.on.ladder(0); !ok || len(c.ladder) == 0 {
			return out
		}
		out.Because.Reason = ComparedFullBack
		c.want, c.start, at = full, 0, FullBack
	}
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
	chances, onAverage := c.chances(), usual.chances()
	best := c.nearest()
	for i, t := range c.ladder {
		out.Gears = append(out.Gears, Candidate{
			Gear: c.on.Sled.Gears[t.gear].Label, Estimate: c.on.Chart.Estimated(t.gear, t.prediction),
			Difference: c.difference(t, calibrate.Spread{}), ChanceNearest: chances[i],
			ChanceNearestOnAverage: onAverage[i],
		})
	}
	near := c.ladder[best]
	n := &Nearest{
		Candidate: out.Gears[best], Speed: c.on.Chart.BoxSpeed(near.gear), Confidence: confidence(chances[best]),
		OwnSetting: c.ownSetting(near), ComparedAt: at,
	}
	out.Nearest = n
	if i := usual.nearest(); i != best {
		out.UsualGear = out.Gears[i].Gear
	}
	for i := range out.Gears {
		if i != best && (out.RunnerUp == nil || chances[i] > out.RunnerUp.ChanceNearest) {
			out.RunnerUp = &RunnerUp{Gear: out.Gears[i].Gear, ChanceNearest: chances[i]}
		}
	}
	out.MovedStart = c.movedStart(math.Abs(n.DifferenceFt))
	n.OutOfReach = c.outOfReach(out.MovedStart)
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
	return c.sameSled() && t.gear == c.want.gear && c.start == c.want.prediction.StartFt &&
		c.on.Chart.Night().Pulls == 0
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
	half, halfTonight := v.HalfWidth(c.apart(usual).Plus(more)), v.HalfWidth(c.apart(t).Plus(more))
	return Difference{
		DifferenceFt: dTonight, DifferenceLowFt: d - half, DifferenceHighFt: d + half,
		DifferenceTonightLowFt: dTonight - halfTonight, DifferenceTonightHighFt: dTonight + halfTonight,
	}
}

func (c *comparison) sameSled() bool { return c.asked.Sled.ID == c.on.Sled.ID }

// withWant is the covariance of a gear's top-out with the one asked for, in ft². The setting asked for always stands
// for its average over days. Two sleds share nothing; one sled against itself does.
func (c *comparison) withWant(t topOut) calibrate.Spread {
	if !c.sameSled() {
		return calibrate.Spread{}
	}
	if c.ownSetting(t) {
		return t.prediction.Spread.Times(t.way * c.want.way) // the same setting, stated or measured
	}
	return c.on.Chart.Covariance(t.Outlook, c.want.Outlook).Times(t.way * c.want.way)
}

// apart is the variance of T_b − T_A in ft².
func (c *comparison) apart(t topOut) calibrate.Spread {
	alone := t.Spread.Times(t.way * t.way).Plus(c.want.Spread.Times(c.want.way * c.want.way))
	return alone.Plus(c.withWant(t).Times(-2))
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
func (c *comparison) outOfReach(moved *MovedStart) *bool {
	n := len(c.ladder)
	if n < 2 {
		return nil
	}
	slow, fast := c.ladder[0].ft, c.ladder[n-1].ft
	out := (c.want.ft > slow+max((slow-c.ladder[1].ft)/2, levelFt) ||
		c.want.ft < fast-max((c.ladder[n-2].ft-fast)/2, levelFt)) &&
		!(moved != nil && math.Abs(moved.StartFt-c.start) <= ReachableMoveFt)
	return &out
}
