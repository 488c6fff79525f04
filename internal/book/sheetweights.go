package book

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/panload"
)

// sheetWeight is how much in the box of a sled a class needs tonight in the gear that was found for it. It is nil where
// nobody noted what the class is pulled with, its own sled was never weighed, or no gear was found.
func (s *snapshot) sheetWeight(c fleet.Class, home fleet.HomeSetting, tonight match.Answer, on sledState,
	fullPullFt *float64) *WeightAnswer {
	setting, there := s.setting(home)
	state, _ := s.lookup(home.Sled)
	n := tonight.Nearest
	if home.InBoxLb == nil || !there || !state.weighed() || n == nil {
		return nil
	}
	asked := weightSide{
		state: state, gear: setting.Gear, startFt: home.StartFt, inBoxLb: *home.InBoxLb,
		onPanLb: valueOrZero(home.OnPanLb),
		topOut:  averageOut(setting.Chart.At(setting.Gear, home.StartFt)),
	}
	if home.TopOutFt != nil && home.PlusMinusFt != nil { // what the class means
		asked.topOut = pullOut{home.TopOutFt, *home.PlusMinusFt / panload.Normal95}
	}
	_, gear, _ := on.Sled.GearByLabel(n.Gear)
	other := weightSide{state: on, gear: gear, startFt: n.StartFt, topOut: pullOutOf(n.Estimate),
		onPanLb: asked.onPanLb}
	pair := newWeightPair(asked, other, panload.AtFinish, cmp.Or(c.EndsFt, fullPullFt))
	pair.own = n.OwnSetting
	answer := pair.solve()
	return &answer
}

// FullPull says whether the box of a class tops out before the end of the track.
type FullPull string

// What there is to say of it.
const (
	TopsOutBefore FullPull = "before"
	TopsOutAfter  FullPull = "after"    // not at all in a pull that ends there
	TopsOutThere  FullPull = "too-near" // to tell
)

// FullPull says of a row of the sheet whether the box tops out before the end of the track: "" where its length or the
// top-out is not known.
func (s Sheet) FullPull(a match.Answer) FullPull {
	switch end, n := s.Show.FullPullFt, a.Nearest; {
	case end == nil || n == nil:
		return ""
	case n.TonightHighFt < *end:
		return TopsOutBefore
	case n.TonightLowFt > *end:
		return TopsOutAfter
	}
	return TopsOutThere
}

// CandidateWeights is how a sled does with the weights of a show's classes.
type CandidateWeights struct {
	Weighed         bool
	Classes, Solved int      // that have a weight on a sled that was weighed, and those it has a weight for
	HookMeanLb      *float64 // mean of what remains, without signs, where that can be told; nil with no answer
	FinishMeanLb    *float64
	WorstLb         *float64 // the largest remainder at the hook or the finish, without its sign
	WorstClass      string
	hook, finish    absMean
}

// absMean is a mean of values without their signs.
type absMean struct{ sum, n float64 }

// with takes a value in, where there is one, and gives the mean; nil without any.
func (m *absMean) with(v *float64) *float64 {
	if v != nil {
		m.sum, m.n = m.sum+math.Abs(*v), m.n+1
	}
	if m.n == 0 {
		return nil
	}
	return new(m.sum / m.n)
}

// add takes the weight of a class in.
func (c *CandidateWeights) add(class string, a WeightAnswer) {
	c.Classes++
	if a.Cannot != "" || len(a.Remaining) == 0 {
		return
	}
	hook, finish := a.LeftAt("hook"), a.LeftAt("finish")
	c.Solved++
	c.HookMeanLb, c.FinishMeanLb = c.hook.with(hook), c.finish.with(finish)
	for _, left := range []*float64{hook, finish} {
		if left != nil && (c.WorstLb == nil || math.Abs(*left) > *c.WorstLb) {
			c.WorstLb, c.WorstClass = new(math.Abs(*left)), class
		}
	}
}

// HasWeights says whether the sheet gives a weight for a class.
func (s Sheet) HasWeights() bool {
	return slices.ContainsFunc(s.Rows, func(r SheetRow) bool { return r.Weight != nil || r.PullOffWeight != nil })
}

// HasWeights says whether a class of the show asks for a weight.
func (c Candidates) HasWeights() bool {
	return slices.ContainsFunc(c.Items, func(k Candidate) bool { return k.Weights != nil })
}

// checkWeight checks the codes of the weight of a closed sheet, which programs go by.
func checkWeight(f *fleet.Faults, at string, a *WeightAnswer) {
	if a == nil {
		return
	}
	checkCode(f, at+".At", a.At, panload.MatchesAt()...)
	if a.Cannot != "" {
		checkCode(f, at+".Cannot", a.Cannot, panload.Reasons()...)
	}
	for i, r := range a.Remaining {
		checkCode(f, fmt.Sprintf("%s.Remaining[%d].Where", at, i), r.Where, "hook", "top-out", "finish")
	}
	for i, l := range a.Limits {
		checkCode(f, fmt.Sprintf("%s.Limits[%d].What", at, i), l.What, "box", "pan", "tandem")
	}
}
