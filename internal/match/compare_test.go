package match_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// A worked case by hand. Six numbers in:
//
//	Bluestem: travel 30 ft, gear C, 252 ft and 256 ft from full back on one day.
//	Fescue: travel 32 ft, gear 2 at 244 ft and gear 3 at 258 ft from full back on one day.
//
// Bluestem C: repeats of one day count alike, so the chart has the mean of the logarithms, √(252 × 256) = √64512 =
// 253.992 ft. Fescue 3: 258 − 253.992 = 4.008 ft later. Fescue 2: 244 − 253.992 = −9.992 ft, earlier. Nearest: 3. Moved
// start: from s the box has (32 − s)/32 of its way left, so gear 3 tops out at 253.992 ft from s = 32 × (1 −
// 253.992/258) = 32 × 0.015535 = 0.497 ft; the nearest half-foot mark is 0.5 ft, from where it tops out at 258 ×
// 31.5/32 = 253.969 ft, 0.023 ft earlier than asked. Box speeds: 100 × 30/253.992 = 11.811 and 100 × 32/258 = 12.403 ft
// of box per 100 ft of ground. Both from 4 ft forward: Bluestem C at 253.992 × 26/30 = 220.126 ft, Fescue 3 at 258 ×
// 28/32 = 225.75 ft (5.624 later), Fescue 2 at 244 × 28/32 = 213.5 ft (6.626 earlier). Still 3.
func TestCompare_WorkedCaseByHand(t *testing.T) {
	t.Parallel()
	bluestem := &notebook{name: "Bluestem", travel: 30, gears: []string{"C"}}
	bluestem.add("C", 0, 252)
	bluestem.add("C", 0, 256)
	s := charted(bluestem, simple("Fescue", 32, map[string]float64{"2": 244, "3": 258}))

	asked := match.Look(setting(s[0], "C", 0))
	assert.InDelta(t, 253.992, asked.TopOutFt, 0.05)
	assert.InDelta(t, 11.811, *asked.BoxSpeed, 0.005)
	assert.Equal(t, fleet.Measured, asked.Basis)
	assert.Equal(t, 2, asked.Readings)

	a := match.Compare(setting(s[0], "C", 0), s[1], nil)
	assert.Equal(t, "3", a.Nearest.Gear)
	assert.InDelta(t, 258, a.Nearest.TopOutFt, 0.05)
	assert.InDelta(t, 4.008, a.Nearest.DifferenceFt, 0.05)
	assert.InDelta(t, 12.403, *a.Nearest.BoxSpeed, 0.005)
	assert.Less(t, a.Nearest.BoxSpeedLow, *a.Nearest.BoxSpeed)
	assert.Greater(t, a.Nearest.BoxSpeedHigh, *a.Nearest.BoxSpeed)
	assert.Equal(t, match.SameStart, a.Nearest.ComparedAt)
	assert.Equal(t, "3", a.MovedStart.Gear)
	assert.InDelta(t, 0.497, a.MovedStart.StartFt, 0.005)
	assert.InDelta(t, 0.5, a.MovedStart.RoundedStartFt, 1e-9)
	assert.InDelta(t, 253.969, a.MovedStart.TopOutFt, 0.05)
	assert.InDelta(t, -0.023, a.MovedStart.DifferenceFt, 0.05)
	assert.InDelta(t, a.MovedStart.DifferenceFt, (a.MovedStart.DifferenceLowFt+a.MovedStart.DifferenceHighFt)/2, 1e-9)
	assert.Greater(t, a.MovedStart.DifferenceHighFt-a.MovedStart.DifferenceLowFt,
		a.Nearest.DifferenceHighFt-a.Nearest.DifferenceLowFt, "setting the box adds to it")
	assert.False(t, a.MovedStart.WorthIt, "it saves less than 5 ft")

	moved := match.Compare(setting(s[0], "C", 4), s[1], nil)
	assert.Equal(t, "3", moved.Nearest.Gear)
	assert.InDelta(t, 225.75, moved.Nearest.TopOutFt, 0.05)
	assert.InDelta(t, 5.624, moved.Nearest.DifferenceFt, 0.05)
}

