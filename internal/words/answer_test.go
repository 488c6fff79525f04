package words

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// question is gear C on Bluestem at 276 ± 4 ft, and what Fescue has for it.
func question(startFt float64, n *match.Nearest) (match.Asked, match.Answer) {
	asked := match.Asked{Sled: "bluestem", Gear: "C", Estimate: calibrate.Estimate{
		StartFt: startFt, TopOutFt: 276.4, LowFt: 272.7, HighFt: 280.1, Basis: fleet.Measured,
	}}
	return asked, match.Answer{Sled: "fescue", Nearest: n}
}

func candidate(gear string, startFt, difference, plusMinus float64) match.Candidate {
	top := 276.4 + difference
	return match.Candidate{
		Gear: gear, Difference: off(difference, plusMinus),
		Estimate: calibrate.Estimate{
			StartFt: startFt, TopOutFt: top, LowFt: top - 3.9, HighFt: top + 3.9,
			TonightFt: top, TonightLowFt: top - 6.9, TonightHighFt: top + 6.9, Basis: fleet.Measured,
		},
	}
}

// off is a difference with the ± of one more pull tonight; that of the average is half as wide.
func off(difference, plusMinus float64) match.Difference {
	return match.Difference{
		DifferenceFt: difference, DifferenceLowFt: difference - plusMinus/2, DifferenceHighFt: difference + plusMinus/2,
		DifferenceTonightLowFt: difference - plusMinus, DifferenceTonightHighFt: difference + plusMinus,
	}
}

func nearest(c match.Candidate, chance float64, word match.Confidence) *match.Nearest {
	c.ChanceNearest = chance
	return &match.Nearest{Candidate: c, Confidence: word, OutOfReach: new(bool), ComparedAt: match.SameStart}
}

var names = Names{Asked: "Bluestem", On: "Fescue"}

func TestAnswer_ReadsAloudInBothUnits(t *testing.T) {
	t.Parallel()
	three := &match.RunnerUp{Gear: "3", ChanceNearest: 0.03}
	type said struct{ headline, meaning, sure string }
	for what, c := range map[string]struct {
		nearest     *match.Nearest
		next        *match.RunnerUp
		inFeet, inM said
	}{
		"one gear, clearly": {
			nearest(candidate("2", 0, 3.6, 3.1), 0.97, match.Clear), three,
			said{
				"2 on Fescue.", "The box tops out 4 ft later (± 3 ft on one more pull tonight), so the weight comes " +
					"on later.",
				"2 is very likely the nearest: about 97 in 100.",
			},
			said{
				"2 on Fescue.", "The box tops out 1.1 m later (± 0.9 m on one more pull tonight), so the weight " +
					"comes on later.",
				"2 is very likely the nearest: about 97 in 100.",
			},
		},
		"a difference that the measuring cannot tell": {
			nearest(candidate("2", 0, -3.6, 5.3), 0.8, match.Close), &match.RunnerUp{Gear: "3", ChanceNearest: 0.2},
			said{
				"2 on Fescue.",
				"The box tops out 4 ft earlier (± 5 ft on one more pull tonight), so the weight comes on earlier. " +
					"The measuring can hardly tell that apart.",
				"2 is probably the nearest, about 80 in 100; 3 is the next likeliest.",
			},
			said{
				"2 on Fescue.",
				"The box tops out 1.1 m earlier (± 1.6 m on one more pull tonight), so the weight comes on earlier. " +
					"The measuring can hardly tell that apart.",
				"2 is probably the nearest, about 80 in 100; 3 is the next likeliest.",
			},
		},
		"the same spot": {
			nearest(candidate("2", 0, 0.1, 5.3), 0.999, match.Clear), three,
			said{"2 on Fescue.", "The box tops out at the same spot (± 5 ft on one more pull tonight).",
				"2 is very likely the nearest: more than 99 in 100."},
			said{"2 on Fescue.", "The box tops out at the same spot (± 1.6 m on one more pull tonight).",
				"2 is very likely the nearest: more than 99 in 100."},
		},
		"the only gear": {
			nearest(candidate("1", 0, 30, 5.3), 1, match.Clear), nil,
			said{
				"1 on Fescue.", "The box tops out 30 ft later (± 5 ft on one more pull tonight), so the weight " +
					"comes on later.",
				"1 is the only gear known on Fescue.",
			},
			said{
				"1 on Fescue.", "The box tops out 9.1 m later (± 1.6 m on one more pull tonight), so the weight " +
					"comes on later.",
				"1 is the only gear known on Fescue.",
			},
		},
	} {
		asked, answer := question(0, c.nearest)
		answer.RunnerUp = c.next
		for units, want := range map[fleet.Units]said{fleet.InFeet: c.inFeet, fleet.InMeters: c.inM} {
			got := ToAnswer(asked, answer, names, units)
			assert.Equal(t, want, said{plain(got.Headline), plain(got.Meaning), plain(got.Sure)}, what)
		}
	}
}

