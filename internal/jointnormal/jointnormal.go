// Package jointnormal draws from joint normal distributions, always the same draws: a question must have one answer.
package jointnormal

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// block is how many draws are made at once, few enough to stay in the processor's cache.
const block = 256

// Draw calls use with that many draws from the joint normal distribution with mean 0 and covariance RR′, made from a
// Kronecker sequence: multiples of square roots of primes modulo 1 (Niederreiter, Random Number Generation and
// Quasi-Monte Carlo Methods, 1992, chapter 3). use must not store the draw.
func Draw(root *mat.Dense, times int, use func(x []float64)) {
	n, _ := root.Dims()
	d := newDraws(root, times)
	rows, x := make([]float64, n*block), make([]float64, n)
	for first := 0; first < times; first += block {
		size := min(block, times-first)
		for i := range n {
			d.row(i, first, rows[i*block:i*block+size])
		}
		for k := range size {
			for i := range x {
				x[i] = rows[i*block+k]
			}
			use(x)
		}
	}
}

// Inside counts those of the same draws that lie within a distance of a point in every coordinate. Coordinates are only
// looked at while any draw of the block is left.
func Inside(root *mat.Dense, times int, point []float64, within float64) (count int) {
	d := newDraws(root, times)
	row, out := make([]float64, block), make([]bool, block)
	for first := 0; first < times; first += block {
		size := min(block, times-first)
		clear(out)
		left := size
		for i := 0; i < len(point) && left > 0; i++ {
			d.row(i, first, row[:size])
			for k, x := range row[:size] {
				if !out[k] && math.Abs(point[i]+x) > within {
					out[k] = true
					left--
				}
			}
		}
		count += left
	}
	return count
}

// draws are independent normal values by column, and the root that makes them joint.
type draws struct {
	root    *mat.Dense
	columns [][]float64
}

func newDraws(root *mat.Dense, times int) draws {
	_, dimensions := root.Dims()
	d := draws{root, make([][]float64, dimensions)}
	for i, p := range primes(dimensions) {
		if i < len(cachedColumns) && times <= cachedDraws {
			d.columns[i] = cachedColumns[i]()
		} else {
			d.columns[i] = column(p, times)
		}
	}
	return d
}

// row fills a slice with one coordinate of the draws from first on.
func (d draws) row(i, first int, into []float64) {
	clear(into)
	for k, r := range d.root.RawRowView(i) {
		floats.AddScaled(into, r, d.columns[k][first:first+len(into)])
	}
}

const cachedDraws = 2048

// cachedColumns are the columns that answers use over and over, each worked out when first needed. They never change.
var cachedColumns = func() (columns [64]func() []float64) {
	for i, p := range primes(len(columns)) {
		columns[i] = sync.OnceValue(func() []float64 { return column(p, cachedDraws) })
	}
	return columns
}()

// column is one independent coordinate of the draws.
func column(prime, times int) []float64 {
	out, step := make([]float64, times), math.Sqrt(float64(prime))
	for k := range out {
		_, u := math.Modf(0.5 + float64(k+1)*step)
		out[k] = distuv.UnitNormal.Quantile(min(max(u, 1e-12), 1-1e-12))
	}
	return out
}

// Root is R with RR′ = cov, through eigenvalues because a covariance may be singular (one sled against itself).
func Root(cov *mat.SymDense) *mat.Dense {
	n := cov.SymmetricDim()
	var eigen mat.EigenSym
	root := mat.NewDense(n, n, nil)
	if !eigen.Factorize(cov, true) {
		for i := range n {
			root.Set(i, i, math.Sqrt(max(cov.At(i, i), 0)))
		}
		return root
	}
	values := eigen.Values(nil)
	eigen.VectorsTo(root)
	for j, v := range values {
		for i := range n {
			root.Set(i, j, root.At(i, j)*math.Sqrt(max(v, 0)))
		}
	}
	return root
}

// Largest lists, ascending, the largest absolute value of each of that many draws with the given correlations.
func Largest(correlation *mat.SymDense, times int) []float64 {
	out := make([]float64, 0, times)
	Draw(Root(correlation), times, func(x []float64) { out = append(out, floats.Norm(x, math.Inf(1))) })
	slices.Sort(out)
	return out
}

// primes are the first n.
func primes(n int) (out []int) {
	for p := 2; len(out) < n; p++ {
		if !slices.ContainsFunc(out, func(q int) bool { return p%q == 0 }) {
			out = append(out, p)
		}
	}
	return out
}
