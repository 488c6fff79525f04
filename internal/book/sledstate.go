package book

import (
	"sync"
	"sync/atomic"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/panload"
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
	panFits   *panFits            // likewise
}

// chart is fitted when it is first asked for.
func (s sledState) chart() *calibrate.Chart { return s.charts.get(s.Notebook, s.variances) }

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
