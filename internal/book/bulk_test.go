package book

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// rowsOf numbers readings as a CSV does, whose header is row 1.
func rowsOf(readings []fleet.Reading) iter.Seq[fleet.Row[fleet.Reading]] { return rowsFrom(readings) }

// rowsFrom are rows as an upload has them, the first after the headings.
func rowsFrom[T any](records []T) iter.Seq[fleet.Row[T]] {
	return func(yield func(fleet.Row[T]) bool) {
		for i, r := range records {
			if !yield(fleet.Row[T]{Number: i + 2, Record: r}) {
				return
			}
		}
	}
}

func manyReadings(n int) []fleet.Reading {
	readings := make([]fleet.Reading, n)
	for i := range readings {
		readings[i] = readingOf([]string{"A", "B", "C"}[i%3], 0, 300-float64(i%3)*15+float64(i%7)*0.3)
		readings[i].Sled = []string{"bluestem", "fescue"}[i%2]
	}
	return readings
}

func openPair(t testing.TB) *Book {
	b, _ := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(34.5), "A", "B", "C"))
	addSled(t, b, sledOf("Fescue", ft(33), "A", "B", "C"))
	return b
}

func TestBulk_StoresAllReadings(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	ctx := context.Background()
	readings := manyReadings(2*batchSize + 10)
	found, err := b.CheckReadings(ctx, rowsOf(readings), Request{})
	require.NoError(t, err)
	assert.Equal(t, len(readings), found.Rows)
	revision, err := b.Revision(ctx)
	require.NoError(t, err)
	assert.EqualValues(t, 2, revision, "a dry run stores nothing")
	write(t, b, func(w *Writer) error {
		added, err := w.AddReadings(rowsOf(readings), Request{})
		assert.Equal(t, Added{Accepted: len(readings), Batch: added.Batch}, added)
		assert.NotEmpty(t, added.Batch)
		return err
	})
	for _, id := range []string{"bluestem", "fescue"} {
		s, err := b.Sled(ctx, id)
		require.NoError(t, err)
		assert.Equal(t, len(readings)/2, s.Readings)
	}
	newest, _, err := b.Readings(ctx, "fescue", "", 1)
	require.NoError(t, err)
	last := readings[len(readings)-1]
	assert.Equal(t, last.DistanceFt, newest[0].DistanceFt, "in the order they were sent")
}

// Everybody may ask for a batch.
func TestBatch_IsCountedWithoutReadingIt(t *testing.T) {
	b := openPair(t)
	ctx := context.Background()
	allocations := func(readings int) float64 {
		var batch Batch
		write(t, b, func(w *Writer) error {
			added, err := w.AddReadings(rowsOf(manyReadings(readings)), Request{})
			if err == nil {
				_, err = w.SetBatchAside(added.Batch, new("a wrong tape"))
			}
			batch = Batch{ID: added.Batch, Sleds: []string{"bluestem", "fescue"}, Readings: readings,
				SetAside: readings}
			return err
		})
		return testing.AllocsPerRun(1, func() {
			found, err := b.Batch(ctx, batch.ID)
			assert.NoError(t, err)
			assert.Equal(t, batch, found)
		})
	}
	assert.Less(t, allocations(2000), 2*allocations(10))
}

func TestBulk_NamesEveryBadRowAndStoresNothing(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	readings := manyReadings(6000)
	readings[4100].Gear = "Q" // in a later batch than the ones stored by then
	readings[4200].DistanceFt = -5
	readings[4200].MeasuredOn = "yesterday"
	readings[5999].Sled = "brome"
	rows := slices.Collect(rowsOf(readings))
	var number fleet.Faults
	number.Add("distance_ft", "%q is not a number", "far")
	rows[4300].Faults, rows[4300].Record.DistanceFt, rows[4300].Record.StartFt = number, 0, 99
	var row fleet.Faults
	row.Add("", "has 4 cells, not 5")
	rows[4400] = fleet.Row[fleet.Reading]{Number: 4402, Faults: row}
	found, err := b.CheckReadings(context.Background(), slices.Values(rows), Request{})
	assert.Equal(t, []int{6000, 5, 2999, 2999},
		[]int{found.Rows, found.Bad, found.Sleds["bluestem"], found.Sleds["fescue"]})
	for _, err := range []error{err,
		refused(t, b, func(w *Writer) error { _, err := w.AddReadings(slices.Values(rows), Request{}); return err })} {
		var e *fleet.Error
		require.ErrorAs(t, err, &e)
		assert.Equal(t, fleet.Invalid, e.Kind)
		var found []string
		for _, f := range e.Faults {
			found = append(found, fmt.Sprintf("%d %s", f.Row, f.At))
		}
		assert.Equal(t, []string{"4102 gear", "4202 distance_ft", "4202 measured_on", "4302 distance_ft",
			"4302 start_ft", "4402 ", "6001 sled"}, found)
	}
	// Nor does it help to overlook the error.
	e := refused(t, b, func(w *Writer) error { w.AddReadings(slices.Values(rows), Request{}); return nil })
	assert.Equal(t, fleet.Invalid, e.Kind)
	s, err := b.Sled(context.Background(), "bluestem")
	require.NoError(t, err)
	assert.Zero(t, s.Readings)
	revision, err := b.Revision(context.Background())
	require.NoError(t, err)
	assert.EqualValues(t, 2, revision)
}

// A dry run holds up no write, and no write a dry run.
func TestCheckReadings_WaitsForNoWrite(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	write(t, b, func(w *Writer) error {
		_, err := w.AddReadings(rowsOf(manyReadings(10)), Request{})
		require.NoError(t, err)
		found, err := b.CheckReadings(context.Background(), rowsOf(manyReadings(20)), Request{})
		assert.Equal(t, 20, found.Rows)
		return err
	})
}

func TestBulk_RefusesReadingsOfARetiredSledByRow(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	addReading(t, b, "fescue", readingOf("A", 0, 300))
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("fescue", whatever); return err })
	e := refused(t, b, func(w *Writer) error {
		_, err := w.AddReadings(rowsOf(manyReadings(4)), Request{})
		return err
	})
	require.Len(t, e.Faults, 2)
	assert.Equal(t, fleet.Fault{At: "sled", Row: 3, Detail: e.Faults[0].Detail}, e.Faults[0])
	assert.Contains(t, e.Faults[0].Detail, "bring it back")
}

func TestBulk_ReadingsMayReplaceOthers(t *testing.T) {
	t.Parallel()
	b := openPair(t)
	first := addReading(t, b, "bluestem", readingOf("A", 0, 200))
	readings := manyReadings(3)
	readings[0].Replaces = first.ID
	readings[2].Replaces = first.ID
	_, err := b.CheckReadings(context.Background(), rowsOf(readings), Request{})
	require.NoError(t, err)
	first, err = b.Reading(context.Background(), first.ID)
	require.NoError(t, err)
	assert.Nil(t, first.SetAside, "a dry run sets nothing aside")
	write(t, b, func(w *Writer) error { _, err := w.AddReadings(rowsOf(readings), Request{}); return err })
	first, err = b.Reading(context.Background(), first.ID)
	require.NoError(t, err)
	assert.NotNil(t, first.SetAside)
}

func BenchmarkAddReadings(b *testing.B) {
	readings := manyReadings(20_000)
	for b.Loop() {
		b.StopTimer()
		book := openPair(b)
		b.StartTimer()
		write(b, book, func(w *Writer) error { _, err := w.AddReadings(rowsOf(readings), Request{}); return err })
	}
	b.ReportMetric(float64(len(readings))*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}
