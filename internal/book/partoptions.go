package book

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenpull/internal/calibrate"
	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
)

const (
	// maxCombinations is how many are tried for one question.
	maxCombinations = 50_000
	// mendedFt is how near one ratio must bring a gear for it to count as mended.
	mendedFt = NearFt
	// unmeasuredSD is how far, as a logarithm, the parts of a sled without any measured gear may be off, standard:
	// rolling radius and slip. An assumption of our own.
	unmeasuredSD = 0.02
	// changedSD is what a change of parts adds that is not measured, as charts take it for what they carry over one.
	changedSD = 0.003
)

// PartQuestion asks which parts at hand would make a sled like another.
type PartQuestion struct {
	Sled, Reference string          // ids
	Now             driveline.Parts // what is on the sled, of parts that are not noted of it
	Choices         driveline.Choices
	Limit           int // how many combinations to name
}

// PartOptions are combinations of parts by how near the sled's ladder then comes to the reference's, from full back, at
// one revision of the fleet.
type PartOptions struct {
	Revision        int64
	Sled, Reference fleet.Sled
	Now             PartOption   // the sled as it is
	Items           []PartOption // best first
	Combinations    int          // how many were tried
	ExactFactor     float64      // what one ratio, made or not, would best multiply the way to the top by
	ExactMeanFt     float64      // the mean difference that would be left
	CannotBeMended  []string     // the reference's gears that then stay more than 5 ft off: the spacing differs
	LeftOut         []string     // the sled's gears of which nothing is known
}

// PartOption is one combination. Of what it leaves as it is it says what is on the sled; the miss of each gear is in
// Gears.
type PartOption struct {
	driveline.Option
	PlusMinusFt       float64 // half the 95 % interval of one of the differences, on average
	BoxSpeedChangePct float64 // by how much the box runs faster than now, on average over the gears
	// By how much it returns faster than now, at the least and at the most: see driveline.ReturnSpeed.
	ReturnLowPct, ReturnHighPct float64
	Gears                       []PartGear
	TopOuts                     []PartTopOut // in the order of the lever
}

// PartTopOut is where a gear of the sled would top out from full back; those of which nothing is known are left out.
type PartTopOut struct {
	Gear     string
	TopOutFt float64
}

// PartGear is the gear that would come nearest to one of the reference's; positive tops out later.
type PartGear struct {
	ReferenceGear, Gear    string
	TopOutFt, DifferenceFt float64
}

// PartOptions tries every combination of the parts at hand. Each gear keeps what its readings say beside its ratio;
// those of another gear set get the sled's factor. Of a gear that was measured only the parts that change have to be
// known, noted or given with the question. A sled that is not there is NotFound. A part of the sled that has to be
// known and is not, and more combinations than can be tried, are Invalid.
func (b *Book) PartOptions(ctx context.Context, q PartQuestion) (PartOptions, error) {
	snap, err := b.current(ctx)
	if err != nil {
		return PartOptions{}, err
	}
	state, errSled := snap.sled(q.Sled)
	reference, errReference := snap.sled(q.Reference)
	if err := cmp.Or(errSled, errReference); err != nil {
		return PartOptions{}, err
	}
	want := targetGears(reference)
	w := newOptionEvaluator(state, want)
	if err := w.check(&q, reference); err != nil {
		return PartOptions{}, err
	}
	out := PartOptions{
		Revision: snap.revision, Sled: state.Sled, Reference: reference.Sled, Combinations: q.Choices.Combinations(),
	}
	feet := mapSlice(want, func(t targetGear) float64 { return t.ft })
	now := w.options(driveline.Choices{}, feet, 1)
	if len(now) == 0 {
		return PartOptions{}, fleet.InvalidField("sled", "what was measured on %s and the parts noted of it "+
			"contradict each other beyond any sled: look at its drive line first", state.Sled.Name)
	}
	out.Now, out.Items = now[0], w.options(q.Choices, feet, q.Limit)
	tops, leftOut := w.ladder()
	out.LeftOut = leftOut
	out.ExactFactor, out.ExactMeanFt = driveline.BestFactor(tops, feet, w.sled.TakeUpFt)
	if math.IsNaN(out.ExactMeanFt) { // the reference tops out before this sled's box moves at all
		out.ExactFactor, out.ExactMeanFt = 1, out.Now.MeanFt
	}
	for i, t := range want {
		nearest := math.Inf(1)
		for _, top := range tops {
			nearest = min(nearest, math.Abs(w.sled.TakeUpFt+(top-w.sled.TakeUpFt)*out.ExactFactor-feet[i]))
		}
		if nearest > mendedFt {
			out.CannotBeMended = append(out.CannotBeMended, t.label)
		}
	}
	return out, nil
}

