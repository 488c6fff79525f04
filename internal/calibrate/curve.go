package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"

	"evenpull/internal/fleet"
)

// curve is a measured shape: a level for each measured start position, joined by a monotone interpolant. Gears and
// start positions that no chain of readings ties together have nothing to say of each other, so a curve is in parts.
type curve struct {
	parts  []curvePart
	partOf []int   // gear → part, −1 without a topped-out reading
	travel float64 // φ = 0 there; 0 when unknown
}

// curvePart is φ along start positions that hang together; φ = 1 at the first.
type curvePart struct {
	starts []float64
	column []int     // column of ln φ in the design, −1 for the first
	weight []float64 // readings at each start position
}

// leastShare is the least share of the way a reading that stopped short must cover to be used.
const leastShare = 1e-3

// measured fits a level at each start position.
func (o *observations) measured(v Variances, gears int) (*model, error) {
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

// filter keeps some observations; readings that stopped short and are left out become unused.
func (o *observations) filter(keep func(observation) bool) *observations {
	out := *o
	out.list, out.gears, out.counts = nil, nil, map[place]int{}
	for _, obs := range o.list {
		switch {
		case keep(obs):
			out.list = append(out.list, obs)
			out.counts[place{obs.gear, obs.start}]++
			if !slices.Contains(out.gears, obs.gear) {
				out.gears = append(out.gears, obs.gear)
			}
		default:
			out.unused = append(slices.Clone(out.unused), obs.reading)
		}
	}
	slices.Sort(out.gears)
	renumber(out.list)
	return &out
}

// renumber closes gaps in the days, which the design counts from 0 without any.
func renumber(list []observation) {
	day, last := -1, -1
	for i := range list {
		if list[i].day != last {
			last = list[i].day
			day++
		}
		list[i].day = day
	}
}

// parts finds what hangs together. Columns are numbered after the gears.
func (o *observations) parts(gears int) *curve {
	c := &curve{partOf: make([]int, gears), travel: o.travel}
	root := make(map[float64]float64, len(o.starts))
	var find func(float64) float64
	find = func(s float64) float64 {
		if root[s] != s {
			root[s] = find(root[s])
		}
		return root[s]
	}
	for _, s := range o.starts {
		root[s] = s
	}
	lowest := map[int]float64{}
	for _, obs := range o.list {
		if !obs.top {
			continue
		}
		if s, had := lowest[obs.gear]; had {
			a, b := find(s), find(obs.start)
			root[max(a, b)] = min(a, b)
		} else {
			lowest[obs.gear] = obs.start
		}
	}
	part := map[float64]int{}
	column := len(o.gears)
	for _, s := range o.starts {
		r := find(s)
		i, had := part[r]
		if !had {
			i = len(c.parts)
			part[r] = i
			c.parts = append(c.parts, curvePart{})
		}
		p := &c.parts[i]
		p.starts = append(p.starts, s)
		p.weight = append(p.weight, 0)
		if len(p.starts) == 1 {
			p.column = append(p.column, -1)
		} else {
			p.column = append(p.column, column)
			column++
		}
	}
	for g := range c.partOf {
		c.partOf[g] = -1
		if s, ok := lowest[g]; ok {
			c.partOf[g] = part[find(s)]
		}
	}
	for _, obs := range o.list {
		if obs.top {
			p := &c.parts[c.partOf[obs.gear]]
			k, _ := slices.BinarySearch(p.starts, obs.start)
			p.weight[k]++
		}
	}
	return c
}

// partFor is the part that a reading that stopped short belongs to: its gear's, else the first that covers it.
func (c *curve) partFor(obs observation) int {
	if p := c.partOf[obs.gear]; p >= 0 {
		return p
	}
	for i, p := range c.parts {
		if obs.start >= p.starts[0] && (c.travel > 0 || obs.end <= p.starts[len(p.starts)-1]) {
			return i
		}
	}
	return -1
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
	if o.travel > 0 {
		m.tapes = append(m.tapes, tape{at: math.NaN(), sd: travelSD})
	}
	for _, s := range o.starts {
		if s > 0 {
			m.tapes = append(m.tapes, tape{at: s, sd: startMarkSD})
		}
	}
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

// numbered is a copy whose level columns follow that many gears.
func (c *curve) numbered(gears int) *curve {
	out := &curve{partOf: slices.Clone(c.partOf), travel: c.travel}
	for _, p := range c.parts {
		q := curvePart{starts: p.starts, weight: p.weight, column: make([]int, len(p.column))}
		for k := range q.column {
			q.column[k] = -1
			if k > 0 {
				q.column[k] = gears
				gears++
			}
		}
		out.parts = append(out.parts, q)
	}
	return out
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

// share is φ(s) − φ(e) of a reading that stopped short.
func (c *curve) share(part int, obs observation, levels [][]float64) (float64, bool) {
	if part < 0 {
		return 0, false
	}
	phi, ok := c.parts[part].interpolant(levels[part], c.parts[part].starts, c.travel)
	if !ok || !phi.covers(obs.start) || !phi.covers(obs.end) {
		return 0, false
	}
	return phi.at(obs.start) - phi.at(obs.end), true
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

// phi is φ along one part.
type phi struct {
	low, high float64
	single    bool
	fit       interp.FritschButland
}

func (p *phi) covers(s float64) bool { return s >= p.low && s <= p.high }

func (p *phi) at(s float64) float64 {
	if p.single {
		return 1
	}
	return p.fit.Predict(s)
}

// interpolant joins the levels, made non-increasing first, by Fritsch and Butland's monotone cubic (SIAM Journal on
// Scientific and Statistical Computing 5, 1984, 300–304), down to 0 at the travel where that is known.
func (p curvePart) interpolant(levels, starts []float64, travel float64) (*phi, bool) {
	xs, ys := slices.Clone(starts), falling(levels, p.weight)
	for k, l := range ys {
		ys[k] = math.Exp(l)
	}
	if travel > 0 {
		xs, ys = append(xs, travel), append(ys, 0)
	}
	out := &phi{low: xs[0], high: xs[len(xs)-1]}
	if len(xs) == 1 {
		out.single = true
		return out, true
	}
	for k := 1; k < len(xs); k++ {
		if !(xs[k] > xs[k-1]) {
			return nil, false
		}
	}
	return out, out.fit.Fit(xs, ys) == nil
}

// falling is the weighted least-squares fit of a non-increasing sequence, by pooling adjacent violators (Barlow,
// Bartholomew, Bremner and Brunk, Statistical Inference under Order Restrictions, 1972).
func falling(levels, weight []float64) []float64 {
	type block struct {
		mean, weight float64
		size         int
	}
	var blocks []block
	for k, l := range levels {
		blocks = append(blocks, block{l, weight[k], 1})
		for n := len(blocks); n > 1 && blocks[n-2].mean < blocks[n-1].mean; n = len(blocks) {
			a, b := blocks[n-2], blocks[n-1]
			w := a.weight + b.weight
			blocks[n-2] = block{(a.mean*a.weight + b.mean*b.weight) / w, w, a.size + b.size}
			blocks = blocks[:n-1]
		}
	}
	out := make([]float64, 0, len(levels))
	for _, b := range blocks {
		for range b.size {
			out = append(out, b.mean)
		}
	}
	return out
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
