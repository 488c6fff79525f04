package words

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func TestTakenIn_SaysWhatADocumentBrings(t *testing.T) {
	t.Parallel()
	of := fleet.Guest{Owner: "The Ridge Crew", AsOf: time.Date(2026, 11, 28, 9, 0, 0, 0, time.UTC)}
	for want, in := range map[string]Taken{
		"New here: Fescue is a guest of The Ridge Crew; its numbers are theirs, of 2026-11-28, with 18 readings, " +
			"1 change of parts, 5 weighings.": {New: true, Readings: 18, Changes: 1, Weighings: 5},
		"Fescue is a guest of The Ridge Crew; its numbers are theirs, of 2026-11-28. It brings 1 new reading, " +
			"2 changes of parts, a correction of the sled itself. What was set aside here stays so: 2 readings.": {
			Readings: 1, Changes: 2, Corrected: true, StillSetAside: 2},
		"Fescue is a guest of The Ridge Crew; its numbers are theirs, of 2026-11-28. Nothing new but the date.": {},
	} {
		in.Name, in.Guest = "Fescue", of
		assert.Equal(t, want, TakenIn(in))
	}
	assert.Empty(t, Guest("Brome", nil))
}

func TestOwnReading_SaysHowItFits(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "Fits: the owner's chart expects one pull at 300 ± 6 ft.",
		plain(OwnReading(302, 300, 294, 306, true, fleet.InFeet)))
	assert.Equal(t, "Does not fit: 20 ft later than the 300 ± 6 ft that the owner's chart expects of one pull.",
		plain(OwnReading(320, 300, 294, 306, false, fleet.InFeet)))
}