// finite is false for a combination so far beyond any drive line that one of its figures has no end.
func (o PartOption) finite() bool {
	figures := []float64{o.MeanFt, o.WorstFt, o.PlusMinusFt, o.BoxSpeedChangePct, o.ReturnLowPct, o.ReturnHighPct}
	for _, g := range o.Gears {
		figures = append(figures, g.TopOutFt, g.DifferenceFt)
	}
	for _, g := range o.TopOuts {
		figures = append(figures, g.TopOutFt)
	}
	return !slices.ContainsFunc(figures, func(x float64) bool { return math.IsInf(x, 0) || math.IsNaN(x) })
}

// targetGear is one of the reference's top-outs from full back.
type targetGear struct {
	label    string
	ft       float64
	variance calibrate.Spread // ft²
}

func targetGears(reference sledState) (out []targetGear) {
	chart := reference.chart()
	for i, g := range reference.Sled.Gears {
		if at, ok := chart.Predict(i, 0); ok {
			way := math.Exp(at.Log)
			out = append(out, targetGear{g.Label, chart.TakeUpFt() + way, at.Spread.Times(way * way)})
		}
	}
	return out
}

// check finds all that keeps a question from being answered, takes what it says of the sled's parts, and drops choices
// that are on the sled already.
func (w *optionEvaluator) check(q *PartQuestion, reference sledState) error {
	var f fleet.Faults
	s := w.Sled
	switch {
	case q.Sled == q.Reference:
		f.Add("reference", "%s is as like itself as can be; name another sled", s.Name)
	case len(w.targets) == 0:
		f.Add("reference", "nothing is known about where %s tops out from %s",
			reference.Sled.Name, words.Position(0, fleet.InFeet))
	}
	w.takeParts(&f, q.Now)
	w.checkKnown(&f, len(q.Choices.GearSets) > 0)
	c, on := &q.Choices, w.sled.Parts
	c.SprocketTeeth = distinctChoices(&f, s, "sprocket_teeth", "sprocket", c.SprocketTeeth, on.SprocketTeeth)
	c.FinalRatio = distinctChoices(&f, s, "final_ratio", words.Part(driveline.Final), c.FinalRatio, on.FinalRatio)
	c.TireCircumferenceFt = distinctChoices(&f, s, "tire_circumference_ft", words.Part(driveline.TireCircumference),
		c.TireCircumferenceFt, on.TireCircumferenceFt)
	if len(on.AxleRatios) > 0 && len(c.AxleRatio) > 0 {
		f.Add("axle_ratio", "the axle of %s has two speeds, and one ratio cannot replace both", s.Name)
	} else {
		c.AxleRatio = distinctChoices(&f, s, "axle_ratio", words.Part(driveline.Axle), c.AxleRatio, on.AxleRatio)
	}
	for i, set := range c.GearSets {
		at := fmt.Sprintf("gear_set[%d]", i)
		if set != nil && len(set) != len(s.Gears) {
			f.Add(at, "%s has %d gears (%s); a gear set needs a ratio for each, not %d",
				s.Name, len(s.Gears), strings.Join(s.Labels(), ", "), len(set))
			continue
		}
		for _, ratio := range set {
			if !(ratio > 0 && ratio <= 1000) {
				f.Add(at, "a ratio must be above 0 and at most 1000, not %g", ratio)
			}
		}
	}
	if n := c.Combinations(); n > maxCombinations {
		f.Add("final_ratio", "these parts make %d combinations; up to %d can be tried at a time: leave some out",
			n, maxCombinations)
	}
	return f.Err()
}

