package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/panload"
)

// A name in Hebrew letters, of which a screen shows the last first, and a label in Arabic ones.
const (
	fromRight      = "\u05e9\u05dc\u05d5\u05dd"
	labelFromRight = "\u0628"
)

func TestWords_IsolateNamesWrittenFromRightToLeft(t *testing.T) {
	t.Parallel()
	const name, label = "\u2068" + fromRight + "\u2069", "\u2068" + labelFromRight + "\u2069"
	assert.Equal(t, "Bluestem 255", isolated("Bluestem 255"), "other names stay as they are")
	assert.Equal(t, "Где 4", isolated("Где 4"))
	asked := match.Asked{Gear: labelFromRight}
	a := match.Answer{Nearest: &match.Nearest{Candidate: match.Candidate{Gear: labelFromRight}}}
	said := ToAnswer(asked, a, Names{Asked: fromRight, On: fromRight}, fleet.InFeet)
	assert.Equal(t, label+" on "+name+".", said.Headline)
	assert.Equal(t, labelFromRight, a.Nearest.Gear, "what was given stays as it was")
	sides := WeightSides{Asked: PullSide{Sled: "bluestem"}, On: PullSide{Sled: "fescue", Name: fromRight}}
	detail, action := Check(fleet.Check{Code: fleet.ReadingsDisagree, Gear: labelFromRight}, fleet.InFeet)
	for what, text := range map[string]string{
		"a check": detail, "what to do": action,
		"a drawing":         Pull(fromRight, labelFromRight, calibrate.Estimate{}, fleet.InFeet),
		"a title":           ChartTitle(fromRight),
		"a ladder":          Ladder(fromRight, nil, nil, fleet.InFeet),
		"a chart":           Chart(fromRight, nil, nil, fleet.InFeet),
		"boxes":             Apart(fromRight, 2, fleet.InFeet),
		"drift":             Drift(fromRight, calibrate.Drift{From: "2025-05-10"}),
		"an odd gear":       StandsOut(labelFromRight, 3),
		"advice":            Advice(labelFromRight, calibrate.Advice{}, fleet.InFeet),
		"a mend":            Mend(&fleet.Mend{Kind: fleet.AnotherGear, Gear: labelFromRight}, fleet.InFeet),
		"a weight":          ToWeight(panload.Answer{}, panload.AtFinish, sides, fleet.InFeet).Headline,
		"a setting":         PullSide{Name: fromRight, Gear: labelFromRight}.apart(PullSide{}, fleet.InFeet),
		"a sled's weights":  CandidateWeights(fromRight, false, 0, 0, nil, nil, fleet.InFeet),
		"a pan":             PanHeadline(fromRight, 0, 0, "", nil, fleet.InFeet),
		"a guest":           Guest(fromRight, &fleet.Guest{Owner: "The Ridge Crew"}),
		"whose a guest is":  Guest("Bluestem", &fleet.Guest{Owner: fromRight}),
		"a sled taken in":   TakenIn(Taken{Name: fromRight, Guest: fleet.Guest{Owner: "The Ridge Crew"}}),
		"why there is none": Because(match.Because{Reason: match.Unknown, Sled: fromRight}, fleet.InFeet),
	} {
		assert.Regexp(t, label+"|"+name, text, what)
	}
}
