package panload_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/panload"
)

// weighed are weighings (box mark, in the box, pan).
func weighed(rows ...[3]float64) []fleet.Weighing {
	out := make([]fleet.Weighing, len(rows))
	for i, r := range rows {
		out[i] = fleet.Weighing{BoxAtFt: r[0], InBoxLb: r[1], PanLb: r[2], Scale: "the club's"}
	}
	return out
}

// bluestem and fescue are two invented sleds. Their figures were worked out once in exact fractions, by hand from the
// normal equations.
func bluestem() panload.Sled {
	return panload.Sled{TravelFt: 30, Weighings: weighed(
		[3]float64{0, 0, 10720}, [3]float64{15, 0, 13360}, [3]float64{30, 0, 16140},
		[3]float64{0, 12000, 9540}, [3]float64{15, 12000, 18700}, [3]float64{30, 12000, 27740},
	)}
}

func fescue() panload.Sled {
	return panload.Sled{TravelFt: 31, Weighings: weighed(
		[3]float64{0, 0, 12160}, [3]float64{31, 0, 18240}, [3]float64{0, 12000, 11700}, [3]float64{15.5, 12000,
			20720}, [3]float64{31, 12000, 29560},
	)}
}

// taped are lengths with a standard uncertainty of 0.1 ft, and an empty box with its own.
func taped(tandemToPanFt, boxLb, boxSD, boxAheadFt float64) fleet.Loading {
	plusMinus := func(sd float64) *float64 { return new(panload.Normal95 * sd) }
	return fleet.Loading{
		TandemToPanFt: &tandemToPanFt, TandemToPanPlusMinusFt: plusMinus(0.1),
		EmptyBoxLb: &boxLb, EmptyBoxPlusMinusLb: plusMinus(boxSD),
		BoxAheadOfTandemFt: &boxAheadFt, BoxAheadOfTandemPlusMinusFt: plusMinus(0.1),
	}
}

func fitted(t *testing.T, s panload.Sled, spread panload.Spread) *panload.Fit {
	t.Helper()
	f := panload.FitTo(s, spread)
	require.NotNil(t, f)
	return f
}

func pooled() panload.Spread {
	return panload.Pool(panload.ShareOf(bluestem().Weighings).Plus(panload.ShareOf(fescue().Weighings)))
}

func TestFit_AgainstExactArithmetic(t *testing.T) {
	t.Parallel()
	a, b := panload.ShareOf(bluestem().Weighings), panload.ShareOf(fescue().Weighings)
	assert.InEpsilon(t, 5666.666667, a.SSR, 1e-9)
	assert.Equal(t, 2.0, a.DF)
	assert.InEpsilon(t, 5400, b.SSR, 1e-9)
	assert.Equal(t, 1.0, b.DF)
	spread := pooled()
	assert.InEpsilon(t, 85.41216597, spread.Lb, 1e-9)
	assert.Equal(t, 7.0, spread.DF)
	assert.InEpsilon(t, 2.364624251, spread.T(), 1e-9)
	for _, c := range []struct {
		name string
		sled panload.Sled
		want [4]float64
	}{
		{"six weighings", bluestem(), [4]float64{10696.666667, 180.666667, -0.0947222222, 0.0355}},
		{"five weighings", fescue(), [4]float64{12160, 196.1290323, -0.0358333333, 0.0316666667}},
		{"two weighings and a tape", panload.Sled{
			Weighings: weighed([3]float64{0, 0, 10720}, [3]float64{30, 12000, 27740}),
			Loading:   taped(28, 5000, 60, -2.75),
		}, [4]float64{10715.274859, 178.457072, -0.0982996011, 0.0357092593}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			for i, got := range fitted(t, c.sled, spread).Coefficients() {
				require.NotNil(t, got)
				assert.InEpsilon(t, c.want[i], got.Value, 1e-8)
			}
		})
	}
}

func sides(t *testing.T) (asked, on panload.Side) {
	t.Helper()
	spread := pooled()
	asked = panload.Side{ID: "bluestem", Fit: fitted(t, bluestem(), spread), InBoxLb: 16000,
		Pull: panload.Pull{TopFt: 30, TopOutFt: 230}}
	on = panload.Side{ID: "fescue", Fit: fitted(t, fescue(), spread), Pull: panload.Pull{TopFt: 31, TopOutFt: 236}}
	return asked, on
}