// takeParts takes what a question says is on the sled where that is not noted.
func (w *optionEvaluator) takeParts(f *fleet.Faults, now driveline.Parts) {
	s, on := w.Sled, &w.sled.Parts
	takePart(f, s, "sprocket_teeth_now", "sprocket", &on.SprocketTeeth, now.SprocketTeeth)
	takePart(f, s, "final_ratio_now", words.Part(driveline.Final), &on.FinalRatio, now.FinalRatio)
	takePart(f, s, "tire_circumference_ft_now", words.Part(driveline.TireCircumference),
		&on.TireCircumferenceFt, now.TireCircumferenceFt)
	if len(on.AxleRatios) > 0 && now.AxleRatio != 0 {
		f.Add("axle_ratio_now", "the axle of %s has two speeds, which are noted", s.Name)
		return
	}
	takePart(f, s, "axle_ratio_now", words.Part(driveline.Axle), &on.AxleRatio, now.AxleRatio)
}

func takePart[T int | float64](f *fleet.Faults, s fleet.Sled, at, part string, on *T, now T) {
	switch {
	case now == 0:
	case !(now > 0) || math.IsInf(float64(now), 1):
		f.Add(at, "must be above 0, not %v", now)
	case *on != 0 && *on != now:
		f.Add(at, "the %s of %s is noted as %v: correct it among its parts, or leave it out here", part, s.Name, *on)
	default:
		*on = now
	}
}

// checkKnown finds what has to be known of a sled and is not. Where some gear was measured that is nothing, unless
// other gear sets are asked about.
func (w *optionEvaluator) checkKnown(f *fleet.Faults, gearSets bool) {
	s, parts := w.Sled, w.sled.Parts
	for i, g := range s.Gears {
		r, ok := parts.BoxPerGround(gearOf(g))
		possible := ok && math.Abs(math.Log(r)) < maxLogBoxPerGround
		if math.IsNaN(w.sled.WayLog[i]) && len(parts.Missing(gearOf(g))) == 0 && !possible {
			f.Add("sled", "the parts noted for gear %s on %s cannot be: "+
				"they would move its box at no speed any box runs at", g.Label, s.Name)
		}
	}
	if _, leftOut := w.ladder(); len(leftOut) < len(s.Gears) && !gearSets {
		return
	}
	missing := map[driveline.Part][]string{}
	var order []driveline.Part
	note := func(part driveline.Part, gear string) {
		if missing[part] == nil {
			order = append(order, part)
		}
		missing[part] = append(missing[part], gear)
	}
	for i, g := range s.Gears {
		if gear := gearOf(g); !math.IsNaN(w.sled.WayLog[i]) {
			others := parts.Missing(driveline.Gear{Ratio: 1, Range: gear.Range})
			if gear.Ratio == 0 && (len(others) > 0 || w.sled.TravelFt == 0) {
				note(driveline.GearRatio, g.Label)
			}
			continue
		}
		for _, part := range parts.Missing(gearOf(g)) {
			note(part, g.Label)
		}
		if w.sled.TravelFt == 0 && len(missing[driveline.Travel]) == 0 {
			note(driveline.Travel, "")
		}
	}
	for _, part := range order {
		if part == driveline.GearRatio || part == driveline.Axle && len(missing[part]) < len(s.Gears) {
			f.Add("sled", "the %s of gear %s on %s is not noted, and has to be known",
				words.Part(part), strings.Join(missing[part], ", "), s.Name)
		} else {
			f.Add("sled", "the %s of %s is not noted, and has to be known", words.Part(part), s.Name)
		}
	}
}