// A toss-up names both gears and how far they are off: neither stands alone in large type.
func TestAnswer_NamesBothGearsOfATossUp(t *testing.T) {
	t.Parallel()
	const later = "low 2: 8 ± 5 ft later; "
	for what, c := range map[string]struct {
		other             match.Candidate
		moved             *match.MovedStart
		headline, meaning string
		pullers           string
	}{
		"as far off either way": {
			candidate("high 1", 0, -8.2, 6.1), nil,
			"8 ft either way", later + "high 1: 8 ± 6 ft earlier (on one more pull tonight).",
			"about 284 ft or 268 ft: 8 ft either way (± 6 ft)",
		},
		"nearly as far off either way": {
			candidate("high 1", 0, -7.4, 6.1), nil,
			"8 ft later or 7 ft earlier", later + "high 1: 7 ± 6 ft earlier (on one more pull tonight).",
			"about 284 ft or 269 ft: 8 ft later or 7 ft earlier (± 6 ft)",
		},
		"nearer one way than the other": {
			candidate("high 1", 0, -12.2, 6.1), nil,
			"8 ft later or 12 ft earlier", later + "high 1: 12 ± 6 ft earlier (on one more pull tonight).",
			"about 284 ft or 264 ft: 8 ft later or 12 ft earlier (± 6 ft)",
		},
		"both later": {
			candidate("high 1", 0, 7.9, 6.1), nil,
			"8 ft later with both", later + "high 1: 8 ± 6 ft later (on one more pull tonight).",
			"about 284 ft or 284 ft: 8 ft later with both (± 6 ft)",
		},
		"one of them level": {
			candidate("high 1", 0, 0.2, 6.1), nil,
			"8 ft later or level", later + "high 1: level, ± 6 ft (on one more pull tonight).",
			"about 284 ft or 277 ft: 8 ft later or level (± 6 ft)",
		},
		"with a moved start that is worth it": {
			candidate("high 1", 0, -8.2, 6.1),
			&match.MovedStart{Gear: "low 2", RoundedStartFt: 1, Difference: off(0.6, 5.6), WorthIt: true},
			"8 ft either way; low 2 from 1 ft forward comes within 1 ft", later + "high 1: 8 ± 6 ft earlier " +
				"(on one more pull tonight). A moved start (± 6 ft) only where class rules allow.",
			"about 284 ft or 268 ft: 8 ft either way (± 6 ft); low 2 from 1 ft forward comes within 1 ft",
		},
		"with a moved start that is not": {
			candidate("high 1", 0, -8.2, 6.1),
			&match.MovedStart{Gear: "low 2", RoundedStartFt: 1, Difference: off(0.6, 5.6)},
			"8 ft either way", later + "high 1: 8 ± 6 ft earlier (on one more pull tonight).",
			"about 284 ft or 268 ft: 8 ft either way (± 6 ft)",
		},
	} {
		n := nearest(candidate("low 2", 0, 7.9, 5.2), 0.55, match.TossUp)
		asked, answer := question(0, n)
		answer.RunnerUp = &match.RunnerUp{Gear: "high 1", ChanceNearest: 0.45}
		answer.Gears = []match.Candidate{n.Candidate, c.other}
		answer.MovedStart = c.moved
		got := ToAnswer(asked, answer, names, fleet.InFeet)
		assert.Equal(t, TossUp, got.Level)
		assert.Equal(t, "low 2 or high 1 on Fescue: "+c.headline+".", plain(got.Headline), what)
		assert.Equal(t, c.meaning, plain(got.Meaning), what)
		assert.Equal(t, "A toss-up between low 2 and high 1: about 55 in 100 for low 2, about 45 in 100 for high 1.",
			plain(got.Sure))
		assert.Equal(t, "low 2 or high 1 on Fescue", got.ForPullers.Headline)
		assert.Equal(t, "tops out "+c.pullers+".", plain(got.ForPullers.Meaning), what)
		assert.Equal(t, "C on Bluestem is low 2 or high 1 on Fescue, which tops out "+c.pullers,
			plain(got.ForPullers.Line))
	}
}

