package book

import (
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
	finish := c.EndsFt
	if finish == nil {
		finish = fullPullFt
	}
	pair := newWeightPair(asked, other, panload.AtFinish, finish)
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

// fullPullOf is "" where the length of the track or the top-out is not known.
func fullPullOf(fullPullFt *float64, n *match.Nearest) FullPull {
	switch {
	case fullPullFt == nil || n == nil:
		return ""
	case n.TonightHighFt < *fullPullFt:
		return TopsOutBefore
	case n.TonightLowFt > *fullPullFt:
		return TopsOutAfter
	}
	return TopsOutThere
}

// FullPull says of a row of the sheet whether the box tops out before the end of the track.
func (s Sheet) FullPull(a match.Answer) FullPull { return fullPullOf(s.Show.FullPullFt, a.Nearest) }

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
	if !slices.Contains(panload.MatchesAt(), a.At) {
		f.Add(at+".At", "is not known here: %s", fleet.Quoted(string(a.At)))
	}
	if a.Cannot != "" && !slices.Contains(panload.Reasons(), a.Cannot) {
		f.Add(at+".Cannot", "is not known here: %s", fleet.Quoted(string(a.Cannot)))
	}
	for i, r := range a.Remaining {
		if !slices.Contains([]string{"hook", "top-out", "finish"}, r.Where) {
			f.Add(fmt.Sprintf("%s.Remaining[%d].Where", at, i), "is not known here: %s", fleet.Quoted(r.Where))
		}
	}
	for i, l := range a.Limits {
		if !slices.Contains([]string{"box", "pan", "tandem"}, l.What) {
			f.Add(fmt.Sprintf("%s.Limits[%d].What", at, i), "is not known here: %s", fleet.Quoted(l.What))
		}
	}
}
