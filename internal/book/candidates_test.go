package book

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

func candidatesOf(t testing.TB, b *Book, show string) Candidates {
	t.Helper()
	c, err := b.Candidates(context.Background(), show)
	require.NoError(t, err)
	return c
}

func TestCandidates_AreRankedByDifference(t *testing.T) {
	t.Parallel()
	b, _, _ := openDrawn(t, 3, usual)
	addSled(t, b, sledOf("Sedge", ft(30), "X")) // never measured
	addSled(t, b, sledOf("Brome", nil, "0", "2", "3"))
	addSled(t, b, sledOf("Ryegrass", ft(30), "1"))
	addReading(t, b, "ryegrass", readingOf("1", 0, 250))
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("ryegrass", whatever); return err })
	show := fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Sled: "sled-2"}
	for i, start := range []float64{0, 4, 0, 0, 4} {
		c := addClass(t, b, classOf(fmt.Sprint("Class ", i), "sled-0", fmt.Sprint(2+i), start))
		show.Classes = append(show.Classes, c.ID)
		if start == 0 { // Brome is just right; without a travel its two others are compared at full back
			stated := readingOf(fmt.Sprint(i), 0, *c.Setting.TopOutFt)
			stated.Ended, stated.By = fleet.Stated, "its owner"
			addReading(t, b, "brome", stated)
		}
	}
	id := addShow(t, b, show).ID
	c := candidatesOf(t, b, id)
	assert.Equal(t, id, c.Show.ID)
	require.Len(t, c.Items, 6)
	assert.Equal(t, "sled-0", c.Items[0].Sled, "the one they are all used to")
	assert.Zero(t, *c.Items[0].MeanFt)
	assert.Equal(t, 1.0, *c.Items[0].ChanceWithin5, "it cannot miss itself")
	for i, item := range c.Items[:5] {
		assert.Equal(t, 5, item.Known)
		assert.Equal(t, item.Sled == "sled-2", item.Booked)
		if i > 0 {
			assert.GreaterOrEqual(t, *item.MeanFt, *c.Items[i-1].MeanFt)
		}
		// It says what the sheet on that sled says.
		sum, worst, class, fullBack := 0.0, -1.0, "", 0
		for _, row := range sheetOf(t, b, id, item.Sled).Rows {
			miss := math.Abs(row.Tonight.Nearest.DifferenceFt)
			if row.Tonight.Nearest.ComparedAt == match.FullBack {
				fullBack++
			}
			sum += miss
			if miss > worst {
				worst, class = miss, row.Class.ID
			}
		}
		assert.InDelta(t, sum/5, *item.MeanFt, 1e-9)
		assert.Equal(t, item.Sled == "brome", fullBack == 2)
		assert.Equal(t, worst, *item.WorstFt)
		assert.Equal(t, class, item.WorstClass)
		require.NotNil(t, item.ChanceWithin5)
		if *item.WorstFt > 5 {
			assert.Less(t, *item.ChanceWithin5, 0.5, "the worst class is out by itself")
		}
	}
	assert.Equal(t, Candidate{Sled: "sedge", Name: "Sedge"}, c.Items[5])
	_, err := b.Candidates(context.Background(), "spring-pull")
	assert.True(t, isKind(err, fleet.NotFound))
	empty := addShow(t, b, fleet.Show{Name: "Winter Pull", Date: "2026-12-18", Sled: "sled-2"})
	assert.Zero(t, candidatesOf(t, b, empty.ID).Items[0].Known)
}

func TestCandidates_TellWhatAClassRanOnLastTime(t *testing.T) {
	t.Parallel()
	b, clock, s := openShow(t) // at Millbrook on the 18th of July 2026
	all := s.Classes
	earlier := func(name, date, place, sled string, classes ...string) fleet.Show {
		return addShow(t, b, fleet.Show{Name: name, Date: date, Place: place, Sled: sled, Classes: classes})
	}
	here := earlier("Harvest Pull", "2025-07-19", "MILLBROOK", "bluestem", "antique", "super-stock")
	long := earlier("Harvest Pull", "2024-07-20", "Millbrook", "timothy", all...)
	away := earlier("Spring Pull", "2026-05-02", "Oakfield", "timothy", all...)
	earlier("Same Day", s.Date, "Millbrook", "timothy", all...)
	earlier("Next Pull", "2026-07-25", "Millbrook", "timothy", all...)
	earlier("Blank Pull", "2025-08-01", "Millbrook", "sedge", "super-stock") // nothing was known of Sedge
	note := func(show fleet.Show, class string, a fleet.AsRun) {
		write(t, b, func(w *Writer) error { _, err := w.AddAsRun(show.ID, class, a, nil); return err })
	}
	note(here, "antique", fleet.AsRun{FromHook: 1, Gear: "C"})
	note(here, "antique", fleet.AsRun{FromHook: 3, Gear: "B", StartFt: 1})
	note(here, "antique", fleet.AsRun{FromHook: 20, Gear: "A", PullOff: true})
	note(long, "farm-9500", fleet.AsRun{FromHook: 3, Gear: "1", PullOff: true})
	hooks, full := 14, 2
	write(t, b, func(w *Writer) error {
		_, err := w.PutOutcome(here.ID, "antique", fleet.Outcome{Hooks: &hooks, FullPulls: &full})
		return err
	})
	last := candidatesOf(t, b, s.ID).LastTime
	require.Len(t, last, 3)
	for i, id := range all {
		assert.Equal(t, id, last[i].Class, "in running order")
	}
	super, antique, farm := last[0].Last, last[1].Last, last[2].Last

	require.NotNil(t, antique)
	assert.InDelta(t, 280*(1-1/34.5), *antique.TopOutFt, 2)
	assert.Equal(t, &LastRun{
		Show: here.ID, ShowName: "Harvest Pull", Date: "2025-07-19", Place: "MILLBROOK", Here: true, Sled: "bluestem",
		Gear: "B", StartFt: 1,
		TopOutFt: antique.TopOutFt, Noted: true, Outcome: &fleet.Outcome{Hooks: &hooks, FullPulls: &full},
	}, antique, "what most hooks pulled on, the pull-off aside")

	require.NotNil(t, farm)
	assert.Equal(t, long.ID, farm.Show, "the last time it ran here, though it ran elsewhere since")
	assert.False(t, farm.Noted)
	assert.Equal(t, "1", farm.Gear, "what the sheet said: only the pull-off was noted")
	assert.Equal(t, "timothy", farm.Sled)
	assert.Nil(t, farm.Outcome)

	require.NotNil(t, super)
	assert.Equal(t, away.ID, super.Show, "of the last time here nothing is known")
	assert.False(t, super.Here)

	clock.now = clock.now.AddDate(1, 0, 0) // the earlier ones keep their sheets by now, whatever the charts say
	upset(t, b)
	again := candidatesOf(t, b, s.ID).LastTime
	assert.Equal(t, antique, again[1].Last)
	assert.Equal(t, farm, again[2].Last)

	nowhere := addShow(t, b, fleet.Show{Name: "Winter Pull", Date: "2027-12-18", Sled: "timothy",
		Classes: []string{"antique"}})
	next := candidatesOf(t, b, nowhere.ID).LastTime[0].Last
	assert.Equal(t, "next-pull-2026-07-25", next.Show)
	assert.False(t, next.Here)
	first := addShow(t, b, fleet.Show{Name: "First Pull", Date: "2020-01-01", Sled: "timothy",
		Classes: []string{"antique"}})
	assert.Equal(t, []LastTime{{Class: "antique", Name: "Very Antique"}}, candidatesOf(t, b, first.ID).LastTime)
}
