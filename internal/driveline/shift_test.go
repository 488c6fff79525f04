package driveline_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"evenpull/internal/driveline"
)

// Where all parts are known, a shift is ln(r before / r after), whatever was changed.
func TestShift_IsTheRatioOfBoxFeetPerGround(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		ratio := rapid.Float64Range(0.2, 8)
		draw := func(side string) (p driveline.Parts, g driveline.Gear) {
			p = driveline.Parts{FinalRatio: ratio.Draw(t, side+" final"), OtherRatio: ratio.Draw(t, side+" other"),
				TireCircumferenceFt: ratio.Draw(t, side+" tire")}
			if rapid.Bool().Draw(t, side+" two speeds") {
				p.AxleRatios, g.Range = map[string]float64{"low": ratio.Draw(t, side+" low"), "high": 4}, "low"
			} else {
				p.AxleRatio = ratio.Draw(t, side+" axle")
			}
			p.SprocketTeeth, p.ChainPitchIn = rapid.IntRange(8, 20).Draw(t, side+" teeth"), ratio.Draw(t, side+" pitch")
			g.Ratio = ratio.Draw(t, side+" gear")
			return p, g
		}
		before, was := draw("before")
		after, is := draw("after")
		if rapid.Bool().Draw(t, "measured") {
			before.BoxFtPerTurn, after.BoxFtPerTurn = 1.7, 2.1
		}
		a, _ := before.BoxPerGround(was)
		b, _ := after.BoxPerGround(is)
		shift, missing := driveline.Shift(before, was, after, is)
		require.Empty(t, missing)
		assert.InDelta(t, math.Log(a/b), shift, 1e-12)
		none, missing := driveline.Shift(before, was, before, was)
		assert.Empty(t, missing)
		assert.Zero(t, none)
	})
}

func TestShift_NeedsOnlyWhatWasChanged(t *testing.T) {
	t.Parallel()
	final := driveline.Parts{FinalRatio: 5.29}
	low := map[string]float64{"low": 6.6, "high": 4.88}
	for says, c := range map[string]struct {
		before, after driveline.Parts
		was, is       driveline.Gear
		want          float64
		missing       []driveline.Part
	}{
		"nothing known and nothing changed": {},
		"only the part that was changed": {before: final, after: driveline.Parts{FinalRatio: 5.9},
			want: math.Log(5.9 / 5.29)},
		"a part that was not known":              {after: final, missing: []driveline.Part{driveline.Final}},
		"another ratio is 1 where none is noted": {after: driveline.Parts{OtherRatio: 1.2}, want: math.Log(1.2)},
		"teeth of a chain nobody knows": {before: driveline.Parts{SprocketTeeth: 12},
			after: driveline.Parts{SprocketTeeth: 13}, want: math.Log(12.0 / 13)},
		"teeth where feet a turn had been measured": {before: driveline.Parts{SprocketTeeth: 12, BoxFtPerTurn: 2.01},
			after: driveline.Parts{SprocketTeeth: 13}, want: math.Log(12.0 / 13)},
		"teeth and pitch of what was only measured": {before: driveline.Parts{BoxFtPerTurn: 2},
			after: driveline.Parts{SprocketTeeth: 15, ChainPitchIn: 2}, want: math.Log(2 / 2.5)},
		"teeth alone of what was only measured": {before: driveline.Parts{BoxFtPerTurn: 2},
			after: driveline.Parts{SprocketTeeth: 15}, missing: []driveline.Part{driveline.SprocketAndChain}},
		"measured after, by teeth and pitch before": {before: driveline.Parts{SprocketTeeth: 12, ChainPitchIn: 2},
			after: driveline.Parts{SprocketTeeth: 12, ChainPitchIn: 2, BoxFtPerTurn: 2.5}, want: math.Log(2 / 2.5)},
		"one speed for two": {
			before: driveline.Parts{AxleRatio: 4}, after: driveline.Parts{AxleRatios: low},
			is:   driveline.Gear{Range: "low"},
			want: math.Log(4 / 6.6),
		},
		"one speed for two, in no range": {before: driveline.Parts{AxleRatio: 4},
			after: driveline.Parts{AxleRatios: low}, missing: []driveline.Part{driveline.Axle}},
		"a gear in no range of the same axle": {before: driveline.Parts{AxleRatios: low},
			after: driveline.Parts{AxleRatios: low}},
		"a gear in no range of another axle": {before: driveline.Parts{AxleRatios: low},
			after:   driveline.Parts{AxleRatios: map[string]float64{"low": 6}},
			missing: []driveline.Part{driveline.Axle}},
		"a gear's own ratio": {was: driveline.Gear{Ratio: 1.3}, is: driveline.Gear{Ratio: 1.4},
			want: math.Log(1.4 / 1.3)},
		"a gear's own ratio, not known before": {is: driveline.Gear{Ratio: 1.4},
			missing: []driveline.Part{driveline.GearRatio}},
	} {
		got, missing := driveline.Shift(c.before, c.was, c.after, c.is)
		assert.Equal(t, c.missing, missing, says)
		if len(c.missing) == 0 {
			assert.InDelta(t, c.want, got, 1e-12, says)
		}
	}
}

func TestLogSlowness_LeavesOutWhatAllGearsShare(t *testing.T) {
	t.Parallel()
	two := driveline.Parts{AxleRatios: map[string]float64{"low": 6.6}}
	assert.InDelta(t, math.Log(1.3), driveline.Parts{}.LogSlowness(driveline.Gear{Ratio: 1.3}), 1e-12,
		"the axle of one speed is shared")
	assert.InDelta(t, math.Log(1.3), driveline.Parts{AxleRatio: 4}.LogSlowness(driveline.Gear{Ratio: 1.3}), 1e-12)
	assert.InDelta(t, math.Log(1.3/6.6), two.LogSlowness(driveline.Gear{Ratio: 1.3, Range: "low"}), 1e-12)
	assert.True(t, math.IsNaN(two.LogSlowness(driveline.Gear{Ratio: 1.3})))
	assert.True(t, math.IsNaN(driveline.Parts{}.LogSlowness(driveline.Gear{})))
}
