package book

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestClass_IsRefusedWithEveryFault(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	addSled(t, b, sledOf("Ryegrass", ft(30), "1"))
	addReading(t, b, "ryegrass", readingOf("1", 0, 300))
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("ryegrass", whatever); return err })
	for name, c := range map[string]struct {
		sled, gear string
		start      float64
		pullOff    fleet.HomeSetting
		at         []string
		says       string
	}{
		"an unknown sled": {"redtop", "A", 0, homeOf("bluestem", "A", 0), []string{"setting.sled"},
			`no sled "redtop"`},
		"a retired sled": {"ryegrass", "1", 0, homeOf("bluestem", "A", 0), []string{"setting.sled"},
			"Ryegrass is retired"},
		"a gear it lacks": {"bluestem", "D", 0, homeOf("bluestem", "A", 0), []string{"setting.gear"},
			"A, B, C"},
		"a start off the rails": {"bluestem", "A", 34.5, homeOf("bluestem", "A", 0), []string{"setting.start_ft"},
			"34.5 ft (10.5 m) of travel"},
		"a pull-off sled": {"bluestem", "A", 0, homeOf("", "A", 0), []string{"pull_off.sled"}, "no sled"},
		"both settings wrong": {"bluestem", "D", -1, homeOf("fescue", "1", 40),
			[]string{"setting.gear", "setting.start_ft", "pull_off.start_ft"}, ""},
		"a retired sled's lost gear": {"ryegrass", "2", 0, homeOf("fescue", "9", 0),
			[]string{"setting.sled", "setting.gear", "pull_off.gear"}, ""},
	} {
		class := classOf("Farm 9500", c.sled, c.gear, c.start)
		class.PullOff = &c.pullOff
		e := refused(t, b, func(w *Writer) error { _, err := w.AddClass(class); return err })
		assert.Equal(t, fleet.Invalid, e.Kind, name)
		assert.Equal(t, c.at, places(e), name)
		assert.Contains(t, e.Error(), c.says, name)
	}
	nameless := classOf("!", "bluestem", "D", 0)
	nameless.Weights = "two\nlines"
	e := refused(t, b, func(w *Writer) error { _, err := w.AddClass(nameless); return err })
	assert.Equal(t, []string{"name", "weights", "setting.gear"}, places(e))
	addClass(t, b, classOf("Farm 9500", "bluestem", "A", 0))
	e = refused(t, b, func(w *Writer) error {
		_, err := w.AddClass(classOf("FARM 9500", "bluestem", "A", 0))
		return err
	})
	assert.Equal(t, fleet.Conflict, e.Kind)
	_, err := b.Class(context.Background(), "farm")
	assert.True(t, isKind(err, fleet.NotFound))
}

func TestClass_UnchangedSettingKeepsItsTopOut(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	ctx := context.Background()
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A", "B"))
	addReading(t, b, "bluestem", readingOf("A", 0, 300))
	addReading(t, b, "bluestem", readingOf("B", 0, 280))
	off := homeOf("bluestem", "B", 0)
	given := classOf(" Farm 9500 ", "bluestem", "A", 0)
	given.PullOff = &off
	first := addClass(t, b, given)
	assert.Equal(t, "farm-9500", first.ID)
	assert.Equal(t, "Farm 9500", first.Name)
	assert.EqualValues(t, 1, first.Revision)
	assert.Equal(t, noon, first.CreatedAt)
	assert.InDelta(t, 300, *first.Setting.TopOutFt, 0.5)
	assert.Greater(t, *first.Setting.PlusMinusFt, 1.0)
	assert.Equal(t, "2026-05-09", first.PullOff.NotedOn)
	assert.Empty(t, off.GearID, "what was given is not written to")
	v, err := b.Class(ctx, first.ID)
	require.NoError(t, err)
	assert.Equal(t, first, v.Class)
	assert.Equal(t, *first.Setting.TopOutFt, *v.TodayFt)
	assert.Equal(t, *first.PullOff.TopOutFt, *v.PullOffTodayFt)

	clock.now = clock.now.AddDate(0, 1, 0)
	for range 4 {
		addReading(t, b, "bluestem", readingOf("A", 0, 312))
	}
	replace := func(c fleet.Class, renew bool) (got fleet.Class) {
		write(t, b, func(w *Writer) (err error) {
			got, err = w.ReplaceClass("farm-9500", anyClass, c, renew)
			return err
		})
		return got
	}
	given.Name, given.PullOff = "Farm 9500 lb", &off
	stays := replace(given, false)
	assert.Equal(t, first.Setting, stays.Setting)
	assert.Equal(t, first.PullOff, stays.PullOff)
	assert.Equal(t, "farm-9500", stays.ID)
	assert.EqualValues(t, 2, stays.Revision)
	assert.Equal(t, first.CreatedAt, stays.CreatedAt)
	assert.Equal(t, clock.now, stays.UpdatedAt)

	// A new label is the same gear.
	write(t, b, func(w *Writer) error {
		_, err := w.CorrectSled("bluestem", whatever,
			Correction{Sled: sledOf("Bluestem", ft(34.5), "A1", "B"), Was: []string{"A"}})
		return err
	})
	relabeled := given
	relabeled.Setting.Gear = "A1"
	assert.Equal(t, first.Setting.TopOutFt, replace(relabeled, false).Setting.TopOutFt)

	elsewhere := relabeled
	elsewhere.Setting.StartFt = 2
	moved := replace(elsewhere, false)
	assert.Equal(t, "2026-06-09", moved.Setting.NotedOn)
	assert.Equal(t, first.PullOff, moved.PullOff, "each setting by itself")
	renewed := replace(elsewhere, true)
	assert.Equal(t, "2026-06-09", renewed.PullOff.NotedOn)

	// Its sled is retired: it still means what it meant, and can be edited.
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("bluestem", whatever); return err })
	elsewhere.Notes = "runs last"
	assert.Equal(t, renewed.Setting, replace(elsewhere, false).Setting)
	elsewhere.Setting.StartFt = 3
	e := refused(t, b, func(w *Writer) error {
		_, err := w.ReplaceClass("farm-9500", anyClass, elsewhere, false)
		return err
	})
	assert.Equal(t, []string{"setting.sled"}, places(e))

	changed := fleet.Errorf(fleet.Changed, "somebody else changed it")
	e = refused(t, b, func(w *Writer) error {
		_, err := w.ReplaceClass("farm-9500", func(fleet.Class) error { return changed }, elsewhere, false)
		return err
	})
	assert.Equal(t, changed, e)
	e = refused(t, b, func(w *Writer) error {
		_, err := w.ReplaceClass("farm", anyClass, elsewhere, false)
		return err
	})
	assert.Equal(t, fleet.NotFound, e.Kind)
}

