package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func logSize(t *testing.T, s *Store) int64 {
	t.Helper()
	about, err := os.Stat(s.path + "-wal")
	require.NoError(t, err)
	return about.Size()
}

// manyReadings take about 40 MB.
func manyReadings(s fleet.Sled, prefix string) []fleet.Reading {
	readings := make([]fleet.Reading, 100_000)
	for i := range readings {
		readings[i] = readingOf(s, 0, i)
		readings[i].ID = fmt.Sprintf("%s-%d", prefix, i)
	}
	return readings
}

func TestCheckpoint_ShortensTheLogAfterALargeImport(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	sled := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error { return tx.AddSled(sled) })
	write(t, s, func(tx *Tx) error { return tx.AddReadings(manyReadings(sled, "first")) })
	assert.Less(t, logSize(t, s), int64(1<<20))
	about, err := os.Stat(s.path)
	require.NoError(t, err)
	assert.Greater(t, about.Size(), int64(largestLog), "it is in the file now")
}

// A reader holds on to what the log holds. Nobody waits for it, and the next write after it makes the log short.
func TestCheckpoint_WaitsForAReader(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	sled := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error { return tx.AddSled(sled) })
	require.NoError(t, s.Read(context.Background(), func(r *Reads) error {
		_, err := r.Sled("bluestem")
		require.NoError(t, err)
		write(t, s, func(tx *Tx) error { return tx.AddReadings(manyReadings(sled, "first")) })
		assert.Greater(t, logSize(t, s), int64(largestLog))
		_, err = r.Sled("bluestem")
		return err
	}))
	write(t, s, func(tx *Tx) error { return tx.AddReadings([]fleet.Reading{readingOf(sled, 0, 0)}) })
	assert.Less(t, logSize(t, s), int64(1<<20))
}

// Where there is no room for a longer log, what is in it goes into the file, and the next write begins it anew.
func TestCheckpoint_ShortensTheLogAfterAWriteWithoutRoom(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	sled := sledOf("bluestem", "A")
	write(t, s, func(tx *Tx) error {
		return errors.Join(tx.AddSled(sled), tx.AddReadings([]fleet.Reading{readingOf(sled, 0, 0)}))
	})
	require.Positive(t, logSize(t, s))
	require.NoError(t, s.writer.Exec("PRAGMA max_page_count = 100").Error)
	err := s.Write(context.Background(), func(tx *Tx) error { return tx.AddReadings(manyReadings(sled, "first")) })
	require.Equal(t, fleet.Full, kindOf(t, err))
	assert.Zero(t, logSize(t, s))
	write(t, s, func(tx *Tx) error { return tx.AddReadings([]fleet.Reading{readingOf(sled, 0, 1)}) })
	read(t, s, func(r *Reads) error {
		readings, _, err := r.Readings("bluestem", "", 100)
		assert.Len(t, readings, 2, "nothing is half there")
		return err
	})
	var timeout string
	require.NoError(t, s.writer.Raw("PRAGMA busy_timeout").Scan(&timeout).Error)
	assert.Equal(t, "5000", timeout, "the next write waits for other programs as before")
}
