package fleet_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func TestCheckStart_RefusesWhereNoBoxCanStandInBothUnits(t *testing.T) {
	t.Parallel()
	travel := 34.5
	for start, want := range map[float64]string{
		0:            "",
		34:           "",
		-1:           "the start position must be 0 to 200 ft (61 m), not -1 ft (-0.3 m)",
		250:          "the start position must be 0 to 200 ft (61 m), not 250 ft (76.2 m)",
		34.5:         "the box of Bluestem tops out at 34.5 ft (10.5 m) of travel; it cannot start at 34.5 ft (10.5 m)",
		36:           "the box of Bluestem tops out at 34.5 ft (10.5 m) of travel; it cannot start at 36 ft (11 m)",
		math.Inf(1):  "the start position must be 0 to 200 ft (61 m), not +Inf ft (+Inf m)",
		math.Inf(-1): "the start position must be 0 to 200 ft (61 m), not -Inf ft (-Inf m)",
	} {
		var f fleet.Faults
		fleet.CheckStart(&f, "start_ft", start, "Bluestem", &travel)
		if want == "" {
			assert.NoError(t, f.Err(), "from %g ft", start)
			continue
		}
		assert.ErrorContains(t, f.Err(), "start_ft: "+want)
	}
	var f fleet.Faults
	fleet.CheckStart(&f, "start_ft", 36, "", nil)
	assert.NoError(t, f.Err(), "nobody knows how far this box travels")
	fleet.CheckStart(&f, "start_ft", math.NaN(), "", nil)
	assert.Error(t, f.Err())
}

// 1 ft is 0.3048 m exactly: NIST Special Publication 811, Appendix B.
func TestFeetAndMeters_SayTheSameDistance(t *testing.T) {
	t.Parallel()
	for feet, want := range map[float64]string{
		0:         "0 ft (0 m)",
		0.01:      "0.01 ft (0.003048 m)",
		0.5:       "0.5 ft (0.2 m)",
		34.5:      "34.5 ft (10.5 m)",
		229.65879: "229.659 ft (70 m)",
		20_000:    "20000 ft (6096 m)",
		1e300:     "1e+300 ft (3.048e+299 m)",
	} {
		assert.Equal(t, want, fleet.FeetAndMeters(feet))
	}
	assert.Equal(t, "0 to 200 ft (61 m)", fleet.BetweenFeet(0, 200))
	assert.Equal(t, "3 to 200 ft (0.9 to 61 m)", fleet.BetweenFeet(3, 200))
}
