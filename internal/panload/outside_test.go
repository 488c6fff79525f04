package panload_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"evenpull/internal/fleet"
	"evenpull/internal/panload"
)

// A beam on two supports with a concentrated load P at a from the left and b from the right support: R₁ = P b/l, R₂ = P
// a/l (American Institute of Steel Construction, Steel Construction Manual, Table 3-23, simple beam, concentrated load
// at any point; from memory). The sled is that beam, its tandem the left and its pan pin the right support; frame, box
// and blocks are the loads.
func TestPan_AgainstABeamOnTwoSupports(t *testing.T) {
	t.Parallel()
	const l, frame, frameAt, box, boxAt, pan = 27.5, 21_000.0, 10.5, 5200.0, -1.5, 2800.0
	reactions := func(x, w float64) (tandem, onPan float64) {
		for _, load := range []struct{ p, a float64 }{{frame, frameAt}, {box, boxAt + x}, {w, boxAt + x}} {
			tandem += load.p * (l - load.a) / l
			onPan += load.p * load.a / l
		}
		return tandem, onPan + pan
	}
	s := panload.Sled{TravelFt: 31}
	for _, x := range []float64{0, 31} {
		for _, w := range []float64{0, 12_000} {
			tandem, onPan := reactions(x, w)
			s.Weighings = append(s.Weighings, fleet.Weighing{BoxAtFt: x, InBoxLb: w, PanLb: onPan, TandemLb: &tandem})
		}
	}
	f := fitted(t, s, panload.Spread{Lb: 100, DF: 4})
	for _, x := range []float64{0, 7, 15.5, 31} {
		for _, w := range []float64{0, 5000, 20_000} {
			tandem, onPan := reactions(x, w)
			got, ok := f.Pan(x, w, 500)
			require.True(t, ok)
			assert.InDelta(t, onPan+500, got.Lb, 1e-6)
			tires, ok := f.Tandem(x, w, 500)
			require.True(t, ok)
			assert.InDelta(t, tandem, tires.Lb, 1e-6, "blocks on the pan do not come on the tires")
		}
	}
	assert.Empty(t, f.Checks())
}

// The ± of a weight by JCGM 100:2008, 5.1, against a Monte Carlo by JCGM 101:2008: both sleds' coefficients and both
// top-outs drawn from their joint normal distributions, the weight solved anew each time. 10⁶ draws with CI=true.
func TestSolve_UncertaintyAgainstMonteCarlo(t *testing.T) {
	t.Parallel()
	draws, tolerance := 20_000, 0.03
	if os.Getenv("CI") == "true" {
		draws, tolerance = 1_000_000, 0.02
	}
	type coefficients [4]float64
	draw := func(rng *rand.Rand, s panload.Sled, spread float64) func() coefficients {
		x, y := mat.NewDense(len(s.Weighings), 4, nil), mat.NewVecDense(len(s.Weighings), nil)
		for i, w := range s.Weighings {
			x.SetRow(i, []float64{1, w.BoxAtFt, w.InBoxLb, w.BoxAtFt * w.InBoxLb})
			y.SetVec(i, w.PanLb)
		}
		var qr mat.QR
		qr.Factorize(x)
		return func() coefficients {
			var beta mat.VecDense
			noisy := mat.VecDenseCopyOf(y)
			for i := range noisy.Len() {
				noisy.SetVec(i, y.AtVec(i)+spread*rng.NormFloat64())
			}
			if err := qr.SolveVecTo(&beta, false, noisy); err != nil {
				panic(err)
			}
			return coefficients{beta.AtVec(0), beta.AtVec(1), beta.AtVec(2), beta.AtVec(3)}
		}
	}
	const finish, inBox, topOutSD = 222.0, 16_000.0, 2.5
	asked, on := sides(t)
	asked.Pull.TopOutSD, on.Pull.TopOutSD = topOutSD, topOutSD
	rng := rand.New(rand.NewPCG(4, 4))
	spread := on.Fit.Spread.Lb
	drawA, drawB := draw(rng, bluestem(), spread), draw(rng, fescue(), spread)
	weights := map[panload.MatchAt][]float64{}
	for range draws {
		a, b := drawA(), drawB()
		// Marks at the finish; before that both boxes move evenly, so that the middle of the pull is the middle of the
		// way and Simpson's rule is exact.
		xA := 30 * math.Min(finish/(230+topOutSD*rng.NormFloat64()), 1)
		xB := 31 * math.Min(finish/(236+topOutSD*rng.NormFloat64()), 1)
		missing := func(share float64) float64 {
			return a[0] + a[1]*xA*share + inBox*(a[2]+a[3]*xA*share) - b[0] - b[1]*xB*share
		}
		g := func(share float64) float64 { return b[2] + b[3]*xB*share }
		simpson := func(of func(share float64) float64) float64 { return (of(0) + 4*of(0.5) + of(1)) / 6 }
		weights[panload.AtFinish] = append(weights[panload.AtFinish], missing(1)/g(1))
		weights[panload.OnAverage] = append(weights[panload.OnAverage], simpson(missing)/simpson(g))
		weights[panload.Overall] = append(weights[panload.Overall],
			simpson(func(d float64) float64 { return missing(d) * g(d) })/
				simpson(func(d float64) float64 { return g(d) * g(d) }))
	}
	for at, drawn := range weights {
		got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: finish, At: at})
		said := (got.InBox.HighLb - got.InBox.Lb) / on.Fit.Spread.T()
		mean, sd := stat.MeanStdDev(drawn, nil)
		t.Logf("%s: said %.1f lb, drawn %.1f lb about %.1f (%.1f said)", at, said, sd, mean, got.InBox.Lb)
		assert.InEpsilon(t, sd, said, tolerance, at)
	}
}

