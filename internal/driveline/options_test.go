package driveline_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/driveline"
)

// fiveGears is a sled of ordinary parts, with a factor of 1.2 % between measured and geared.
func fiveGears() driveline.Sled {
	s := driveline.Sled{
		Parts: driveline.Parts{SprocketTeeth: 12, ChainPitchIn: 1.75, AxleRatio: 4.1, FinalRatio: 5.9,
			TireCircumferenceFt: 10.56},
		TravelFt: 30, Factor: driveline.Factor{Log: math.Log(1.012)},
	}
	for _, ratio := range []float64{1.17, 1.08, 1, 0.92, 0.85} {
		s.Gears = append(s.Gears, driveline.Gear{Ratio: ratio})
	}
	return s
}

func ladderOf(t *testing.T, s driveline.Sled) []float64 {
	t.Helper()
	var out []float64
	for _, g := range s.Gears {
		r, ok := s.BoxPerGround(g)
		require.True(t, ok)
		out = append(out, topOut(r*math.Exp(-s.Factor.Log), s.TravelFt, s.TakeUpFt))
	}
	return out
}

// Two sleds alike but for one known part: that part comes first, alone.
func TestOptions_PutTheOnePartThatDiffersFirst(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change func(*driveline.Sled)
		same   func(driveline.Option) bool
	}{
		"final": {func(s *driveline.Sled) { s.FinalRatio = 6.2 },
			func(o driveline.Option) bool { return o.FinalRatio == 6.2 }},
		"sprocket": {func(s *driveline.Sled) { s.SprocketTeeth = 13 },
			func(o driveline.Option) bool { return o.SprocketTeeth == 13 }},
		"axle": {func(s *driveline.Sled) { s.AxleRatio = 3.9 },
			func(o driveline.Option) bool { return o.AxleRatio == 3.9 }},
		"tire": {func(s *driveline.Sled) { s.TireCircumferenceFt = 10.2 },
			func(o driveline.Option) bool { return o.TireCircumferenceFt == 10.2 }},
		"gears": {func(s *driveline.Sled) {
			s.Gears = nil
			for _, ratio := range []float64{1.25, 1.1, 1, 0.9, 0.8} {
				s.Gears = append(s.Gears, driveline.Gear{Ratio: ratio})
			}
		}, func(o driveline.Option) bool { return o.GearSet == 1 }},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			reference := fiveGears()
			c.change(&reference)
			got := driveline.Options(fiveGears(), driveline.Choices{
				SprocketTeeth: []int{11, 13, 14}, AxleRatio: []float64{3.7, 3.9, 4.3},
				FinalRatio:          []float64{5.5, 6.2, 6.5},
				TireCircumferenceFt: []float64{10.2, 10.9},
				GearSets:            [][]float64{{1.3, 1.1, 1, 0.9, 0.7}, {1.25, 1.1, 1, 0.9, 0.8}},
			}, ladderOf(t, reference), 10)
			require.Len(t, got, 10)
			assert.True(t, c.same(got[0]), "%+v", got[0])
			assert.Equal(t, 1, got[0].Changed)
			assert.InDelta(t, 0, got[0].WorstFt, 1e-9)
			for i, m := range got[0].Nearest {
				assert.Equal(t, i, m.Gear)
			}
			for i := 1; i < len(got); i++ {
				assert.GreaterOrEqual(t, got[i].MeanFt, got[i-1].MeanFt-0.01)
			}
		})
	}
}

// A ladder that is spaced otherwise cannot be met by any one ratio; one that is only faster can.
func TestBestFactor_MeetsALadderSpacedAlike(t *testing.T) {
	t.Parallel()
	ladder := []float64{200, 215, 235, 250}
	f, mean := driveline.BestFactor(ladder, []float64{220, 236.5, 258.5, 275}, 0)
	assert.InDelta(t, 1.1, f, 1e-12)
	assert.InDelta(t, 0, mean, 1e-9)
	_, mean = driveline.BestFactor(ladder, []float64{200, 222, 231, 260}, 0)
	assert.Greater(t, mean, 2.0)
	// With a take-up only the way beyond it is multiplied.
	f, mean = driveline.BestFactor([]float64{204}, []float64{224}, 4)
	assert.InDelta(t, 1.1, f, 1e-12)
	assert.InDelta(t, 0, mean, 1e-9)
	_, mean = driveline.BestFactor(nil, nil, 0)
	assert.True(t, math.IsNaN(mean))
}

func TestOptions_WithUnknownPartsAreNone(t *testing.T) {
	t.Parallel()
	assert.Empty(t, driveline.Options(driveline.Sled{Gears: []driveline.Gear{{}}}, driveline.Choices{}, []float64{240},
		5))
	assert.Empty(t, driveline.Options(fiveGears(), driveline.Choices{}, nil, 5))
	assert.Equal(t, 4*3, driveline.Choices{SprocketTeeth: []int{1, 2, 3}, FinalRatio: []float64{1, 2}}.Combinations())
}

// Worked by hand from the definition.
func TestReturnSpeed_IsBoundedFromThePartsByHand(t *testing.T) {
	t.Parallel()
	was := driveline.Parts{SprocketTeeth: 12, ChainPitchIn: 1.75, AxleRatio: 4.1, FinalRatio: 5.5,
		TireCircumferenceFt: 10.6}
	with := func(put func(p *driveline.Parts)) driveline.Parts {
		p := was
		put(&p)
		return p
	}
	for _, c := range []struct {
		what      string
		is        driveline.Parts
		low, high float64
	}{
		{"nothing changed leaves it", was, 1, 1},
		{"a sprocket of 15 teeth for 12 makes it a quarter faster, wherever it is driven from",
			with(func(p *driveline.Parts) { p.SprocketTeeth = 15 }), 1.25, 1.25},
		{"a final ratio of 5 for 5.5 leaves it, or makes it a tenth faster",
			with(func(p *driveline.Parts) { p.FinalRatio = 5 }), 1, 1.1},
		{"a final ratio of 6.875 for 5.5 leaves it, or makes it a fifth slower",
			with(func(p *driveline.Parts) { p.FinalRatio = 6.875 }), 0.8, 1},
		{"tires and axle have no part in it",
			with(func(p *driveline.Parts) { p.AxleRatio, p.TireCircumferenceFt = 3.7, 9.9 }), 1, 1},
	} {
		low, high, ok := driveline.ReturnSpeed(was, c.is)
		assert.True(t, ok, c.what)
		assert.InDelta(t, c.low, low, 1e-12, c.what)
		assert.InDelta(t, c.high, high, 1e-12, c.what)
	}
	_, _, ok := driveline.ReturnSpeed(was, driveline.Parts{FinalRatio: 5})
	assert.False(t, ok, "no sprocket is known")
	_, _, ok = driveline.ReturnSpeed(with(func(p *driveline.Parts) { p.FinalRatio = 0 }), was)
	assert.False(t, ok, "no final ratio was known")
}
