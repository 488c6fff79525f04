package calibrate

import (
	"maps"
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// carryChecks hold readings from before a change of parts against those since, gear by gear, and say which no longer
// count.
func (c *Chart) carryChecks() []fleet.Check {
	_, off := c.carried()
	if n := len(c.o.outdated); n > 0 {
		last := ""
		for _, r := range c.o.outdated {
			last = max(last, r.MeasuredOn)
		}
		off = slices.Insert(off, 0, fleet.Check{Code: fleet.ReadingsOutdated, Readings: n, On: last})
	}
	return off
}

// carried are the gears whose readings from before a change of parts, which count no longer, agree with those since,
// and a check of each other such gear.
func (c *Chart) carried() (agreeing map[int]bool, off []fleet.Check) {
	groups := map[int][]observation{}
	for _, obs := range c.o.before {
		groups[obs.gear] = append(groups[obs.gear], obs)
	}
	agreeing = map[int]bool{}
	for _, g := range slices.Sorted(maps.Keys(groups)) {
		if k, differs := c.carriedAgainst(g, groups[g], len(groups)); differs {
			off = append(off, k)
		} else {
			agreeing[g] = true
		}
	}
	return agreeing, off
}

// carriedAgainst compares one gear's carried readings with what its readings since say.
func (c *Chart) carriedAgainst(gear int, before []observation, looks int) (fleet.Check, bool) {
	var gap, weight, other float64
	days := map[string]bool{}
	for _, obs := range before {
		p, ok := c.Predict(gear, obs.start)
		longer, comparable := c.byLonger(obs)
		if !ok || !obs.top || !comparable {
			continue
		}
		gap += obs.y - longer - p.Log
		weight++
		other = math.Pow(float64(obs.since)*carriedSD, 2)
		days[obs.reading.Day] = true
	}
	if weight == 0 {
		return fleet.Check{}, false
	}
	now, ok := c.Predict(gear, before[0].start)
	if !ok {
		return fleet.Check{}, false
	}
	gap /= weight
	s := now.Spread.Plus(Spread{Day: c.v.Day / float64(len(days)), Reading: c.v.Reading / weight, Other: other})
	if math.Abs(gap) < limit(looks, c.v.df(s))*math.Sqrt(s.Total()) {
		return fleet.Check{}, false
	}
	return fleet.Check{Code: fleet.ChangeDisagrees, Gear: c.o.labels[gear], DifferencePct: 100 * math.Expm1(gap)}, true
}

// byLonger is what the travel that a reading was made with adds to its logarithm; false where the shape does not say.
func (c *Chart) byLonger(obs observation) (float64, bool) {
	travel := c.travel()
	switch {
	case obs.longer == 0:
		return 0, true
	case c.shaped != nil && c.shaped.curve != nil, obs.start >= min(travel, travel+obs.longer):
		return 0, false
	}
	return math.Log((travel + obs.longer - obs.start) / (travel - obs.start)), true
}