// On the very sled that a puller ran there is nothing to translate: it is said where the gear tops out tonight.
func TestAnswer_TellsAPullerWhereTheSameSledTopsOut(t *testing.T) {
	t.Parallel()
	own := candidate("C", 0, 0, 3.1)
	n := nearest(own, 0.6, match.TossUp)
	n.OwnSetting = true
	asked, answer := question(0, n)
	answer.Sled, answer.Gears = "bluestem", []match.Candidate{candidate("D", 0, -20, 3), own}
	answer.RunnerUp = &match.RunnerUp{Gear: "D", ChanceNearest: 0.1}
	same := Names{Asked: "Bluestem", On: "Bluestem"}
	got := ToAnswer(asked, answer, same, fleet.InFeet)
	assert.Equal(t, Clear, got.Level)
	assert.Equal(t, ForPullers{
		Headline: "C on Bluestem", Meaning: "tops out about 276 ft. It is the same sled tonight.",
		Line: "C on Bluestem: tops out about 276 ft; it is the same sled tonight",
	}, plainPullers(got.ForPullers))
	assert.Equal(t, "tops out about 84.2 m. It is the same sled tonight.",
		plain(ToAnswer(asked, answer, same, fleet.InMeters).ForPullers.Meaning))

	// its own pulls have moved it, until another gear comes nearer to what it usually is
	own.TonightFt += 8
	own.Basis, own.StatedBy = fleet.StatedBasis, "the builder"
	answer.Gears[1], asked.StartFt, answer.Nearest.StartFt = own, 3, 3
	answer.Nearest = nearest(candidate("D", 3, -2, 3), 0.9, match.Close)
	assert.Equal(t, ForPullers{
		Headline: "C on Bluestem", Meaning: "tops out about 284 ft. It is the same sled tonight. That is 8 ft later " +
			"than usual, by tonight's own pulls.",
		Rests: "The box starts 3 ft forward. It is stated by the builder.",
		Line:  "C on Bluestem, from 3 ft forward: tops out about 284 ft; it is the same sled tonight",
	}, plainPullers(ToAnswer(asked, answer, same, fleet.InFeet).ForPullers))
}

func plainPullers(p ForPullers) ForPullers {
	return ForPullers{plain(p.Headline), plain(p.Meaning), plain(p.Rests), plain(p.Line)}
}

