package panload

// MatchAt is where along the pull two sleds are to carry the same on the pan.
type MatchAt string

// Where loads are matched.
const (
	AtFinish      MatchAt = "finish"
	AtHook        MatchAt = "hook"
	OnAverage     MatchAt = "average" // over the pull
	Overall       MatchAt = "overall" // least mean square over the pull
	HookAndFinish MatchAt = "hook-and-finish"
)

// Cannot is why there is no weight.
type Cannot string

// Why there is no weight.
const (
	NotWeighed      Cannot = "not-weighed"       // the weighings do not tell what lies on the pan there
	BlocksDoNothing Cannot = "blocks-do-nothing" // blocks in the box cannot change the load there
	BelowEmpty      Cannot = "below-empty"       // less than nothing would have to be in the box, or on the pan
	MoreThanOnHand  Cannot = "more-than-on-hand"
	BeyondLimit     Cannot = "beyond-limit"
	TooUncertain    Cannot = "too-uncertain"

	// Of what a question has to know before it can be asked.
	NeverWeighed  Cannot = "never-weighed"   // the sled
	TopOutUnknown Cannot = "top-out-unknown" // of the setting
	TravelUnknown Cannot = "travel-unknown"  // of the sled
)

// MatchesAt lists where loads can be matched.
func MatchesAt() []MatchAt { return []MatchAt{AtFinish, AtHook, OnAverage, Overall, HookAndFinish} }

// Reasons lists why there can be no weight.
func Reasons() []Cannot {
	return []Cannot{NotWeighed, BlocksDoNothing, BelowEmpty, MoreThanOnHand, BeyondLimit, TooUncertain, NeverWeighed,
		TopOutUnknown,
		TravelUnknown}
}

// Of an answer. Assumptions of our own.
const (
	// leastPerLb is how much of a pound in the box has to come on the pan for blocks to change the load there.
	leastPerLb = 0.1
	// mostHalfLb is from which ± of a weight on it says too little.
	mostHalfLb = 3000
	// sameLb is how near two weights are the same: no scale tells them apart, and rounding of numbers stays below it.
	sameLb = 0.5
)

// Side is a sled with its pull and what is in it.
type Side struct {
	ID      string
	Fit     *Fit
	Pull    Pull
	InBoxLb float64
	OnPanLb float64
}

// Question asks for the weight in the box of another sled at which its pan carries what the asked sled's does.
type Question struct {
	Asked, On Side // what is in On is asked for, but for blocks on its pan
	FinishFt  float64
	At        MatchAt
	Same      bool // both are one setting of one sled: the weight is the one asked with
}

// Answer is the weight, what remains with the rounded weight, and what stands against it.
type Answer struct {
	InBox     Load
	OnPanLb   float64
	Rounded   *Rounded // nil without blocks on file
	Remaining []Remainder
	MeanLb    *float64 // of the difference over the pull; nil where it cannot be told
	InFeet    *float64 // the remainder at the finish as feet of the asked sled's top-out; likewise
	Cannot    Cannot   // "" where there is an answer
	Limits    []Limit
}

// Limit is one limit of the other sled against what would come on it.
type Limit struct {
	What   string   // "box", "pan" or "tandem"
	MostLb *float64 // nil where none is on file
	Lb     float64  // at its worst place
	Known  bool     // Lb is known
	Passed bool
}

// pair is a question under work.
type pair struct {
	Question
	breaks []float64
}

