package book

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"evenpull/internal/fleet"

	"github.com/stretchr/testify/require"
)

// BenchmarkArchive takes a fleet of 100 sleds with 200,000 readings out, into a file, and in again. peak is the most
// that the heap held beyond what it held before; the document itself is on the disk.
func BenchmarkArchive(b *testing.B) {
	const sleds, readings = 100, 200_000
	from, clock := openBook(b)
	write(b, from, func(w *Writer) error {
		for n := range sleds {
			if _, err := w.AddSled(sledOf(fmt.Sprintf("Sled %d", n), ft(34.5), "A", "B", "C", "D", "E")); err != nil {
				return err
			}
		}
		_, err := w.AddReadings(func(yield func(fleet.Row[fleet.Reading]) bool) {
			for n := range readings {
				r := readingOf(string(rune('A'+n/sleds%5)), float64(n/500%3*2),
					270-12*float64(n/sleds%5)+float64(n*7919%89)/20)
				r.Sled, r.Place, r.By = fmt.Sprintf("sled-%d", n%sleds), "Little Whatnot flats", "crew notes"
				if !yield(fleet.Row[fleet.Reading]{Number: n + 1, Record: r}) {
					return
				}
			}
		}, Request{})
		return err
	})
	document := filepath.Join(b.TempDir(), "fleet.json")
	b.Run("out", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			peak := watchHeap()
			file, err := os.Create(document)
			require.NoError(b, err)
			require.NoError(b, from.Export(context.Background(), file))
			size, err := file.Seek(0, io.SeekCurrent)
			require.NoError(b, err)
			require.NoError(b, file.Close())
			b.ReportMetric(float64(size)/1e6, "MB")
			b.ReportMetric(peak()/1e6, "peak-MB")
		}
		b.ReportMetric(float64(readings)*float64(b.N)/b.Elapsed().Seconds(), "readings/s")
	})
	b.Run("in", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			b.StopTimer()
			to := openEmptyAt(b, clock)
			file, err := os.Open(document)
			require.NoError(b, err)
			peak := watchHeap()
			b.StartTimer()
			err = to.Write(context.Background(), manager, func(w *Writer) error {
				_, err := w.Import(file)
				return err
			})
			b.StopTimer()
			require.NoError(b, err)
			b.ReportMetric(peak()/1e6, "peak-MB")
			require.NoError(b, file.Close())
			b.StartTimer()
		}
		b.ReportMetric(float64(readings)*float64(b.N)/b.Elapsed().Seconds(), "readings/s")
	})
}

// watchHeap watches the heap until it is asked how much more it held at most, in bytes.
func watchHeap() (peak func() float64) {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	before, most := m.HeapAlloc, m.HeapAlloc
	done, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for {
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapAlloc)
			select {
			case <-done:
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	return func() float64 {
		close(done)
		<-stopped
		return float64(most) - float64(before)
	}
}
