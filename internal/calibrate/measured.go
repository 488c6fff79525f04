package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenpull/internal/fleet"
)

// leastShare is the least share of the way a reading that stopped short must cover to be used.
const leastShare = 1e-3

// measured fits a level at each start position. Readings made with another travel have no level here.
func (o *observations) measured(v Variances, gears int) (*model, error) {
	o = o.use(func(obs observation) bool { return obs.longer == 0 })
	c := o.parts(gears)
	topped := o.filter(func(obs observation) bool { return obs.top })
	if len(topped.list) == 0 {
		return nil, errSingular
	}
	first := topped.fitCurve(v, gears, topped.parts(gears))
	if err := first.solve(); err != nil {
		return nil, err
	}
	if len(topped.list) == len(o.list) {
		return first.stand(), nil
	}
	levels := first.levels()
	covers := func(obs observation) bool {
		if obs.top {
			return true
		}
		share, ok := c.share(c.partFor(obs), obs, levels)
		return ok && share > leastShare
	}
	m := o.fitCurve(v, gears, c)
	for range 50 {
		// A reading misnoted far enough bends the levels until its own share is nothing.
		if slices.ContainsFunc(o.list, func(obs observation) bool { return !covers(obs) }) {
			return o.use(covers).measured(v, gears)
		}
		for i, obs := range o.list {
			if !obs.top {
				m.linearize(i, obs, levels)
			}
		}
		if err := m.solve(); err != nil {
			return nil, err
		}
		next := m.levels()
		moved := 0.0
		for part := range next {
			moved = max(moved, floats.Distance(next[part], levels[part], math.Inf(1)))
		}
		levels = next
		if moved < 1e-10 {
			break
		}
	}
	return m.stand(), nil
}

// fitCurve lays out the design of a measured shape; rows that stopped short are filled in by linearize.
func (o *observations) fitCurve(v Variances, gears int, c *curve) *model {
	levels := 0
	for i := range c.parts {
		levels += len(c.parts[i].starts) - 1
	}
	m := o.base(v, gears, levels)
	m.shape, m.travel = fleet.MeasuredShape, o.travel
	m.curve = &curve{parts: c.parts, partOf: slices.Clone(c.partOf), travel: c.travel}
	if o.travel == 0 && levels == 0 && len(o.starts) == 1 && o.starts[0] == 0 {
		m.shape = fleet.FullBackOnly
	}
	m.layTapes(o.travel > 0)
	for i, obs := range o.list {
		if !obs.top {
			continue
		}
		p := m.curve.parts[c.partOf[obs.gear]]
		if k, _ := slices.BinarySearch(p.starts, obs.start); k > 0 {
			m.d.row(i)[p.column+k-1] = 1
		}
	}
	for _, obs := range o.list {
		if c.partOf[obs.gear] < 0 {
			m.curve.partOf[obs.gear] = c.partFor(obs)
		}
	}
	return m
}

// levels reads ln φ at each start position of each part off β.
func (m *model) levels() [][]float64 {
	out := make([][]float64, len(m.curve.parts))
	for i, p := range m.curve.parts {
		out[i] = make([]float64, len(p.starts))
		copy(out[i][1:], m.beta[p.column:])
	}
	return out
}

// linearize writes the row of a reading that stopped short about the levels at hand.
func (m *model) linearize(i int, obs observation, levels [][]float64) {
	part := m.curve.partFor(obs)
	here, _ := m.curve.share(part, obs, levels)
	y := obs.y - math.Log(here)
	own := levels[part]
	for k := 1; k < len(own); k++ {
		const h = 1e-6
		was := own[k]
		own[k] = was + h
		up, _ := m.curve.share(part, obs, levels)
		own[k] = was - h
		down, _ := m.curve.share(part, obs, levels)
		own[k] = was
		slope := 0.0
		if up > 0 && down > 0 {
			slope = (math.Log(up) - math.Log(down)) / (2 * h)
		}
		m.d.row(i)[m.curve.parts[part].column+k-1] = slope
		y += slope * was
	}
	m.d.y[i] = y
}
