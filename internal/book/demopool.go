package book

import (
	"maps"
	"slices"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// demoPool is what the invented sleds of the demo say of their own repeatability. They have no share in that of a crew's
// own sleds. The zero value is of none.
type demoPool struct {
	shares        map[string]calibrate.Share // by sled; never changed
	repeatability calibrate.Repeatability
	variances     calibrate.Variances
}

// with is the pool after these sleds were put in or replaced, by id; nil removes one. It takes the shares of those that
// are invented out of the changes.
func (p demoPool) with(changes map[string]*sledState, a calibrate.Assumption) demoPool {
	next := maps.Clone(p.shares)
	for id, state := range changes {
		delete(next, id)
		if state != nil && state.Sled.Invented {
			if next == nil {
				next = map[string]calibrate.Share{}
			}
			next[id], state.share = state.share, calibrate.Share{}
		}
	}
	if len(next) == 0 {
		return demoPool{}
	}
	shares := make([]calibrate.Share, 0, len(next)) // in one order, so that their sum is the same to the last bit
	for _, id := range slices.Sorted(maps.Keys(next)) {
		shares = append(shares, next[id])
	}
	pool := demoPool{shares: next}
	pool.repeatability, pool.variances = calibrate.Pool(calibrate.Total(shares), a)
	return pool
}

// pool is how repeatable a sled is: by the crew's own sleds, or of an invented one by those of the demo.
func (s *snapshot) pool(of fleet.Sled) (calibrate.Repeatability, calibrate.Variances) {
	if of.Invented {
		return s.demo.repeatability, s.demo.variances
	}
	return s.repeatability, s.variances
}
