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

// openShow has the fleet of every kind and three classes at one show on Fescue.
func openShow(t testing.TB) (*Book, *at, fleet.Show) {
	t.Helper()
	b, clock := openFleetAt(t)
	for gear, name := range map[string]string{"A": "Farm 9500", "B": "Super Stock", "C": "Antique"} {
		addClass(t, b, classOf(name, "bluestem", gear, 0))
	}
	s := addShow(t, b, fleet.Show{
		Name: " Harvest Pull ", Date: "2026-07-18", Place: "Millbrook", Promoter: "The county", Sled: "fescue",
		Notes:   "gates at four",
		Classes: []string{"super-stock", "antique", "farm-9500"},
	})
	return b, clock, s
}

func TestShow_ComesBackAsItWasStored(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	ctx := context.Background()
	assert.Equal(t, "harvest-pull-2026-07-18", s.ID)
	assert.Equal(t, "Harvest Pull", s.Name)
	assert.EqualValues(t, 1, s.Revision)
	assert.Equal(t, noon, s.CreatedAt)
	assert.False(t, s.Over)
	got, err := b.Show(ctx, s.ID)
	require.NoError(t, err)
	assert.Equal(t, s, got)
	later := addShow(t, b, fleet.Show{Name: "Autumn Pull", Date: "2026-09-19", Sled: "bluestem"})
	shows, next, err := b.Shows(ctx, "", 1)
	require.NoError(t, err)
	assert.Equal(t, []fleet.Show{later}, shows)
	shows, next, err = b.Shows(ctx, next, 1)
	require.NoError(t, err)
	assert.Equal(t, []fleet.Show{s}, shows)
	assert.Empty(t, next)
	_, _, err = b.Shows(ctx, "nonsense", 1)
	assert.True(t, isKind(err, fleet.Invalid))
	_, err = b.Show(ctx, "harvest-pull")
	assert.True(t, isKind(err, fleet.NotFound))
}

func TestShow_IsRefusedWithEveryFault(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("timothy", whatever); return err })
	many := make([]string, fleet.MaxClasses+1)
	for i := range many {
		many[i] = fmt.Sprint("class-", i)
	}
	for name, c := range map[string]struct {
		show fleet.Show
		at   []string
		says string
	}{
		"an unknown sled": {fleet.Show{Name: "Pull", Date: "2026-07-19", Sled: "redtop"}, []string{"sled"},
			`no sled "redtop"`},
		"a retired sled": {fleet.Show{Name: "Pull", Date: "2026-07-19", Sled: "timothy"}, []string{"sled"},
			"Timothy is retired"},
		"an unknown class": {fleet.Show{Name: "Pull", Date: "2026-07-19", Sled: "fescue",
			Classes: []string{"antique", "hot-farm"}}, []string{"classes[1]"}, `no class "hot-farm"`},
		"the same class twice": {fleet.Show{Name: "Pull", Date: "2026-07-19", Sled: "fescue",
			Classes: []string{"antique", "super-stock", "antique"}}, []string{"classes[2]"}, "class 1 already"},
		"no day of the calendar": {fleet.Show{Name: "Pull", Date: "2026-02-30", Sled: "fescue"}, []string{"date"},
			"2026-02-30"},
		"too many classes": {fleet.Show{Name: "Pull", Date: "2026-07-19", Sled: "fescue", Classes: many},
			[]string{"classes"}, "up to 60"},
		"all of it": {fleet.Show{Name: "?", Date: "soon", Sled: "redtop",
			Classes: []string{"hot-farm", "antique", "antique"}},
			[]string{"name", "date", "classes[2]", "sled", "classes[0]"}, ""},
	} {
		add := refused(t, b, func(w *Writer) error { _, err := w.AddShow(c.show); return err })
		replace := refused(t, b, func(w *Writer) error { _, err := w.ReplaceShow(s.ID, anyShow, c.show); return err })
		for _, e := range []*fleet.Error{add, replace} {
			assert.Equal(t, fleet.Invalid, e.Kind, name)
			assert.Equal(t, c.at, places(e), name)
			assert.Contains(t, e.Error(), c.says, name)
		}
	}
	e := refused(t, b, func(w *Writer) error {
		_, err := w.AddShow(fleet.Show{Name: "HARVEST pull", Date: s.Date, Sled: "fescue"})
		return err
	})
	assert.Equal(t, fleet.Conflict, e.Kind)
	got, err := b.Show(context.Background(), s.ID)
	require.NoError(t, err)
	assert.Equal(t, s, got, "nothing was changed")
}

// Two people swap the sled of one show at once: one of them is told, and what the other did stands.
func TestShow_OneOfTwoSimultaneousSwapsIsRefused(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	changed := fleet.Errorf(fleet.Changed, "somebody else changed it")
	ifFirst := func(now fleet.Show) error {
		if now.Revision != s.Revision {
			return changed
		}
		return nil
	}
	results := make(chan error)
	for _, sled := range []string{"bluestem", "timothy"} {
		go func() {
			other := s
			other.Sled = sled
			results <- b.Write(context.Background(), manager, func(w *Writer) error {
				got, err := w.ReplaceShow(s.ID, ifFirst, other)
				if err == nil && got.Sled != sled {
					return errors.New("another sled was stored")
				}
				return err
			})
		}()
	}
	errs := errors.Join(<-results, <-results)
	require.ErrorIs(t, errs, error(changed))
	assert.Equal(t, changed.Error(), errs.Error(), "only one of them failed")
	got, err := b.Show(context.Background(), s.ID)
	require.NoError(t, err)
	assert.NotEqual(t, "fescue", got.Sled)
	assert.EqualValues(t, 2, got.Revision)
	e := refused(t, b, func(w *Writer) error { return w.RemoveShow(s.ID, ifFirst) })
	assert.Equal(t, changed, e)
}

func TestShow_KeepsAClassThatWasRun(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	write(t, b, func(w *Writer) error {
		_, err := w.AddAsRun(s.ID, "antique", fleet.AsRun{FromHook: 1, Gear: "1"}, nil)
		return err
	})
	hooks := 12
	write(t, b, func(w *Writer) error {
		_, err := w.PutOutcome(s.ID, "farm-9500", fleet.Outcome{Hooks: &hooks})
		return err
	})
	without := func(classes ...string) func(w *Writer) error {
		return func(w *Writer) error {
			next := s
			next.Classes = classes
			got, err := w.ReplaceShow(s.ID, anyShow, next)
			if err == nil {
				assert.Equal(t, classes, got.Classes)
			}
			return err
		}
	}
	e := refused(t, b, without("super-stock"))
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "Antique, Farm 9500")
	write(t, b, without("farm-9500", "antique"))
	sheet := sheetOf(t, b, s.ID, "")
	assert.Len(t, sheet.Rows[1].AsRun, 1)
	assert.Equal(t, 12, *sheet.Rows[0].Outcome.Hooks)
	e = refused(t, b, func(w *Writer) error { return w.RemoveShow(s.ID, anyShow) })
	assert.Equal(t, fleet.Conflict, e.Kind)
	// Taken back, nothing is in the way any more.
	write(t, b, func(w *Writer) error { return w.RemoveAsRun(s.ID, "antique", sheet.Rows[1].AsRun[0].ID) })
	write(t, b, func(w *Writer) error { _, err := w.PutOutcome(s.ID, "farm-9500", fleet.Outcome{}); return err })
	write(t, b, func(w *Writer) error { return w.RemoveShow(s.ID, anyShow) })
	_, err := b.Show(context.Background(), s.ID)
	assert.True(t, isKind(err, fleet.NotFound))
}
