// Package jointnormal draws from joint normal distributions, always the same draws: answers must not change from one
// asking to the next.
package jointnormal

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// block is how many draws are made at once, so that they stay close at hand.
const block = 256

// Draw calls use with that many draws from the joint normal distribution with mean 0 and covariance RR′, always the same. They
// come of a Kronecker sequence, multiples of square roots of primes modulo 1 (Niederreiter, Random Number Generation and
// Quasi-Monte Carlo Methods, 1992, chapter 3). use must not keep the draw.
func Draw(root *mat.Dense, times int, use func(x []float64)) {
	n, dimensions := root.Dims()
	columns := make([][]float64, dimensions)
	step := primes(dimensions)
	for d, p := range step {
		if d < len(usual) && times <= usualTimes {
			columns[d] = usual[d]()
		} else {
			columns[d] = column(p, times)
		}
	}
	rows, x := make([]float64, n*block), make([]float64, n)
	for first := 0; first < times; first += block {
		size := min(block, times-first)
		clear(rows)
		for i := range n {
			row := rows[i*block : i*block+size]
			for d, r := range root.RawRowView(i) {
				if r != 0 {
					floats.AddScaled(row, r, columns[d][first:first+size])
				}
			}
		}
		for k := range size {
			for i := range x {
				x[i] = rows[i*block+k]
			}
			use(x)
		}
	}
}

// usual holds the columns that answers draw over and over; each is worked out when it is first needed and never changes.
var usual = func() (columns [64]func() []float64) {
	for d, p := range primes(len(columns)) {
		columns[d] = sync.OnceValue(func() []float64 { return column(p, usualTimes) })
	}
	return columns
}()

const usualTimes = 2048

// column is one coordinate of the draws.
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

// primes lists the first n.
func primes(n int) []int {
	var out []int
	for p := 2; len(out) < n; p++ {
		if !slices.ContainsFunc(out, func(q int) bool { return p%q == 0 }) {
			out = append(out, p)
		}
	}
	return out
}