func TestSolve_AgainstExactArithmetic(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		at     panload.MatchAt
		w, u   float64
		cannot panload.Cannot
	}{
		{panload.AtHook, 0, 0, panload.BlocksDoNothing},
		{panload.AtFinish, 14168.57562, 150.25, ""},
		{panload.OnAverage, 12833.24731, 159.38, ""},
		{panload.Overall, 13817.97764, 0, ""},
	} {
		t.Run(string(c.at), func(t *testing.T) {
			t.Parallel()
			asked, on := sides(t)
			got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: c.at})
			require.Equal(t, c.cannot, got.Cannot)
			if c.cannot != "" {
				return
			}
			assert.InEpsilon(t, c.w, got.InBox.Lb, 1e-9)
			if c.u > 0 {
				assert.InDelta(t, c.u, (got.InBox.HighLb-got.InBox.Lb)/on.Fit.Spread.T(), 0.005)
			}
		})
	}
	asked, on := sides(t)
	on.Fit.Sled.Blocks = []fleet.Block{{Lb: 2000, Count: 8}}
	got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtFinish})
	require.NotNil(t, got.Rounded)
	assert.Equal(t, panload.Rounded{Lb: 14000, Blocks: []panload.Block{{Lb: 2000, Count: 7}}}, *got.Rounded)
	require.Len(t, got.Remaining, 4)
	for i, want := range []float64{2477.222222, -663.427495, -159.444444, -159.444444} {
		assert.InDelta(t, want, got.Remaining[i].Lb, 1e-5)
	}
	assert.Equal(t, []float64{0, 230, 236, 300}, []float64{got.Remaining[0].AtFt, got.Remaining[1].AtFt,
		got.Remaining[2].AtFt, got.Remaining[3].AtFt})
	require.NotNil(t, got.MeanLb)
	assert.InDelta(t, 653.044444, *got.MeanLb, 1e-5)
	require.NotNil(t, got.InFeet)
	gain := (asked.Fit.Coefficients()[1].Value + asked.Fit.Coefficients()[3].Value*16000) * 30 / 230
	assert.InDelta(t, -159.444444/gain, *got.InFeet, 1e-6)
	assert.False(t, math.IsNaN(got.InBox.LowLb))
}

// What remains is told where the weighings of both sleds tell what lies on the pan there, and nowhere else.
func TestSolve_TellsWhatRemainsWhereTheWeighingsTell(t *testing.T) {
	t.Parallel()
	both := []string{"hook", "top-out", "top-out", "finish"}
	for _, c := range []struct {
		name     string
		change   func(asked, on *panload.Sled)
		told     []string
		ofGround bool
	}{
		{"both sleds weighed at back and top", func(_, _ *panload.Sled) {}, both, true},
		{"the other sled weighed at the top alone", func(_, on *panload.Sled) {
			on.Weighings = weighed([3]float64{31, 0, 18_240}, [3]float64{31, 12_000, 29_560})
		}, []string{"top-out", "finish"}, true},
		{"the asked sled weighed once, as it was pulled, at the top", func(asked, _ *panload.Sled) {
			asked.Weighings = weighed([3]float64{30, 16_000, 31_000})
		}, []string{"top-out", "top-out", "finish"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			asked, on := sides(t)
			a, b := bluestem(), fescue()
			c.change(&a, &b)
			asked.Fit, on.Fit = fitted(t, a, pooled()), fitted(t, b, pooled())
			got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtFinish})
			require.Empty(t, got.Cannot)
			var told []string
			for _, r := range got.Remaining {
				told = append(told, r.Where)
			}
			assert.Equal(t, c.told, told)
			hook := len(told) == len(both)
			assert.Equal(t, hook, got.LeftAt("hook") != nil)
			assert.Equal(t, hook, got.MeanLb != nil)
			assert.NotNil(t, got.LeftAt("finish"))
			assert.Equal(t, c.ofGround, got.InFeet != nil)
		})
	}
	asked, on := sides(t)
	on.Fit = fitted(t, panload.Sled{TravelFt: 31, Weighings: weighed([3]float64{0, 0, 12_160},
		[3]float64{0, 12_000, 13_700})}, pooled())
	got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtHook})
	assert.NotNil(t, got.LeftAt("hook"))
	assert.Nil(t, got.LeftAt("finish"))
	assert.Nil(t, got.InFeet)
}

// At hook and finish together, with blocks on the pan: w = [ΔN − B (X − t)]/[D (X − t)] and q = N_hook − A − B t −
// w (C + D t), by exact arithmetic with 4,000 lb on the pan of the sled asked about.
func TestSolve_MatchesHookAndFinishWithBlocksOnThePan(t *testing.T) {
	t.Parallel()
	asked, on := sides(t)
	asked.OnPanLb = 4000
	got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.HookAndFinish})
	require.Empty(t, got.Cannot)
	assert.InDelta(t, 16380/0.98166666667, got.InBox.Lb, 1e-3)
	assert.InDelta(t, 1021.111111+0.03583333333*16380/0.98166666667, got.OnPanLb, 1e-3)
	for _, r := range got.Remaining {
		if r.Where != "top-out" {
			assert.InDelta(t, 0, r.Lb, 1e-6, r.Where)
		}
	}
	asked.OnPanLb = 0 // there is more on the other pan at the hook already
	got = panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.HookAndFinish})
	assert.Equal(t, panload.BelowEmpty, got.Cannot)
	assert.Less(t, got.OnPanLb, 0.0)
}

// root is the pull of a box whose chart is φ = √(1 − s/L): after a share u of its way the rise is 1 − (1 − u)², told in
// 32 straight pieces.
func root(takeUpFt float64) panload.Pull {
	p := panload.Pull{StartFt: 2, TopFt: 30, TakeUpFt: takeUpFt, TopOutFt: 230}
	const steps = 32
	for i := range steps + 1 {
		rise := float64(i) / steps
		p.Shape = append(p.Shape, panload.Knot{Way: 1 - math.Sqrt(1-rise), Rise: rise})
	}
	return p
}

