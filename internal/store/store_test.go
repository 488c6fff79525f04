package store

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store/storetest"
)

var noon = time.Date(2026, 5, 9, 12, 0, 0, 123456000, time.UTC)

func openAt(t testing.TB, db string) *Store {
	t.Helper()
	s, err := Open(context.Background(), db, Options{Now: func() time.Time { return noon }})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	return s
}

func openNew(t testing.TB) *Store {
	t.Helper()
	return openAt(t, storetest.DB(t))
}

func sledOf(id string, labels ...string) fleet.Sled {
	travel := 34.5
	s := fleet.Sled{ID: id, Name: "The " + id, TravelFt: &travel, RailMarkFt: 0.5, Revision: 1, CreatedAt: noon,
		UpdatedAt: noon}
	for _, l := range labels {
		s.Gears = append(s.Gears, fleet.Gear{ID: id + "-" + l, Label: l})
	}
	return s
}

func readingOf(s fleet.Sled, gear, n int) fleet.Reading {
	return fleet.Reading{
		ID: fmt.Sprintf("%s-r%d", s.ID, n), Sled: s.ID, GearID: s.Gears[gear].ID, Gear: s.Gears[gear].Label,
		DistanceFt: 250 + float64(n%50), Ended: fleet.ToppedOut, MeasuredOn: "2026-05-09", Day: "2026-05-09",
		CreatedAt: noon,
	}
}

// readingsOf are n readings of a sled, of one gear after the other.
func readingsOf(s fleet.Sled, n int) []fleet.Reading {
	readings := make([]fleet.Reading, n)
	for i := range readings {
		readings[i] = readingOf(s, i%len(s.Gears), i)
	}
	return readings
}

func write(t testing.TB, s *Store, do func(tx *Tx) error) {
	t.Helper()
	require.NoError(t, s.Write(context.Background(), do))
}

func read(t testing.TB, s *Store, do func(r *Reads) error) {
	t.Helper()
	require.NoError(t, s.Read(context.Background(), do))
}

func BenchmarkAddReadings(b *testing.B) {
	for _, n := range []int{20_000, 200_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				b.StopTimer()
				s := openNew(b)
				sled := sledOf("bluestem", "A", "B", "C")
				write(b, s, func(tx *Tx) error { return tx.AddSled(sled) })
				readings := readingsOf(sled, n)
				b.StartTimer()
				write(b, s, func(tx *Tx) error { return tx.AddReadings(readings) })
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
		})
	}
}

func BenchmarkLoad(b *testing.B) {
	s := openNew(b)
	sled := sledOf("bluestem", "A", "B", "C")
	write(b, s, func(tx *Tx) error { return tx.AddSled(sled) })
	readings := readingsOf(sled, 200_000)
	write(b, s, func(tx *Tx) error { return tx.AddReadings(readings) })
	for b.Loop() {
		read(b, s, func(r *Reads) error {
			notes, err := r.Load([]string{"bluestem"})
			require.Len(b, notes[0].Readings, len(readings))
			return err
		})
	}
}

// What every answer begins with: on a server it is asked for, in a file it is at hand.
func BenchmarkRevision(b *testing.B) {
	for name, open := range stores {
		b.Run(name, func(b *testing.B) {
			s := open(b)
			for b.Loop() {
				_, err := s.Revision(context.Background())
				require.NoError(b, err)
			}
		})
	}
}

// One small write, on the disk before it is acknowledged.
func BenchmarkWrite(b *testing.B) {
	for name, open := range stores {
		b.Run(name, func(b *testing.B) {
			s := open(b)
			sled := sledOf("bluestem", "A", "B", "C")
			write(b, s, func(tx *Tx) error { return tx.AddSled(sled) })
			n := 0
			for b.Loop() {
				write(b, s, func(tx *Tx) error { return tx.AddReadings([]fleet.Reading{readingOf(sled, n%3, n)}) })
				n++
			}
		})
	}
}

// stores opens an empty store in each kind of database, the server one that waits for its disk.
var stores = map[string]func(testing.TB) *Store{
	"file":   func(t testing.TB) *Store { return openAt(t, filepath.Join(t.TempDir(), "fleet.db")) },
	"server": func(t testing.TB) *Store { return openAt(t, storetest.Postgres(t).URL(t)) },
}
