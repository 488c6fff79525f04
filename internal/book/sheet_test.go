package book

import (
	"context"
	"fmt"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestSheet_OnAnotherSledShowsWhatWouldChange(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	off := homeOf("bluestem", "B", 0)
	with := classOf("Hot Farm", "bluestem", "A", 0)
	with.PullOff, with.Weights = &off, "front full"
	addClass(t, b, with)
	s.Classes = append(s.Classes, "hot-farm")
	write(t, b, func(w *Writer) error { _, err := w.ReplaceShow(s.ID, anyShow, s); return err })
	booked := sheetOf(t, b, s.ID, "")
	assert.Equal(t, booked, sheetOf(t, b, s.ID, "fescue"), "the one that is booked")
	other := sheetOf(t, b, s.ID, "timothy")
	assert.Equal(t, "fescue", other.Show.Sled)
	assert.Equal(t, "timothy", other.Sled.ID)
	require.Len(t, other.Rows, 4)
	for i, row := range other.Rows {
		assert.Equal(t, s.Classes[i], row.Class.ID, "in running order")
		assert.Equal(t, "timothy", row.Tonight.Sled)
		assert.Equal(t, booked.Rows[i].Tonight, *row.Booked)
		assert.Nil(t, booked.Rows[i].Booked)
		assert.Equal(t, "Bluestem", row.HomeSledName)
	}
	last := other.Rows[3]
	assert.Equal(t, "front full", last.Class.Weights)
	require.NotNil(t, last.PullOffTonight)
	assert.Equal(t, off.Sled, last.Class.PullOff.Sled)
	assert.Equal(t, "timothy", last.PullOffTonight.Sled)
	assert.Nil(t, other.Rows[0].PullOffTonight)

	_, err := b.Sheet(context.Background(), s.ID, "redtop", false)
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, []string{"sled"}, places(e))
	_, err = b.Sheet(context.Background(), "spring-pull", "", false)
	assert.True(t, isKind(err, fleet.NotFound))
}

// A write notes in the show how many readings its sled has, and adds one. Whoever reads meanwhile sees both or neither.
func TestSheet_IsOfOneRevision(t *testing.T) {
	t.Parallel()
	b, _, s := openShow(t)
	count := func(w *Writer) error {
		if _, err := w.AddReading("fescue", readingOf("1", 0, 296), Answers{}); err != nil {
			return err
		}
		sled, err := w.tx.Sled("fescue")
		if err != nil {
			return err
		}
		s.Notes = fmt.Sprint(sled.Readings)
		_, err = w.ReplaceShow(s.ID, anyShow, s)
		return err
	}
	write(t, b, count)
	ctx, stop := context.WithCancel(context.Background())
	var wg sync.WaitGroup
	for range 3 {
		wg.Go(func() {
			for ctx.Err() == nil {
				sheet, err := b.Sheet(context.Background(), s.ID, "", false)
				if !assert.NoError(t, err) {
					return
				}
				noted, _ := strconv.Atoi(sheet.Show.Notes)
				assert.Equal(t, noted, sheet.Sled.Readings)
				assert.Equal(t, noted, sheet.Rows[0].Tonight.Gears[0].Readings+2,
					"the chart too: Fescue has two other readings")
			}
		})
	}
	for range 60 {
		write(t, b, count)
	}
	stop()
	wg.Wait()
}

// What is written in one go is seen by what is written after it: a fleet can be loaded with its classes and shows.
func TestWrite_SeesWhatItHasWritten(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	var c fleet.Class
	var line fleet.AsRun
	var v ClassView
	write(t, b, func(w *Writer) (err error) {
		if _, err = w.AddSled(sledOf("Bluestem", ft(34.5), "A", "B")); err != nil {
			return err
		}
		if _, err = w.AddReading("bluestem", readingOf("A", 0, 300), Answers{}); err != nil {
			return err
		}
		if c, err = w.AddClass(classOf("Farm 9500", "bluestem", "A", 0)); err != nil {
			return err
		}
		if _, err = w.AddReading("bluestem", readingOf("B", 0, 280), Answers{}); err != nil {
			return err
		}
		show, err := w.AddShow(fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Sled: "bluestem",
			Classes: []string{c.ID}, Over: true})
		if err != nil {
			return err
		}
		if line, err = w.AddAsRun(show.ID, c.ID, fleet.AsRun{FromHook: 1, Gear: "B"}, nil); err != nil {
			return err
		}
		v, err = w.View(c)
		return err
	})
	assert.InDelta(t, 300, *c.Setting.TopOutFt, 1e-6)
	assert.InDelta(t, 280, *line.TopOutFt, 1e-6)
	assert.InDelta(t, 300, *v.TodayFt, 1e-6)
	assert.Len(t, sheetOf(t, b, "harvest-pull-2026-07-18", "").Rows[0].Tonight.Gears, 2)
}
