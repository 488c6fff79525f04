package fleet_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

// The names are those of the IANA time zone database (https://www.iana.org/time-zones).
func TestZone_IsANameThatEveryMachineKnows(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"UTC", "America/Chicago", "America/Argentina/Buenos_Aires", "Etc/GMT+6",
		"America/Port-au-Prince", "Pacific/Kiritimati"} {
		zone, err := fleet.Zone(name)
		if assert.NoError(t, err, name) {
			assert.Equal(t, name, zone.String())
		}
	}
	for _, name := range []string{"", "Local", "localtime", "EST", "posix/America/Chicago", "right/America/Chicago",
		"America", "America/Chicago/", "/America/Chicago", "America/../Chicago", "America/Nowhere", "america/chicago",
		"CST6CDT,M3.2.0,M11.1.0", "A/" + strings.Repeat("b", fleet.MaxZoneLength)} {
		_, err := fleet.Zone(name)
		assert.ErrorContains(t, err, "time zone like America/Chicago", name)
	}
}
