package book

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

// addNoiseFree stores a sled whose readings are what its parts say, times a factor, to the last digit.
func addNoiseFree(t testing.TB, b *Book, name string, factor float64, d fleet.Driveline, ratios ...float64) {
	t.Helper()
	s := addSled(t, b, partedSled(name, ft(34.5), d, ratios...))
	for _, g := range s.Gears {
		r, ok := driveline.Parts(d).BoxPerGround(driveline.Gear{Ratio: *g.Ratio})
		require.True(t, ok)
		for _, date := range []string{"2026-05-01", "2026-05-08"} {
			addReading(t, b, s.ID, readingOn(date, g.Label, 0, factor*34.5/r))
		}
	}
}

var ratios = []float64{1.3, 1.2, 1.1, 1, 0.9}

// atHand are parts of every kind: none of them makes up for another.
var atHand = driveline.Choices{
	SprocketTeeth: []int{11, 13, 14}, AxleRatio: []float64{3.7, 4.3}, FinalRatio: []float64{5.5, 5.9, 6.17, 5.29},
	TireCircumferenceFt: []float64{10.1, 10.9}, GearSets: [][]float64{{1.4, 1.2, 1.05, 0.95, 0.85}},
}

// Two sleds differ by one known part: that part is named first, with no other.
func TestPartOptions_NameTheDifferentPartFirst(t *testing.T) {
	t.Parallel()
	otherFinal, otherTeeth, otherTire, otherAxle := ordinary, ordinary, ordinary, ordinary
	otherFinal.FinalRatio, otherTeeth.SprocketTeeth = 5.9, 13
	otherTire.TireCircumferenceFt, otherAxle.AxleRatio = 10.9, 4.3
	for says, of := range map[string]fleet.Driveline{"the final ratio": otherFinal, "the sprocket": otherTeeth,
		"the tires": otherTire, "the axle": otherAxle} {
		b := openFuture(t)
		addNoiseFree(t, b, "Bluestem", 1.01, of, ratios...)
		addNoiseFree(t, b, "Timothy", 1.01, ordinary, ratios...)
		got, err := b.PartOptions(context.Background(),
			PartQuestion{Sled: "timothy", Reference: "bluestem", Choices: atHand, Limit: 20})
		require.NoError(t, err, says)
		require.Len(t, got.Items, 20)
		assert.Equal(t, 4*3*4*3*2, got.Combinations, "the final ratio that is on the sled is not tried twice")
		best := got.Items[0]
		assert.Equal(t, 1, best.Changed, says)
		assert.Equal(t, of, fleet.Driveline(best.Parts), says)
		assert.InDelta(t, 0, best.MeanFt, 1e-6, says)
		assert.Equal(t, -1, best.GearSet)
		require.Len(t, best.Gears, 5)
		assert.Equal(t, "1", best.Gears[0].ReferenceGear)
		assert.Equal(t, "1", best.Gears[0].Gear)
		assert.Greater(t, best.PlusMinusFt, 1.0)
		assert.Greater(t, best.PlusMinusFt, got.Now.PlusMinusFt, "a change adds to it")
		a, err := b.Chart(context.Background(), "timothy", []float64{0}, "", "")
		require.NoError(t, err)
		r, err := b.Chart(context.Background(), "bluestem", []float64{0}, "", "")
		require.NoError(t, err)
		exact := r.Gears[0].TopOuts[0].TopOutFt / a.Gears[0].TopOuts[0].TopOutFt
		assert.InEpsilon(t, exact, got.ExactFactor, 1e-6, says)
		assert.InDelta(t, 100*(1/exact-1), best.BoxSpeedChangePct, 1e-6, says)
		if says == "the tires" || says == "the axle" {
			assert.Equal(t, []float64{0, 0}, []float64{best.ReturnLowPct, best.ReturnHighPct},
				"what drives the box back does not pass through %s", says)
		} else {
			assert.Contains(t, []string{fmt.Sprintf("%.6f", best.ReturnLowPct),
				fmt.Sprintf("%.6f", best.ReturnHighPct)}, fmt.Sprintf("%.6f", best.BoxSpeedChangePct), says)
		}
		assert.InDelta(t, 0, got.ExactMeanFt, 1e-6)
		assert.Empty(t, got.CannotBeMended)
		assert.Zero(t, got.Now.Changed)
		assert.Greater(t, got.Now.MeanFt, 1.0)
		for i := 1; i < len(got.Items); i++ {
			assert.LessOrEqual(t, got.Items[i-1].MeanFt, got.Items[i].MeanFt+1.0/120)
		}
	}
}

