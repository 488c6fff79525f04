package calibrate_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
)

// One random fleet a run, another each time, against an independent dense computation: build V from the variances in
// use, invert, multiply; tapes enter as what they are, common errors of everything read off them.
func TestChart_AgainstDenseComputation(t *testing.T) {
	t.Parallel()
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	sleds := calibratetest.Draw(rand.New(rand.NewPCG(seed, 1)), calibratetest.Spec{
		Sleds: 6, Gears: 4, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 2, MostDays: 4, Starts: []float64{4, 8},
	})
	var shares []calibrate.Share
	for _, s := range sleds {
		shares = append(shares, calibrate.ShareOf(s.Notebook, assumed))
	}
	_, v := calibrate.Pool(calibrate.Total(shares), assumed)
	judged := 0
	for _, s := range sleds {
		c := calibrate.Fit(s.Notebook, v)
		if c.Shape() != fleet.Straight || (c.ImpliedTravel() != nil && c.ImpliedTravel().Used) {
			continue // one sled in five hundred is taken for another shape
		}
		judged++
		left := c.LeftOut() // readings of some sleds lie so far off by chance that they count nowhere
		readings := slices.DeleteFunc(slices.Clone(s.Readings), func(r fleet.Figure) bool { return left[r.ID] })
		// Of two that contradict each other both count, and half their gap is added to what is not known of the gear.
		torn := map[string]float64{}
		for _, check := range only(c.Checks(time.Date(2026, 6, 9, 0, 0, 0, 0, time.UTC)), fleet.ReadingsDisagree) {
			torn[check.Gear] = math.Pow(math.Log(check.DistanceFt/check.ExpectedFt)/2, 2)
		}
		n, travel := len(readings), *s.Sled.TravelFt
		cov, x, y := mat.NewSymDense(n, nil), mat.NewDense(n, len(s.Sled.Gears), nil), mat.NewVecDense(n, nil)
		for i, r := range readings {
			for j, q := range readings[:i+1] {
				if r.Day == q.Day {
					cov.SetSym(i, j, v.Day)
				}
			}
			cov.SetSym(i, i, v.Day+v.Reading)
			x.Set(i, s.Sled.GearPlace(r.GearID), 1)
			y.SetVec(i, math.Log(r.DistanceFt)-math.Log(1-r.StartFt/travel))
		}
		var vi, xv, xvx, inverse, h, beta mat.Dense
		require.NoError(t, vi.Inverse(cov))
		xv.Mul(x.T(), &vi)
		xvx.Mul(&xv, x)
		require.NoError(t, inverse.Inverse(&xvx))
		h.Mul(&inverse, &xv)
		beta.Mul(&h, y)
		for g := range s.Sled.Gears {
			for _, start := range []float64{0, 4, 6} {
				p, ok := c.Predict(g, start)
				require.True(t, ok)
				assert.InEpsilon(t, beta.At(g, 0)+math.Log(1-start/travel), p.Log, 1e-9)
				// Tapes: η̂ − η moves with the travel's error by d ln φ(start)/dL less the mean over the readings, and
				// with each mark's by −1/(L − mark), once for where it is asked at and once, weighted, for where it was
				// measured.
				byTravel := 1/(travel-start) - 1/travel
				marks := map[float64]float64{start: -1 / (travel - start)}
				for i, r := range readings {
					byTravel -= h.At(g, i) * (1/(travel-r.StartFt) - 1/travel)
					marks[r.StartFt] += h.At(g, i) / (travel - r.StartFt)
				}
				tape := math.Pow(0.1*byTravel, 2)
				for at, slope := range marks {
					if at > 0 {
						tape += math.Pow(0.1*slope, 2)
					}
				}
				// Measured at one start position only, the shape may bend away from there.
				if first := readings[0].StartFt; !slices.ContainsFunc(readings, func(r fleet.Figure) bool {
					return r.StartFt != first
				}) {
					tape += math.Pow(0.0012*(start-first), 2)
				}
				assert.InDelta(t, inverse.At(g, g)+tape+torn[s.Sled.Gears[g].Label], p.Spread.Total(), 1e-12)
			}
		}
	}
	assert.GreaterOrEqual(t, judged, 4)
}
