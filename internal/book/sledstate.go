package book

import (
	"sync"
	"sync/atomic"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/panload"
	"evenpull/internal/store"
)

// sledState is a sled in memory: its notebook, its share in the fleet's repeatability, and its charts.
type sledState struct {
	calibrate.Notebook
	timeline  fleet.Timeline
	weighings []fleet.Weighing
	ours      []fleet.Figure // of a guest: this crew's own readings, which its chart does not rest on
	share     calibrate.Share
	panShare  panload.Share // in the fleet's spread of weighings
	charts    *chartCache
	variances calibrate.Variances // of the snapshot that it was found in
	panSpread panload.Spread      // likewise
	panFits   *sync.Map           // likewise
}

// newSledState is a sled in memory. A guest has no share in what this crew's measuring is like, and its chart rests on
// its owner's readings alone.
func newSledState(n store.Notes, a calibrate.Assumption) *sledState {
	state := &sledState{timeline: n.Timeline, weighings: n.Weighings, charts: &chartCache{}}
	state.panShare = panload.ShareOf(countingWeighings(n.Timeline, n.Weighings))
	if n.Sled.Guest == nil {
		state.Notebook = notebookOf(n.Timeline, n.Readings)
		state.share = calibrate.ShareOf(state.Notebook, a)
		return state
	}
	var owners []fleet.Figure
	for _, r := range n.Readings {
		if r.FromOwner {
			owners = append(owners, r)
		} else {
			state.ours = append(state.ours, r)
		}
	}
	state.Notebook = notebookOf(n.Timeline, owners)
	// What is compared in this fleet is what lies on the pan, too, where only a guest was weighed.
	state.panShare = panload.Share{Weighed: state.panShare.Weighed}
	return state
}

// measuredBy gives a state the variances of whoever measures: of its own crew where the sled is a guest, of the other
// sleds of the demo where it is invented.
func (s *sledState) measuredBy(snap *snapshot) {
	s.variances, s.panSpread, s.panFits = snap.variances, snap.panSpread, snap.panFits
	if s.Sled.Invented {
		s.variances, s.panSpread = snap.demo.variances, snap.demo.panSpread
	}
	if g := s.Sled.Guest; g != nil {
		s.variances = calibrate.VariancesOf(*g)
		s.panSpread = panload.Spread{Lb: g.WeighingLb, DF: g.WeighingDF}
	}
}

// repeatability is that of whoever measures.
func (s sledState) repeatability(snap *snapshot) calibrate.Repeatability {
	g := s.Sled.Guest
	switch {
	case g == nil && s.Sled.Invented:
		return snap.demo.repeatability
	case g == nil:
		return snap.repeatability
	}
	return calibrate.Repeatability{
		Assumed: snap.repeatability.Assumed, UsedDayPct: g.DayPct, UsedReadingPct: g.ReadingPct,
	}
}

// chart is fitted when it is first asked for.
func (s sledState) chart() *calibrate.Chart { return s.charts.get(s.Notebook, s.variances) }

// topFt is the mark of the box at the top: the travel that the chart goes by, or the taped one where the readings imply
// a longer one, which the box cannot stand at. Nil where it is not known.
func (s sledState) topFt() *float64 {
	top := s.chart().TravelFt()
	if taped := s.Sled.TravelFt; top != nil && taped != nil && *taped < *top {
		return taped
	}
	return top
}

func (s sledState) side() match.Side { return match.Side{Sled: s.Sled, Chart: s.chart()} }

// chartCache holds the charts of one notebook for the two variances asked for last, so that a question under way keeps
// its chart while a newer one is fitted. Safe for use by many goroutines.
type chartCache struct {
	recent atomic.Pointer[[2]*cachedChart]
}

type cachedChart struct {
	variances calibrate.Variances
	fit       func() *calibrate.Chart
}

// get returns the chart of n, which must be the same notebook every time.
func (c *chartCache) get(n calibrate.Notebook, v calibrate.Variances) *calibrate.Chart {
	for {
		recent := c.recent.Load()
		next := [2]*cachedChart{{v, sync.OnceValue(func() *calibrate.Chart { return calibrate.Fit(n, v) })}}
		if recent != nil {
			for _, cached := range recent {
				if cached != nil && cached.variances == v {
					return cached.fit()
				}
			}
			next[1] = recent[0]
		}
		if c.recent.CompareAndSwap(recent, &next) {
			return next[0].fit()
		}
	}
}
