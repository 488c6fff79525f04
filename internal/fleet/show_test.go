package fleet_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

// The day of a show is its id, or as much of the id's end as the name of a day can have.
func TestShow_DayFitsTheNameOfATestDay(t *testing.T) {
	t.Parallel()
	for id, want := range map[string]string{
		"harvest-pull-2099-07-18":                      "harvest-pull-2099-07-18",
		strings.Repeat("a", 49) + "-2099-07-18":        strings.Repeat("a", 49) + "-2099-07-18",
		strings.Repeat("a", 80) + "-2099-07-18-2":      strings.Repeat("a", 47) + "-2099-07-18-2",
		strings.Repeat("é", 80) + "-2099-07-18":        strings.Repeat("é", 49) + "-2099-07-18",
		"x-" + strings.Repeat("a", 48) + "-2099-07-18": strings.Repeat("a", 48) + "-2099-07-18",
	} {
		assert.Equal(t, want, fleet.Show{ID: id}.Day(), id)
	}
}