// Common practice, no source: a five-gear box drive tops out between about 190 and 280 ft from full back, neighboring
// gears 10 to 20 ft apart and not evenly spaced; two sleds of one fleet can be 20 ft apart in the same-named gear.
//
// With the difference D of a gear even between −20 and 20 ft and the steps u and w to its neighbors even between 10 and
// 20 ft, the same-named gear is nearest when −u/2 < D < w/2: with probability E(u + w)/2/40 = 15/40 for a gear between
// two others, 20/40 + 7.5/40 = 27.5/40 for one at an end. Another-named gear is nearest for 25/40 of the inner
// questions and 12.5/40 of the outer ones.
func TestCompare_NamesAnotherGearAsOftenAsTheArithmeticSays(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 5))
	questions := calibratetest.Rounds(4000, 800)
	other := map[bool]int{}
	for i := range 2 * questions {
		inner := i%2 == 0
		g := []int{0, 4}[rng.IntN(2)]
		if inner {
			g = 1 + rng.IntN(3)
		}
		a := ladder(rng, 0, 190+10*rng.Float64())
		b := ladder(rng, g, a[g]+40*rng.Float64()-20)
		s := charted(simple("Bluestem", 30, named(a)), simple("Fescue", 30, named(b)))
		label := fmt.Sprint(g + 1)
		if match.Compare(setting(s[0], label, 0), s[1], nil).Nearest.Gear != label {
			other[inner]++
		}
	}
	sd := math.Sqrt(0.625 * 0.375 / float64(questions))
	assert.InDelta(t, 25.0/40, float64(other[true])/float64(questions), 4*sd, "gears between two others")
	assert.InDelta(t, 12.5/40, float64(other[false])/float64(questions), 4*sd, "slowest and fastest gear")
}

// ladder draws five gears 10 to 20 ft apart around gear g at top.
func ladder(rng *rand.Rand, g int, top float64) []float64 {
	out := make([]float64, 5)
	out[g] = top
	for i := g + 1; i < 5; i++ {
		out[i] = out[i-1] + 10 + 10*rng.Float64()
	}
	for i := g - 1; i >= 0; i-- {
		out[i] = out[i+1] - 10 - 10*rng.Float64()
	}
	return out
}

func named(topOuts []float64) map[string]float64 {
	out := map[string]float64{}
	for i, t := range topOuts {
		out[fmt.Sprint(i+1)] = t
	}
	return out
}

// From full back and with every gear known, the way back from an equivalent never misses by more than the way out.
func TestCompare_WayBackNeverMissesByMore(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) *notebook {
			topOuts := map[string]float64{}
			for i := range rapid.IntRange(1, 6).Draw(t, name+" gears") {
				topOuts[fmt.Sprint(i+1)] = rapid.Float64Range(150, 320).Draw(t, "top-out")
			}
			return simple(name, rapid.Float64Range(25, 40).Draw(t, "travel"), topOuts)
		}
		s := charted(draw("Bluestem"), draw("Fescue"))
		for _, label := range s[0].Sled.Labels() {
			out := match.Compare(setting(s[0], label, 0), s[1], nil)
			back := match.Compare(setting(s[1], out.Nearest.Gear, 0), s[0], nil)
			assert.LessOrEqual(t, math.Abs(back.Nearest.DifferenceFt), math.Abs(out.Nearest.DifferenceFt)+1e-9)
			sum := 0.0
			for _, g := range out.Gears {
				assert.GreaterOrEqual(t, g.ChanceNearest, 0.0)
				assert.LessOrEqual(t, g.ChanceNearest, 1.0)
				sum += g.ChanceNearest
			}
			assert.InDelta(t, 1, sum, 1e-9)
		}
	})
}

