package driveline_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"evenpull/internal/driveline"
)

// topOut is c + L/r in feet: from full back, with travel L and take-up c in feet.
func topOut(boxPerGround, travelFt, takeUpFt float64) float64 {
	return takeUpFt + travelFt/boxPerGround
}

// ASME B29.1, from memory: the last digit aside, a roller chain's number is its pitch in eighths of an inch.
func TestChainPitch_FollowsTheChainsNumber(t *testing.T) {
	t.Parallel()
	for number, pitch := range map[int]float64{80: 1.00, 100: 1.25, 120: 1.50, 140: 1.75, 160: 2.00} {
		assert.InDelta(t, pitch, float64(number/10)/8, 1e-12)
	}
}

// Machinery's Handbook, sprocket tables, from memory: pitch diameter P / sin(180°/N), 6.3925 in for P = 1 in and
// N = 20. The chain moves N × P a turn: the perimeter of the polygon that the pins stand on, N sides of P, not the
// circle's.
func TestFtPerTurn_IsThePolygonOfTheHandbook(t *testing.T) {
	t.Parallel()
	diameter := 1 / math.Sin(math.Pi/20)
	assert.InDelta(t, 6.3925, diameter, 0.0001)
	side := diameter * math.Sin(math.Pi/20)
	ft, ok := driveline.Parts{SprocketTeeth: 20, ChainPitchIn: 1}.FtPerTurn()
	require.True(t, ok)
	assert.InDelta(t, 20*side/12, ft, 1e-12)
	assert.Less(t, ft*12, math.Pi*diameter)
}

// NIST Special Publication 811, Appendix B: 1 mile = 5280 ft; so 1 mile/h = 22/15 ft/s, and 500 revolutions a mile are
// 10.56 ft each.
func TestMiles_ByNISTSP811(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 22.0/15, driveline.CutOffAt(1, 1, 0, 0).BoxSpeedFtS, 1e-15)
	assert.InDelta(t, 10.56, driveline.CircumferenceFt(500), 1e-12)
}

// Common practice, no source: drive axle near 3.7 to 4.3, final near 5.5 to 6.5, No. 140 chain, truck tires near 500
// revolutions a mile, box travel near 30 ft and a close-ratio five-speed around direct top out between about 190 and
// 280 ft for some ordinary sprocket.
func TestTopOut_OfOrdinaryPartsIsWhereOrdinarySledsTopOut(t *testing.T) {
	t.Parallel()
	for _, axle := range []float64{3.7, 4.0, 4.3} {
		for _, final := range []float64{5.5, 6.0, 6.5} {
			found := false
			for teeth := 6; teeth <= 20; teeth++ {
				p := driveline.Parts{SprocketTeeth: teeth, ChainPitchIn: 1.75, AxleRatio: axle, FinalRatio: final,
					TireCircumferenceFt: driveline.CircumferenceFt(500)}
				in := true
				for _, ratio := range []float64{1.17, 1.08, 1, 0.92, 0.85} {
					r, ok := p.BoxPerGround(driveline.Gear{Ratio: ratio})
					require.True(t, ok)
					top := topOut(r, 30, 0)
					in = in && top > 180 && top < 290
				}
				found = found || in
			}
			assert.True(t, found, "axle %g, final %g", axle, final)
		}
	}
}

