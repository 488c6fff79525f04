package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

func TestMoved_SaysHowAClassWasSet(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		moved       match.Moved
		of          Suspect
		inFeet, inM string
	}{
		{
			match.Moved{Shows: 6, MeanFt: 8.2, Times: 5, OneWay: true}, Suspect{Sled: "Bluestem"},
			"Set later than planned at 5 of 6 shows, by 8 ft on average: the top-out noted for this class, or the " +
				"chart of Bluestem that it comes from, may be off.",
			"Set later than planned at 5 of 6 shows, by 2.5 m on average: the top-out noted for this class, or the " +
				"chart of Bluestem that it comes from, may be off.",
		},
		{
			match.Moved{Shows: 6, MeanFt: -8.2, Times: 6, OneWay: true}, Suspect{Sled: "Fescue", Only: true},
			"Set earlier than planned at 6 of 6 shows, by 8 ft on average: the chart of Fescue, or the top-out " +
				"noted for this class, may be off.",
			"Set earlier than planned at 6 of 6 shows, by 2.5 m on average: the chart of Fescue, or the top-out " +
				"noted for this class, may be off.",
		},
		{
			match.Moved{Shows: 8, MeanFt: 3.24, Times: 4}, Suspect{},
			"Set 3.2 ft later than planned on average.", "Set 0.99 m later than planned on average.",
		},
		{
			match.Moved{Shows: 3, MeanFt: -3.24, Times: 2}, Suspect{},
			"Set 3.2 ft earlier than planned on average, at the 3 shows of 8 that noted it.",
			"Set 0.99 m earlier than planned on average, at the 3 shows of 8 that noted it.",
		},
		{
			match.Moved{Shows: 1, MeanFt: 0.4}, Suspect{},
			"Set as planned on average, at the 1 show of 8 that noted it.",
			"Set as planned on average, at the 1 show of 8 that noted it.",
		},
		{match.Moved{}, Suspect{}, "What was set was not noted at any of its shows.",
			"What was set was not noted at any of its shows."},
	} {
		assert.Equal(t, c.inFeet, plain(Moved(c.moved, 8, c.of, fleet.InFeet)))
		assert.Equal(t, c.inM, plain(Moved(c.moved, 8, c.of, fleet.InMeters)))
	}
}
