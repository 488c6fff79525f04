package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestDemo_IsRemovedAsAWhole(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	ctx := context.Background()
	loaded := func() bool {
		is, err := b.Demo(ctx)
		require.NoError(t, err)
		return is
	}
	remove := func(w *Writer) error { return w.RemoveDemo() }
	assert.False(t, loaded())
	assert.Equal(t, fleet.NotFound, refused(t, b, remove).Kind)
	write(t, b, func(w *Writer) error {
		if err := w.NoteDemo(); err != nil {
			return err
		}
		for _, s := range []fleet.Sled{sledOf("Bluestem", ft(34.5), "A", "B"), sledOf("Fescue", ft(33), "1", "2")} {
			if _, err := w.AddSled(s); err != nil {
				return err
			}
		}
		if _, err := w.AddReading("bluestem", readingOf("A", 0, 300), Answers{}); err != nil {
			return err
		}
		if _, err := w.AddClass(classOf("Antique", "bluestem", "A", 0)); err != nil {
			return err
		}
		_, err := w.AddShow(fleet.Show{Name: "Demo Pull", Date: "2026-07-18", Sled: "fescue",
			Classes: []string{"antique"}})
		return err
	})
	assert.True(t, loaded())
	assert.Equal(t, fleet.Conflict, refused(t, b, func(w *Writer) error { return w.NoteDemo() }).Kind)

	// Somebody tries it out, and begins a fleet of their own beside it.
	clock.now = clock.now.Add(1)
	clock.now = clock.now.AddDate(0, 0, 1)
	addReading(t, b, "fescue", readingOf("1", 0, 290))
	write(t, b, func(w *Writer) error {
		_, err := w.AddAsRun("demo-pull-2026-07-18", "antique", fleet.AsRun{Gear: "2", FromHook: 1}, nil)
		return err
	})
	addSled(t, b, sledOf("Ours", ft(30), "low", "high"))
	addReading(t, b, "ours", readingOf("low", 0, 280))
	addClass(t, b, classOf("Our class", "ours", "low", 0))
	own := addClass(t, b, classOf("Their class", "bluestem", "B", 0))
	e := refused(t, b, remove)
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "Their class")
	assert.True(t, loaded())
	write(t, b, func(w *Writer) error { return w.RemoveClass(own.ID, func(fleet.Class) error { return nil }) })
	show := addShow(t, b, fleet.Show{Name: "Our Pull", Date: "2026-08-01", Sled: "ours", Classes: []string{"antique"}})
	assert.Contains(t, refused(t, b, remove).Detail, "Our Pull")
	write(t, b, func(w *Writer) error { return w.RemoveShow(show.ID, func(fleet.Show) error { return nil }) })

	write(t, b, remove)
	assert.False(t, loaded())
	sleds, _, err := b.Sleds(ctx, "", 10)
	require.NoError(t, err)
	require.Len(t, sleds, 1)
	assert.Equal(t, "ours", sleds[0].ID)
	assert.Equal(t, 1, sleds[0].Readings)
	classes, _, err := b.Classes(ctx, "", 10)
	require.NoError(t, err)
	assert.Len(t, classes, 1)
	shows, _, err := b.Shows(ctx, "", 10)
	require.NoError(t, err)
	assert.Empty(t, shows)
	_, err = b.Chart(ctx, "bluestem", nil, "", "")
	assert.True(t, isKind(err, fleet.NotFound))
	_, err = b.Chart(ctx, "ours", nil, "", "")
	assert.NoError(t, err)
	entries, _, err := b.History(ctx, "bluestem", "", "", 10)
	require.NoError(t, err)
	assert.Equal(t, []string{fleet.ActRemoved, fleet.OfDemo}, []string{entries[0].Act, entries[0].Kind},
		"history stays")
}
