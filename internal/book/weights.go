package book

import (
	"cmp"
	"context"
	"math"
	"slices"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/panload"
	"evenpull/internal/words"
)

// WeightQuestion asks how much in the box of one sled makes its pan carry what another's does.
type WeightQuestion struct {
	Sled, Gear                string // the setting that the class is used to, with the blocks it is pulled with
	StartFt, InBoxLb, OnPanLb float64
	On, OnGear                string   // "" for the gear that tops out nearest
	OnStartFt                 *float64 // nil for the same start position
	OnOnPanLb                 *float64 // blocks on the pan of the other sled; nil for the same as on the first
	FinishFt                  *float64 // nil for the later of the two top-outs
	At                        panload.MatchAt
}

// Weights is one answer, at one revision of the fleet.
type Weights struct {
	Revision  int64
	Answer    WeightAnswer
	Asked, On fleet.Sled
	Gears     []RankedGear // best first; nil unless the weight is out of reach and the gear was left open
}

// WeightAnswer is what a sled needs in its box.
type WeightAnswer struct {
	Asked    words.PullSide
	On       words.PullSide // its InBoxLb is the rounded weight, or the exact one where nothing is rounded
	At       panload.MatchAt
	FinishFt float64
	panload.Answer
	OwnSetting bool   // the very setting asked about: nothing changes
	CannotSled string // id of the sled that the reason is about, where it is about one
}

// RankedGear is what one gear and start position of the other sled leave.
type RankedGear struct {
	WeightAnswer
	MeanAbsLb float64 // of what remains at the hook, the top-outs and the finish, as told, without signs
}

// Weights answers a question. A sled asked about that is not there is NotFound; everything else that is wrong is
// Invalid, all of it in one error.
func (b *Book) Weights(ctx context.Context, q WeightQuestion) (Weights, error) {
	snap, pair, err := b.weightPair(ctx, q)
	if err != nil {
		return Weights{}, err
	}
	out := Weights{Revision: snap.revision, Answer: pair.solve(),
		Asked: pair.asked.state.Sled, On: pair.on.state.Sled}
	if q.OnGear == "" && outOfReach(out.Answer.Cannot) {
		out.Gears, err = pair.ranked(ctx)
	}
	return out, err
}

// weightSide is one sled of a question.
type weightSide struct {
	state   sledState
	gear    int // -1 where none is known
	startFt float64
	topOut  pullOut
	inBoxLb float64
	onPanLb float64
}

// pullOut is where a box tops out, with its standard uncertainty; not known where ft is nil.
type pullOut struct {
	ft *float64
	sd float64
}

// averageOut is where a setting tops out over all days, which is what a class is used to.
func averageOut(e calibrate.Estimate) pullOut {
	if !e.Known() {
		return pullOut{}
	}
	return pullOut{&e.TopOutFt, (e.HighFt - e.LowFt) / 2 / panload.Normal95}
}

// pullOutOf is where a setting tops out in one pull tonight.
func pullOutOf(e calibrate.Estimate) pullOut {
	if !e.Known() {
		return pullOut{}
	}
	return pullOut{&e.TonightFt, (e.TonightHighFt - e.TonightLowFt) / 2 / panload.Normal95}
}

func (s weightSide) label() string {
	if s.gear < 0 {
		return ""
	}
	return s.state.Sled.Gears[s.gear].Label
}

func (s weightSide) told() words.PullSide {
	return words.PullSide{
		Sled: s.state.Sled.ID, Name: s.state.Sled.Name, Gear: s.label(), StartFt: s.startFt, TopOutFt: s.topOut.ft,
		InBoxLb: s.inBoxLb, OnPanLb: s.onPanLb,
	}
}

// side is for the arithmetic, or why it cannot be.
func (s weightSide) side() (panload.Side, panload.Cannot) {
	fit := s.state.pan()
	if fit == nil {
		return panload.Side{}, panload.NeverWeighed
	}
	pull, cannot := s.state.pull(s.startFt, s.topOut)
	return panload.Side{ID: s.state.Sled.ID, Fit: fit, Pull: pull, InBoxLb: s.inBoxLb, OnPanLb: s.onPanLb}, cannot
}

// pull is where the box is along a pull, or why that is not known.
func (s sledState) pull(startFt float64, topOut pullOut) (panload.Pull, panload.Cannot) {
	top := s.topFt()
	switch {
	case topOut.ft == nil || !(*topOut.ft > s.Sled.TakeUpFt):
		return panload.Pull{}, panload.TopOutUnknown
	case top == nil || *top <= startFt:
		return panload.Pull{}, panload.TravelUnknown
	}
	p := panload.Pull{
		StartFt: startFt, TopFt: *top, TakeUpFt: s.Sled.TakeUpFt, TopOutFt: *topOut.ft, TopOutSD: topOut.sd,
	}
	for _, k := range s.chart().Knots(startFt) {
		p.Shape = append(p.Shape, panload.Knot(k))
	}
	return p, ""
}

// weightPair is a question with both sleds.
type weightPair struct {
	asked, on weightSide
	at        panload.MatchAt
	finishFt  *float64
	own       bool // both are one setting
}

func newWeightPair(asked, on weightSide, at panload.MatchAt, finishFt *float64) weightPair {
	return weightPair{
		asked: asked, on: on, at: cmp.Or(at, panload.AtFinish), finishFt: finishFt,
		own: asked.state.Sled.ID == on.state.Sled.ID && asked.gear == on.gear && asked.startFt == on.startFt &&
			asked.onPanLb == on.onPanLb,
	}
}