// Solve answers a question. Lengths in feet, loads in pounds; method: statics, moments about the tandem, and
// uncertainty by JCGM 100:2008, 5.1.
func Solve(q Question) Answer {
	if q.FinishFt <= 0 {
		q.FinishFt = max(q.Asked.Pull.TopOutFt, q.On.Pull.TopOutFt)
	}
	p := pair{q, breaks(q.FinishFt, q.Asked.Pull, q.On.Pull)}
	if q.Same {
		return p.same()
	}
	var out Answer
	w, onPan, cannot := p.weight()
	if cannot != "" {
		out.Cannot, out.OnPanLb = cannot, onPan
		return out
	}
	w, onPan = notBelowNothing(w), notBelowNothing(onPan)
	half := p.half(p.variance(w))
	out.InBox, out.OnPanLb = Load{w, w - half, w + half}, onPan
	set := max(w, 0)
	if rounded, ok := p.On.Fit.stock().RoundTo(w, onPan); ok {
		out.Rounded, set = &rounded, rounded.Lb
	}
	p.hold(&out, w, set, half)
	p.On.InBoxLb, p.On.OnPanLb = set, onPan
	out.Remaining = p.remaining()
	if p.told(0) && p.told(p.FinishFt) {
		out.MeanLb = new(p.mean(p.difference))
	}
	out.InFeet = p.inFeet()
	return out
}

// notBelowNothing is a weight, nothing where it is that but for rounding.
func notBelowNothing(lb float64) float64 {
	if -sameLb <= lb && lb < 0 {
		return 0
	}
	return lb
}

// same is the weight that was asked with, which the blocks on file need not make.
func (p pair) same() Answer {
	w := p.Asked.InBoxLb
	p.Asked.Pull.TopOutSD = 0 // one pull: it errs alike
	p.On.InBoxLb, p.On.OnPanLb, p.On.Pull = w, p.Asked.OnPanLb, p.Asked.Pull
	out := Answer{InBox: Load{w, w, w}, OnPanLb: p.Asked.OnPanLb, Remaining: p.remaining(), MeanLb: new(0.0)}
	if rounded, ok := p.On.Fit.stock().RoundTo(w, out.OnPanLb); ok && rounded.Lb == w {
		out.Rounded = &rounded
	}
	p.hold(&out, w, w, 0)
	return out
}

// hold notes in an answer what stands against its weight, and against that as it would be set.
func (p pair) hold(a *Answer, w, set, half float64) {
	a.Cannot = p.against(w, a.OnPanLb, half)
	a.Limits = p.limits(set, a.OnPanLb)
	for _, l := range a.Limits {
		if l.Passed && a.Cannot == "" {
			a.Cannot = BeyondLimit
		}
	}
}

// asked and on are what the four terms of either sled's load are multiplied by at a distance.
func (p pair) asked(d float64) [terms]float64 { return row(p.Asked.Pull.BoxAt(d), p.Asked.InBoxLb) }
func (p pair) on(d, w float64) [terms]float64 { return row(p.On.Pull.BoxAt(d), w) }

// askedLoad is N_A at a distance.
func (p pair) askedLoad(d float64) float64 { return p.Asked.Fit.sum(p.asked(d)) + p.Asked.OnPanLb }

// difference is N_B − N_A at a distance.
func (p pair) difference(d float64) float64 {
	return p.On.Fit.sum(p.on(d, p.On.InBoxLb)) + p.On.OnPanLb - p.askedLoad(d)
}

// known says whether both sleds' loads can be told at a distance, the other one's with any weight.
func (p pair) known(d float64) bool {
	at := p.On.Pull.BoxAt(d)
	return p.On.Fit.known(rowPerLb(at)) && p.On.Fit.known(row(at, 0)) && p.Asked.Fit.known(p.asked(d))
}

// weight is w, and q where blocks on the pan are asked for too.
func (p pair) weight() (w, onPan float64, cannot Cannot) {
	onPan = p.On.OnPanLb
	for _, d := range []float64{0, p.FinishFt} {
		if !p.known(d) && (p.At != AtHook || d == 0) && (p.At != AtFinish || d > 0) {
			return 0, 0, NotWeighed
		}
	}
	switch p.At {
	case AtHook:
		w, cannot = p.at(0)
	case OnAverage:
		w, cannot = p.over(p.mean(p.missing), p.mean(p.perLb), p.mean(p.On.Pull.BoxAt))
	case Overall:
		w, cannot = p.over(p.mean(func(d float64) float64 { return p.missing(d) * p.perLb(d) }), p.meanSquare(),
			p.mean(p.On.Pull.BoxAt))
	case HookAndFinish:
		return p.both()
	default:
		w, cannot = p.at(p.FinishFt)
	}
	return w, onPan, cannot
}