// A sled onto itself needs the same weight, exactly; there and back comes back; heavier asked is heavier answered.
func TestSolve_Properties(t *testing.T) {
	t.Parallel()
	asked, on := sides(t)
	for _, at := range []panload.MatchAt{panload.AtFinish, panload.OnAverage, panload.Overall, panload.HookAndFinish} {
		self := asked
		got := panload.Solve(panload.Question{Asked: asked, On: self, FinishFt: 300, At: at})
		require.Empty(t, got.Cannot, at)
		assert.InDelta(t, asked.InBoxLb, got.InBox.Lb, 1e-6, at)
		require.NotNil(t, got.MeanLb, at)
		assert.InDelta(t, 0, *got.MeanLb, 1e-6, at)
		for _, r := range got.Remaining {
			assert.InDelta(t, 0, r.HighLb-r.LowLb, 1e-6, "the same weighings err alike")
		}
		last := math.Inf(-1)
		for _, w := range []float64{12_000, 14_000, 16_000, 18_000} {
			heavier := asked
			heavier.InBoxLb = w
			there := panload.Solve(panload.Question{Asked: heavier, On: on, FinishFt: 300, At: at})
			if at == panload.HookAndFinish {
				continue // blocks on the pan of the one stand for the box of the other
			}
			assert.Greater(t, there.InBox.Lb, last, at)
			last = there.InBox.Lb
			back := on
			back.InBoxLb = there.InBox.Lb
			again := panload.Solve(panload.Question{Asked: back, On: asked, FinishFt: 300, At: at})
			if at == panload.AtFinish || at == panload.OnAverage {
				assert.InDelta(t, w, again.InBox.Lb, 1e-6, at)
			}
		}
	}
}

