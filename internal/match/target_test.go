package match_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/match"
)

// A kept top-out answers as the setting did on the day it was kept.
func TestCompareTo_AnswersAsTheSettingDid(t *testing.T) {
	t.Parallel()
	s := charted(simple("Bluestem", 30, map[string]float64{"C": 254}),
		simple("Fescue", 32, map[string]float64{"2": 244, "3": 258}))
	asked := match.Look(setting(s[0], "C", 0))
	live := match.Compare(setting(s[0], "C", 0), s[1], nil)
	kept := match.CompareTo(match.Target{TopOutFt: asked.TopOutFt, PlusMinusFt: (asked.HighFt - asked.LowFt) / 2}, s[1],
		nil)
	assert.Equal(t, live.Nearest.Gear, kept.Nearest.Gear)
	assert.InDelta(t, live.Nearest.DifferenceFt, kept.Nearest.DifferenceFt, 1e-9)
	assert.InDelta(t, live.Nearest.DifferenceHighFt, kept.Nearest.DifferenceHighFt, 1.5,
		"the interval counts the kept part as known to infinite degrees of freedom")
	assert.InDelta(t, live.MovedStart.StartFt, kept.MovedStart.StartFt, 1e-9)
	assert.InDelta(t, live.Nearest.ChanceNearest, kept.Nearest.ChanceNearest, 0.05)
	four := 4.0
	assert.Equal(t, match.AskedStart,
		match.CompareTo(match.Target{TopOutFt: 250, PlusMinusFt: 3}, s[1], &four).Nearest.ComparedAt)
	nothing := match.CompareTo(match.Target{TopOutFt: 250, PlusMinusFt: 3},
		match.Side{Sled: s[1].Sled, Chart: charted(&notebook{name: "Sedge", gears: []string{"1"}})[0].Chart}, nil)
	assert.Nil(t, nothing.Nearest)
	assert.Equal(t, match.Unknown, nothing.Because.Reason)
	untaped := charted(simple("Sedge", 0, map[string]float64{"1": 252, "2": 238}))[0]
	forward := match.Target{TopOutFt: 250 * 26.0 / 30, PlusMinusFt: 3, StartFt: 4}
	there := match.CompareTo(forward, untaped, nil)
	assert.Nil(t, there.Nearest, "nothing is known of Sedge at 4 ft, nor of the class at full back")
	assert.Equal(t, match.Because{Reason: match.UnknownFromThere, Sled: "Sedge", StartFt: 4}, there.Because)
	forward.FullBackFt = 250
	back := match.CompareTo(forward, untaped, nil)
	assert.Equal(t, match.FullBack, back.Nearest.ComparedAt)
	assert.InDelta(t, 2, back.Nearest.DifferenceFt, 1e-9)
	assert.Equal(t, match.ComparedFullBack, back.Because.Reason)
}

// One class: the chance is the normal one, P(|D| ≤ 5) with D ~ N(gap, σ²). Two classes on the same gear stand and fall
// together as far as the sled's own error goes.
func TestWithin_IsTheChanceThatAllClassesStayWithin(t *testing.T) {
	t.Parallel()
	s := charted(simple("Fescue", 32, map[string]float64{"2": 244, "3": 258}))
	exact := func(topOut float64) match.Chosen {
		return match.Chosen{Target: match.Target{TopOutFt: topOut}, Gear: 1}
	}
	p, _ := s[0].Chart.Predict(1, 0)
	sd := math.Exp(p.Log) * math.Sqrt(s[0].Chart.Mean(p.Tonight).Total())
	phi := func(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }
	one := match.Within(5, []match.Chosen{exact(256)}, s[0])
	assert.InDelta(t, phi((5-2)/sd)-phi((-5-2)/sd), one, 0.01)
	assert.InDelta(t, one, match.Within(5, []match.Chosen{exact(256), exact(256)}, s[0]), 0.02,
		"as many draws, of one dimension more")
	assert.Less(t, match.Within(5, []match.Chosen{exact(256), exact(260)}, s[0]), one)
	assert.Zero(t, match.Within(5, []match.Chosen{{Gear: 9}}, s[0]))
	assert.Equal(t, 1.0, match.Within(5, nil, s[0]))
}
