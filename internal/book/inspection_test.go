package book

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func anyList(fleet.InspectionList) error { return nil }

func putList(t testing.TB, b *Book, sled string, items ...fleet.InspectionItem) (stored fleet.InspectionList) {
	t.Helper()
	write(t, b, func(w *Writer) (err error) {
		stored, err = w.PutInspectionList(sled, anyList, items, nil)
		return err
	})
	return stored
}

func sign(t testing.TB, b *Book, sled string, found ...fleet.Inspection) (stored []fleet.Inspection) {
	t.Helper()
	write(t, b, func(w *Writer) (err error) {
		stored, err = w.AddInspections(sled, found)
		return err
	})
	return stored
}

// openInspected has a list of Fescue, which is booked for the show of July 18.
func openInspected(t testing.TB) (b *Book, clock *at, chains, belts string) {
	t.Helper()
	b, clock, _ = openShow(t)
	list := putList(t, b, "fescue", fleet.InspectionItem{What: " Chains ", EveryShows: 1, Calibration: true},
		fleet.InspectionItem{What: "Belts", EveryDays: 30})
	clock.now = time.Date(2026, 7, 18, 16, 0, 0, 0, time.UTC)
	return b, clock, list.Items[0].ID, list.Items[1].ID
}

// dueAt lists what is due, by its words.
func dueAt(t testing.TB, b *Book, sled, show, on string) (what []string, v DueView) {
	t.Helper()
	v, err := b.Due(context.Background(), sled, show, on)
	require.NoError(t, err)
	for _, item := range v.Items {
		if item.Due {
			what = append(what, item.What)
		}
	}
	return what, v
}

func TestInspectionList_KeepsItemsUnderNewWords(t *testing.T) {
	t.Parallel()
	b, _, chains, belts := openInspected(t)
	put := func(items []fleet.InspectionItem, was ...string) (l fleet.InspectionList) {
		write(t, b, func(w *Writer) (err error) {
			l, err = w.PutInspectionList("fescue", anyList, items, was)
			return err
		})
		got, err := b.InspectionList(context.Background(), "fescue")
		require.NoError(t, err)
		assert.Equal(t, l, got)
		return l
	}
	daily := func(words ...string) (items []fleet.InspectionItem) {
		for _, what := range words {
			items = append(items, fleet.InspectionItem{What: what, EveryDays: 1})
		}
		return items
	}
	l := put(daily("Oil", "Chains and pins", "Belts"), "", " Chains ")
	assert.Equal(t, []string{chains, belts}, []string{l.Items[1].ID, l.Items[2].ID})
	assert.NotContains(t, []string{chains, belts, ""}, l.Items[0].ID)
	assert.EqualValues(t, 2, l.Revision)
	l = put(daily("Belts", "Chains and pins"), "Chains and pins", "Belts")
	assert.Equal(t, []string{chains, belts}, []string{l.Items[0].ID, l.Items[1].ID}, "two swap their words")
	e := refused(t, b, func(w *Writer) error {
		_, err := w.PutInspectionList("fescue", anyList, daily("One", "Two", "Three"),
			[]string{"Belts", "Belts", "Nothing"})
		return err
	})
	assert.Equal(t, []string{"items[1].was", "items[2].was"}, places(e))
}

func TestInspectionList_KeepsAnItemThatIsNotWell(t *testing.T) {
	t.Parallel()
	b, _, chains, _ := openInspected(t)
	sign(t, b, "fescue", fleet.Inspection{Item: chains, Note: "a link is cracked", On: "2026-07-18"})
	none := func(w *Writer) error { _, err := w.PutInspectionList("fescue", anyList, nil, nil); return err }
	e := refused(t, b, none)
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Contains(t, e.Detail, "nobody has written what was done: Chains;")
	sign(t, b, "fescue", fleet.Inspection{Item: chains, Well: true, Done: "a new link", On: "2026-07-18"})
	write(t, b, none)
}

