package calibrate

import (
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// leastShare is the least share of the way a reading that stopped short must cover to be used.
const leastShare = 1e-3

// measured fits a level at each start position. Readings made with another travel have no level here.
func (o *observations) measured(v Variances, gears int) (*model, error) {
	o = o.filter(func(obs observation) bool { return obs.longer == 0 })
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
		return first, nil
	}
	levels := first.levels()
	usable := o.filter(func(obs observation) bool {
		if obs.top {
			return true
		}
		share, ok := c.share(c.partFor(obs), obs, levels)
		return ok && share > leastShare
	})
	m := usable.fitCurve(v, gears, c)
	for range 50 {
		for i, obs := range usable.list {
			if !obs.top {
				m.linearise(i, obs, levels)
			}
		}
		if err := m.solve(); err != nil {
			return nil, err
		}
		next := m.levels()
		moved := 0.0
		for part := range next {
			for k := range next[part] {
				moved = max(moved, math.Abs(next[part][k]-levels[part][k]))
			}
		}
		levels = next
		if moved < 1e-10 {
			break
		}
	}
	return m, nil
}

// fitCurve lays out the design of a measured shape; rows that stopped short are filled in by linearise.
func (o *observations) fitCurve(v Variances, gears int, c *curve) *model {
	levels := 0
	for i := range c.parts {
		levels += len(c.parts[i].starts) - 1
	}
	m := o.base(v, gears, levels)
	m.shape, m.curve, m.travel = fleet.MeasuredShape, c.numbered(len(o.gears)), o.travel
	if o.travel == 0 && levels == 0 && len(o.starts) == 1 && o.starts[0] == 0 {
		m.shape = fleet.FullBackOnly
	}
	m.layTapes(o.travel > 0)
	for i, obs := range o.list {
		if !obs.top {
			continue
		}
		p := m.curve.parts[c.partOf[obs.gear]]
		k, _ := slices.BinarySearch(p.starts, obs.start)
		if p.column[k] >= 0 {
			m.d.row(i)[p.column[k]] = 1
		}
	}
	for g := range m.column {
		if m.column[g] >= 0 && m.curve.partOf[g] < 0 {
			for _, obs := range o.list {
				if obs.gear == g {
					m.curve.partOf[g] = c.partFor(obs)
				}
			}
		}
	}
	return m
}

// levels reads ln φ at each start position of each part off β.
func (m *model) levels() [][]float64 {
	out := make([][]float64, len(m.curve.parts))
	for i, p := range m.curve.parts {
		out[i] = make([]float64, len(p.starts))
		for k, c := range p.column {
			if c >= 0 {
				out[i][k] = m.beta[c]
			}
		}
	}
	return out
}

// linearise writes the row of a reading that stopped short about the levels at hand.
func (m *model) linearise(i int, obs observation, levels [][]float64) {
	part := m.curve.partFor(obs)
	here, _ := m.curve.share(part, obs, levels)
	y := obs.y - math.Log(here)
	own := levels[part]
	for k, c := range m.curve.parts[part].column {
		if c < 0 {
			continue
		}
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
		m.d.row(i)[c] = slope
		y += slope * was
	}
	m.d.y[i] = y
}

// curveAt adds ln φ at a start position to a point, and how it moves with the levels and the tapes.
func (m *model) curveAt(gear int, start float64, p *point) bool {
	i := m.curve.partOf[gear]
	if i < 0 {
		return false
	}
	part, levels := m.curve.parts[i], m.levels()[i]
	value := func(levels, starts []float64, travel, s float64) (float64, bool) {
		f, ok := part.interpolant(levels, starts, travel)
		if !ok || !f.covers(s) {
			return 0, false
		}
		v := f.at(s)
		return math.Log(v), v > 0
	}
	here, ok := value(levels, part.starts, m.travel, start)
	if !ok {
		return false
	}
	p.eta += here
	// slope is a central difference, one-sided at the ends of what is covered.
	slope := func(h float64, by func(float64) (float64, bool)) float64 {
		up, okUp := by(h)
		down, okDown := by(-h)
		switch {
		case okUp && okDown:
			return (up - down) / (2 * h)
		case okUp:
			return (up - here) / h
		case okDown:
			return (here - down) / h
		}
		return 0
	}
	for k, c := range part.column {
		if c < 0 {
			continue
		}
		p.a[c] = slope(1e-6, func(h float64) (float64, bool) {
			moved := slices.Clone(levels)
			moved[k] += h
			return value(moved, part.starts, m.travel, start)
		})
	}
	if slices.Contains(part.starts, start) {
		return true // the same mark for the asked and the measured position: no tape between them
	}
	if m.travel > 0 {
		p.q[0] = slope(1e-4, func(h float64) (float64, bool) { return value(levels, part.starts, m.travel+h, start) })
	}
	for k, s := range part.starts {
		if j, ok := m.mark(s); ok {
			p.q[j] += slope(1e-4, func(h float64) (float64, bool) {
				moved := slices.Clone(part.starts)
				moved[k] += h
				return value(levels, moved, m.travel, start)
			})
		}
	}
	m.askMark(start, slope(1e-4, func(h float64) (float64, bool) { return value(levels, part.starts, m.travel, start+h) }), p)
	return true
}
