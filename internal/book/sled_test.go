package book

import (
	"context"
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestSled_IsRefusedWithEveryFault(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	e := refused(t, b, func(w *Writer) error {
		_, err := w.AddSled(sledOf("", ft(-1), "A", "a"))
		return err
	})
	assert.Equal(t, fleet.Invalid, e.Kind)
	assert.Equal(t, []string{"name", "travel_ft", "gears[1].label"}, places(e))
	addSled(t, b, sledOf("Bluestem", nil, "A"))
	e = refused(t, b, func(w *Writer) error { _, err := w.AddSled(sledOf("BLUESTEM!", nil, "A")); return err })
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, `"bluestem"`)
}

func TestCorrection_KeepsReadingsWithTheirGears(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	ctx := context.Background()
	sled := addSled(t, b, sledOf("Bluestem", ft(34.5), "A", "B", "C"))
	onA := addReading(t, b, "bluestem", readingOf("A", 0, 300))
	onB := addReading(t, b, "bluestem", readingOf("B", 0, 280))
	clock.now = noon.Add(time.Hour)
	var got fleet.Sled
	write(t, b, func(w *Writer) (err error) {
		// A and B swap, C goes, D is new.
		got, err = w.CorrectSled("bluestem", whatever,
			Correction{Sled: sledOf("Little Bluestem", ft(34), "B", "A", "D"), Was: []string{"A", "B"}})
		return err
	})
	stored, err := b.Sled(ctx, "bluestem")
	require.NoError(t, err)
	assert.Equal(t, stored, got)
	assert.Equal(t, "bluestem", got.ID, "the id stays as first made")
	assert.EqualValues(t, 2, got.Revision)
	assert.Equal(t, noon, got.CreatedAt)
	assert.Equal(t, clock.now, got.UpdatedAt)
	assert.Equal(t, []string{"B", "A", "D"}, got.Labels())
	assert.Equal(t, sled.Gears[0].ID, got.Gears[0].ID)
	assert.Equal(t, sled.Gears[1].ID, got.Gears[1].ID)
	assert.NotEqual(t, sled.Gears[2].ID, got.Gears[2].ID)
	for id, label := range map[string]string{onA.ID: "B", onB.ID: "A"} {
		r, err := b.Reading(ctx, id)
		require.NoError(t, err)
		assert.Equal(t, label, r.Gear)
	}
	// A new gear may take the label that another gives up.
	write(t, b, func(w *Writer) (err error) {
		got, err = w.CorrectSled("bluestem", whatever,
			Correction{Sled: sledOf("Bluestem", ft(34), "A", "B", "B2"), Was: []string{"", "", "B"}})
		return err
	})
	assert.Equal(t, sled.Gears[0].ID, got.Gears[2].ID)
	assert.Equal(t, sled.Gears[1].ID, got.Gears[0].ID)
}