// missing is what the other sled lacks on the pan with nothing in its box: N_A − N_B(w = 0).
func (p pair) missing(d float64) float64 {
	return p.askedLoad(d) - p.On.Fit.sum(p.on(d, 0)) - p.On.OnPanLb
}

// perLb is g at a distance along the other sled's pull, and meanSquare the mean of its square over the pull.
func (p pair) perLb(d float64) float64 { return p.On.Fit.sum(rowPerLb(p.On.Pull.BoxAt(d))) }
func (p pair) meanSquare() float64 {
	return p.mean(func(d float64) float64 { return p.perLb(d) * p.perLb(d) })
}

// at solves for one place.
func (p pair) at(d float64) (float64, Cannot) {
	return p.over(p.missing(d), p.perLb(d), p.On.Pull.BoxAt(d))
}

// over divides what is missing by what a pound in the box adds, where that is enough to be told from nothing.
func (p pair) over(missing, each, boxAtFt float64) (float64, Cannot) {
	r := rowPerLb(boxAtFt)
	if g := p.On.Fit.sum(r); g < leastPerLb || g < p.On.Fit.Spread.T()*p.On.Fit.sd(r) {
		return 0, BlocksDoNothing
	}
	return missing / each, ""
}

// both matches the hook and the finish, with blocks on the pan.
func (p pair) both() (w, onPan float64, cannot Cannot) {
	start, end := p.On.Pull.BoxAt(0), p.On.Pull.BoxAt(p.FinishFt)
	f := p.On.Fit
	b, d := f.sum([terms]float64{0, 1}), f.sum([terms]float64{0, 0, 0, 1})
	moved := end - start
	gain := d * moved
	if gain < leastPerLb || gain < f.Spread.T()*f.sd([terms]float64{0, 0, 0, moved}) {
		return 0, 0, BlocksDoNothing
	}
	w = (p.askedLoad(p.FinishFt) - p.askedLoad(0) - b*moved) / gain
	onPan = p.askedLoad(0) - f.sum(row(start, w))
	if onPan < -sameLb {
		return w, onPan, BelowEmpty
	}
	return w, onPan, ""
}

// against is what stands against a weight.
func (p pair) against(w, onPan, half float64) Cannot {
	on, counted := onHand(p.On.Fit.Sled.Blocks)
	switch {
	case w < -sameLb || onPan < -sameLb:
		return BelowEmpty
	case counted && w+onPan > on+sameLb:
		return MoreThanOnHand
	case half > mostHalfLb:
		return TooUncertain
	}
	return ""
}

// limits hold the other sled's limits against what would come on it, each at its worst place: the box anywhere, the pan
// with the box at the top, the tandem at the hook.
func (p pair) limits(w, onPan float64) []Limit {
	pan, panKnown := p.On.Fit.Pan(p.On.Pull.TopFt, w, onPan)
	tandem, tandemKnown := p.On.Fit.Tandem(p.On.Pull.StartFt, w, onPan)
	of := p.On.Fit.Sled
	out := []Limit{
		{What: "box", MostLb: of.MostInBoxLb, Lb: w, Known: true},
		{What: "pan", MostLb: of.MostOnPanLb, Lb: pan.Lb, Known: panKnown},
		{What: "tandem", MostLb: of.MostOnTandemLb, Lb: tandem.Lb, Known: tandemKnown},
	}
	for i, l := range out {
		out[i].Passed = l.MostLb != nil && l.Known && l.Lb > *l.MostLb+sameLb
	}
	return out
}
