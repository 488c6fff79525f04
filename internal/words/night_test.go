package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

func TestNight_SaysHowFarItsPullsMoveEverything(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		pulls int
		later *float64
		off   int
		feet  string
		meter string
	}{
		"later": {3, new(4.2), 0, "After 3 pulls tonight: 4 ft later than usual.",
			"After 3 pulls tonight: 1.3 m later than usual."},
		"earlier": {1, new(-4.2), 0, "After 1 pull tonight: 4 ft earlier than usual.",
			"After 1 pull tonight: 1.3 m earlier than usual."},
		"as usual": {2, new(0.4), 0, "After 2 pulls tonight: as usual.",
			"After 2 pulls tonight: as usual."},
		"of a sled without a known gear": {2, nil, 0, "After 2 pulls tonight.", "After 2 pulls tonight."},
		"with one pull far off": {
			0, new(0.0), 1,
			"1 pull tonight lies far from what the other days say: it is not used until another one agrees with " +
				"it or somebody confirms it.",
			"1 pull tonight lies far from what the other days say: it is not used until another one agrees with " +
				"it or somebody confirms it.",
		},
		"with two far off beside one that counts": {
			1, new(2.0), 2,
			"After 1 pull tonight: 2 ft later than usual. 2 pulls tonight lie far from what the other days say: " +
				"they are not used until somebody confirms them.",
			"After 1 pull tonight: 0.6 m later than usual. 2 pulls tonight lie far from what the other days say: " +
				"they are not used until somebody confirms them.",
		},
		"without any": {0, nil, 0, "", ""},
	} {
		assert.Equal(t, c.feet, plain(Night(c.pulls, c.later, c.off, fleet.InFeet)), name)
		assert.Equal(t, c.meter, plain(Night(c.pulls, c.later, c.off, fleet.InMeters)), name)
	}
}

func TestAnswer_ToADistanceNamesIt(t *testing.T) {
	t.Parallel()
	n := nearest(candidate("2", 0, 3.6, 3.1), 0.97, match.Clear)
	asked := match.Asked{Estimate: calibrate.Estimate{TopOutFt: 276.4, LowFt: 276.4, HighFt: 276.4, Basis: fleet.Given}}
	names := Names{On: "Fescue"}
	got := ToAnswer(asked, match.Answer{Nearest: n}, names, fleet.InFeet)
	assert.Equal(t, "Asked: 276.4 ft.", plain(got.Rests[0]))
	assert.Equal(t, "276.4 ft is 2 on Fescue, which tops out about 280 ft: 4 ± 3 ft later, so lighter on the way",
		plain(got.ForPullers.Line))
	assert.Empty(t, got.ForPullers.Rests)
	asked.OnePull = true
	got = ToAnswer(asked, match.Answer{Nearest: n}, names, fleet.InMeters)
	assert.Equal(t, "Asked: 84.25 m, where one pull topped out on one night.", plain(got.Rests[0]))
	nothing := ToAnswer(asked, match.Answer{Because: match.Because{Reason: match.Unknown, Sled: "Fescue"}}, names,
		fleet.InFeet)
	assert.Equal(t, "Nothing is known about Fescue yet.", nothing.Meaning)
}

func TestAnswer_OfTheVerySettingIsBeyondDoubt(t *testing.T) {
	t.Parallel()
	n := nearest(candidate("C", 0, 0, 3.1), 0.6, match.TossUp)
	n.OwnSetting = true
	asked, _, names, units := question1(0, n)
	got := ToAnswer(asked, match.Answer{Nearest: n, RunnerUp: &match.RunnerUp{Gear: "D", ChanceNearest: 0.4}}, names,
		units)
	assert.Empty(t, got.Sure, "it is the very setting that was asked about")
	assert.NotContains(t, got.Headline, " or ")
}

func TestAnswer_SaysWhatIsNearestOnOtherNights(t *testing.T) {
	t.Parallel()
	n := nearest(candidate("2", 0, 3.6, 3.1), 0.97, match.Clear)
	asked, a, names, units := question1(0, n)
	a.UsualGear = "3"
	assert.Contains(t, plains(ToAnswer(asked, a, names, units).Rests),
		"On another night 3 comes nearest; tonight's own pulls have changed that.")
}
