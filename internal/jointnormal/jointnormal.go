// Package jointnormal draws from joint normal distributions, always the same draws: answers must not change from one
// asking to the next.
package jointnormal

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Draw calls use with that many standard normal vectors, always the same: a Kronecker sequence, multiples of square
// roots of primes modulo 1 (Niederreiter, Random Number Generation and Quasi-Monte Carlo Methods, 1992, chapter 3).
func Draw(dimensions, times int, use func(z *mat.VecDense)) {
	columns := make([][]float64, dimensions)
	step := primes(dimensions)
	for d, p := range step {
		if d < len(usual) && times <= usualTimes {
			columns[d] = usual[d]()
		} else {
			columns[d] = column(p, times)
		}
	}
	z := mat.NewVecDense(dimensions, nil)
	for k := range times {
		for d := range columns {
			z.SetVec(d, columns[d][k])
		}
		use(z)
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
	n := correlation.SymmetricDim()
	root := Root(correlation)
	x := mat.NewVecDense(n, nil)
	out := make([]float64, 0, times)
	Draw(n, times, func(z *mat.VecDense) {
		x.MulVec(root, z)
		out = append(out, mat.Norm(x, math.Inf(1)))
	})
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
