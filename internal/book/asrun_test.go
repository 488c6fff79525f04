package book

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestAsRun_IsStoredWithTheTopOutOfItsTime(t *testing.T) {
	t.Parallel()
	b, clock, s := openShow(t)
	add := func(a fleet.AsRun, seen *int64) (got fleet.AsRun) {
		clock.now = clock.now.Add(time.Minute)
		write(t, b, func(w *Writer) (err error) {
			got, err = w.AddAsRun(s.ID, "antique", a, seen)
			return err
		})
		return got
	}
	again := add(fleet.AsRun{FromHook: 8, Gear: "2", StartFt: 0.5, Note: "a test pull went full"}, &s.Revision)
	first := add(fleet.AsRun{FromHook: 1, Gear: " 3 ", Weights: "all in"}, nil)
	off := add(fleet.AsRun{FromHook: 8, Gear: "1", PullOff: true}, nil)
	assert.Equal(t, fleet.AsRun{
		ID: first.ID, Show: s.ID, Class: "antique", Sled: "fescue", GearID: first.GearID, Gear: "3", FromHook: 1,
		Weights:  "all in",
		TopOutFt: first.TopOutFt, CreatedAt: clock.now.Add(-time.Minute),
	}, first)
	assert.InDelta(t, 259, *first.TopOutFt, 1)
	assert.InDelta(t, 277*(1-0.5/33), *again.TopOutFt, 1)
	assert.False(t, again.Changed)
	rows := sheetOf(t, b, s.ID, "").Rows
	assert.Equal(t, []fleet.AsRun{first, again, off}, rows[1].AsRun, "by hook, then as they came in")
	assert.Empty(t, rows[0].AsRun)

	// The promoter swaps the sled; a phone without signal did not hear of it.
	other := s
	other.Sled = "bluestem"
	write(t, b, func(w *Writer) error { _, err := w.ReplaceShow(s.ID, anyShow, other); return err })
	e := refused(t, b, func(w *Writer) error {
		_, err := w.AddAsRun(s.ID, "antique", fleet.AsRun{FromHook: 20, Gear: "2"}, &s.Revision)
		return err
	})
	assert.Equal(t, []string{"gear"}, places(e))
	assert.Contains(t, e.Faults[0].Detail, "the sled was changed to Bluestem")
	assert.Contains(t, e.Faults[0].Detail, "A, B, C")
	late := add(fleet.AsRun{FromHook: 20, Gear: "C"}, &s.Revision)
	assert.True(t, late.Changed)
	assert.Equal(t, "bluestem", late.Sled)
	now := s.Revision + 1
	assert.False(t, add(fleet.AsRun{FromHook: 30, Gear: "C"}, &now).Changed)
	rows = sheetOf(t, b, s.ID, "").Rows
	require.Len(t, rows[1].AsRun, 5)
	assert.Equal(t, first, rows[1].AsRun[0], "what was run on the sled before stays as it was run")
	assert.True(t, rows[1].AsRun[3].Changed)
}

func TestAsRun_RefusesAWrongLine(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	for name, c := range map[string]struct {
		show, class string
		line        fleet.AsRun
		kind        fleet.Kind
		at          []string
		says        string
	}{
		"no such show": {"spring-pull", "antique", fleet.AsRun{FromHook: 1, Gear: "1"}, fleet.NotFound,
			[]string{}, "no show"},
		"a class it does not run": {s.ID, "hot-farm", fleet.AsRun{FromHook: 1, Gear: "1"}, fleet.NotFound, []string{},
			"running order of Harvest Pull"},
		"a gear the sled lacks": {s.ID, "antique", fleet.AsRun{FromHook: 1, Gear: "A"}, fleet.Invalid,
			[]string{"gear"}, "it has 1, 2, 3"},
		"everything wrong": {s.ID, "antique", fleet.AsRun{Gear: "A", StartFt: 33, Weights: "a\nb"},
			fleet.Invalid, []string{"from_hook", "gear", "start_ft", "weights"}, ""},
	} {
		e := refused(t, b, func(w *Writer) error { _, err := w.AddAsRun(c.show, c.class, c.line, nil); return err })
		assert.Equal(t, c.kind, e.Kind, name)
		assert.Equal(t, c.at, places(e), name)
		assert.Contains(t, e.Error(), c.says, name)
		assert.NotContains(t, e.Error(), "changed", name)
	}
	for _, at := range [][3]string{{s.ID, "antique", "x"}, {s.ID, "hot-farm", "x"}, {"spring-pull", "antique", "x"}} {
		e := refused(t, b, func(w *Writer) error { return w.RemoveAsRun(at[0], at[1], at[2]) })
		assert.Equal(t, fleet.NotFound, e.Kind)
	}
	// A line is taken back at its own class only.
	var line fleet.AsRun
	write(t, b, func(w *Writer) (err error) {
		line, err = w.AddAsRun(s.ID, "antique", fleet.AsRun{FromHook: 1, Gear: "1"}, nil)
		return err
	})
	e := refused(t, b, func(w *Writer) error { return w.RemoveAsRun(s.ID, "super-stock", line.ID) })
	assert.Equal(t, fleet.NotFound, e.Kind)
}

func TestOutcome_IsStoredAndRemoved(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	hooks, full := 12, 3
	put := func(o fleet.Outcome) (got fleet.Outcome) {
		write(t, b, func(w *Writer) (err error) {
			got, err = w.PutOutcome(s.ID, "antique", o)
			return err
		})
		return got
	}
	put(fleet.Outcome{Felt: fleet.Hard})
	want := fleet.Outcome{LongestFt: ft(311.4), Hooks: &hooks, FullPulls: &full, Felt: fleet.Soft, Note: "dry"}
	given := want
	given.Note = " dry\n"
	assert.Equal(t, want, put(given))
	rows := sheetOf(t, b, s.ID, "timothy").Rows
	assert.Equal(t, &want, rows[1].Outcome)
	assert.Nil(t, rows[0].Outcome)
	put(fleet.Outcome{})
	assert.Nil(t, sheetOf(t, b, s.ID, "").Rows[1].Outcome)
	e := refused(t, b, func(w *Writer) error {
		_, err := w.PutOutcome(s.ID, "antique",
			fleet.Outcome{LongestFt: ft(-1), Hooks: &full, FullPulls: &hooks, Felt: "nice"})
		return err
	})
	assert.Equal(t, []string{"longest_ft", "full_pulls", "felt"}, places(e))
	e = refused(t, b, func(w *Writer) error { _, err := w.PutOutcome(s.ID, "hot-farm", want); return err })
	assert.Equal(t, fleet.NotFound, e.Kind)
}
