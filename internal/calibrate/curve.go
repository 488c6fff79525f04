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
	weight []float64 // readings at each start position
	column int       // of ln φ at the second start position in the design; those of the others follow
}

// parts finds what hangs together. Columns are numbered after the gears.
func (o *observations) parts(gears int) *curve {
	c := &curve{partOf: slices.Repeat([]int{-1}, gears), travel: o.travel}
	first := make([]int, len(o.starts)) // by start position: the first of those it hangs together with
	for k := range first {
		first[k] = k
	}
	weight := make([]float64, len(o.starts))
	start := map[int]int{} // gear → one start position that it has topped out from
	for _, obs := range o.list {
		if !obs.top {
			continue
		}
		k, _ := slices.BinarySearch(o.starts, obs.start)
		weight[k]++
		if _, had := start[obs.gear]; !had {
			start[obs.gear] = k
		}
		if a, b := first[start[obs.gear]], first[k]; a != b {
			for i, f := range first {
				if f == max(a, b) {
					first[i] = min(a, b)
				}
			}
		}
	}
	part := make([]int, len(o.starts)) // of a first start position
	for k, f := range first {
		if f == k {
			part[k] = len(c.parts)
			c.parts = append(c.parts, curvePart{})
		}
		p := &c.parts[part[f]]
		p.starts, p.weight = append(p.starts, o.starts[k]), append(p.weight, weight[k])
	}
	column := len(o.gears)
	for i := range c.parts {
		c.parts[i].column = column
		column += len(c.parts[i].starts) - 1
	}
	for g, k := range start {
		c.partOf[g] = part[first[k]]
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

// share is φ(s) − φ(e) of a reading that stopped short.
func (c *curve) share(part int, obs observation, levels [][]float64) (float64, bool) {
	if part < 0 {
		return 0, false
	}
	phi := c.parts[part].interpolant(levels[part], c.parts[part].starts, c.travel)
	if !phi.covers(obs.start) || !phi.covers(obs.end) {
		return 0, false
	}
	return phi.at(obs.start) - phi.at(obs.end), true
}

// phi is φ along one part; nil covers nothing.
type phi struct {
	low, high float64
	single    bool
	fit       interp.FritschButland
}

func (p *phi) covers(s float64) bool { return p != nil && s >= p.low && s <= p.high }

func (p *phi) at(s float64) float64 {
	if p.single {
		return 1
	}
	return p.fit.Predict(s)
}

// interpolant joins the levels, made non-increasing first, by Fritsch and Butland's monotone cubic (SIAM Journal on
// Scientific and Statistical Computing 5, 1984, 300–304), down to 0 at the travel where that is known.
func (p curvePart) interpolant(levels, starts []float64, travel float64) *phi {
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
		return out
	}
	for k := 1; k < len(xs); k++ {
		if !(xs[k] > xs[k-1]) {
			return nil
		}
	}
	if out.fit.Fit(xs, ys) != nil {
		return nil
	}
	return out
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
