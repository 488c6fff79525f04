package match

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenpull/internal/jointnormal"
)

const (
	// apartSD is how far apart, in standard uncertainties, neighboring gears must lie for their order to be taken as
	// sure.
	apartSD = 3
	// draws is how many draws from the joint distribution decide where the order is not sure.
	draws = 2048
)

// chances of each gear of the ladder to be the one that really tops out nearest. They lie in [0, 1] and add up to 1.
func (c *comparison) chances() []float64 {
	if len(c.ladder) == 1 {
		return []float64{1}
	}
	cov := c.joint()
	if c.ordered(cov) {
		return c.byMidpoints(cov)
	}
	return c.byDraws(cov)
}

// joint is the covariance in ft² of the ladder's top-outs, which share one night, and, last, of the one asked for.
func (c *comparison) joint() *mat.SymDense {
	n := len(c.ladder)
	cov := c.on.covariance(c.ladder, n+1)
	for i, t := range c.ladder {
		cov.SetSym(i, n, c.withWant(t).Total())
	}
	cov.SetSym(n, n, c.want.variance())
	return cov
}

// covariance in ft² of top-outs on one sled, the first of so many values.
func (s Side) covariance(tops []topOut, size int) *mat.SymDense {
	cov := mat.NewSymDense(size, nil)
	for i, a := range tops {
		cov.SetSym(i, i, s.Chart.Mean(a.Outlook).Total()*a.way*a.way)
		for j, b := range tops[:i] {
			cov.SetSym(i, j, s.Chart.Covariance(a.Outlook, b.Outlook).Total()*a.way*b.way)
		}
	}
	return cov
}

// variance in ft².
func (t topOut) variance() float64 { return t.Spread.Total() * t.way * t.way }

// ordered says whether every two neighbors are far enough apart for their order to be sure.
func (c *comparison) ordered(cov *mat.SymDense) bool {
	for i := range len(c.ladder) - 1 {
		sd := math.Sqrt(max(cov.At(i, i)+cov.At(i+1, i+1)-2*cov.At(i, i+1), 0))
		if c.ladder[i].ft-c.ladder[i+1].ft < apartSD*sd {
			return false
		}
	}
	return true
}

// byMidpoints takes the chance that the asked top-out lies between a gear's midpoints to its two neighbors:
// with m such a midpoint, T_A − m is normal.
func (c *comparison) byMidpoints(cov *mat.SymDense) []float64 {
	n := len(c.ladder)
	out := make([]float64, n)
	above, sum := 0.0, 0.0 // chance that T_A lies above the midpoint to the slower neighbor, and of all gears
	for i := range n {
		next := 1.0
		if i < n-1 {
			j := i + 1
			mid := (c.ladder[i].ft + c.ladder[j].ft) / 2
			variance := (cov.At(i, i)+cov.At(j, j)+2*cov.At(i, j))/4 + cov.At(n, n) - cov.At(i, n) - cov.At(j, n)
			next = normalCDF(c.want.ft-mid, variance)
		}
		out[i] = max(next-above, 0)
		above = max(next, above)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// normalCDF is P(Z < x) for Z ~ N(0, variance); a step at 0 when there is no variance, where a tie counts for the
// slower gear.
func normalCDF(x, variance float64) float64 {
	if !(variance > 1e-18) {
		if x >= 0 {
			return 1
		}
		return 0
	}
	return distuv.UnitNormal.CDF(x / math.Sqrt(variance))
}

// byDraws counts over fixed quasi-random draws from the joint normal distribution.
func (c *comparison) byDraws(cov *mat.SymDense) []float64 {
	n := len(c.ladder)
	out := make([]float64, n)
	jointnormal.Draw(jointnormal.Root(cov), draws, func(x []float64) {
		want := c.want.ft + x[n]
		best, miss := 0, math.Inf(1)
		for i := range c.ladder { // in place: a rung is large, and this runs for every draw
			if m := math.Abs(c.ladder[i].ft + x[i] - want); m < miss-1e-9 {
				best, miss = i, m
			}
		}
		out[best] += 1.0 / draws
	})
	return out
}
