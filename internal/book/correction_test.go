package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// sledNow is a sled's document as somebody would send it back.
func sledNow(t testing.TB, b *Book, id string) fleet.Sled {
	t.Helper()
	s, err := b.Sled(context.Background(), id)
	require.NoError(t, err)
	return s
}

// A part that was noted wrongly is put right where it came from, and no reading is carried by that.
func TestCorrection_CarriesNoReading(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addSled(t, b, partedSled("Bluestem", ft(34.5), ordinary, 1.3, 1.15))
	for _, gear := range []string{"1", "2"} {
		addReading(t, b, "bluestem", readingOn("2026-05-01", gear, 0, 250))
	}
	before := chartOf(t, b, "bluestem", "")
	s := sledNow(t, b, "bluestem")
	s.Driveline.FinalRatio, s.Driveline.BoxFtPerTurn, s.Gears[0].Ratio = 5.38, 1.77, ft(1.31)
	correctSled(t, b, "bluestem", s)
	assert.Equal(t, before.Gears, chartOf(t, b, "bluestem", "").Gears)
	stored := sledNow(t, b, "bluestem")
	s.Revision, s.UpdatedAt = stored.Revision, stored.UpdatedAt
	assert.Equal(t, s, stored)

	// After a change, what the change gave is corrected in it, and the rest in the sled as it was from the first.
	addChange(t, b, "bluestem", finalChange("2026-06-01", 5.9))
	s = sledNow(t, b, "bluestem")
	s.Driveline.FinalRatio, s.Driveline.AxleRatio, s.Name = 6, 4.3, "Big Bluestem"
	correctSled(t, b, "bluestem", s)
	views, _, err := b.Changes(context.Background(), "bluestem")
	require.NoError(t, err)
	assert.Equal(t, fleet.Driveline{FinalRatio: 6}, views[0].Driveline)
	assert.InDelta(t, 100*(6/5.38-1), *views[0].MovesPct, 1e-9)
	assert.InDelta(t, 250*6/5.38, chartOf(t, b, "bluestem", "").Gears[0].TopOuts[0].TopOutFt, 1e-6,
		"the change was by another ratio than was noted")
	earlier := chartOf(t, b, "bluestem", "2026-05-31")
	assert.Equal(t, before.Gears, earlier.Gears)
	assert.Equal(t, 5.38, earlier.Sled.Driveline.FinalRatio)
	assert.Equal(t, 4.3, earlier.Sled.Driveline.AxleRatio)
	assert.Equal(t, "Big Bluestem", earlier.Sled.Name)

	// A sprocket's change ends what was measured with the old one; what is measured with the new one belongs to that
	// change.
	sprocket := drivelineChange(fleet.Driveline{SprocketTeeth: 13})
	sprocket.MadeOn = "2026-07-01"
	addChange(t, b, "bluestem", sprocket)
	s = sledNow(t, b, "bluestem")
	assert.Zero(t, s.Driveline.BoxFtPerTurn)
	s.Driveline.BoxFtPerTurn = 1.91
	s.Gears = append(s.Gears, fleet.Gear{Label: "3", Ratio: ft(1)})
	correctSled(t, b, "bluestem", s)
	got := sledNow(t, b, "bluestem")
	assert.Equal(t, s.Driveline, got.Driveline)
	assert.Equal(t, 1.0, *got.Gears[2].Ratio)
	assert.Equal(t, 1.77, chartOf(t, b, "bluestem", "2026-06-30").Sled.Driveline.BoxFtPerTurn)
	assert.True(t, chartOf(t, b, "bluestem", "").Gears[0].TopOuts[0].Known())
}