func TestInspections_AreOfTheirOwnSledAndShow(t *testing.T) {
	t.Parallel()
	b, clock, chains, belts := openInspected(t)
	other := putList(t, b, "bluestem", fleet.InspectionItem{What: "Chains", EveryShows: 1}).Items[0].ID
	addShow(t, b, fleet.Show{Name: "River Pull", Date: "2026-07-18", Sled: "bluestem"})
	due, v := dueAt(t, b, "fescue", "", "")
	assert.Equal(t, []string{"Chains", "Belts"}, due)
	assert.Equal(t, pull, v.Show.ID)
	both := sign(t, b, "fescue", fleet.Inspection{Item: chains, Well: true, On: "2026-07-18", Show: pull, By: " Bo "},
		fleet.Inspection{Item: belts, Well: true, On: "2026-07-18", Show: pull})
	assert.Equal(t, []string{"Bo", "the manager", "the manager", "Chains"},
		[]string{both[0].By, both[0].SignedBy, both[1].By, both[0].What})
	assert.Equal(t, clock.now, both[0].CreatedAt)
	due, v = dueAt(t, b, "fescue", "", "")
	assert.Empty(t, due)
	assert.Equal(t, both[0], *v.Items[0].Last)
	due, v = dueAt(t, b, "bluestem", "", "")
	assert.Equal(t, []string{"Chains"}, due, "the show of the same day on another sled")
	assert.Equal(t, "river-pull-2026-07-18", v.Show.ID)
	sign(t, b, "bluestem", fleet.Inspection{Item: other, Well: true, On: "2026-07-18", Show: "river-pull-2026-07-18"})
	due, _ = dueAt(t, b, "bluestem", pull, "")
	assert.Equal(t, []string{"Chains"}, due, "it was looked at for its own show, not to stand in at the other")

	ctx := context.Background()
	first, next, err := b.Inspections(ctx, "fescue", "", "", 1)
	require.NoError(t, err)
	assert.Equal(t, both[1:], first)
	second, next, err := b.Inspections(ctx, "fescue", pull, next, 1)
	require.NoError(t, err)
	assert.Equal(t, both[:1], second)
	assert.Empty(t, next)
	for _, c := range []struct{ sled, cursor string }{{"nosuch", ""}, {"fescue", "nonsense"}} {
		_, _, err = b.Inspections(ctx, c.sled, "", c.cursor, 1)
		assert.Error(t, err)
	}
}

// The server and the phone beside the sled may be of two zones and two dates.
func TestDue_GoesByTheDateWhereTheSledStands(t *testing.T) {
	t.Parallel()
	b, clock, chains, belts := openInspected(t)
	write(t, b, func(w *Writer) error {
		show, err := w.tx.Show(pull)
		require.NoError(t, err)
		show.Zone = "America/Chicago"
		_, err = w.ReplaceShow(pull, anyShow, show.Show)
		return err
	})
	clock.now = time.Date(2026, 7, 19, 4, 30, 0, 0, time.UTC) // July 18, 23:30 in Chicago
	_, v := dueAt(t, b, "fescue", "", "")
	assert.Equal(t, "2026-07-18", v.On)
	assert.Equal(t, pull, v.Show.ID)
	sign(t, b, "fescue", fleet.Inspection{Item: chains, Well: true, On: "2026-07-18", Show: pull},
		fleet.Inspection{Item: belts, Well: true, On: "2026-07-18", Show: pull})
	for on, want := range map[string]struct {
		show string
		due  []string
	}{
		"2026-07-16": {"", []string{"Chains"}},
		"2026-07-17": {pull, nil}, // the evening before
		"2026-07-18": {pull, nil},
		"2026-07-19": {pull, nil}, // it runs past midnight, or the phone is a zone ahead
		"2026-08-16": {"", []string{"Chains"}},
		"2026-08-17": {"", []string{"Chains", "Belts"}},
	} {
		due, v := dueAt(t, b, "fescue", "", on)
		assert.Equal(t, want.due, due, on)
		assert.Equal(t, want.show != "", v.Show != nil, on)
	}
	clock.now = time.Date(2026, 7, 19, 17, 0, 0, 0, time.UTC)
	_, v = dueAt(t, b, "fescue", "", "2026-07-19")
	assert.Nil(t, v.Show, "by noon it is over")
	_, v = dueAt(t, b, "fescue", pull, "")
	assert.Equal(t, []any{pull, "2026-07-18"}, []any{v.Show.ID, v.On}, "unless it is asked for")
}

