package book

import (
	"sync"
	"sync/atomic"

	"evenpull/internal/calibrate"
)

// fits are the charts of one notebook, by the variances they were fitted with: the one asked for last and the one before, so
// that an answer under way keeps its own while a newer one is made. Safe for use by many goroutines.
type chartCache struct {
	recent atomic.Pointer[[2]*cachedChart]
}

type cachedChart struct {
	variances calibrate.Variances
	chart     func() *calibrate.Chart
}

// of is the chart of n, which must always be the same notebook, with the variances given.
func (f *chartCache) get(n calibrate.Notebook, v calibrate.Variances) *calibrate.Chart {
	for {
		held := f.recent.Load()
		next := [2]*cachedChart{{v, sync.OnceValue(func() *calibrate.Chart { return calibrate.Fit(n, v) })}}
		if held != nil {
			for _, one := range held {
				if one != nil && one.variances == v {
					return one.chart()
				}
			}
			next[1] = held[0]
		}
		if f.recent.CompareAndSwap(held, &next) {
			return next[0].chart()
		}
	}
}
