package driveline_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"evenpull/internal/driveline"
)

// measured draws gears that share a day's error of 0.6 % and have 0.4 % each of their own.
func measured(rng *rand.Rand, factor, slope float64, gears int) ([]driveline.Compared, *mat.SymDense) {
	const shared, own = 0.006, 0.004
	cov := mat.NewSymDense(gears, nil)
	common := shared * rng.NormFloat64()
	out := make([]driveline.Compared, gears)
	for i := range out {
		speed := math.Log(0.10 + 0.01*float64(i))
		out[i] = driveline.Compared{Gear: i, LogSpeed: speed,
			LogRatio: math.Log(factor) + slope*(speed-math.Log(0.12)) + common + own*rng.NormFloat64()}
		for j := range i + 1 {
			cov.SetSym(i, j, shared*shared)
		}
		cov.SetSym(i, i, shared*shared+own*own)
	}
	return out, cov
}

// Simulation with fixed seeds: the interval of the factor covers what it claims, a clean sled is rarely accused, a gear
// 4 % off is found and alone, a slope of 10 % over the ladder is seen.
func TestFactor_CoversWhatItClaims(t *testing.T) {
	t.Parallel()
	const sleds = 400
	covered, accused, found, wrongly, sloped := 0, 0, 0, 0, 0
	for seed := range uint64(sleds) {
		rng := rand.New(rand.NewPCG(seed, 5))
		gears, cov := measured(rng, 1.012, 0, 5)
		f, ok := driveline.FitFactor(gears, cov, math.Inf(1))
		require.True(t, ok)
		if math.Abs(f.Log-math.Log(1.012)) < 1.96*math.Sqrt(f.Variance) {
			covered++
		}
		if len(f.StandOut) > 0 {
			accused++
		}
		bad := rng.IntN(5)
		gears[bad].LogRatio += 0.04
		f, _ = driveline.FitFactor(gears, cov, math.Inf(1))
		if len(f.StandOut) > 0 && f.StandOut[0].Gear == bad {
			found++
		}
		for _, s := range f.StandOut {
			if s.Gear != bad {
				wrongly++
			}
		}
		steep, cov := measured(rng, 1.012, 0.25, 5)
		if f, _ = driveline.FitFactor(steep, cov, math.Inf(1)); f.Slope > 0 {
			sloped++
		}
	}
	t.Logf("of %d sleds: factor covered in %d, clean ones accused %d; a gear 4 %% off found %d, others accused %d; a "+
		"slope seen %d", sleds, covered, accused, found, wrongly, sloped)
	assert.InDelta(t, 0.95*sleds, covered, 0.03*sleds)
	assert.Less(t, accused, sleds/25)
	assert.Greater(t, found, sleds*90/100)
	assert.Less(t, wrongly, sleds/10)
	assert.Greater(t, sloped, sleds*90/100)
}

func TestFactor_OfFewGears(t *testing.T) {
	t.Parallel()
	_, ok := driveline.FitFactor(nil, nil, 9)
	assert.False(t, ok)
	one, ok := driveline.FitFactor([]driveline.Compared{{Gear: 3, LogRatio: 0.02}}, mat.NewSymDense(1, []float64{1e-4}),
		9)
	require.True(t, ok)
	assert.InDelta(t, 0.02, one.Log, 1e-12)
	log, variance := one.At(-2)
	assert.InDelta(t, 0.02, log, 1e-12)
	assert.Greater(t, variance, 1e-4)
}
