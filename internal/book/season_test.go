package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestSeason_Dates(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	ctx := context.Background()
	none, err := b.Season(ctx, "", "", WithGuests)
	require.NoError(t, err)
	assert.Equal(t, Season{Revision: none.Revision}, none)
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A"))
	for _, date := range []string{"2025-12-31", "2026-01-01", "2026-09-19"} {
		addShow(t, b, fleet.Show{Name: "Pull", Date: date, Sled: "bluestem"})
	}
	for says, c := range map[string]struct {
		from, to         string
		wantFrom, wantTo string
		shows            int
	}{
		"the newest year":      {"", "", "2026-01-01", "2026-09-19", 2},
		"from a date":          {"2025-12-01", "", "2025-12-01", "2026-09-19", 3},
		"to a date":            {"", "2026-09-18", "2026-01-01", "2026-09-18", 1},
		"between two":          {"2025-01-01", "2025-12-31", "2025-01-01", "2025-12-31", 1},
		"before the first day": {"", "2024-01-01", "2026-01-01", "2024-01-01", 0},
	} {
		got, err := b.Season(ctx, c.from, c.to, WithGuests)
		require.NoError(t, err, says)
		assert.Equal(t, c.wantFrom, got.From, says)
		assert.Equal(t, c.wantTo, got.To, says)
		assert.Equal(t, c.shows, got.Shows, says)
	}
	_, err = b.Season(ctx, "may", "2026-13-01", WithGuests)
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"since", "until"}, places(e))
	_, err = b.Season(ctx, "2026-02-01", "2026-01-01", WithGuests)
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"since"}, places(e))
}

// What is compared with the plan is what pulled the first hook; and a moved start that the sheet offered is no
// correction.
func TestSeason_WhatCountsAsMoved(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	ctx := context.Background()
	addClass(t, b, classOf("Hot Farm", "brome", "slow", 0)) // tops out half-way between two gears of Bluestem
	s.Classes = append(s.Classes, "hot-farm")
	s.Sled = "bluestem"
	write(t, b, func(w *Writer) error { _, err := w.ReplaceShow(s.ID, anyShow, s); return err })
	line := func(class string) SeasonLine {
		season, err := b.Season(ctx, "", "", WithGuests)
		require.NoError(t, err)
		for _, c := range season.Classes {
			if c.ID == class {
				require.Len(t, c.Lines, 1)
				return c.Lines[0]
			}
		}
		require.FailNow(t, "no such class")
		return SeasonLine{}
	}
	note := func(class string, a fleet.AsRun) {
		write(t, b, func(w *Writer) error { _, err := w.AddAsRun(s.ID, class, a, nil); return err })
	}
	antique := line("antique") // at home: gear C
	assert.Equal(t, "C", antique.Planned.Gear)
	assert.Nil(t, antique.Set)
	assert.Nil(t, antique.MovedFt)
	note("antique", fleet.AsRun{FromHook: 1, Gear: "A", PullOff: true})
	assert.Nil(t, line("antique").Set, "the pull-off is another question")
	note("antique", fleet.AsRun{FromHook: 5, Gear: "A"})
	assert.Equal(t, "A", line("antique").Set.Gear)
	note("antique", fleet.AsRun{FromHook: 2, Gear: "C"})
	note("antique", fleet.AsRun{FromHook: 2, Gear: "B"})
	moved := line("antique")
	assert.Equal(t, "A", moved.Set.Gear, "six hooks pulled on A, three on B and none on C")
	assert.InDelta(t, (3*(280-262)+6*(300-262))/9.0, *moved.MovedFt, 2,
		"of two lines from the same hook, the later one counts")
	hooks := 21
	write(t, b, func(w *Writer) error {
		_, err := w.PutOutcome(s.ID, "antique", fleet.Outcome{Hooks: &hooks})
		return err
	})
	assert.InDelta(t, (3*(280-262)+17*(300-262))/20.0, *line("antique").MovedFt, 2, "the last setting pulled the rest")
	note("farm-9500", fleet.AsRun{FromHook: 1, Gear: "A"})
	for range 3 {
		addReading(t, b, "bluestem", readingOf("A", 0, 306))
	}
	assert.Zero(t, *line("farm-9500").MovedFt, "set as planned, whatever the chart has learned since")

	hot := sheetOf(t, b, s.ID, "").Rows[3].Tonight
	require.NotNil(t, hot.MovedStart)
	require.True(t, hot.MovedStart.WorthIt, "or this tests nothing")
	note("hot-farm", fleet.AsRun{FromHook: 1, Gear: hot.MovedStart.Gear, StartFt: hot.MovedStart.RoundedStartFt})
	taken := line("hot-farm")
	assert.Zero(t, *taken.MovedFt)
	assert.Equal(t, hot.MovedStart.RoundedStartFt, taken.Planned.StartFt)
	note("hot-farm", fleet.AsRun{FromHook: 1, Gear: hot.Nearest.Gear})
	assert.Zero(t, *line("hot-farm").MovedFt, "the nearest gear is a plan too")
}