// The gears of the reference stand 35 ft apart, those of the sled 16: no single ratio helps, and a gear set does.
func TestPartOptions_CannotMendADifferentSpacing(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	wide := []float64{1.3, 1.17, 1.04, 0.91, 0.78}
	close5 := []float64{1.2, 1.14, 1.08, 1.02, 0.96}
	addNoiseFree(t, b, "Bluestem", 1, ordinary, wide...)
	addNoiseFree(t, b, "Timothy", 1, ordinary, close5...)
	c := atHand
	c.GearSets = [][]float64{wide}
	got, err := b.PartOptions(context.Background(),
		PartQuestion{Sled: "timothy", Reference: "bluestem", Choices: c, Limit: 5})
	require.NoError(t, err)
	assert.NotEmpty(t, got.CannotBeMended)
	assert.Greater(t, got.ExactMeanFt, 5.0)
	assert.Equal(t, 0, got.Items[0].GearSet, "the set with the reference's spacing")
	assert.Equal(t, 1, got.Items[0].Changed)
	assert.InDelta(t, 0, got.Items[0].MeanFt, 1e-6)
	c.GearSets = nil
	got, err = b.PartOptions(context.Background(),
		PartQuestion{Sled: "timothy", Reference: "bluestem", Choices: c, Limit: 5})
	require.NoError(t, err)
	assert.Greater(t, got.Items[0].MeanFt, got.ExactMeanFt-1e-9, "no part at hand does better than the exact ratio")
}

// What is said of a combination is what the chart says once it is on the sled.
func TestPartOptions_AgreeWithTheChartAfterTheChange(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addNoiseFree(t, b, "Bluestem", 1, ordinary, ratios...)
	s := partedSled("Timothy", ft(33), ordinary, ratios...)
	s.TakeUpFt = 1.5
	addSled(t, b, s)
	for i := range 4 { // the last gear from its ratio
		addReading(t, b, "timothy", readingOn("2026-05-01", fmt.Sprint(i+1), 0, 340-19*float64(i)+float64(i%2)*3))
	}
	q := PartQuestion{Sled: "timothy", Reference: "bluestem", Choices: driveline.Choices{FinalRatio: []float64{5.9}},
		Limit: 2}
	options, err := b.PartOptions(context.Background(), q)
	require.NoError(t, err)
	require.Len(t, options.Items, 2)
	changing := func(parts int) PartOption {
		return options.Items[slices.IndexFunc(options.Items, func(o PartOption) bool { return o.Changed == parts })]
	}
	now := chartOf(t, b, "timothy", "")
	for _, o := range []PartOption{options.Now, changing(0)} {
		for _, g := range o.Gears {
			_, place, _ := s.GearByLabel(g.Gear)
			assert.InDelta(t, now.Gears[place].TopOuts[0].TopOutFt, g.TopOutFt, 1e-6)
		}
	}
	addChange(t, b, "timothy", finalChange("2026-06-01", 5.9))
	after := chartOf(t, b, "timothy", "")
	for _, g := range changing(1).Gears {
		_, place, _ := s.GearByLabel(g.Gear)
		assert.InDelta(t, after.Gears[place].TopOuts[0].TopOutFt, g.TopOutFt, 1e-6)
	}
}

