package spreadsheet

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func TestPosition_KeepsTheFinestRailMarks(t *testing.T) {
	t.Parallel()
	for feet, want := range map[float64]string{0: "0", 0.25: "0.25", 0.5: "0.5", 10: "10", 34.333333: "34.33",
		1e-9: "0", -1e-9: "0"} {
		assert.Equal(t, want, Position(feet, fleet.InFeet))
	}
	assert.Equal(t, "0.08", Position(0.25, fleet.InMeters))
	assert.Equal(t, "-0.5", Distance(-0.5, fleet.InFeet))
	assert.Equal(t, "0.0", Distance(-0.04, fleet.InFeet))
}