func TestCompare_SaysWhatIsOutOfReach(t *testing.T) {
	t.Parallel()
	// Half the end step is 5 ft at either end.
	other := map[string]float64{"1": 220, "2": 230, "3": 240}
	for _, c := range []struct {
		name   string
		asked  float64
		travel float64
		want   bool
	}{
		{"within half a step of the slowest gear is within reach", 244.9, 30, false},
		{"more than half a step beyond the slowest gear nothing can help", 245.2, 30, true},
		{"as far beyond the fastest a moved start gets there", 214, 30, false},
		{"beyond the fastest by more than a moved start of 6 ft can do", 174, 30, true}, // 220 × 24/30 = 176
		{"beyond the fastest where no start can be moved for want of a travel", 214, 0, true},
		{"within half a step of the fastest gear without a travel", 215.1, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := charted(simple("Bluestem", 30, map[string]float64{"A": c.asked}), simple("Fescue", c.travel, other))
			a := match.Compare(setting(s[0], "A", 0), s[1], nil)
			require.NotNil(t, a.Nearest.OutOfReach)
			assert.Equal(t, c.want, *a.Nearest.OutOfReach)
		})
	}
	s := charted(simple("Bluestem", 30, map[string]float64{"A": 250}),
		simple("Fescue", 30, map[string]float64{"1": 220}))
	assert.Nil(t, match.Compare(setting(s[0], "A", 0), s[1], nil).Nearest.OutOfReach,
		"a sled with one gear is not judged")

	alike := charted(simple("Bluestem", 30, map[string]float64{"A": 240.3, "B": 224.7, "C": 241}),
		simple("Fescue", 0, map[string]float64{"1": 240, "2": 240, "3": 225, "4": 225}))
	for label, want := range map[string]bool{"A": false, "B": false, "C": true} {
		a := match.Compare(setting(alike[0], label, 0), alike[1], nil)
		assert.Equal(t, want, *a.Nearest.OutOfReach, "%s, beyond two gears alike", label)
	}
}

// Where the other sled starts forward, a start moved back makes it later.
func TestCompare_BeyondTheSlowestGearMayBeReachedFromFurtherBack(t *testing.T) {
	t.Parallel()
	s := charted(simple("Bluestem", 30, map[string]float64{"A": 238}),
		simple("Fescue", 30, map[string]float64{"1": 240, "2": 225}))
	for start, out := range map[float64]bool{6: false, 7: true} { // 238 ft are 0.25 ft from the stop
		a := match.Compare(setting(s[0], "A", 0), s[1], &start)
		assert.Less(t, a.Nearest.DifferenceFt, -40.0)
		assert.True(t, a.MovedStart.WorthIt)
		assert.Equal(t, out, *a.Nearest.OutOfReach, "from %g ft", start)
	}
}

func TestCompare_IsMadeWhereBothAreKnown(t *testing.T) {
	t.Parallel()
	taped := simple("Bluestem", 30, map[string]float64{"A": 250, "B": 235})
	untaped := simple("Fescue", 0, map[string]float64{"1": 252, "2": 238})
	s := charted(taped, untaped, &notebook{name: "Timothy", gears: []string{"1"}})
	four := 4.0

	full := match.Compare(setting(s[0], "A", 4), s[1], nil)
	assert.Equal(t, match.FullBack, full.Nearest.ComparedAt)
	assert.InDelta(t, 2, full.Nearest.DifferenceFt, 1e-6, "252 against 250 from full back")
	assert.Equal(t, match.Because{Reason: match.ComparedFullBack, Sled: "Fescue", StartFt: 4}, full.Because)
	assert.Nil(t, full.MovedStart, "without a travel no start can be moved")
	assert.Nil(t, full.Nearest.BoxSpeed)

	other := match.Compare(setting(s[1], "1", 0), s[0], &four)
	assert.Equal(t, match.AskedStart, other.Nearest.ComparedAt)
	assert.Empty(t, other.Because)
	assert.InDelta(t, 250*26.0/30-252, other.Nearest.DifferenceFt, 1e-6)

	same := 0.0
	assert.Equal(t, match.SameStart, match.Compare(setting(s[1], "1", 0), s[0], &same).Nearest.ComparedAt)

	unknown := match.Compare(setting(s[0], "A", 0), s[2], nil)
	assert.Nil(t, unknown.Nearest)
	assert.Equal(t, match.Because{Reason: match.Unknown, Sled: "Timothy"}, unknown.Because)
	nothing := match.Compare(setting(s[2], "1", 0), s[0], nil)
	assert.Nil(t, nothing.Nearest)
	assert.Equal(t, match.Because{Reason: match.AskedUnknown, Sled: "Timothy", Gear: "1"}, nothing.Because)
}

func TestCompare_TiesGoToTheSlowerGear(t *testing.T) {
	t.Parallel()
	s := charted(simple("Bluestem", 30, map[string]float64{"A": 250}),
		simple("Fescue", 30, map[string]float64{"fast": 244, "slow": 256}))
	a := match.Compare(setting(s[0], "A", 0), s[1], nil)
	assert.Equal(t, "slow", a.Nearest.Gear)
	assert.Equal(t, match.TossUp, a.Nearest.Confidence)
	assert.Equal(t, "fast", a.RunnerUp.Gear)
}

