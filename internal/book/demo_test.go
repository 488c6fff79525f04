package book

import (
	"context"
	"errors"
	"fmt"
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
	remove := func(w *Writer) error { return w.RemoveDemo(false) }
	assert.False(t, loaded())
	assert.Equal(t, fleet.NotFound, refused(t, b, remove).Kind)
	write(t, b, func(w *Writer) error {
		if err := w.NoteDemo(); err != nil {
			return err
		}
		for _, s := range []fleet.Sled{sledOf("Bluestem", ft(34.5), "A", "B"), sledOf("Fescue", ft(33), "1", "2")} {
			s.Invented = true
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

// What rests on the demo goes with it where somebody says so: a class on one of its sleds, and a show that lists that
// class though its sled is one's own.
func TestDemo_TakesWhatRestsOnItAlong(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	ctx := context.Background()
	invented := sledOf("Bluestem", ft(34.5), "A", "B")
	invented.Invented = true
	write(t, b, func(w *Writer) error {
		noted := w.NoteDemo()
		_, err := w.AddSled(invented)
		return errors.Join(noted, err)
	})
	clock.now = clock.now.AddDate(0, 0, 1)
	addSled(t, b, sledOf("Ours", ft(30), "low", "high"))
	addClass(t, b, classOf("Our class", "ours", "low", 0))
	addClass(t, b, classOf("Their class", "bluestem", "B", 0))
	addShow(t, b, fleet.Show{Name: "Our Pull", Date: "2026-08-01", Sled: "ours", Classes: []string{"their-class"}})
	addShow(t, b, fleet.Show{Name: "Other Pull", Date: "2026-08-02", Sled: "ours", Classes: []string{"our-class"}})
	e := refused(t, b, func(w *Writer) error { return w.RemoveDemo(false) })
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "Our Pull, Their class: ")
	entries, _, err := b.History(ctx, "", "", "", 1)
	require.NoError(t, err)
	assert.NotEqual(t, fleet.ActRemoved, entries[0].Act, "a refusal leaves nothing")

	write(t, b, func(w *Writer) error { return w.RemoveDemo(true) })
	classes, _, err := b.Classes(ctx, "", 10)
	require.NoError(t, err)
	require.Len(t, classes, 1)
	assert.Equal(t, "our-class", classes[0].ID)
	shows, _, err := b.Shows(ctx, "", 10)
	require.NoError(t, err)
	require.Len(t, shows, 1)
	assert.Equal(t, "Other Pull", shows[0].Name)
	entries, _, err = b.History(ctx, "", "", "", 3)
	require.NoError(t, err)
	assert.Equal(t, []string{fleet.OfDemo, fleet.OfClass, fleet.OfShow},
		[]string{entries[0].Kind, entries[1].Kind, entries[2].Kind})
}

// The ± of a crew's own sleds is the same with the demo and without it, and the demo's as without them; so it is after
// one of either is written to.
func TestDemo_HasNoShareInThePoolOfOnesOwnSleds(t *testing.T) {
	t.Parallel()
	measure := func(b *Book, sled fleet.Sled, spread float64) {
		addSled(t, b, sled)
		for i := range 6 {
			reading := readingOf("A", 0, 280+spread*float64(i%3))
			reading.MeasuredOn = fmt.Sprintf("2026-04-%02d", 9+i/2)
			addReading(t, b, fleet.Slug(sled.Name), reading)
		}
	}
	own, invented := sledOf("Ours", ft(30), "A", "B"), sledOf("Bluestem", ft(34.5), "A", "B")
	invented.Invented = true
	chartOf := func(b *Book, sled string) Chart {
		c, err := b.Chart(context.Background(), sled, nil, "", "")
		require.NoError(t, err)
		return c
	}
	both, _ := openBook(t)
	measure(both, invented, 12) // which repeats badly
	measure(both, own, 0.5)
	alone, _ := openBook(t)
	measure(alone, own, 0.5)
	demo, _ := openBook(t)
	measure(demo, invented, 12)
	for sled, without := range map[string]*Book{"ours": alone, "bluestem": demo} {
		want, got := chartOf(without, sled), chartOf(both, sled)
		assert.Equal(t, want.Repeatability, got.Repeatability, sled)
		assert.Equal(t, want.Gears, got.Gears, sled)
	}
	assert.NotEqual(t, chartOf(both, "ours").Repeatability, chartOf(both, "bluestem").Repeatability)

	addReading(t, both, "bluestem", readingOf("A", 0, 300))
	addReading(t, demo, "bluestem", readingOf("A", 0, 300))
	assert.Equal(t, chartOf(alone, "ours").Gears, chartOf(both, "ours").Gears)
	assert.Equal(t, chartOf(demo, "bluestem").Gears, chartOf(both, "bluestem").Gears)
}
