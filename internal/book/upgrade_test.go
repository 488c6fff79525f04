package book

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// The fleets that earlier programs have kept, and the first key of each.
var releasedKeys = map[string]string{
	"schema-0001.sql": "evenpull-atm65ddz4yssk3ttw3awyszsuz6r6ko4vih2xpiw4hxfuhhwg7zq",
}

// A fleet that an earlier program has kept answers as the same fleet does that is entered today: every chart to the
// last digit, every class, every show. Its first key is still valid.
func TestUpgrade_AnOlderDatabaseAnswersAsOneEnteredToday(t *testing.T) {
	t.Parallel()
	dumps, err := filepath.Glob("../store/testdata/schema-*.sql")
	require.NoError(t, err)
	require.NotEmpty(t, dumps)
	for _, dump := range dumps {
		t.Run(filepath.Base(dump), func(t *testing.T) {
			t.Parallel()
			ctx := context.Background()
			b := bookAt(t, released(t, dump))
			found, err := b.Check(ctx)
			require.NoError(t, err)
			assert.Empty(t, found)
			who, ok, err := b.KnowsKey(ctx, releasedKeys[filepath.Base(dump)])
			require.NoError(t, err)
			assert.True(t, ok, "the key is still valid")
			assert.Equal(t, fleet.Manager, who.Role)

			notes := everything(t, b)
			require.Len(t, notes, 3)
			today, _ := openBook(t)
			enter(t, today, notes)
			for _, n := range notes {
				was, err := b.Chart(ctx, n.Sled.ID, nil, "", "")
				require.NoError(t, err)
				is, err := today.Chart(ctx, n.Sled.ID, nil, "", "")
				require.NoError(t, err)
				require.NotEmpty(t, was.Gears)
				assert.Equal(t, is.Gears, was.Gears, n.Sled.ID)
				assert.Equal(t, is.Shape, was.Shape)
				assert.Equal(t, is.Repeatability, was.Repeatability)
			}
			pinned(t, b)
			shows(t, b)
		})
	}
}

// notesOf is what is noted of a sled, with all its readings.
type notesOf struct {
	store.Notes
	readings []fleet.Reading
}

// everything is what is noted of every sled.
func everything(t *testing.T, b *Book) (all []notesOf) {
	t.Helper()
	require.NoError(t, b.store.Read(context.Background(), func(r *store.Reads) error {
		ids, _, err := r.Touched(0)
		if err != nil {
			return err
		}
		notes, err := r.Load(ids)
		for _, n := range notes {
			readings, err := r.AllReadings(n.Sled.ID)
			if err != nil {
				return err
			}
			all = append(all, notesOf{n, readings})
		}
		return err
	}))
	return all
}

// enter enters sleds, readings and changes as people do.
func enter(t *testing.T, b *Book, notes []notesOf) {
	t.Helper()
	for _, n := range notes {
		sled := n.Timeline.Base
		sled.Retired = false
		require.Equal(t, n.Sled.ID, addSled(t, b, sled).ID)
		again := map[string]string{}
		for _, r := range n.readings {
			r.Replaces = again[r.Replaces]
			var added fleet.Reading
			write(t, b, func(w *Writer) (err error) { // a misread one too, which was set aside later
				added, err = w.AddReading(n.Sled.ID, r, Answers{KeepUnlikely: r.SetAside != nil})
				return err
			})
			again[r.ID] = added.ID
			if r.SetAside != nil {
				write(t, b, func(w *Writer) error {
					_, err := w.SetAside(added.ID, &r.SetAside.Reason)
					return err
				})
			}
		}
		for _, c := range n.Timeline.Changes {
			write(t, b, func(w *Writer) error {
				_, err := w.AddChange(n.Sled.ID, c)
				return err
			})
		}
	}
}

// pinned holds the charts of readings with no change of parts between them against what they were read off: three days
// of gear A at full back are in the notebook as 282.6672, 286.1 and 287.8166 ft, or where parts were changed since,
// one.
func pinned(t *testing.T, b *Book) {
	t.Helper()
	chart, err := b.Chart(context.Background(), "bluestem", []float64{0}, "", "")
	require.NoError(t, err)
	top := chart.Gears[0].TopOuts[0]
	assert.InDelta(t, 285.5, top.TopOutFt, 0.02*285.5)
	assert.Equal(t, fleet.Measured, top.Basis)
	for _, e := range []calibrate.Estimate{top, chart.Gears[1].TopOuts[0], chart.Gears[2].TopOuts[0]} {
		assert.True(t, e.Known())
	}
}

func shows(t *testing.T, b *Book) {
	t.Helper()
	ctx := context.Background()
	sheet, err := b.Sheet(ctx, "harvest-pull-2026-07-18", "", false)
	require.NoError(t, err)
	assert.True(t, sheet.Show.Over)
	require.Len(t, sheet.Rows, 2)
	farm := sheet.Rows[1]
	assert.Equal(t, "Farm 9500 lb", farm.Class.Name)
	assert.Equal(t, "1", sheet.Rows[0].Tonight.Nearest.Gear)
	require.Len(t, farm.AsRun, 2)
	assert.Equal(t, "track soft", farm.AsRun[0].Note)
	assert.True(t, farm.AsRun[1].PullOff)
	require.NotNil(t, farm.Outcome)
	assert.Equal(t, 301.25, *farm.Outcome.LongestFt)
	assert.Equal(t, fleet.Soft, farm.Outcome.Felt)
	open, err := b.Sheet(ctx, "next-summer-2099-07-18", "", false)
	require.NoError(t, err)
	assert.False(t, open.Show.Over)
	assert.Len(t, open.Rows, 3)
}