func TestCompare_OfASledWithItselfIsTheSameGear(t *testing.T) {
	t.Parallel()
	s := charted(simple("Bluestem", 30, map[string]float64{"A": 250, "B": 236}))
	a := match.Compare(setting(s[0], "A", 0), s[0], nil)
	assert.Equal(t, "A", a.Nearest.Gear)
	assert.Zero(t, a.Nearest.DifferenceFt)
	assert.InDelta(t, 0, a.Nearest.DifferenceHighFt, 1e-6, "a setting does not differ from itself")
	assert.InDelta(t, 1, a.Nearest.ChanceNearestOnAverage, 1e-3)
	assert.Less(t, a.Nearest.ChanceNearest, a.Nearest.ChanceNearestOnAverage,
		"any night may be another than the average")
	// Both gears share the day, so their difference is better known than either.
	b := match.Compare(setting(s[0], "A", 0), s[0], nil).Gears[1]
	two := charted(simple("Bluestem", 30, map[string]float64{"A": 250, "B": 236}),
		simple("Fescue", 30, map[string]float64{"B": 236}))
	apart := match.Compare(setting(two[0], "A", 0), two[1], nil).Nearest
	assert.InDelta(t, b.DifferenceFt, apart.DifferenceFt, 1e-9)
}

// A pull that lies too far off moves nothing, and the start position that it alone was made from is then none of the
// chart's.
func TestCompare_OfASledWithItselfOnANightWithAStray(t *testing.T) {
	t.Parallel()
	n := &notebook{name: "Bluestem", gears: []string{"A", "B", "C"}}
	for day, later := range map[string]float64{"2026-05-02": -1, "2026-05-09": 0, "2026-05-16": 1} {
		for g, full := range map[string]float64{"A": 210, "B": 230, "C": 250} {
			for _, start := range []float64{0, 4, 8} {
				n.add(g, start, full*(1-start/30)+later, func(r *fleet.Figure) { r.Day, r.MeasuredOn = day, day })
			}
		}
	}
	const tonight = "2026-05-23"
	n.add("B", 6, 222, func(r *fleet.Figure) { r.Day, r.MeasuredOn = tonight, tonight })
	usual := charted(n)[0]
	on := match.Side{Sled: usual.Sled, Chart: usual.Chart.On(tonight)}
	require.Len(t, on.Chart.Night().Strays, 1)
	require.Empty(t, usual.Chart.LeftOut())
	for _, gear := range usual.Sled.Labels() {
		for _, start := range []float64{0, 4, 8} {
			near := match.Compare(setting(usual, gear, start), on, nil).Nearest
			assert.Equal(t, gear, near.Gear)
			assert.Zero(t, near.DifferenceFt)
			assert.InDelta(t, 0, near.DifferenceHighFt, 1e-6)
		}
	}
}

func TestMovedStart_IsWorthItWhereItSavesFiveFeet(t *testing.T) {
	t.Parallel()
	s := charted(simple("Bluestem", 30, map[string]float64{"A": 242}),
		simple("Fescue", 30, map[string]float64{"1": 250, "2": 230}))
	a := match.Compare(setting(s[0], "A", 0), s[1], nil)
	require.NotNil(t, a.MovedStart)
	assert.Equal(t, "1", a.MovedStart.Gear, "2 tops out before it from anywhere")
	assert.InDelta(t, 30*(1-242.0/250), a.MovedStart.StartFt, 1e-9)
	assert.InDelta(t, 1.0, a.MovedStart.RoundedStartFt, 1e-9)
	assert.InDelta(t, 250*29.0/30-242, a.MovedStart.DifferenceFt, 1e-6)
	assert.True(t, a.MovedStart.WorthIt)
	atStop := charted(simple("Bluestem", 30, map[string]float64{"A": 250}),
		simple("Fescue", 30, map[string]float64{"1": 250}))
	none := match.Compare(setting(atStop[0], "A", 0), atStop[1], nil)
	assert.Zero(t, none.MovedStart.StartFt)
	assert.False(t, none.MovedStart.WorthIt)
	assert.Less(t, none.MovedStart.HighFt-none.MovedStart.LowFt, a.MovedStart.HighFt-a.MovedStart.LowFt,
		"a moved start repeats less well than the stop")
}
