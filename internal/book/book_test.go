package book

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/store"
	"evenpull/internal/store/storetest"
)

var noon = time.Date(2026, 5, 9, 12, 0, 0, 123456000, time.UTC)

var assumed = calibrate.Assumption{DayPct: 1, ReadingPct: 0.7, DF: 2}

// at is a clock that a test moves.
type at struct{ now time.Time }

func (c *at) time() time.Time { return c.now }

func openBook(t testing.TB) (*Book, *at) {
	t.Helper()
	clock := &at{noon}
	s, err := store.Open(context.Background(), storetest.DB(t), store.Options{Now: clock.time})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	return New(s, Options{Now: clock.time, Assumed: assumed}), clock
}

func ft(v float64) *float64 { return &v }

func sledOf(name string, travel *float64, labels ...string) fleet.Sled {
	s := fleet.Sled{Name: name, TravelFt: travel}
	for _, l := range labels {
		s.Gears = append(s.Gears, fleet.Gear{Label: l})
	}
	return s
}

func readingOf(gear string, start, distance float64) fleet.Reading {
	return fleet.Reading{Gear: gear, StartFt: start, DistanceFt: distance, MeasuredOn: "2026-05-09"}
}

// manager is who writes in these tests.
var manager = fleet.Actor{Name: "the manager", Role: fleet.Manager}

func write(t testing.TB, b *Book, do func(w *Writer) error) {
	t.Helper()
	require.NoError(t, b.Write(context.Background(), manager, do))
}

func refused(t testing.TB, b *Book, do func(w *Writer) error) *fleet.Error {
	t.Helper()
	var e *fleet.Error
	require.ErrorAs(t, b.Write(context.Background(), manager, do), &e)
	return e
}

func addSled(t testing.TB, b *Book, s fleet.Sled) (stored fleet.Sled) {
	t.Helper()
	write(t, b, func(w *Writer) (err error) {
		stored, err = w.AddSled(s)
		return err
	})
	return stored
}

func addReading(t testing.TB, b *Book, sled string, r fleet.Reading) (stored fleet.Reading) {
	t.Helper()
	write(t, b, func(w *Writer) (err error) {
		stored, err = w.AddReading(sled, r, Answers{})
		return err
	})
	return stored
}

// places lists where the faults are.
func places(e *fleet.Error) []string {
	at := make([]string, len(e.Faults))
	for i, f := range e.Faults {
		at[i] = f.At
	}
	return at
}

func whatever(fleet.Sled) error { return nil }

func TestBook_OfAnEmptyFleet(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	ctx := context.Background()
	require.NoError(t, b.Ready(ctx))
	empty, err := b.Empty(ctx)
	require.NoError(t, err)
	assert.True(t, empty)
	_, err = b.Chart(ctx, "bluestem", nil, "", "")
	assert.True(t, isKind(err, fleet.NotFound))
	_, err = b.Table(ctx, "bluestem", 0, "")
	assert.True(t, isKind(err, fleet.NotFound))
	_, err = b.Equivalents(ctx, Question{Sled: "bluestem", Gear: "A"})
	assert.True(t, isKind(err, fleet.NotFound))
	addSled(t, b, sledOf("Bluestem", nil, "A"))
	empty, err = b.Empty(ctx)
	require.NoError(t, err)
	assert.False(t, empty)
}

func TestBook_ReturnsWhatIsStored(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	ctx := context.Background()
	sled := addSled(t, b, fleet.Sled{Name: " Big Bluestem ", TravelFt: ft(34.5),
		Gears: []fleet.Gear{{Label: "A", Ratio: ft(1.31)}, {Label: "3 low"}}, Notes: "by the barn"})
	assert.Equal(t, "big-bluestem", sled.ID)
	assert.Equal(t, "Big Bluestem", sled.Name)
	assert.EqualValues(t, 1, sled.Revision)
	assert.Equal(t, noon, sled.CreatedAt)
	assert.NotEqual(t, sled.Gears[0].ID, sled.Gears[1].ID)
	got, err := b.Sled(ctx, sled.ID)
	require.NoError(t, err)
	assert.Equal(t, sled, got)

	reading := addReading(t, b, sled.ID, readingOf("3 low", 4, 250))
	assert.Equal(t, fleet.ToppedOut, reading.Ended)
	assert.Equal(t, "2026-05-09", reading.Day)
	gotReading, err := b.Reading(ctx, reading.ID)
	require.NoError(t, err)
	assert.Equal(t, reading, gotReading)
	readings, next, err := b.Readings(ctx, sled.ID, "", 10)
	require.NoError(t, err)
	assert.Empty(t, next)
	assert.Equal(t, []fleet.Reading{reading}, readings)

	sleds, next, err := b.Sleds(ctx, "", 10)
	require.NoError(t, err)
	assert.Empty(t, next)
	sled.Readings = 1
	assert.Equal(t, []fleet.Sled{sled}, sleds, "a reading is no correction of the document: the revision stays")
}

func TestBook_MakesDifferentIDs(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for range 10_000 {
		id := newID()
		require.Regexp(t, "^[a-z2-7]{16}$", id)
		require.False(t, seen[id])
		seen[id] = true
	}
}
