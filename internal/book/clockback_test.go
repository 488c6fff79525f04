package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// The clock of a machine without a battery may come up years behind what is stored. Everything goes on: nothing is
// stored over anything, what is in the order it was entered in stays so, and what was over stays over.
func TestClock_SetBackDoesNotStopWriting(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	ctx := context.Background()
	sled := partedSled("Bluestem", ft(34.5), ordinary, 1.3, 1.15, 1)
	id := addSled(t, b, sled).ID
	add := func(distance float64) fleet.Reading {
		return addReading(t, b, id, readingOn("2026-04-01", "1", 0, distance))
	}
	first, second := add(280), add(281)
	addChange(t, b, id, finalChange("2026-04-10", 5.5))
	show := fleet.Show{Name: "Spring Pull", Date: "2026-05-01", Sled: id}
	write(t, b, func(w *Writer) error {
		stored, err := w.AddShow(show)
		show = stored
		return err
	})
	write(t, b, func(w *Writer) error { return nil }) // the first after it keeps its sheet
	key, err := b.NewManagerKey(ctx, "Spare")
	require.NoError(t, err)
	_, ok, err := b.KnowsKey(ctx, key)
	require.NoError(t, err)
	require.True(t, ok)

	back := noon.AddDate(0, 0, -20)
	clock.now = back
	third := add(282)
	readings, _, err := b.Readings(ctx, id, "", 10)
	require.NoError(t, err)
	assert.Equal(t, []string{third.ID, second.ID, first.ID}, []string{readings[0].ID, readings[1].ID, readings[2].ID},
		"newest first, as they were written")
	assert.Len(t, readings, 3)

	addChange(t, b, id, finalChange("2026-04-10", 6))
	changes, _, err := b.Changes(ctx, id)
	require.NoError(t, err)
	require.Len(t, changes, 2)
	assert.Equal(t, 6.0, changes[0].Driveline.FinalRatio, "the change that was entered last is the newest")
	assert.Equal(t, 5.5, changes[1].Driveline.FinalRatio)
	is, err := b.Sled(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, 6.0, is.Driveline.FinalRatio, "and the parts are those entered last")

	sheet, err := b.Sheet(ctx, show.ID, "", false)
	require.NoError(t, err)
	assert.True(t, sheet.Show.Over, "a sheet that is kept stays kept")

	_, ok, err = b.KnowsKey(ctx, key)
	require.NoError(t, err)
	assert.True(t, ok)
	keys, err := b.Keys(ctx)
	require.NoError(t, err)
	for _, k := range keys {
		if k.Name == "Spare" {
			assert.Equal(t, back, *k.LastUsedAt, "last used is by the clock as it is now")
		}
	}
	history, _, err := b.History(ctx, "", "", "", 3)
	require.NoError(t, err)
	assert.Equal(t, []string{fleet.OfChange, fleet.OfSled, fleet.OfReading}, kindsOf(history),
		"the newest first, as they were written")
	found, err := b.Check(ctx)
	require.NoError(t, err)
	assert.Empty(t, found)
}

func kindsOf(entries []fleet.Entry) (kinds []string) {
	for _, e := range entries {
		kinds = append(kinds, e.Kind)
	}
	return kinds
}