func TestAnswer_SaysWhatIsOutOfReach(t *testing.T) {
	t.Parallel()
	out := true
	for _, c := range []struct {
		start, difference      float64
		meaning, sure, pullers string
	}{
		{
			0, -19.6, "The slowest gear, 1, tops out 20 ± 5 ft earlier, so the weight comes on earlier than the " +
				"class is used to.",
			"No other gear on Fescue comes nearer, and a moved start only makes it earlier.",
			"Its slowest gear, 1, tops out about 257 ft: 20 ± 5 ft earlier, so heavier on the way.",
		},
		{
			7, -19.6, "The slowest gear, 1, tops out 20 ± 5 ft earlier, so the weight comes on earlier than the " +
				"class is used to.",
			"No other gear on Fescue comes nearer, nor does a start moved up to 6 ft back.",
			"Its slowest gear, 1, tops out about 257 ft: 20 ± 5 ft earlier, so heavier on the way.",
		},
		{
			0, 19.6, "The fastest gear, 1, tops out 20 ± 5 ft later, so the weight comes on later than the class is " +
				"used to.",
			"No other gear on Fescue comes nearer, nor does a start moved up to 6 ft forward.",
			"Its fastest gear, 1, tops out about 296 ft: 20 ± 5 ft later, so lighter on the way.",
		},
	} {
		n := nearest(candidate("1", c.start, c.difference, 5.2), 0.9, match.Close)
		n.OutOfReach = &out
		got := ToAnswer(question1(0, n))
		assert.Equal(t, "Out of reach on Fescue.", got.Headline)
		assert.Equal(t, c.meaning, plain(got.Meaning))
		assert.Equal(t, c.sure, plain(got.Sure))
		assert.Equal(t, "Out of reach on Fescue.", got.ForPullers.Headline)
		assert.Equal(t, c.pullers, plain(got.ForPullers.Meaning))
	}
}

// question1 is question as arguments in feet.
func question1(startFt float64, n *match.Nearest) (match.Asked, match.Answer, Names, fleet.Units) {
	asked, answer := question(startFt, n)
	return asked, answer, names, fleet.InFeet
}

func TestAnswer_SaysWhatTheTwoNumbersRestOn(t *testing.T) {
	t.Parallel()
	n := nearest(candidate("2", 4, 3.6, 3.1), 0.97, match.Clear)
	n.Basis = fleet.Interpolated
	got := ToAnswer(question1(4, n))
	assert.Equal(t, []string{
		"C on Bluestem, from 4 ft forward: 276 ± 4 ft on average over nights, measured.",
		"2 on Fescue, from 4 ft forward: 280 ± 7 ft on one more pull tonight, between measured start positions.",
	}, plains(got.Rests))
	assert.Equal(t, "Both boxes start 4 ft forward. 2 on Fescue is between measured start positions.",
		plain(got.ForPullers.Rests))

	n = nearest(candidate("2", 0, 3.6, 3.1), 0.97, match.Clear)
	n.ComparedAt, n.Basis, n.StatedBy = match.FullBack, fleet.StatedBasis, "the builder"
	got = ToAnswer(question1(4, n))
	assert.Equal(t, []string{
		"Compared at full back because nothing is known about Fescue from 4 ft forward.",
		"C on Bluestem, from 4 ft forward: 276 ± 4 ft on average over nights, measured.",
		"2 on Fescue, from full back: 280 ± 7 ft on one more pull tonight, stated by the builder.",
	}, plains(got.Rests))
	assert.Equal(t, "Compared at full back. 2 on Fescue is stated by the builder.", plain(got.ForPullers.Rests))
	assert.Equal(t, "C on Bluestem, from 4 ft forward is 2 on Fescue, which tops out about 280 ft: 4 ± 3 ft later, "+
		"so lighter on the way",
		plain(got.ForPullers.Line))
}