func TestPartOptions_RefuseAQuestionThatCannotBeAnswered(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addNoiseFree(t, b, "Bluestem", 1, ordinary, ratios...)
	addSled(t, b, sledOf("Sedge", ft(34), "X"))
	noTeeth := ordinary
	noTeeth.SprocketTeeth, noTeeth.ChainPitchIn, noTeeth.BoxFtPerTurn = 0, 0, 1.75
	addNoiseFree(t, b, "Timothy", 1, noTeeth, 1.2, 1)
	two := ordinary
	two.AxleRatio, two.AxleRatios = 0, map[string]float64{"low": 6, "high": 4}
	half := partedSled("Fescue", nil, two, 1.2, 1)
	half.Gears[0].Range, half.Gears[1].Ratio = "low", nil
	addSled(t, b, half)
	many := make([]float64, 60)
	for i := range many {
		many[i] = 4 + float64(i)/100
	}
	for says, c := range map[string]struct {
		sled, reference string
		choices         driveline.Choices
		at              []string
	}{
		"like itself":                  {"bluestem", "bluestem", driveline.Choices{}, []string{"reference"}},
		"like one of which nothing is": {"bluestem", "sedge", driveline.Choices{}, []string{"reference"}},
		"without any part": {"sedge", "bluestem", driveline.Choices{},
			[]string{"sled", "sled", "sled", "sled", "sled"}},
		"without some": {"fescue", "bluestem", driveline.Choices{},
			[]string{"sled", "sled", "sled"}},
		"another of what is not noted": {"timothy", "bluestem", driveline.Choices{SprocketTeeth: []int{13}},
			[]string{"sprocket_teeth"}},
		"one ratio for an axle of two": {"fescue", "bluestem", driveline.Choices{AxleRatio: []float64{4}},
			[]string{"sled", "sled", "sled", "axle_ratio"}},
		"ratios that are none": {"bluestem", "timothy", driveline.Choices{FinalRatio: []float64{0, -1},
			SprocketTeeth: []int{0}}, []string{"final_ratio", "final_ratio", "sprocket_teeth"}},
		"a gear set that is too short": {"bluestem", "timothy", driveline.Choices{GearSets: [][]float64{{1, 2}}},
			[]string{"gear_set[0]"}},
		"a gear set with a ratio of zero": {"bluestem", "timothy",
			driveline.Choices{GearSets: [][]float64{{1, 2, 0, 1, 1}}}, []string{"gear_set[0]"}},
		"more combinations than are tried": {"bluestem", "timothy",
			driveline.Choices{FinalRatio: many, AxleRatio: many, TireCircumferenceFt: many}, []string{"final_ratio"}},
	} {
		_, err := b.PartOptions(context.Background(),
			PartQuestion{Sled: c.sled, Reference: c.reference, Choices: c.choices, Limit: 3})
		var e *fleet.Error
		require.ErrorAs(t, err, &e, says)
		assert.Equal(t, fleet.Invalid, e.Kind, says)
		assert.ElementsMatch(t, c.at, places(e), "%s: %v", says, e)
	}
	_, err := b.PartOptions(context.Background(), PartQuestion{Sled: "fescue", Reference: "bluestem", Limit: 3})
	assert.ErrorContains(t, err, "the axle ratio of gear 2 on Fescue is not noted")
	assert.ErrorContains(t, err, "the gear ratio of gear 2 on Fescue is not noted")
	assert.ErrorContains(t, err, "the travel of Fescue is not noted")
	for _, q := range []PartQuestion{{Sled: "nobody", Reference: "bluestem"}, {Sled: "bluestem", Reference: "nobody"}} {
		_, err := b.PartOptions(context.Background(), q)
		assert.True(t, isKind(err, fleet.NotFound))
	}
	got, err := b.PartOptions(context.Background(), PartQuestion{Sled: "timothy", Reference: "bluestem",
		Choices: driveline.Choices{FinalRatio: []float64{6}}, Limit: 1})
	require.NoError(t, err, "measured feet a turn do as well")
	assert.Len(t, got.Items, 1)
}

// Of a sled that was measured only the ratio that changes has to be known: everything else cancels. By hand: 5.57 in
// place of 6.17 brings every top-out to 5.57/6.17 of its way, and the box runs 6.17/5.57 as fast.
func TestPartOptions_NeedAChartAndTheOneRatioThatChanges(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addNoiseFree(t, b, "Bluestem", 1, ordinary, ratios...)
	noted, bare := sledOf("Sedge", nil, "A", "B", "C"), sledOf("Brome", nil, "A", "B", "C")
	noted.Driveline.FinalRatio = 6.17
	for _, s := range []fleet.Sled{noted, bare} {
		s = addSled(t, b, s)
		for gear, feet := range map[string]float64{"A": 300, "B": 270} { // nothing of C, no travel, no other part
			addReading(t, b, s.ID, readingOn("2026-05-01", gear, 0, feet))
		}
	}
	ask := func(sled string, now float64) (PartOptions, error) {
		return b.PartOptions(context.Background(), PartQuestion{Sled: sled, Reference: "bluestem",
			Now: driveline.Parts{FinalRatio: now}, Choices: driveline.Choices{FinalRatio: []float64{5.57}}, Limit: 5})
	}
	_, err := ask("brome", 0)
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"final_ratio"}, places(e), "that one has to be said, and nothing else")
	_, err = ask("sedge", 5.9)
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"final_ratio_now"}, places(e), "another is noted")
	for sled, now := range map[string]float64{"sedge": 0, "brome": 6.17} {
		got, err := ask(sled, now)
		require.NoError(t, err, sled)
		assert.Equal(t, []string{"C"}, got.LeftOut)
		assert.Equal(t, 6.17, got.Now.FinalRatio)
		chart, err := b.Chart(context.Background(), sled, []float64{0}, "", "")
		require.NoError(t, err)
		changed := got.Items[slices.IndexFunc(got.Items, func(o PartOption) bool { return o.FinalRatio == 5.57 })]
		require.Len(t, changed.TopOuts, 2)
		for i, at := range changed.TopOuts {
			was := chart.Gears[i].TopOuts[0].TopOutFt
			assert.Equal(t, chart.Gears[i].Label, at.Gear)
			assert.InDelta(t, was, got.Now.TopOuts[i].TopOutFt, 1e-9)
			assert.InDelta(t, was*5.57/6.17, at.TopOutFt, 1e-9)
		}
		assert.InDelta(t, 100*(6.17/5.57-1), changed.BoxSpeedChangePct, 1e-9)
		assert.InDelta(t, 0, changed.ReturnLowPct, 1e-9, "driven at the last shaft")
		assert.InDelta(t, 100*(6.17/5.57-1), changed.ReturnHighPct, 1e-9, "driven ahead of the final ratio")
		assert.Positive(t, changed.PlusMinusFt)
	}
	_, err = b.PartOptions(context.Background(), PartQuestion{Sled: "sedge", Reference: "bluestem",
		Choices: driveline.Choices{GearSets: [][]float64{{1.3, 1.1, 0.9}}}, Limit: 5})
	assert.ErrorContains(t, err, "the gear ratio of gear A, B, C on Sedge is not noted", "another question needs more")
}

