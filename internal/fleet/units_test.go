package fleet_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"evenpull/internal/fleet"
)

// NIST Special Publication 811, Appendix B: 1 ft = 0.3048 m, 1 in = 25.4 mm and 1 mile = 5280 ft = 1609.344 m, all
// exactly.
func TestUnits_ByNISTSP811(t *testing.T) {
	t.Parallel()
	assert.Equal(t, 0.3048, fleet.InMeters.From(1))
	assert.InDelta(t, 1609.344, fleet.InMeters.From(fleet.FeetPerMile), 1e-9)
	assert.InDelta(t, 25.4, 1000*fleet.InMeters.From(1.0/fleet.InchesPerFoot), 1e-12)
	assert.InDelta(t, 1, fleet.Feet(0.3048), 1e-15)
	// Common practice, no source: a full pull is about 300 ft, or 100 m.
	assert.InDelta(t, 328, fleet.Feet(100), 0.1)
	assert.Equal(t, 7.0, fleet.InFeet.From(7))
	assert.InDelta(t, 3.048, fleet.InMeters.From(10), 1e-12)
}

func TestUnits_ConvertThereAndBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		ft := rapid.Float64Range(1e-6, 20_000).Draw(t, "feet")
		assert.InEpsilon(t, ft, fleet.Feet(fleet.InMeters.From(ft)), 1e-14)
	})
}