// What makes the ± of tonight is said where the average is known much better, and so is how far the night's own pulls
// moved it.
func TestAnswer_SaysWhereTheWidthOfTonightComesFrom(t *testing.T) {
	t.Parallel()
	n := nearest(candidate("2", 0, 3.6, 3.1), 0.97, match.Clear)
	n.LowFt, n.HighFt = n.TopOutFt-2, n.TopOutFt+2
	n.TonightFt += 4
	got := plains(ToAnswer(question1(0, n)).Rests)
	require.Len(t, got, 4)
	assert.Equal(t, []string{
		"That is 4 ft later than usual, by tonight's own pulls.",
		"On average over nights it is ± 2 ft: most of the ± tonight is how one night differs from the next. " +
			"Measuring on more days narrows that, more pulls on one day do not; the first pulls tonight narrow " +
			"tonight's.",
	}, got[2:])
	n.TonightFt = n.TopOutFt - 4
	assert.Contains(t, plain(ToAnswer(question1(0, n)).Rests[2]), "4 ft earlier than usual")
	n.TonightFt = n.TopOutFt + 0.4
	assert.Len(t, ToAnswer(question1(0, n)).Rests, 3, "nobody sets a sled by less than half a foot")
}

func plains(texts []string) []string {
	for i := range texts {
		texts[i] = plain(texts[i])
	}
	return texts
}

func TestAnswer_TellsOfAMovedStartThatIsWorthIt(t *testing.T) {
	t.Parallel()
	asked, answer := question(0, nearest(candidate("2", 0, 9, 3.1), 0.97, match.Clear))
	answer.MovedStart = &match.MovedStart{
		Gear: "2", StartFt: 1.13, RoundedStartFt: 1, TopOutFt: 277.5, LowFt: 275.5, HighFt: 279.5,
		TonightFt: 277.5, TonightLowFt: 272.5, TonightHighFt: 282.5, Difference: off(1.1, 6.2),
	}
	assert.Empty(t, ToAnswer(asked, answer, names, fleet.InFeet).MovedStart, "it saves too little")
	answer.MovedStart.WorthIt = true
	assert.Equal(t, "2 on Fescue with the box started 1 ft forward of full back tops out at 278 ± 5 ft: 1 ± 6 ft "+
		"later "+
		"than asked. "+
		"Exactly as asked would be 1.13 ft; this is the nearest mark on the rails.",
		plain(ToAnswer(asked, answer, names, fleet.InFeet).MovedStart))
	assert.Equal(t, "2 on Fescue with the box started 0.3 m forward of full back tops out at 84.6 ± 1.5 m: 0.3 ± "+
		"1.9 m "+
		"later than asked. "+
		"Exactly as asked would be 0.34 m; this is the nearest mark on the rails.",
		plain(ToAnswer(asked, answer, names, fleet.InMeters).MovedStart))
	answer.MovedStart.DifferenceFt = 0.2
	assert.Contains(t, plain(ToAnswer(asked, answer, names, fleet.InFeet).MovedStart),
		"278 ± 5 ft: level, ± 6 ft. Exactly")
	answer.MovedStart.StartFt, answer.MovedStart.RoundedStartFt = 0.2, 0
	assert.Contains(t, plain(ToAnswer(asked, answer, names, fleet.InFeet).MovedStart),
		"2 on Fescue with the box started at full back tops out at 278 ± 5 ft")
}

func TestAnswer_SaysWhatIsNotKnownAndWhatWouldBeEnough(t *testing.T) {
	t.Parallel()
	asked, answer := question(0, nil)
	answer.Because = match.Because{Reason: match.Unknown, Sled: "Fescue"}
	got := ToAnswer(asked, answer, names, fleet.InFeet)
	assert.Equal(t, "No answer yet.", got.Headline)
	assert.Equal(t, "Nothing is known about Fescue yet.", got.Meaning)
	assert.Equal(t, "One marked top-out of each gear on Fescue is enough for a first answer.", got.Sure)
	assert.Empty(t, got.Rests)
	assert.Equal(t, ForPullers{
		Headline: "Not known.", Meaning: "Nothing is known about Fescue yet.",
		Line: "C on Bluestem: not known on Fescue",
	}, got.ForPullers)

	asked.Estimate = calibrate.Estimate{StartFt: 4, Basis: fleet.Unknown}
	got = ToAnswer(asked, answer, names, fleet.InMeters)
	assert.Equal(t, "It is not known where C on Bluestem tops out from 1.22 m forward.", plain(got.Meaning))
	assert.Equal(t, "A marked top-out of C on Bluestem from there is enough; so is one from full back once the travel "+
		"of Bluestem is taped.", got.Sure)
	asked.StartFt = 0
	got = ToAnswer(asked, answer, names, fleet.InFeet)
	assert.Equal(t, "It is not known where C on Bluestem tops out from full back.", got.Meaning)
	assert.Equal(t, "One marked top-out of C on Bluestem is enough for a first answer.", got.Sure)
}

