package driveline_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"evenpull/internal/driveline"
)

// topOutOf is where a gear of these parts tops out from full back.
func topOutOf(t *testing.T, p driveline.Parts, ratio, travel, logFactor float64) float64 {
	t.Helper()
	r, ok := p.BoxPerGround(driveline.Gear{Ratio: ratio})
	require.True(t, ok)
	return travel / r * math.Exp(logFactor)
}

// A gear keeps what was measured of it beside its ratio; another gear set gets the sled's factor, at its own speed
// where that runs with speed.
func TestOptions_KeepWhatWasMeasuredOfAGear(t *testing.T) {
	t.Parallel()
	parts := driveline.Parts{BoxFtPerTurn: 1.75, AxleRatio: 4.1, FinalRatio: 5.29, TireCircumferenceFt: 10.5}
	s := driveline.Sled{
		Parts: parts, Gears: []driveline.Gear{{Ratio: 1.2}, {Ratio: 1}}, TravelFt: 30,
		Factor: driveline.Factor{Log: 0.01}, WayLog: []float64{math.Log(topOutOf(t, parts, 1.2, 30, 0.03)), math.NaN()},
	}
	first := func(c driveline.Choices, reference float64) driveline.Option {
		options := driveline.Options(s, c, []float64{reference}, 1)
		require.Len(t, options, 1)
		return options[0]
	}
	own := topOutOf(t, parts, 1.2, 30, 0.03)
	assert.InDelta(t, own, first(driveline.Choices{}, own).Nearest[0].TopOutFt, 1e-9)
	without := topOutOf(t, parts, 1, 30, 0.01)
	assert.InDelta(t, without, first(driveline.Choices{}, without).Nearest[0].TopOutFt, 1e-9,
		"one without a measurement has the factor")
	other := parts
	other.FinalRatio = 6
	own = topOutOf(t, other, 1.2, 30, 0.03)
	got := first(driveline.Choices{FinalRatio: []float64{6}}, own)
	assert.Equal(t, 1, got.Changed)
	assert.InDelta(t, 0, got.MeanFt, 1e-9)

	set := driveline.Choices{GearSets: [][]float64{{1.5, 0.8}}}
	want := topOutOf(t, parts, 1.5, 30, 0.01)
	got = first(set, want)
	assert.Equal(t, 0, got.GearSet)
	assert.InDelta(t, want, got.Nearest[0].TopOutFt, 1e-9)
	s.Factor.Slope, s.Factor.Center = 0.2, math.Log(0.1)
	r, _ := parts.BoxPerGround(driveline.Gear{Ratio: 1.5})
	want = topOutOf(t, parts, 1.5, 30, 0.01+0.2*(math.Log(r)-math.Log(0.1)))
	assert.InDelta(t, want, first(set, want).Nearest[0].TopOutFt, 1e-9)
}

// GUM Table G.2: t is 2.23 for 10 degrees of freedom, 1.960 for infinitely many.
func TestFactor_IntervalIsStudentsT(t *testing.T) {
	t.Parallel()
	f, ok := driveline.FitFactor([]driveline.Compared{{LogRatio: 0.02}}, mat.NewSymDense(1, []float64{1e-4}), 10)
	require.True(t, ok)
	sd := math.Sqrt(1e-4 + driveline.ScatterSD*driveline.ScatterSD)
	low, high := f.Interval(10)
	assert.InDelta(t, 0.02-2.23*sd, math.Log(low), 0.005*sd)
	assert.InDelta(t, 0.02+2.23*sd, math.Log(high), 0.005*sd)
	low, _ = f.Interval(math.Inf(1))
	assert.InDelta(t, 0.02-1.960*sd, math.Log(low), 0.001*sd)
}