func TestCorrection_OfAGearGoesIntoTheChangeThatGaveIt(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	addSled(t, b, partedSled("Bluestem", ft(34.5), ordinary, 1.3, 1.15))
	addReading(t, b, "bluestem", readingOn("2026-05-01", "1", 0, 250))
	addChange(t, b, "bluestem", gearChange(fleet.Gear{Label: "1", Ratio: ft(1.4)}))
	s := sledNow(t, b, "bluestem")
	s.Gears[0] = fleet.Gear{Label: "low", Ratio: ft(1.43)}
	s.Gears[1].Ratio = ft(1.16)
	write(t, b, func(w *Writer) error {
		_, err := w.CorrectSled("bluestem", whatever, Correction{Sled: s, Was: []string{"1"}})
		return err
	})
	earlier := chartOf(t, b, "bluestem", "2026-05-31").Sled
	assert.Equal(t, []string{"low", "2"}, earlier.Labels())
	assert.Equal(t, 1.3, *earlier.Gears[0].Ratio)
	assert.Equal(t, 1.16, *earlier.Gears[1].Ratio)
	views, _, err := b.Changes(context.Background(), "bluestem")
	require.NoError(t, err)
	assert.Equal(t, "low", views[0].Gears[0].Label)
	assert.Equal(t, 1.43, *views[0].Gears[0].Ratio)
	assert.InDelta(t, 250*1.43/1.3, chartOf(t, b, "bluestem", "").Gears[0].TopOuts[0].TopOutFt, 1e-6)
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("bluestem", whatever); return err })
	retired := sledNow(t, b, "bluestem")
	assert.True(t, retired.Retired)
	assert.Equal(t, 1.43, *retired.Gears[0].Ratio, "retiring a sled leaves its parts as they are")
	assert.Equal(t, 1.3, *chartOf(t, b, "bluestem", "2026-05-31").Sled.Gears[0].Ratio)
}

func TestCorrection_CannotUndoAChange(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	sled := partedSled("Bluestem", ft(34.5), ordinary, 1.3, 1.15, 1)
	sled.Driveline.AxleRatio, sled.Driveline.AxleRatios = 0, map[string]float64{"low": 6.6, "high": 4.88}
	for i := range sled.Gears {
		sled.Gears[i].Range = "low"
	}
	addSled(t, b, sled)
	addReading(t, b, "bluestem", readingOn("2026-05-01", "1", 0, 250))
	c := finalChange("2026-06-01", 5.9)
	c.Driveline.TireCircumferenceFt, c.Driveline.AxleRatios, c.TravelFt = 10, map[string]float64{"low": 6, "high": 4.4},
		ft(34)
	c.Gears = []fleet.Gear{{Label: "2", Ratio: ft(1.2)}}
	addChange(t, b, "bluestem", c)
	addReading(t, b, "bluestem", readingOn("2026-06-02", "1", 30, 40))
	for says, c := range map[string]struct {
		correct func(*fleet.Sled)
		at      []string
	}{
		"a ratio that a change gave to be unknown": {func(s *fleet.Sled) { s.Driveline.FinalRatio = 0 },
			[]string{"driveline.final_ratio"}},
		"the travel that a change gave likewise": {func(s *fleet.Sled) { s.TravelFt = nil }, []string{"travel_ft"}},
		"a gear's ratio likewise": {func(s *fleet.Sled) { s.Gears[1].Ratio = nil },
			[]string{"gears[1].ratio"}},
		"ranges that were not there before": {func(s *fleet.Sled) {
			s.Driveline.AxleRatios = map[string]float64{
				"1": 6}
			rename(s, "1")
		}, []string{"driveline", "driveline"}},
		"no range, so that no ratio can be had": {func(s *fleet.Sled) { rename(s, "") }, []string{"driveline"}},
		"wrong by itself, and all of it said": {func(s *fleet.Sled) {
			s.Driveline.FinalRatio,
				s.Gears[0].Range = -1, "middle"
		}, []string{"driveline.final_ratio", "gears[0].range"}},
		"a travel within a reading since a change": {func(s *fleet.Sled) { s.TravelFt = ft(29) },
			[]string{"travel_ft"}},
	} {
		s := sledNow(t, b, "bluestem")
		c.correct(&s)
		e := refused(t, b, func(w *Writer) error {
			_, err := w.CorrectSled("bluestem", whatever, Correction{Sled: s})
			return err
		})
		assert.Equal(t, fleet.Invalid, e.Kind, says)
		assert.ElementsMatch(t, c.at, places(e), "%s: %v", says, e)
	}
	s := sledNow(t, b, "bluestem")
	s.Gears = []fleet.Gear{s.Gears[0], s.Gears[2]}
	e := refused(t, b, func(w *Writer) error {
		_, err := w.CorrectSled("bluestem", whatever, Correction{Sled: s})
		return err
	})
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "gear 2 was changed on 2026-06-01")
	// A part that nobody had noted before the change can be unknown again.
	other := drivelineChange(fleet.Driveline{OtherRatio: 1.2})
	other.Effect = fleet.UnknownEffect
	addChange(t, b, "bluestem", other)
	s = sledNow(t, b, "bluestem")
	s.Driveline.OtherRatio = 0
	correctSled(t, b, "bluestem", s)
	assert.Zero(t, sledNow(t, b, "bluestem").Driveline.OtherRatio)
}

func rename(s *fleet.Sled, rng string) {
	for i := range s.Gears {
		s.Gears[i].Range = rng
	}
}
