package book

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// openFull has so many sleds of five gears with so many readings each, from three start positions on 36 days, as
// repeatable as is assumed.
func openFull(t testing.TB, sleds, readings int) *Book {
	t.Helper()
	b, clock := openBook(t)
	rng := rand.New(rand.NewPCG(3, 5))
	for n := range sleds {
		write(t, b, func(w *Writer) error {
			s, err := w.AddSled(sledOf(fmt.Sprintf("Sled %d", n), ft(34.5), "A", "B", "C", "D", "E"))
			if err != nil {
				return err
			}
			var dayEffect [36]float64
			for i := range dayEffect {
				dayEffect[i] = 0.01 * rng.NormFloat64()
			}
			of := make([]fleet.Reading, readings)
			for i := range of {
				gear, start, day := rng.IntN(5), float64(2*rng.IntN(3)), i%len(dayEffect)
				on := time.Date(2020+day/6, time.Month(5+day%6), 14, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
				of[i] = fleet.Reading{
					ID: fmt.Sprintf("reading-%03d-%04d", n, i), Sled: s.ID, GearID: s.Gears[gear].ID, StartFt: start,
					DistanceFt: 280 * math.Pow(0.955, float64(gear)) * (1 - start/34.5) *
						math.Exp(dayEffect[day]+0.007*rng.NormFloat64()),
					Ended: fleet.ToppedOut, MeasuredOn: on, Day: on, Place: "Little Whatnot flats", By: "crew notes",
					CreatedAt: clock.now,
				}
			}
			return w.tx.AddReadings(of)
		})
	}
	return b
}

// What a fleet holds in memory for each of its readings decides what the program needs: the garbage collector lets the
// heap grow to twice of it. Nothing else may run meanwhile.
func TestSnapshot_HoldsLittleOfEachReading(t *testing.T) {
	const sleds, readings = 8, 3000
	b := openFull(t, sleds, readings)
	heap := func() (held, allocated float64) {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapAlloc), float64(m.TotalAlloc)
	}
	heldBefore, allocatedBefore := heap()
	_, err := b.Chart(context.Background(), "sled-1", nil, "", "")
	require.NoError(t, err)
	held, allocated := heap()
	runtime.KeepAlive(b)
	assert.Less(t, (held-heldBefore)/sleds/readings, 220.0, "bytes held for each reading")
	assert.Less(t, (allocated-allocatedBefore)/sleds/readings, 2500.0, "bytes allocated for each reading, once")
}

// BenchmarkSnapshot is the first chart after a start, with 60,000 readings of 10 sleds: they are read into memory, and
// the repeatability of the whole fleet is worked out. ratio is its time over that of going through the same readings in
// the same run, peak the most that the heap held beyond what it held before.
//
//	go test -run '^$' -bench Snapshot -benchtime 2x ./internal/book
func BenchmarkSnapshot(b *testing.B) {
	full := openFull(b, 10, 6000)
	ctx := context.Background()
	var through, first time.Duration
	most := 0.0
	for b.Loop() {
		began := time.Now()
		require.NoError(b, full.store.Read(ctx, func(r *store.Reads) error {
			return r.EachReading(func(fleet.Reading) error { return nil })
		}))
		through += time.Since(began)
		fresh := New(full.store, Options{Now: full.now, Assumed: assumed})
		peak := watchHeap()
		began = time.Now()
		_, err := fresh.Chart(ctx, "sled-1", nil, "", "")
		first += time.Since(began)
		require.NoError(b, err)
		most = max(most, peak())
	}
	b.ReportMetric(first.Seconds()/float64(b.N), "s/first-chart")
	b.ReportMetric(first.Seconds()/through.Seconds(), "ratio")
	b.ReportMetric(most/1e6, "peak-MB")
}