// Later is lighter on the way: the weight comes on later.
func TestAnswer_TellsAPullerWhatItMeansForThePull(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		difference, plusMinus float64
		want                  string
	}{
		{3.6, 3.1, "tops out about 280 ft: 4 ± 3 ft later, so lighter on the way."},
		{-3.6, 3.1, "tops out about 273 ft: 4 ± 3 ft earlier, so heavier on the way."},
		{3.6, 5.1, "tops out about 280 ft: 4 ± 5 ft later, so if anything lighter on the way."},
		{-0.2, 5.1, "tops out about 276 ft: level, ± 5 ft, so the same on the way."},
	} {
		got := ToAnswer(question1(0, nearest(candidate("2", 0, c.difference, c.plusMinus), 0.97, match.Clear)))
		assert.Equal(t, "2 on Fescue", got.ForPullers.Headline)
		assert.Equal(t, c.want, plain(got.ForPullers.Meaning))
		assert.Empty(t, got.ForPullers.Rests, "both are measured")
	}
}

func TestBecause_HasASentenceForEveryReason(t *testing.T) {
	t.Parallel()
	all := codes(t, "../match", "Reason")
	require.Len(t, all, 6)
	said := map[string]string{}
	for _, reason := range all {
		said[reason] = plain(Because(match.Because{Reason: match.Reason(reason), Sled: "Fescue", Gear: "2", StartFt: 4},
			fleet.InMeters))
	}
	assert.Equal(t, map[string]string{
		"asked-unknown":      "Nothing is known about gear 2 on Fescue from 1.22 m forward.",
		"unknown":            "Nothing is known about Fescue yet.",
		"unknown-from-there": "Nothing is known about Fescue from 1.22 m forward.",
		"compared-full-back": "Nothing is known about Fescue from 1.22 m forward, so both sleds are compared at " +
			"full back.",
		"setting-not-there": "The setting it is used to is no longer there.",
		"no-sled":           "No sled is booked yet.",
	}, said)
	assert.Empty(t, Because(match.Because{}, fleet.InFeet))
}

func TestAnswer_HoldsNoNumberWithoutAnEnd(t *testing.T) {
	t.Parallel()
	for _, wild := range []float64{math.Inf(1), math.NaN(), 1e300} {
		c := candidate("2", 0, wild, wild)
		c.TopOutFt, c.LowFt, c.HighFt = wild, 0, wild
		c.TonightFt, c.TonightLowFt, c.TonightHighFt = wild, 0, wild
		for _, word := range []match.Confidence{match.Clear, match.Close, match.TossUp} {
			asked, answer := question(0, nearest(c, 0.5, word))
			answer.RunnerUp = &match.RunnerUp{Gear: "3", ChanceNearest: 0.5}
			got := ToAnswer(asked, answer, names, fleet.InMeters)
			for _, text := range append(got.Rests, got.Headline, got.Meaning, got.Sure, got.ForPullers.Meaning,
				got.ForPullers.Line) {
				assert.NotRegexp(t, `NaN|Inf|[0-9]{7}`, text)
			}
		}
	}
}
