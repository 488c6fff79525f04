package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func weighingOf(boxAtFt, inBoxLb, panLb float64) fleet.Weighing {
	return fleet.Weighing{WeighedOn: "2026-05-08", BoxAtFt: boxAtFt, InBoxLb: inBoxLb, PanLb: panLb,
		Scale: "yard scale"}
}

// weigh adds weighings, each of box mark, blocks in the box and pan load.
func weigh(t testing.TB, b *Book, sled string, states ...[3]float64) (stored []fleet.Weighing) {
	t.Helper()
	for _, s := range states {
		write(t, b, func(w *Writer) error {
			g, err := w.AddWeighing(sled, weighingOf(s[0], s[1], s[2]))
			stored = append(stored, g)
			return err
		})
	}
	return stored
}

func TestWeighing_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	ctx := context.Background()
	addSled(t, b, sledOf("Bluestem", ft(30), "A"))
	stored := weigh(t, b, "bluestem", [3]float64{0, 0, 10_720}, [3]float64{30, 12_000, 27_740})
	got, err := b.Weighing(ctx, stored[0].ID)
	require.NoError(t, err)
	assert.Equal(t, stored[0], got)
	list, next, err := b.Weighings(ctx, "bluestem", "", 1)
	require.NoError(t, err)
	assert.Equal(t, stored[1:], list)
	list, next, err = b.Weighings(ctx, "bluestem", next, 1)
	require.NoError(t, err)
	assert.Equal(t, stored[:1], list)
	assert.Empty(t, next)
	sled, err := b.Sled(ctx, "bluestem")
	require.NoError(t, err)
	assert.Equal(t, 2, sled.Weighings)
	assert.EqualValues(t, 1, sled.Revision, "a weighing is no correction of the document")
	_, err = b.Weighing(ctx, "none")
	assert.True(t, isKind(err, fleet.NotFound))
}

func TestWeighing_IsRefusedOfASledThatIsRetiredOrNotThere(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(30), "A"))
	add := func(sled string, g fleet.Weighing) *fleet.Error {
		return refused(t, b, func(w *Writer) error { _, err := w.AddWeighing(sled, g); return err })
	}
	assert.Equal(t, fleet.NotFound, add("fescue", weighingOf(0, 0, 10_720)).Kind)
	e := add("bluestem", weighingOf(40, -1, 0))
	assert.Equal(t, []string{"box_at_ft", "in_box_lb", "pan_lb"}, places(e))
	weigh(t, b, "bluestem", [3]float64{0, 0, 10_720})
	write(t, b, func(w *Writer) error {
		s, retired, err := w.RemoveSled("bluestem", whatever)
		assert.True(t, retired, "a sled with weighings is not deleted")
		assert.True(t, s.Retired)
		return err
	})
	assert.Equal(t, fleet.Conflict, add("bluestem", weighingOf(0, 0, 10_720)).Kind)
}

func TestWeighing_OutsideANewTravelIsNamed(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(34), "A"))
	stored := weigh(t, b, "bluestem", [3]float64{0, 0, 10_720}, [3]float64{34, 0, 16_140})
	correct := func(w *Writer) error {
		s, err := w.tx.Sled("bluestem")
		require.NoError(t, err)
		s.TravelFt = ft(30)
		_, err = w.CorrectSled("bluestem", whatever, Correction{Sled: s})
		return err
	}
	e := refused(t, b, correct)
	assert.Equal(t, []string{"travel_ft"}, places(e))
	assert.Equal(t, "in 1 weighing the box stood past 30 ft (9.1 m); set aside it first", e.Faults[0].Detail)
	reason := "the old cut-off"
	write(t, b, func(w *Writer) error { _, err := w.SetWeighingAside(stored[1].ID, &reason); return err })
	write(t, b, correct)
	e = refused(t, b, func(w *Writer) error { _, err := w.SetWeighingAside(stored[1].ID, nil); return err })
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "the weighing does not go with the sled as it is noted for its date")
}

// However many weighings are sent in, the load is told in good time: from those made last.
func TestPanLoad_OfThousandsOfWeighingsGoesByThoseMadeLast(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(30), "A"))
	rows := make([]fleet.Weighing, 3_000)
	for i := range rows {
		rows[i] = weighingOf(float64(i%31), 1_000*float64(i%13), 50_000)
		rows[i].Sled, rows[i].WeighedOn = "bluestem", "2025-05-08"
	}
	write(t, b, func(w *Writer) error { _, err := w.AddWeighings(rowsFrom(rows)); return err })
	for range 25 {
		weigh(t, b, "bluestem", [3]float64{0, 0, 10_720}, [3]float64{30, 0, 16_140}, [3]float64{0, 12_000, 9_540},
			[3]float64{30, 12_000, 27_740})
	}
	got, err := b.PanLoad(context.Background(), PanQuestion{Sled: "bluestem", InBoxLb: 12_000})
	require.NoError(t, err)
	assert.Len(t, got.Weighings, mostWeighings)
	assert.InDelta(t, 27_740, got.Places[2].Pan.Lb, 1e-6)
	assert.Equal(t, 3_100, got.Sled.Weighings)
}

// A change of parts may say that it ended the weighings before it, and carries the readings as if nothing had been done
// to the drive.
func TestChange_EndsTheWeighingsBeforeItWhereItSaysSo(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	ctx := context.Background()
	addSled(t, b, sledOf("Bluestem", ft(30), "A"))
	addReading(t, b, "bluestem", fleet.Reading{Gear: "A", DistanceFt: 230, MeasuredOn: "2026-05-01"})
	weigh(t, b, "bluestem", [3]float64{0, 0, 10_720}, [3]float64{30, 0, 16_140}, [3]float64{0, 12_000, 9_540},
		[3]float64{30, 12_000, 27_740})
	before, err := b.PanLoad(ctx, PanQuestion{Sled: "bluestem", InBoxLb: 12_000})
	require.NoError(t, err)
	assert.Len(t, before.Weighings, 4)
	require.NotNil(t, before.Places[2].Pan)
	change := func(on string, ends bool) func(w *Writer) error {
		return func(w *Writer) error {
			_, err := w.AddChange("bluestem",
				fleet.Change{MadeOn: on, What: "another pan", Effect: fleet.ByRatio, EndsWeighings: ends})
			return err
		}
	}
	assert.Equal(t, []string{"effect"}, places(refused(t, b, change("2026-05-09", false))), "nothing was changed")
	assert.Equal(t, []string{"made_on"}, places(refused(t, b, change("2026-04-01", true))), "and nothing ended")
	write(t, b, change("2026-05-09", true))
	after, err := b.PanLoad(ctx, PanQuestion{Sled: "bluestem", InBoxLb: 12_000})
	require.NoError(t, err)
	assert.Empty(t, after.Weighings)
	assert.Equal(t, "2026-05-09", after.From)
	assert.Nil(t, after.Places[2].Pan)
	chart, err := b.Chart(ctx, "bluestem", nil, "", "")
	require.NoError(t, err)
	assert.InDelta(t, 230, chart.Gears[0].TopOuts[0].TopOutFt, 1, "the readings still count")
	list, _, err := b.Weighings(ctx, "bluestem", "", 10)
	require.NoError(t, err)
	assert.Len(t, list, 4, "nothing is lost")
}
