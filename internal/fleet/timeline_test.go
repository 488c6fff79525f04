package fleet

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTimeline_AChangeReplacesWhatItGivesAndLeavesTheRest(t *testing.T) {
	t.Parallel()
	ratio, other, travel := 1.3, 1.4, 33.0
	base := Sled{ID: "bluestem", Gears: []Gear{{ID: "bluestem-A", Label: "A"}, {ID: "bluestem-B", Label: "B"}},
		Driveline: Driveline{
			BoxFtPerTurn: 2, AxleRatios: map[string]float64{"low": 6.6, "high": 4.88}, FinalRatio: 5.29,
		}}
	base.Gears[0].Ratio, base.Gears[0].Range, base.Gears[1].Range = &ratio, "low", "high"
	for says, c := range map[string]struct {
		change Change
		want   func(s *Sled)
	}{
		"nothing":    {Change{}, func(*Sled) {}},
		"the travel": {Change{TravelFt: &travel}, func(s *Sled) { s.TravelFt = &travel }},
		"one gear's ratio": {Change{Gears: []Gear{{ID: "bluestem-A", Ratio: &other}}},
			func(s *Sled) { s.Gears[0].Ratio = &other }},
		"one gear's range": {Change{Gears: []Gear{{ID: "bluestem-B", Range: "low"}}},
			func(s *Sled) { s.Gears[1].Range = "low" }},
		"a gear that is not": {Change{Gears: []Gear{{ID: "gone", Range: "low"}}}, func(*Sled) {}},
		"a sprocket ends what was measured with the old one": {Change{Driveline: Driveline{SprocketTeeth: 13}},
			func(s *Sled) {
				s.Driveline.SprocketTeeth, s.Driveline.BoxFtPerTurn = 13, 0
			}},
		"an axle of one speed has no ranges": {Change{Driveline: Driveline{AxleRatio: 4}}, func(s *Sled) {
			s.Driveline.AxleRatio, s.Driveline.AxleRatios = 4, nil
			s.Gears[0].Range, s.Gears[1].Range = "", ""
		}},
	} {
		want := base
		want.Gears = append([]Gear(nil), base.Gears...)
		c.want(&want)
		before := fmt.Sprint(base)
		assert.Equal(t, want, Timeline{Base: base, Changes: []Change{c.change}}.Today(), says)
		assert.Equal(t, before, fmt.Sprint(base), "what was before stays as it was: %s", says)
	}
}
