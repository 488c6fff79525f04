package book

import (
	"evenpull/internal/calibrate"
	"evenpull/internal/panload"
)

// demoPool is what the invented sleds of the demo say of their own repeatability. They have no share in that of a
// crew's own sleds. The zero value is of none.
type demoPool struct {
	sleds         *sledTree
	repeatability calibrate.Repeatability
	variances     calibrate.Variances
	panSpread     panload.Spread
}

// with is the pool after these sleds were put in or replaced, by id; nil removes one. It takes the shares of those that
// are invented out of the changes.
func (p demoPool) with(changes map[string]*sledState, a calibrate.Assumption) demoPool {
	own := make(map[string]*sledState, len(changes))
	some := p.sleds != nil && len(p.sleds.ids) > 0
	for id, state := range changes {
		own[id] = nil // no sled of the demo any more, or never one
		if state != nil && state.Sled.Invented {
			invented := *state
			own[id], some = &invented, true
			state.share, state.panShare = calibrate.Share{}, panload.Share{}
		}
	}
	if !some {
		return demoPool{}
	}
	pool := demoPool{sleds: p.sleds.with(own)}
	pool.repeatability, pool.variances = calibrate.Pool(pool.sleds.total, a)
	pool.panSpread = panload.Pool(pool.sleds.pan)
	return pool
}