func TestInspections_AreRefusedWithEveryFault(t *testing.T) {
	t.Parallel()
	b, _, chains, _ := openInspected(t)
	bad := func(found ...fleet.Inspection) *fleet.Error {
		return refused(t, b, func(w *Writer) error { _, err := w.AddInspections("fescue", found); return err })
	}
	e := bad(fleet.Inspection{Item: chains, On: "2026-07-20", Show: "nosuch"},
		fleet.Inspection{Item: chains, Well: true, On: "2026-07-20", Show: "nosuch"},
		fleet.Inspection{Item: "gone", Well: true, On: "2026-07-20", Show: "nosuch"})
	assert.Equal(t, []string{"show", "on", "items[0].note", "items[1].item", "items[2].item"}, places(e))
	for _, id := range []string{"nosuch"} {
		e = refused(t, b, func(w *Writer) error { _, err := w.AddInspections(id, nil); return err })
		assert.Equal(t, fleet.NotFound, e.Kind)
	}
	_, err := b.Due(context.Background(), "fescue", "nosuch", "")
	assert.True(t, isKind(err, fleet.NotFound))
}

func TestInspection_IsTakenBackUnlessItWasNotWell(t *testing.T) {
	t.Parallel()
	b, _, chains, _ := openInspected(t)
	on := "2026-07-18"
	well := sign(t, b, "fescue", fleet.Inspection{Item: chains, Well: true, On: on, Show: pull})[0]
	write(t, b, func(w *Writer) error { return w.RemoveInspection(well.ID) })
	due, _ := dueAt(t, b, "fescue", "", "")
	assert.Contains(t, due, "Chains")
	for _, kept := range []fleet.Inspection{{Item: chains, Note: "cracked", On: on},
		{Item: chains, Well: true, Done: "a new link", On: on}} {
		id := sign(t, b, "fescue", kept)[0].ID
		e := refused(t, b, func(w *Writer) error { return w.RemoveInspection(id) })
		assert.Equal(t, fleet.Conflict, e.Kind)
	}
	e := refused(t, b, func(w *Writer) error { return w.RemoveInspection(well.ID) })
	assert.Equal(t, fleet.NotFound, e.Kind)
}

func TestInspections_KeepTheirSledAndTheirShow(t *testing.T) {
	t.Parallel()
	b, _, chains, _ := openInspected(t)
	addSled(t, b, sledOf("Ryegrass", nil, "A"))
	list := putList(t, b, "ryegrass", fleet.OfferedInspectionItems()...)
	bare := addShow(t, b, fleet.Show{Name: "Bare Pull", Date: "2026-07-18", Sled: "fescue"})
	sign(t, b, "fescue", fleet.Inspection{Item: chains, Well: true, On: "2026-07-18", Show: bare.ID})
	e := refused(t, b, func(w *Writer) error { return w.RemoveShow(bare.ID, anyShow) })
	assert.Equal(t, fleet.Conflict, e.Kind)
	removed := func() (retired bool) {
		write(t, b, func(w *Writer) (err error) {
			_, retired, err = w.RemoveSled("ryegrass", whatever)
			return err
		})
		return retired
	}
	assert.False(t, removed(), "a list alone goes with its sled")
	addSled(t, b, sledOf("Ryegrass", nil, "A"))
	again, err := b.InspectionList(context.Background(), "ryegrass")
	require.NoError(t, err)
	assert.Zero(t, again.Revision)
	list = putList(t, b, "ryegrass", list.Items...)
	sign(t, b, "ryegrass", fleet.Inspection{Item: list.Items[0].ID, Well: true, On: "2026-07-18"})
	assert.True(t, removed(), "what was signed stays")
}

// No answer says anything of inspections, so that none is worked out anew for them.
func TestInspections_MoveNoAnswer(t *testing.T) {
	t.Parallel()
	b, _, chains, _ := openInspected(t)
	before, err := b.Revision(context.Background())
	require.NoError(t, err)
	sign(t, b, "fescue", fleet.Inspection{Item: chains, Well: true, On: "2026-07-18"})
	putList(t, b, "fescue")
	after, err := b.Revision(context.Background())
	require.NoError(t, err)
	assert.Equal(t, before, after)
}
