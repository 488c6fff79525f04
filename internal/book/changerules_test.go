package book

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestChange_RefusesNonsense(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	two := ordinary
	two.AxleRatio, two.AxleRatios = 0, map[string]float64{"low": 6.6, "high": 4.88}
	sled := partedSled("Bluestem", ft(34.5), two, 1.3, 1.15)
	sled.Gears[0].Range, sled.Gears[1].Range = "low", "high"
	addSled(t, b, sled)
	addReading(t, b, "bluestem", readingOn("2026-05-09", "1", 0, 250))
	addReading(t, b, "bluestem", readingOn("2026-06-09", "1", 30, 40))
	addSled(t, b, partedSled("Fescue", nil, fleet.Driveline{}, 1))
	addSled(t, b, sledOf("Brome", nil, "slow"))
	for says, c := range map[string]struct {
		sled   string
		change fleet.Change
		at     []string
	}{
		"a negative ratio": {"bluestem", finalChange("2026-06-01", -5),
			[]string{"driveline.final_ratio"}},
		"a ratio that is no number": {"bluestem", finalChange("2026-06-01", math.NaN()),
			[]string{"driveline.final_ratio"}},
		"a gear's ratio of zero": {"bluestem", gearChange(fleet.Gear{Label: "1", Ratio: ft(0)}),
			[]string{"gears[0].ratio"}},
		"a gear's negative ratio": {"bluestem", gearChange(fleet.Gear{Label: "1", Ratio: ft(-1)}),
			[]string{"gears[0].ratio"}},
		"a range of the axle with no ratio": {"bluestem", drivelineChange(
			fleet.Driveline{AxleRatios: map[string]float64{"low": 0}}), []string{"driveline.axle_ratios.low"}},
		"too few teeth": {"bluestem", drivelineChange(fleet.Driveline{SprocketTeeth: 3}),
			[]string{"driveline.sprocket_teeth"}},
		"a negative number of teeth": {"bluestem", drivelineChange(fleet.Driveline{SprocketTeeth: -12}),
			[]string{"driveline.sprocket_teeth"}},
		"an axle of both kinds": {"bluestem", drivelineChange(fleet.Driveline{AxleRatio: 4,
			AxleRatios: map[string]float64{"low": 6}}), []string{"driveline.axle_ratios"}},
		"a gear that is not there": {"bluestem", gearChange(fleet.Gear{Label: "9", Ratio: ft(1)}),
			[]string{"gears[0].label"}},
		"a gear named twice": {"bluestem", gearChange(fleet.Gear{Label: "1", Ratio: ft(1)},
			fleet.Gear{Label: "1", Ratio: ft(2)}), []string{"gears[1].label"}},
		"a range that the axle lacks": {"bluestem", gearChange(fleet.Gear{Label: "1", Range: "middle"}),
			[]string{"gears[0].range"}},
		"an axle without a gear's range": {"bluestem", drivelineChange(
			fleet.Driveline{AxleRatios: map[string]float64{"low": 6}}), []string{"driveline.axle_ratios"}},
		"before the sled's first day":        {"bluestem", finalChange("2026-05-01", 6), []string{"made_on"}},
		"on the sled's first day":            {"bluestem", finalChange("2026-05-09", 6), []string{"made_on"}},
		"no date":                            {"bluestem", finalChange("in June", 6), []string{"made_on"}},
		"no date, but early in the alphabet": {"bluestem", finalChange("0", 6), []string{"made_on"}},
		"in the future":                      {"bluestem", finalChange("2027-06-01", 6), []string{"made_on"}},
		"nothing changed":                    {"bluestem", finalChange("2026-06-01", 5.29), []string{"driveline"}},
		"no gear changed": {"bluestem", gearChange(fleet.Gear{Label: "1"},
			fleet.Gear{Label: "2", Ratio: ft(1.15), Range: "high"}), []string{"gears"}},
		"the travel there was":            {"bluestem", travelChange(34.5), []string{"travel_ft"}},
		"no travel at all":                {"bluestem", travelChange(1), []string{"travel_ft"}},
		"a travel within a reading since": {"bluestem", travelChange(30), []string{"travel_ft"}},
		"by a ratio that is not given":    {"bluestem", changeOn("2026-06-01", fleet.ByRatio), []string{"effect"}},
		"an effect that is none":          {"bluestem", finalChangeOf("by guess"), []string{"effect"}},
		"nothing said of it": {"bluestem",
			fleet.Change{MadeOn: "2026-06-01", Effect: fleet.UnknownEffect}, []string{"what"}},
		"by a ratio nobody knew": {"fescue", finalChange("2026-06-01", 6),
			[]string{"driveline.final_ratio"}},
		"by a sprocket nobody knew": {"fescue", drivelineChange(fleet.Driveline{SprocketTeeth: 13}),
			[]string{"driveline.sprocket_teeth"}},
		"by a pitch nobody knew": {"fescue", drivelineChange(fleet.Driveline{ChainPitchIn: 2}),
			[]string{"driveline.chain_pitch_in"}},
		"by a move of the box nobody knew": {"fescue", drivelineChange(fleet.Driveline{BoxFtPerTurn: 2}),
			[]string{"driveline.box_ft_per_turn"}},
		"by an axle nobody knew": {"fescue", drivelineChange(fleet.Driveline{AxleRatio: 4}),
			[]string{"driveline.axle_ratio"}},
		"by a tire nobody knew": {"fescue", drivelineChange(fleet.Driveline{TireCircumferenceFt: 10}),
			[]string{"driveline.tire_circumference_ft"}},
		"by a gear ratio nobody knew": {"brome", gearChange(fleet.Gear{Label: "slow", Ratio: ft(1)}),
			[]string{"gears[0].ratio"}},
		"by a travel nobody knew": {"fescue", travelChange(30), []string{"travel_ft"}},
		"an axle of ranges and no gear in it": {"fescue", drivelineChange(two), []string{"driveline.sprocket_teeth",
			"driveline.axle_ratios", "driveline.final_ratio", "driveline.tire_circumference_ft"}},
	} {
		e := refused(t, b, func(w *Writer) error { _, err := w.AddChange(c.sled, c.change); return err })
		assert.Equal(t, fleet.Invalid, e.Kind, says)
		assert.ElementsMatch(t, c.at, places(e), "%s: %v", says, e)
	}
	e := refused(t, b, func(w *Writer) error {
		_, err := w.AddChange("sedge", finalChange("2026-06-01", 6))
		return err
	})
	assert.Equal(t, fleet.NotFound, e.Kind)
	e = refused(t, b, func(w *Writer) error { return w.RemoveChange("none") })
	assert.Equal(t, fleet.NotFound, e.Kind)
	views, _, err := b.Changes(context.Background(), "bluestem")
	require.NoError(t, err)
	assert.Empty(t, views, "nothing of it was stored")
	// That something was changed and nobody knows what is worth a note, and so is a value whose effect is not known.
	unknown := finalChange("2026-06-01", 6)
	unknown.Effect = fleet.UnknownEffect
	addChange(t, b, "fescue", unknown)
	assert.Nil(t, addChange(t, b, "bluestem", changeOn("2026-06-01", fleet.UnknownEffect)).MovesPct)
}

func gearChange(gears ...fleet.Gear) fleet.Change {
	c := changeOn("2026-06-01", fleet.ByRatio)
	c.Gears = gears
	return c
}

func drivelineChange(d fleet.Driveline) fleet.Change {
	c := changeOn("2026-06-01", fleet.ByRatio)
	c.Driveline = d
	return c
}

func travelChange(travel float64) fleet.Change {
	c := changeOn("2026-06-01", fleet.ByRatio)
	c.TravelFt = ft(travel)
	return c
}

func finalChangeOf(effect fleet.Effect) fleet.Change {
	c := finalChange("2026-06-01", 6)
	c.Effect = effect
	return c
}
