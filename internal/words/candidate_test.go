package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func TestCandidate_IsWordsAndFeet(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		classes, known, near int
		worstFt              *float64
		units                fleet.Units
		want                 string
	}{
		{8, 8, 7, new(7.6), fleet.InFeet, "Within 5 ft for 7 of 8 classes; worst 8 ft, Farm 13250."},
		{8, 8, 7, new(5.1), fleet.InFeet, "Within 5 ft for 7 of 8 classes; worst 6 ft, Farm 13250."},
		{8, 8, 8, new(2.0), fleet.InFeet, "Within 5 ft for all 8 classes; worst 2 ft, Farm 13250."},
		{8, 8, 8, new(0.0), fleet.InFeet, "Within 5 ft for all 8 classes."},
		{8, 6, 5, new(7.6), fleet.InMeters,
			"Within 1.5 m for 5 of 8 classes, nothing known for 2; worst 2.4 m, Farm 13250."},
		{1, 1, 1, new(2.0), fleet.InFeet, "Within 5 ft for the one class; worst 2 ft, Farm 13250."},
		{1, 1, 0, new(9.0), fleet.InFeet, "Not within 5 ft for the one class; worst 9 ft, Farm 13250."},
		{8, 0, 0, nil, fleet.InFeet, "Nothing is known of it for these classes."},
	} {
		assert.Equal(t, c.want, plain(Candidate(c.classes, c.known, c.near, 5, c.worstFt, "Farm 13250", c.units)))
	}
}