// Parts at the ends of what is believed, each of which would be taken: together they may be beyond any number. Such a
// combination is not named, and the others are, with every figure a number.
func TestPartOptions_LeaveOutInfiniteCombinations(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addNoiseFree(t, b, "Bluestem", 1, ordinary, ratios...)
	addNoiseFree(t, b, "Timothy", 1, ordinary, ratios...)
	const least = math.SmallestNonzeroFloat64
	for says, c := range map[string]driveline.Choices{
		"slow beyond numbers":            {FinalRatio: []float64{973}, AxleRatio: []float64{least}},
		"fast beyond numbers":            {FinalRatio: []float64{least, 1e-306}, AxleRatio: []float64{1000}},
		"parts that make up for another": {FinalRatio: []float64{973, least}, AxleRatio: []float64{least, 8}},
		"a gear set with and without end": {GearSets: [][]float64{{least, least, least, least, least},
			{1000, 1, least, 1, 1}}, FinalRatio: []float64{1e-300}},
	} {
		got, err := b.PartOptions(context.Background(),
			PartQuestion{Sled: "timothy", Reference: "bluestem", Choices: c, Limit: 100})
		require.NoError(t, err, says)
		require.NotEmpty(t, got.Items, says)
		assert.Equal(t, 0, got.Items[0].Changed, "%s: the sled as it is comes nearest", says)
		_, err = json.Marshal(got)
		assert.NoError(t, err, says)
	}
}

// A sled with no reading goes by its parts alone, and that is much less sure.
func TestPartOptions_OfASledThatWasNeverMeasured(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addNoiseFree(t, b, "Bluestem", 1, ordinary, ratios...)
	addNoiseFree(t, b, "Timothy", 1, ordinary, ratios...)
	addSled(t, b, partedSled("Fescue", ft(34.5), ordinary, ratios...))
	ask := func(sled string) PartOptions {
		got, err := b.PartOptions(context.Background(), PartQuestion{Sled: sled, Reference: "bluestem", Limit: 1})
		require.NoError(t, err)
		return got
	}
	known, guessed := ask("timothy"), ask("fescue")
	assert.InDelta(t, known.Now.MeanFt, guessed.Now.MeanFt, 1e-6)
	assert.Greater(t, guessed.Now.PlusMinusFt, 1.5*known.Now.PlusMinusFt)
}

// A reference that tops out before this sled's box moves at all cannot be reached by any ratio, and still there is an
// answer.
func TestPartOptions_OfAReferenceWithinTheTakeUp(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A"))
	small := readingOn("2026-05-01", "A", 0, 20)
	small.ConfirmedAt = new(time.Date(2026, 5, 2, 0, 0, 0, 0, time.UTC)) // it is beyond belief
	addReading(t, b, "bluestem", small)
	s := partedSled("Timothy", ft(34.5), ordinary, ratios...)
	s.TakeUpFt = 40
	addSled(t, b, s)
	got, err := b.PartOptions(context.Background(),
		PartQuestion{Sled: "timothy", Reference: "bluestem", Choices: atHand, Limit: -1})
	require.NoError(t, err)
	assert.Equal(t, 1.0, got.ExactFactor)
	assert.Equal(t, got.Now.MeanFt, got.ExactMeanFt)
	assert.Equal(t, []string{"A"}, got.CannotBeMended)
	assert.Empty(t, got.Items)
}