func TestSolve_SaysWhyThereIsNoWeight(t *testing.T) {
	t.Parallel()
	most := 13_000.0
	for _, c := range []struct {
		name   string
		change func(asked, on *panload.Side)
		at     panload.MatchAt
		want   panload.Cannot
	}{
		{"blocks do not reach the hook", func(_, _ *panload.Side) {}, panload.AtHook, panload.BlocksDoNothing},
		{"the asked sled carries next to nothing", func(a, _ *panload.Side) { a.InBoxLb, a.OnPanLb = 0, -4000 },
			panload.AtFinish, panload.BelowEmpty},
		{"there are not so many blocks", func(_, b *panload.Side) {
			b.Fit.Sled.Blocks = []fleet.Block{{Lb: 2000,
				Count: 6}}
		},
			panload.AtFinish, panload.MoreThanOnHand},
		{"the box may not hold so much", func(_, b *panload.Side) { b.Fit.Sled.MostInBoxLb = &most },
			panload.AtFinish, panload.BeyondLimit},
		{"the pan may not carry so much", func(_, b *panload.Side) { b.Fit.Sled.MostOnPanLb = &most },
			panload.AtFinish, panload.BeyondLimit},
		{"nobody knows where the boxes top out", func(a, b *panload.Side) {
			a.Pull.TopOutSD, b.Pull.TopOutSD = 60, 60
			a.Pull.TopOutFt, b.Pull.TopOutFt = 330, 336
		}, panload.AtFinish, panload.TooUncertain},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			asked, on := sides(t)
			c.change(&asked, &on)
			got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: c.at})
			assert.Equal(t, c.want, got.Cannot)
		})
	}
	asked, on := sides(t)
	on.Fit = fitted(t, panload.Sled{TravelFt: 31, Weighings: weighed([3]float64{0, 0, 12160}, [3]float64{31, 0,
		18240})}, pooled())
	got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtFinish})
	assert.Equal(t, panload.NotWeighed, got.Cannot, "with one loading only that loading can be answered")
	_, ok := on.Fit.Pan(15, 0, 0)
	assert.True(t, ok)
	_, ok = on.Fit.Pan(15, 5000, 0)
	assert.False(t, ok)
}

// Where less than nothing is wanted and no blocks are on file, what remains is that of an empty box.
func TestSolve_LeavesABoxEmptyAtLeast(t *testing.T) {
	t.Parallel()
	asked, on := sides(t)
	asked.InBoxLb, asked.OnPanLb, on.Fit.Sled.Blocks = 0, -4000, nil
	got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtFinish})
	require.Equal(t, panload.BelowEmpty, got.Cannot)
	empty, ok := on.Fit.Pan(31, 0, 0)
	require.True(t, ok)
	top, ok := asked.Fit.Pan(30, 0, -4000)
	require.True(t, ok)
	assert.InDelta(t, empty.Lb-top.Lb, got.Remaining[len(got.Remaining)-1].Lb, 1e-6)
}

func TestRoundTo_TakesTheNearestOfTheFewestBlocks(t *testing.T) {
	t.Parallel()
	blocks := []fleet.Block{{Lb: 500, Count: 1}, {Lb: 2000, Count: 3}, {Lb: 1000, Count: 2}}
	for want, lb := range map[float64]float64{0: -300, 500: 700, 1000: 800, 4000: 4100, 8500: 20_000, 2500: 2300} {
		got, ok := panload.StockOf(blocks).RoundTo(lb, 0)
		require.True(t, ok)
		assert.Equal(t, want, got.Lb, "%g lb", lb)
	}
	got, _ := panload.StockOf(blocks).RoundTo(4000, 0)
	assert.Equal(t, []panload.Block{{Lb: 2000, Count: 2}}, got.Blocks)
	_, ok := panload.StockOf(nil).RoundTo(4000, 0)
	assert.False(t, ok)
}

// What lies on the pan is not in the box: of nine blocks of 2,000 lb and one of 300 lb with 5,200 lb on the pan there
// are 13,100 lb left, which is less than seven.
func TestSolve_RoundsToWhatIsLeftOfTheBlocks(t *testing.T) {
	t.Parallel()
	for q := 3000.0; q < 6000; q += 100 {
		asked, on := sides(t)
		asked.OnPanLb = q
		on.Fit.Sled.Blocks = []fleet.Block{{Lb: 2000, Count: 9}, {Lb: 300, Count: 1}}
		got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.HookAndFinish})
		require.NotNil(t, got.Rounded)
		assert.LessOrEqual(t, got.Rounded.Lb+got.OnPanLb, 18_300.5, "with %g lb on the pan", q)
	}
	stock := panload.StockOf([]fleet.Block{{Lb: 2000, Count: 9}, {Lb: 300, Count: 1}})
	for left, want := range map[float64]float64{0: 14_000, 4300: 14_000, 4301: 12_300, 5200: 12_300, 18_300: 0,
		20_000: 0} {
		got, ok := stock.RoundTo(14_100, left)
		require.True(t, ok)
		assert.InDelta(t, want, got.Lb, 0, "%g lb left", left)
	}
}

