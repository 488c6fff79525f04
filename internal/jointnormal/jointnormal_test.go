package jointnormal_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenpull/internal/jointnormal"
)

func TestDraw_HasTheMomentsOfTheDistribution(t *testing.T) {
	t.Parallel()
	cov := mat.NewSymDense(3, []float64{4, 1, 0, 1, 2, 0.5, 0, 0.5, 1})
	root := jointnormal.Root(cov)
	sum, square, n := mat.NewVecDense(3, nil), mat.NewDense(3, 3, nil), 4000
	jointnormal.Draw(root, n, func(draw []float64) {
		x := mat.NewVecDense(3, draw)
		sum.AddVec(sum, x)
		square.RankOne(square, 1, x, x)
	})
	for i := range 3 {
		assert.InDelta(t, 0, sum.AtVec(i)/float64(n), 0.02)
		for j := range 3 {
			assert.InDelta(t, cov.At(i, j), square.At(i, j)/float64(n), 0.08)
		}
	}
}

// The largest of independent normals: P(max|Z| < x) = (2Φ(x) − 1)^k.
func TestLargest_OfIndependentNormals(t *testing.T) {
	t.Parallel()
	id := mat.NewSymDense(4, []float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1})
	got := jointnormal.Largest(id, 4000)
	want := distuv.UnitNormal.Quantile((1 + math.Pow(0.95, 0.25)) / 2)
	assert.InDelta(t, want, got[3800], 0.05)
}

// Inside counts what Draw gives.
func TestInside_CountsTheDrawsWithin(t *testing.T) {
	t.Parallel()
	root := jointnormal.Root(mat.NewSymDense(3, []float64{4, 1, 0, 1, 2, 0.5, 0, 0.5, 1}))
	for _, times := range []int{1, 255, 256, 600, 4000} {
		for _, point := range [][]float64{{0, 0, 0}, {1, -0.5, 0.25}, {3, 3, -3}, {50, 0, 0}} {
			want := 0
			jointnormal.Draw(root, times, func(x []float64) {
				in := true
				for i := range x {
					in = in && math.Abs(point[i]+x[i]) <= 2
				}
				if in {
					want++
				}
			})
			assert.Equal(t, want, jointnormal.Inside(root, times, point, 2), "%d draws about %v", times, point)
		}
	}
	// P(|Z| ≤ 1.959964) = 0.95, of three independent ones 0.95³.
	independent := jointnormal.Root(mat.NewSymDense(3, []float64{1, 0, 0, 0, 1, 0, 0, 0, 1}))
	assert.InDelta(t, math.Pow(0.95, 3),
		float64(jointnormal.Inside(independent, 4000, []float64{0, 0, 0}, 1.959964))/4000,
		0.01)
}
