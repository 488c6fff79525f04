package driveline_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/driveline"
)

// Worked by hand from the definition.
func TestWhatPartsDoToTheReturnSpeed(t *testing.T) {
	t.Parallel()
	was := driveline.Parts{SprocketTeeth: 12, ChainPitchIn: 1.75, AxleRatio: 4.1, FinalRatio: 5.5, TireCircumferenceFt: 10.6}
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
		{"a final ratio of 5 for 5.5 leaves it, or makes it a tenth faster", with(func(p *driveline.Parts) { p.FinalRatio = 5 }), 1, 1.1},
		{"a final ratio of 6.875 for 5.5 leaves it, or makes it a fifth slower", with(func(p *driveline.Parts) { p.FinalRatio = 6.875 }), 0.8, 1},
		{"tires and axle have no part in it", with(func(p *driveline.Parts) { p.AxleRatio, p.TireCircumferenceFt = 3.7, 9.9 }), 1, 1},
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