// distinctChoices are the choices for a part, each once, without the one that is on the sled. One that is not noted
// cannot be chosen for: what another would do depends on it.
func distinctChoices[T int | float64](f *fleet.Faults, s fleet.Sled, at, part string, choices []T, now T) []T {
	var out []T
	for _, c := range choices {
		if !(c > 0) || math.IsInf(float64(c), 1) {
			f.Add(at, "must be above 0, not %v", c)
			continue
		}
		if c != now && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	if len(choices) > 0 && now == 0 {
		f.Add(at, "the %s that is on %s now is not noted, so nobody can say what another would do", part, s.Name)
	}
	return out
}

// optionEvaluator is a sled on which parts are tried.
type optionEvaluator struct {
	sledState
	sled    driveline.Sled
	targets []targetGear
	factor  driveline.Factor
	fitted  bool // there is a factor
}

func newOptionEvaluator(state sledState, want []targetGear) optionEvaluator {
	s, chart := state.Sled, state.chart()
	w := optionEvaluator{
		sledState: state, targets: want, sled: driveline.Sled{Parts: partsOf(s), TakeUpFt: chart.TakeUpFt(),
			TravelFt: valueOrZero(chart.TravelFt())},
	}
	if w.factor, _, w.fitted = state.factor(); w.fitted {
		w.sled.Factor = w.factor
	}
	for i, g := range s.Gears {
		way := math.NaN()
		if at, known := chart.Predict(i, 0); known {
			way = at.Log
		}
		w.sled.Gears, w.sled.WayLog = append(w.sled.Gears, gearOf(g)), append(w.sled.WayLog, way)
	}
	return w
}

// ladder is where the sled's gears top out from full back as it is, in feet, and the gears of which that is not known.
func (w optionEvaluator) ladder() (tops []float64, leftOut []string) {
	asItIs := driveline.Option{Parts: w.sled.Parts, GearSet: -1}
	for i, g := range w.sled.Gears {
		if way, _, ok := w.sled.Way(asItIs, i, g); ok {
			tops = append(tops, w.sled.TakeUpFt+math.Exp(way))
		} else {
			leftOut = append(leftOut, w.Sled.Gears[i].Label)
		}
	}
	return tops, leftOut
}

// options are the best combinations, but for those of which a figure has no end.
func (w optionEvaluator) options(c driveline.Choices, feet []float64, limit int) (out []PartOption) {
	for _, o := range driveline.Options(w.sled, c, feet, limit) {
		if option := w.option(o, c); option.finite() {
			out = append(out, option)
		}
	}
	return out
}

// option adds to a combination how sure it is and what it does to the box.
func (w optionEvaluator) option(o driveline.Option, c driveline.Choices) PartOption {
	labels := w.Sled.Labels()
	out := PartOption{Option: o}
	for i, m := range o.Nearest {
		t := w.targets[i]
		out.Gears = append(out.Gears, PartGear{t.label, labels[m.Gear], m.TopOutFt, m.DifferenceFt})
		out.PlusMinusFt += w.halfWidth(o, c, m, t) / float64(len(o.Nearest))
	}
	slower, known := 0.0, 0.0
	for i, g := range w.sled.Gears {
		other := gearOfOption(o, c, i, g)
		if shift, missing := driveline.Shift(w.sled.Parts, g, o.Parts, other); len(missing) == 0 {
			slower, known = slower+shift, known+1
		}
		if way, _, ok := w.sled.Way(o, i, other); ok {
			out.TopOuts = append(out.TopOuts, PartTopOut{labels[i], w.sled.TakeUpFt + math.Exp(way)})
		}
	}
	out.BoxSpeedChangePct = 100 * math.Expm1(-slower/max(known, 1))
	if low, high, ok := driveline.ReturnSpeed(w.sled.Parts, o.Parts); ok {
		out.ReturnLowPct, out.ReturnHighPct = 100*(low-1), 100*(high-1)
	}
	return out
}

// gearOfOption is the gear at a place with the ratio of an option's gear set.
func gearOfOption(o driveline.Option, c driveline.Choices, place int, g driveline.Gear) driveline.Gear {
	if o.GearSet >= 0 {
		g.Ratio = c.GearSets[o.GearSet][place]
	}
	return g
}

// halfWidth is half the 95 % interval of one difference: of the reference's top-out, of the gear's own or what its
// ratio and the sled's factor say, and of the change.
func (w optionEvaluator) halfWidth(o driveline.Option, c driveline.Choices, m driveline.Miss, t targetGear) float64 {
	chart := w.chart()
	at, _ := chart.Predict(m.Gear, 0)
	spread := at.Spread
	gear := gearOfOption(o, c, m.Gear, w.sled.Gears[m.Gear])
	_, own, _ := w.sled.Way(o, m.Gear, gear)
	switch {
	case own:
	case w.fitted:
		r, _ := o.Parts.BoxPerGround(gear)
		_, variance := w.factor.At(math.Log(r))
		spread = calibrate.Spread{Other: variance}
	default:
		spread = calibrate.Spread{Other: unmeasuredSD * unmeasuredSD}
	}
	if o.Changed > 0 {
		spread.Other += changedSD * changedSD
	}
	way := m.TopOutFt - w.sled.TakeUpFt
	return chart.Variances().HalfWidth(spread.Times(way * way).Plus(t.variance))
}