func TestCorrection_IsRefused(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A", "B"))
	addReading(t, b, "bluestem", readingOf("A", 20, 49))
	short := readingOf("A", 0, 200)
	short.Ended, short.EndFt = fleet.StoppedShort, ft(25)
	addReading(t, b, "bluestem", short)
	takeUp := sledOf("Bluestem", ft(34.5), "A", "B")
	takeUp.TakeUpFt = 49
	slack := sledOf("Bluestem", ft(22), "A", "B")
	slack.TakeUpFt = 40
	for name, c := range map[string]struct {
		correction Correction
		kind       fleet.Kind
		at         []string
		says       string
	}{
		"a gear that never was": {Correction{sledOf("Bluestem", ft(34.5), "A", "B2"), []string{"", "D"}},
			fleet.Invalid, []string{"gears[1].was"}, "A, B"},
		"one gear that becomes two": {Correction{sledOf("Bluestem", ft(34.5), "A1", "A2", "B"),
			[]string{"A", "A"}}, fleet.Invalid, []string{"gears[1].was"}, "only one"},
		"a gear with readings left out": {Correction{sledOf("Bluestem", ft(34.5), "B"), nil}, fleet.Conflict, nil,
			"gear A has 2 readings"},
		"its label given to a new one": {Correction{sledOf("Bluestem", ft(34.5), "A"), []string{"B"}}, fleet.Conflict,
			nil, "gear A has 2 readings"},
		"a travel within both readings": {Correction{sledOf("Bluestem", ft(20), "A", "B"), nil}, fleet.Invalid,
			[]string{"travel_ft"}, "2 readings"},
		"a travel within one reading": {Correction{sledOf("Bluestem", ft(25), "A", "B"), nil}, fleet.Invalid,
			[]string{"travel_ft"}, "1 reading "},
		"a take-up past one distance": {Correction{takeUp, nil}, fleet.Invalid, []string{"take_up_ft"},
			"1 reading ended within 49 ft"},
		"many things at once": {Correction{sledOf("", ft(1), "A", "a"), []string{"D"}}, fleet.Invalid,
			[]string{"name", "travel_ft", "gears[1].label", "gears[0].was"}, ""},
		"a travel beside a good take-up": {Correction{slack, nil}, fleet.Invalid, []string{"travel_ft"}, "22 ft"},
	} {
		e := refused(t, b, func(w *Writer) error {
			_, err := w.CorrectSled("bluestem", whatever, c.correction)
			return err
		})
		assert.Equal(t, c.kind, e.Kind, name)
		assert.ElementsMatch(t, c.at, places(e), name)
		assert.Contains(t, e.Error(), c.says, name)
	}
	s, err := b.Sled(context.Background(), "bluestem")
	require.NoError(t, err)
	assert.EqualValues(t, 1, s.Revision, "nothing was changed")
}

func TestCorrection_OneOfTwoSimultaneousIsRefused(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A"))
	changed := fleet.Errorf(fleet.Changed, "somebody else changed it")
	ifFirst := func(s fleet.Sled) error {
		if s.Revision != 1 {
			return changed
		}
		return nil
	}
	results := make(chan error)
	for range 2 {
		go func() {
			results <- b.Write(context.Background(), manager, func(w *Writer) error {
				_, err := w.CorrectSled("bluestem", ifFirst, Correction{Sled: sledOf("Bluestem", ft(34), "A")})
				return err
			})
		}()
	}
	errs := errors.Join(<-results, <-results)
	require.ErrorIs(t, errs, error(changed))
	assert.Equal(t, changed.Error(), errs.Error(), "only one of them failed")
	e := refused(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("bluestem", ifFirst); return err })
	assert.Equal(t, fleet.Changed, e.Kind)
	e = refused(t, b, func(w *Writer) error { _, err := w.CorrectSled("brome", ifFirst, Correction{}); return err })
	assert.Equal(t, fleet.NotFound, e.Kind)
}

func TestSled_WithReadingsIsRetiredAndCanComeBack(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	ctx := context.Background()
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A"))
	addSled(t, b, sledOf("Fescue", ft(34.5), "1"))
	reading := addReading(t, b, "bluestem", readingOf("A", 0, 300))
	remove := func(id string) (s fleet.Sled, retired bool) {
		write(t, b, func(w *Writer) (err error) {
			s, retired, err = w.RemoveSled(id, whatever)
			return err
		})
		return s, retired
	}
	_, retired := remove("fescue")
	assert.False(t, retired)
	_, err := b.Sled(ctx, "fescue")
	assert.True(t, isKind(err, fleet.NotFound))

	s, retired := remove("bluestem")
	assert.True(t, retired)
	assert.True(t, s.Retired)
	assert.EqualValues(t, 2, s.Revision)
	again, retired := remove("bluestem")
	assert.True(t, retired)
	assert.Equal(t, s, again, "retiring twice changes nothing")
	_, err = b.Reading(ctx, reading.ID)
	require.NoError(t, err)

	e := refused(t, b, func(w *Writer) error {
		_, err := w.AddReading("bluestem", readingOf("A", 0, 300), Answers{})
		return err
	})
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "bring it back")
	write(t, b, func(w *Writer) error {
		_, err := w.CorrectSled("bluestem", whatever, Correction{Sled: sledOf("Bluestem", ft(34.5), "A")})
		return err
	})
	addReading(t, b, "bluestem", readingOf("A", 0, 301))
}