func TestClass_ListedByAShowCannotBeRemoved(t *testing.T) {
	t.Parallel()
	b := openFleet(t)
	addClass(t, b, classOf("Farm 9500", "bluestem", "A", 0))
	for _, date := range []string{"2026-07-18", "2026-07-25"} {
		addShow(t, b, fleet.Show{Name: "Harvest Pull", Date: date, Sled: "fescue", Classes: []string{"farm-9500"}})
	}
	e := refused(t, b, func(w *Writer) error { return w.RemoveClass("farm-9500", anyClass) })
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "Harvest Pull (2026-07-25), Harvest Pull (2026-07-18)")
	for _, id := range []string{"harvest-pull-2026-07-18", "harvest-pull-2026-07-25"} {
		write(t, b, func(w *Writer) error { return w.RemoveShow(id, anyShow) })
	}
	write(t, b, func(w *Writer) error { return w.RemoveClass("farm-9500", anyClass) })
	e = refused(t, b, func(w *Writer) error { return w.RemoveClass("farm-9500", anyClass) })
	assert.Equal(t, fleet.NotFound, e.Kind)
}

// What a class or a show needs of a sled cannot be taken from under it.
func TestSled_InUseCannotBeRemoved(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	ctx := context.Background()
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A", "B", "C"))
	addSled(t, b, sledOf("Fescue", ft(33), "1", "2"))
	off := homeOf("bluestem", "B", 0)
	c := classOf("Farm 9500", "bluestem", "A", 0)
	c.PullOff = &off
	addClass(t, b, c)
	correct := func(id string, s fleet.Sled) func(w *Writer) error {
		return func(w *Writer) error { _, err := w.CorrectSled(id, whatever, Correction{Sled: s}); return err }
	}
	e := refused(t, b, correct("bluestem", sledOf("Bluestem", ft(34.5), "C")))
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "Farm 9500 is used to gear A; Farm 9500 is used to gear B")
	write(t, b, correct("bluestem", sledOf("Bluestem", ft(34.5), "A", "B")))

	show := addShow(t, b, fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Sled: "fescue",
		Classes: []string{"farm-9500"}})
	write(t, b, func(w *Writer) error {
		_, err := w.AddAsRun(show.ID, "farm-9500", fleet.AsRun{FromHook: 1, Gear: "1"}, nil)
		return err
	})
	e = refused(t, b, correct("fescue", sledOf("Fescue", ft(33), "2")))
	assert.Contains(t, e.Detail, "gear 1 was run at a show")
	clock.now = clock.now.Add(time.Hour)
	for _, id := range []string{"bluestem", "fescue"} {
		write(t, b, func(w *Writer) error {
			_, retired, err := w.RemoveSled(id, whatever)
			assert.True(t, retired, id)
			return err
		})
		s, err := b.Sled(ctx, id)
		require.NoError(t, err)
		assert.True(t, s.Retired)
	}
	addSled(t, b, sledOf("Brome", ft(33), "1"))
	write(t, b, func(w *Writer) error {
		_, retired, err := w.RemoveSled("brome", whatever)
		assert.False(t, retired, "nothing needs it")
		return err
	})
}
