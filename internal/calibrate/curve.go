package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"
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