// weightPair finds both sleds of a question in the fleet as it is.
func (b *Book) weightPair(ctx context.Context, q WeightQuestion) (*snapshot, weightPair, error) {
	snap, state, err := b.currentSled(ctx, q.Sled)
	if err != nil {
		return nil, weightPair{}, err
	}
	faults := state.checkPan(PanQuestion{Gear: q.Gear, StartFt: q.StartFt, InBoxLb: q.InBoxLb, OnPanLb: q.OnPanLb})
	if q.Gear == "" {
		state.Sled.CheckGear(faults, "gear", q.Gear)
	}
	other, known := snap.lookup(q.On)
	if !known {
		faults.Add("on", "there is no sled %q", q.On)
	}
	fleet.CheckGround(faults, "finish_ft", q.FinishFt)
	fleet.CheckLoad(faults, "on_on_pan_lb", q.OnOnPanLb)
	if known && q.OnGear != "" {
		other.Sled.CheckGear(faults, "on_gear", q.OnGear)
	}
	if q.OnStartFt != nil && known {
		fleet.CheckStart(faults, "on_start_ft", *q.OnStartFt, other.Sled.Name, other.topFt())
	}
	if err := faults.Err(); err != nil {
		return nil, weightPair{}, err
	}
	_, gear, _ := state.Sled.GearByLabel(q.Gear)
	asked := weightSide{
		state: state, gear: gear, startFt: q.StartFt, inBoxLb: q.InBoxLb, onPanLb: q.OnPanLb,
		topOut: averageOut(state.chart().At(gear, q.StartFt)),
	}
	on := weightSide{
		state: other, gear: -1, startFt: *cmp.Or(q.OnStartFt, &q.StartFt), onPanLb: *cmp.Or(q.OnOnPanLb, &q.OnPanLb),
	}
	setting := match.Setting{Side: state.side(), Gear: gear, StartFt: q.StartFt}
	if q.OnGear != "" {
		_, on.gear, _ = other.Sled.GearByLabel(q.OnGear)
		on.topOut = pullOutOf(other.chart().At(on.gear, on.startFt))
	} else if n := match.Compare(setting, other.side(), q.OnStartFt).Nearest; n != nil {
		_, on.gear, _ = other.Sled.GearByLabel(n.Gear)
		on.startFt, on.topOut = n.StartFt, pullOutOf(n.Estimate)
	}
	return snap, newWeightPair(asked, on, q.At, q.FinishFt), nil
}

// solve answers a pair.
func (p weightPair) solve() WeightAnswer {
	out := WeightAnswer{Asked: p.asked.told(), On: p.on.told(), At: p.at, OwnSetting: p.own}
	later := max(valueOrZero(p.asked.topOut.ft), valueOrZero(p.on.topOut.ft))
	out.FinishFt = *cmp.Or(p.finishFt, &later)
	asked, cannot := p.asked.side()
	if cannot != "" {
		return out.without(cannot, p.asked.state.Sled.ID, p.on.state.Sled.Loading)
	}
	on, cannot := p.on.side()
	if cannot != "" {
		return out.without(cannot, p.on.state.Sled.ID, p.on.state.Sled.Loading)
	}
	out.Answer = panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: out.FinishFt, At: p.at, Same: p.own})
	if len(out.Limits) == 0 {
		return out.without(out.Cannot, "", p.on.state.Sled.Loading)
	}
	out.On.InBoxLb, out.On.OnPanLb = max(out.InBox.Lb, 0), out.OnPanLb
	if out.Rounded != nil {
		out.On.InBoxLb = out.Rounded.Lb
	}
	return out
}

// without is no weight, for a reason, with the limits that are on file all the same.
func (a WeightAnswer) without(cannot panload.Cannot, sled string, of fleet.Loading) WeightAnswer {
	a.Cannot, a.CannotSled = cannot, sled
	a.Limits = []panload.Limit{
		{What: "box", MostLb: of.MostInBoxLb}, {What: "pan", MostLb: of.MostOnPanLb}, {What: "tandem",
			MostLb: of.MostOnTandemLb},
	}
	return a
}

// outOfReach says whether another gear or start position may do where this one does not.
func outOfReach(cannot panload.Cannot) bool {
	return slices.Contains([]panload.Cannot{
		panload.BlocksDoNothing, panload.BelowEmpty, panload.MoreThanOnHand, panload.BeyondLimit,
	}, cannot)
}

// ranked solves every gear of the other sled from its start position, full back and every foot that somebody moves a
// start: those with a weight first, then by what remains.
func (p weightPair) ranked(ctx context.Context) ([]RankedGear, error) {
	starts := []float64{p.on.startFt}
	for ft := 0.0; ft <= match.ReachableMoveFt; ft++ {
		starts = append(starts, ft)
	}
	slices.Sort(starts)
	starts = slices.Compact(starts)
	chart := p.on.state.chart()
	var out []RankedGear
	for gear := range p.on.state.Sled.Gears {
		for _, start := range starts {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			on := p.on
			on.gear, on.startFt, on.topOut = gear, start, pullOutOf(chart.At(gear, start))
			at := newWeightPair(p.asked, on, p.at, p.finishFt)
			if a := at.solve(); len(a.Remaining) > 0 {
				ranked := RankedGear{WeightAnswer: a}
				for _, r := range a.Remaining {
					ranked.MeanAbsLb += math.Abs(r.Lb) / float64(len(a.Remaining))
				}
				out = append(out, ranked)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b RankedGear) int {
		if (a.Cannot == "") != (b.Cannot == "") {
			return cmp.Compare(len(a.Cannot), len(b.Cannot))
		}
		return cmp.Compare(a.MeanAbsLb, b.MeanAbsLb)
	})
	return out, nil
}
