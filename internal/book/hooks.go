package book

import "evenpull/internal/fleet"

// assumedHooks is how many hooks a class is taken to have where nobody noted it. An assumption of our own.
const assumedHooks = 10

// ranOn is a setting of a class at a show with how many hooks pulled on it.
type ranOn struct {
	fleet.AsRun
	hooks float64
}

// hooksOf counts the hooks that pulled on each setting of a class that was noted as run, which are in the order of
// their hooks: from the hook it was set for until the next one, and the last one until the class ended. Of two for the
// same hook the later one counts. The pull-off is no part of it.
func hooksOf(lines []fleet.AsRun, outcome *fleet.Outcome) []ranOn {
	var out []ranOn
	for _, a := range lines {
		if a.PullOff {
			continue
		}
		if n := len(out); n > 0 && out[n-1].FromHook == a.FromHook {
			out = out[:n-1]
		}
		out = append(out, ranOn{AsRun: a})
	}
	last := assumedHooks
	if outcome != nil && outcome.Hooks != nil {
		last = *outcome.Hooks
	}
	for i := range out {
		until := last + 1
		if i+1 < len(out) {
			until = out[i+1].FromHook
		}
		out[i].hooks = float64(max(until-out[i].FromHook, 1)) // it was set for one at least
	}
	return out
}

// mostHooks is the setting that most hooks pulled on, hooks on the same gear from the same start taken together; of two
// with as many the later one. It is nil without any.
func mostHooks(ran []ranOn) *fleet.AsRun {
	type setting struct {
		sled, gear string
		start      float64
	}
	of := func(r ranOn) setting { return setting{r.Sled, r.Gear, r.StartFt} }
	hooks := map[setting]float64{}
	for _, r := range ran {
		hooks[of(r)] += r.hooks
	}
	if len(ran) == 0 {
		return nil
	}
	most := ran[0]
	for _, r := range ran {
		if hooks[of(r)] >= hooks[of(most)] {
			most = r
		}
	}
	return &most.AsRun
}