func TestNext_NamesWhatIsStillWorthWeighing(t *testing.T) {
	t.Parallel()
	s := panload.Sled{TravelFt: 30}
	assert.Len(t, panload.Next(s), 6)
	assert.Equal(t, panload.State{Mark: panload.Back}, panload.Next(s)[0])
	assert.Empty(t, panload.Next(bluestem()))
	at0 := panload.Sled{Weighings: weighed([3]float64{0, 0, 10_720})}
	assert.NotContains(t, panload.Next(at0), panload.State{Mark: panload.Back}, "without a travel")
	s.Weighings = weighed([3]float64{0, 0, 1}, [3]float64{29.5, 12_000, 1})
	assert.Equal(t, panload.State{Mark: panload.Top}, panload.Next(s)[0])
}

func TestChecks_HoldTheWeighingsAgainstTheTape(t *testing.T) {
	t.Parallel()
	s := bluestem()
	s.Loading = taped(28.2, 5100, 100, -2.7)
	assert.Empty(t, fitted(t, s, pooled()).Checks())
	s.Loading = taped(33, 7500, 100, 2.7)
	var found []panload.CheckCode
	for _, k := range fitted(t, s, pooled()).Checks() {
		found = append(found, k.Code)
	}
	assert.ElementsMatch(t, []panload.CheckCode{panload.LengthOff, panload.BoxOff, panload.CenterOff}, found)
}

// A weight that comes out as the very one there is, but for the rounding of numbers, is that one.
func TestSolve_RefusesNothingForRounding(t *testing.T) {
	t.Parallel()
	for lb := 1000.0; lb <= 20_000; lb += 1500 {
		for topOut := 200.0; topOut < 260; topOut += 7 {
			asked, _ := sides(t)
			on := asked
			on.Fit, on.Pull.TopOutFt, asked.InBoxLb = fitted(t, bluestem(), pooled()), topOut, lb
			on.Fit.Sled.Blocks = []fleet.Block{{Lb: 500, Count: int(lb / 500)}}
			on.Fit.Sled.MostInBoxLb = &lb
			q := panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtFinish}
			require.Empty(t, panload.Solve(q).Cannot, "%g lb, %g ft", lb, topOut)
			q.Asked.InBoxLb, q.Asked.OnPanLb, q.On.OnPanLb = 0, lb/3, lb/3
			got := panload.Solve(q)
			require.Empty(t, got.Cannot, "%g lb, %g ft", lb, topOut)
			assert.GreaterOrEqual(t, got.InBox.Lb, 0.0)
		}
	}
	asked, _ := sides(t)
	on := asked
	asked.InBoxLb = 12_001
	on.Fit = fitted(t, bluestem(), pooled())
	on.Fit.Sled.Blocks = []fleet.Block{{Lb: 2000, Count: 6}}
	got := panload.Solve(panload.Question{Asked: asked, On: on, FinishFt: 300, At: panload.AtFinish})
	assert.Equal(t, panload.MoreThanOnHand, got.Cannot, "a pound is more")
}

// Of a sled that bends it is a middle weighing that is named, in whatever order they were entered.
func TestChecks_NameAMiddleWeighingOfASledThatBends(t *testing.T) {
	t.Parallel()
	for _, off := range []float64{700, 1000, -700} {
		s := bluestem()
		s.Weighings = weighed([3]float64{0, 0, 10_700}, [3]float64{15, 0, 13_400 + off}, [3]float64{30, 0, 16_100},
			[3]float64{0, 12_000, 9_560}, [3]float64{15, 12_000, 18_650 + off}, [3]float64{30, 12_000, 27_740})
		for i := range s.Weighings {
			s.Weighings[i].ID = fmt.Sprintf("%g ft, %g lb", s.Weighings[i].BoxAtFt, s.Weighings[i].InBoxLb)
		}
		for range 2 {
			found := fitted(t, s, pooled()).Checks()
			at := slices.IndexFunc(found, func(k panload.Check) bool { return k.Code == panload.MiddleOff })
			require.GreaterOrEqual(t, at, 0, "%+v", found)
			assert.Contains(t, found[at].Weighing, "15 ft")
			assert.NotContains(t, found[at].Others, found[at].Weighing)
			assert.Equal(t, off > 0, found[at].Noted > found[at].Expected)
			slices.Reverse(s.Weighings)
		}
	}
}