func TestPull_MovesOnItsMeasuredShape(t *testing.T) {
	t.Parallel()
	p := root(10)
	assert.InDelta(t, 2, p.BoxAt(9), 0)
	assert.InDelta(t, 30, p.BoxAt(231), 0)
	for _, way := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
		at := 10 + 220*way
		assert.InDelta(t, 2+28*(1-(1-way)*(1-way)), p.BoxAt(at), 0.25)
		assert.InDelta(t, at, p.DistanceAt(p.BoxAt(at)), 1e-9)
	}
	even := panload.Pull{StartFt: 2, TopFt: 30, TakeUpFt: 10, TopOutFt: 230}
	assert.InDelta(t, 120, even.DistanceAt(16), 1e-9, "halfway")
}

// The ± of a load along the pull has in it how far the box would be off its mark if it topped out elsewhere.
func TestSide_LoadAtHasTheShapeInItsPlusMinus(t *testing.T) {
	t.Parallel()
	side, _ := sides(t)
	side.Pull = root(10)
	half := func(s panload.Side) float64 {
		load, ok := s.LoadAt(150)
		require.True(t, ok)
		return (load.HighLb - load.LowLb) / 2 / s.Fit.Spread.T()
	}
	exact := half(side)
	const step, sd = 0.01, 3.0
	side.Pull.TopOutFt = 230 + step
	up, _ := side.LoadAt(150)
	side.Pull.TopOutFt = 230 - step
	down, _ := side.LoadAt(150)
	side.Pull.TopOutFt, side.Pull.TopOutSD = 230, sd
	assert.InEpsilon(t, math.Hypot(exact, (up.Lb-down.Lb)/(2*step)*sd), half(side), 1e-4)
}

// The mean over the pull is exact on a measured shape, too: by a sum of many thin slices.
func TestSolve_AveragesAMeasuredShape(t *testing.T) {
	t.Parallel()
	asked, on := sides(t)
	asked.Pull = root(10)
	got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.OnAverage})
	require.Empty(t, got.Cannot)
	on.InBoxLb = got.InBox.Lb
	sum, slices := 0.0, 6_000
	for i := range slices {
		d := 300 * (float64(i) + 0.5) / float64(slices)
		a, _ := asked.Fit.Pan(asked.Pull.BoxAt(d), asked.InBoxLb, 0)
		b, _ := on.Fit.Pan(on.Pull.BoxAt(d), on.InBoxLb, 0)
		sum += (b.Lb - a.Lb) / float64(slices)
	}
	assert.InDelta(t, 0, sum, 0.1)
	require.NotNil(t, got.MeanLb)
	assert.InDelta(t, 0, *got.MeanLb, 1e-6)
	evenly := asked
	evenly.Pull.Shape = nil
	plain := panload.Solve(panload.Question{Asked: evenly, On: on, FinishFt: 300, At: panload.OnAverage})
	assert.Greater(t, got.InBox.Lb, plain.InBox.Lb+500, "the box is up earlier")
}

// The ± of a weight and that of what remains go by the larger Student t of the two sleds' weighings.
func TestSolve_GoesByTheFewerDegreesOfFreedom(t *testing.T) {
	t.Parallel()
	asked, on := sides(t)
	asked.Fit.Spread.DF, on.Fit.Spread.DF = 4, 200
	got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtFinish})
	finish := got.Remaining[len(got.Remaining)-1]
	r := func(f *panload.Fit, x, w float64) float64 {
		load, ok := f.Pan(x, w, 0)
		require.True(t, ok)
		return (load.HighLb - load.Lb) / f.Spread.T()
	}
	want := asked.Fit.Spread.T() * math.Hypot(r(asked.Fit, 30, 16_000), r(on.Fit, 31, got.InBox.Lb))
	assert.InEpsilon(t, want, finish.HighLb-finish.Lb, 1e-6)
	assert.InEpsilon(t, want/0.94583333, got.InBox.HighLb-got.InBox.Lb, 1e-6)
}

// A finish at or past a box's top-out finds it at the top, wherever exactly it tops out: at the later top-out, which is
// the finish where none is asked for, the ± is that of any finish past it.
func TestSolve_ATopOutAtTheFinishAddsNothing(t *testing.T) {
	t.Parallel()
	for _, at := range []panload.MatchAt{panload.AtFinish, panload.HookAndFinish} {
		half := func(finishFt float64) float64 {
			asked, on := sides(t)
			asked.OnPanLb, asked.Pull.TopOutSD, on.Pull.TopOutSD = 4000, 2, 3
			got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: finishFt, At: at})
			require.Empty(t, got.Cannot)
			return got.InBox.HighLb - got.InBox.Lb
		}
		assert.InEpsilon(t, half(260), half(236), 1e-9, at)
		assert.InEpsilon(t, half(260), half(0), 1e-9, "the default")
		assert.Greater(t, half(235), half(260)+10, at)
	}
}