// Dimensions: doubling what multiplies box feet per foot halves the top-out, and the other way round.
func TestTopOut_HasTheDimensionsOfItsFormula(t *testing.T) {
	t.Parallel()
	base := driveline.Parts{SprocketTeeth: 12, ChainPitchIn: 2, AxleRatio: 4.88, FinalRatio: 5.29,
		TireCircumferenceFt: 10.2}
	top := func(p driveline.Parts, g driveline.Gear) float64 {
		r, ok := p.BoxPerGround(g)
		require.True(t, ok)
		return topOut(r, 34.5, 0)
	}
	gear := driveline.Gear{Ratio: 1.31}
	// One turn of the wheel: 10.2 ft of ground, 4.88 turns into the axle, over 1.31 and 5.29 of those into the last
	// shaft, 2 ft of chain each: 10.2 ft of ground move the box 2 × 4.88/(1.31 × 5.29) = 1.40841 ft, so 34.5 ft take
	// 249.855 ft.
	assert.InDelta(t, 249.855, top(base, gear), 0.01)
	for name, change := range map[string]struct {
		to     driveline.Parts
		gear   driveline.Gear
		factor float64
	}{
		"teeth":         {with(base, func(p *driveline.Parts) { p.SprocketTeeth *= 2 }), gear, 0.5},
		"pitch":         {with(base, func(p *driveline.Parts) { p.ChainPitchIn *= 2 }), gear, 0.5},
		"axle":          {with(base, func(p *driveline.Parts) { p.AxleRatio *= 2 }), gear, 0.5},
		"final":         {with(base, func(p *driveline.Parts) { p.FinalRatio *= 2 }), gear, 2},
		"other":         {with(base, func(p *driveline.Parts) { p.OtherRatio = 2 }), gear, 2},
		"circumference": {with(base, func(p *driveline.Parts) { p.TireCircumferenceFt *= 2 }), gear, 2},
		"gear":          {base, driveline.Gear{Ratio: 2.62}, 2},
		"two-speed": {with(base, func(p *driveline.Parts) {
			p.AxleRatios = map[string]float64{"low": 9.76,
				"high": 4.88}
		}),
			driveline.Gear{Ratio: 1.31, Range: "low"}, 0.5},
		"one tooth of twelve": {with(base, func(p *driveline.Parts) { p.SprocketTeeth++ }), gear, 12.0 / 13},
	} {
		assert.InEpsilon(t, change.factor, top(change.to, change.gear)/top(base, gear), 1e-12, name)
	}
}

func with(p driveline.Parts, change func(*driveline.Parts)) driveline.Parts {
	change(&p)
	return p
}

func TestMissing_NamesWhatIsUnknown(t *testing.T) {
	t.Parallel()
	assert.Equal(t, []driveline.Part{driveline.SprocketAndChain, driveline.Axle, driveline.Final,
		driveline.TireCircumference, driveline.GearRatio}, driveline.Parts{}.Missing(driveline.Gear{}))
	p := driveline.Parts{BoxFtPerTurn: 2, AxleRatios: map[string]float64{"low": 6.6}, FinalRatio: 5,
		TireCircumferenceFt: 10}
	assert.Equal(t, []driveline.Part{driveline.Axle}, p.Missing(driveline.Gear{Ratio: 1, Range: "high"}),
		"a range that the axle lacks")
	_, ok := p.BoxPerGround(driveline.Gear{Ratio: 1})
	assert.False(t, ok)
}

func TestCutOff_IsRunOnAndCoast(t *testing.T) {
	t.Parallel()
	// 15 mile/h are 22 ft/s; at 0.1 box feet per foot the box runs 2.2 ft/s. In 0.3 s it is driven 0.66 ft on; at 4
	// ft/s² it coasts 2.2²/8 = 0.605 ft.
	c := driveline.CutOffAt(0.1, 15, 0.3, 4)
	assert.InDelta(t, 2.2, c.BoxSpeedFtS, 1e-12)
	assert.InDelta(t, 0.66, c.RunOnFt, 1e-12)
	assert.InDelta(t, 0.605, *c.CoastFt, 1e-12)
	assert.InDelta(t, 1.265, *c.RoomNeededFt, 1e-12)
	unknown := driveline.CutOffAt(0.1, 15, 0.3, 0)
	assert.Nil(t, unknown.CoastFt)
	assert.Nil(t, unknown.RoomNeededFt)
}

// Whatever the parts, a change of one ratio moves every gear's top-out by that ratio.
func TestTopOut_OfEveryGearFollowsOneRatio(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		ratio := rapid.Float64Range(0.2, 8)
		p := driveline.Parts{BoxFtPerTurn: ratio.Draw(t, "ft"), AxleRatio: ratio.Draw(t, "axle"),
			FinalRatio: ratio.Draw(t, "final"), TireCircumferenceFt: ratio.Draw(t, "tire")}
		q := p
		q.FinalRatio = ratio.Draw(t, "new final")
		for range 5 {
			g := driveline.Gear{Ratio: ratio.Draw(t, "gear")}
			a, okA := p.BoxPerGround(g)
			b, okB := q.BoxPerGround(g)
			require.True(t, okA && okB)
			assert.InEpsilon(t, q.FinalRatio/p.FinalRatio, topOut(b, 30, 0)/topOut(a, 30, 0),
				1e-9)
		}
	})
}
