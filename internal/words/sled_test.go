package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/calibrate"
	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

func TestAdvice_SaysWhatAReadingGains(t *testing.T) {
	t.Parallel()
	now := 2.5
	known := calibrate.Advice{Now: &now, Then: 2.3}
	assert.Equal(t, "Gear C from full back: ± 2.5 ft now, ± 2.3 ft after this reading.",
		plain(Advice("C", known, fleet.InFeet)))
	assert.Equal(t, "Gear C from full back: ± 0.76 m now, ± 0.70 m after this reading.",
		plain(Advice("C", known, fleet.InMeters)))
	new := calibrate.Advice{Question: calibrate.Question{StartFt: 4}, Then: 3.1}
	assert.Equal(t, "Gear C from 4 ft forward: nothing is known about it yet, ± 3.1 ft after this reading.",
		plain(Advice("C", new, fleet.InFeet)))
}

func TestDrift_SaysWhereToLook(t *testing.T) {
	t.Parallel()
	for want, d := range map[string]calibrate.Drift{
		"Since May 4, 2026, Bluestem tops out 7.0 % later than before: something was changed or broke. " +
			"If parts were changed, note the change; else look for what is worn or slips.": {
			Kind: "jump", From: "2026-05-04", Log: 0.07},
		"Since May 4, 2026, Bluestem tops out 2.0 % earlier from each test day to the next. " +
			"Tires that wear do that: measure how far they roll in one turn.": {Kind: "trend", From: "2026-05-04",
			Log: -0.02},
		"Since Harvest Pull, Bluestem tops out 2.0 % later from each test day to the next. " +
			"Worn tires do the opposite: look at tire pressure and at what may slip more and more.": {
			Kind: "trend", From: "Harvest Pull", Log: 0.02},
	} {
		assert.Equal(t, want, plain(Drift("Bluestem", d)))
	}
}

func TestStandsOut_SaysByHowMuch(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "Gear 3 was measured 3.8 % shorter than its ratio and the sled's other gears say: its ratio, its "+
		"label or a reading is noted wrongly.",
		plain(StandsOut("3", -3.84)))
	assert.Contains(t, plain(StandsOut("3", 3.84)), "3.8 % farther")
}

func TestPart_HasAName(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "sprocket and chain", Part(driveline.SprocketAndChain))
	assert.Equal(t, "tire circumference", Part(driveline.TireCircumference))
}

func TestBasis_HasWordsForEach(t *testing.T) {
	t.Parallel()
	for _, b := range codes(t, "../fleet", "Basis") {
		assert.NotEmpty(t, Basis(fleet.Basis(b), ""))
	}
	assert.Equal(t, "stated by the builder", Basis(fleet.StatedBasis, "the builder"))
	assert.Equal(t, "only stated", Basis(fleet.StatedBasis, ""))
	assert.Equal(t, "not known", Basis("", ""))
}

func TestDrawings_SayWhatTheyShow(t *testing.T) {
	t.Parallel()
	at := func(start, ft float64) calibrate.Estimate {
		return calibrate.Estimate{StartFt: start, TopOutFt: ft, Basis: fleet.Measured}
	}
	gears := []string{"A", "B", "C"}
	estimates := []calibrate.Estimate{at(0, 301.4), {Basis: fleet.Unknown}, at(4, 255)}
	assert.Equal(t, "How far Bluestem is pulled until its box tops out, by where the box starts: gear A at 301 ft "+
		"from "+
		"full back; "+
		"gear C at 255 ft from 4 ft forward. A larger distance is a slower gear.",
		plain(Chart("Bluestem", gears, estimates, fleet.InFeet)))
	assert.Equal(t, "Nothing is known yet about where Sedge tops out.",
		Chart("Sedge", gears[:1], estimates[1:2], fleet.InFeet))
	assert.Equal(t, "Bluestem: A at 91.9 m, C at 77.7 m.", plain(Ladder("Bluestem", gears, estimates, fleet.InMeters)))
	assert.Equal(t, "Sedge: nothing known.", Ladder("Sedge", nil, nil, fleet.InMeters))
	assert.Equal(t, "The box of Bluestem in gear C, from 1.22 m forward, tops out after 77.7 m.",
		plain(Pull("Bluestem", "C", at(4, 255), fleet.InMeters)))
	assert.Equal(t, "Nothing is known about gear B on Bluestem from full back.",
		Pull("Bluestem", "B", calibrate.Estimate{}, fleet.InFeet))
	assert.Equal(t, "Fescue tops out 4 ft later, so the weight comes on later.",
		plain(Apart("Fescue", 3.6, fleet.InFeet)))
	assert.Equal(t, "Fescue tops out 1.1 m earlier, so the weight comes on earlier.",
		plain(Apart("Fescue", -3.6, fleet.InMeters)))
	assert.Equal(t, "Fescue tops out at the same place.", Apart("Fescue", -0.3, fleet.InFeet))
}
