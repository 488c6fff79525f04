package main

import (
	"context"
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store"
	"evenpull/internal/store/storetest"
)

// night is a nightly whose clock stands still until a test moves it.
type night struct {
	*nightly
	t       *testing.T
	clock   *at
	waiting time.Duration // how long it still waits
	waits   chan time.Duration
	wake    chan time.Time
	log     *output
	fails   error // what the next copies end with
}

// emptyFleet is a copy of a fleet without anything in it.
var emptyFleet = sync.OnceValues(func() ([]byte, error) {
	folder, err := os.MkdirTemp("", "evenpull-nights-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	st, err := store.Open(context.Background(), filepath.Join(folder, "fleet.db"), store.Options{})
	if err != nil {
		return nil, err
	}
	copied := filepath.Join(folder, "copy.db")
	if err := errors.Join(st.Backup(context.Background(), copied), st.Close()); err != nil {
		return nil, err
	}
	return os.ReadFile(copied)
})

func aCopy(t *testing.T) []byte {
	t.Helper()
	copied, err := emptyFleet()
	require.NoError(t, err)
	return copied
}

// newNight begins at a time with copies from before.
func newNight(t *testing.T, now time.Time, keep int, before ...string) *night {
	t.Helper()
	folder := t.TempDir()
	for _, name := range before {
		write(t, filepath.Join(folder, name), aCopy(t))
	}
	n := &night{t: t, clock: &at{now: now}, waits: make(chan time.Duration), wake: make(chan time.Time),
		log: new(output)}
	var err error
	n.nightly, err = newNightly(folder, keep, slog.New(slog.NewTextHandler(n.log, nil)))
	require.NoError(t, err)
	n.copy = func(_ context.Context, file string) error {
		if n.fails != nil {
			return n.fails
		}
		return os.WriteFile(file, aCopy(t), 0o600)
	}
	n.now = n.clock.time
	n.after = func(wait time.Duration) <-chan time.Time {
		n.waits <- wait
		return n.wake
	}
	t.Cleanup(alongside(context.Background(), n.run))
	n.waiting = <-n.waits
	return n
}

// until lets the time come to a moment, with everything that is due by then, and returns how long is waited from there
// on.
func (n *night) until(moment time.Time) time.Duration {
	for {
		now := n.clock.time()
		due := now.Add(n.waiting)
		if due.After(moment) {
			n.waiting = due.Sub(moment)
			n.clock.set(moment)
			return n.waiting
		}
		n.clock.set(due)
		n.wake <- due
		n.waiting = <-n.waits
	}
}

func (n *night) files() (names []string) {
	n.t.Helper()
	entries, err := os.ReadDir(n.folder)
	require.NoError(n.t, err)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

var east = time.FixedZone("two hours ahead", 2*3600)

func evening(day int) time.Time { return time.Date(2026, 7, day, 21, 30, 0, 0, east) }
func three(day int) time.Time   { return time.Date(2026, 7, day, 3, 0, 0, 0, east) }

func TestNightly_CopyIsMadeEveryNightAndTheOldestGo(t *testing.T) {
	t.Parallel()
	n := newNight(t, evening(18), 3, "evenpull-2026-07-18T010000Z.db", "notes.txt", "evenpull-yesterday.db",
		"evenpull-2026-07-18T010000Z.db.123.part")
	assert.Equal(t, "2026-07-18T01:00:00Z", n.last().UTC().Format(time.RFC3339), "of the copy that is there")
	n.until(three(19).Add(-time.Second))
	assert.Equal(t, []string{"evenpull-2026-07-18T010000Z.db", "evenpull-yesterday.db", "notes.txt"}, n.files(),
		"not yet, and what was killed is gone")
	n.until(three(19))
	assert.Equal(t, []string{"evenpull-2026-07-18T010000Z.db", "evenpull-2026-07-19T010000Z.db",
		"evenpull-yesterday.db", "notes.txt"}, n.files())
	assert.True(t, n.last().Equal(three(19)))
	n.until(three(20))
	n.until(three(21))
	assert.Equal(t, []string{"evenpull-2026-07-19T010000Z.db", "evenpull-2026-07-20T010000Z.db",
		"evenpull-2026-07-21T010000Z.db", "evenpull-yesterday.db", "notes.txt"},
		n.files(), "three stay; what is none of ours is left alone")
}

// What only has the name of a copy is no good copy: it keeps no new one from being made, is not told of in the metrics,
// and does not push out a good one.
func TestNightly_TakesNoEmptyOrHalfFileForACopy(t *testing.T) {
	t.Parallel()
	whole := aCopy(t)
	n := newNight(t, evening(18), 1, "evenpull-2026-07-16T010000Z.db")
	write(t, filepath.Join(n.folder, "evenpull-2026-07-17T010000Z.db"), whole[:len(whole)/2])
	write(t, filepath.Join(n.folder, "evenpull-2026-07-18T010000Z.db"), nil)
	require.NoError(t, n.look())
	assert.Equal(t, "2026-07-16T01:00:00Z", n.last().UTC().Format(time.RFC3339))

	again := newNight(t, evening(18), 2)
	write(t, filepath.Join(again.folder, "evenpull-2026-07-18T010000Z.db"), nil)
	require.NoError(t, again.look())
	assert.Zero(t, again.last(), "there is none")
	again.until(three(19))
	again.until(three(20))
	assert.Equal(t, []string{"evenpull-2026-07-18T010000Z.db", "evenpull-2026-07-19T010000Z.db",
		"evenpull-2026-07-20T010000Z.db"}, again.files())
}

func TestNightly_CopyIsMadeAtOnceWhereTheNewestIsOld(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what   string
		before []string
		want   bool
	}{
		{"none", nil, true},
		{"of the night before the last", []string{"evenpull-2026-07-17T010000Z.db"}, true},
		{"of the last night", []string{"evenpull-2026-07-18T010000Z.db"}, false},
		{"of a clock that was ahead", []string{"evenpull-2031-01-01T010000Z.db"}, true},
	} {
		n := newNight(t, evening(18), 1, c.before...)
		n.until(evening(18).Add(time.Second))
		if c.want {
			assert.Contains(t, n.files(), "evenpull-2026-07-18T193000Z.db", c.what)
		} else {
			assert.Equal(t, c.before, n.files(), c.what)
		}
	}
}

// A copy that fails leaves the earlier ones, is told in the log, and is tried again.
func TestNightly_CopyThatFailsIsTriedAgainInAnHour(t *testing.T) {
	t.Parallel()
	n := newNight(t, evening(18), 1, "evenpull-2026-07-18T010000Z.db")
	n.until(three(19).Add(-time.Second))
	n.fails = errors.New("there is no room left for the copy")
	assert.Equal(t, time.Hour, n.until(three(19)))
	assert.Equal(t, []string{"evenpull-2026-07-18T010000Z.db"}, n.files())
	assert.Contains(t, n.log.String(), "there is no room left for the copy")
	assert.Equal(t, "2026-07-18T01:00:00Z", n.last().UTC().Format(time.RFC3339),
		"the metric goes on telling of the last good one")
	n.fails = nil
	n.until(three(19).Add(time.Hour))
	assert.Equal(t, []string{"evenpull-2026-07-19T020000Z.db"}, n.files())
	n.until(three(20))
	assert.Equal(t, []string{"evenpull-2026-07-20T010000Z.db"}, n.files(), "and the next night as always")
}

// Whatever the clock does, the copy that was just made stays, and the next night comes.
func TestNightly_CopyIsMadeThoughTheClockIsSetBack(t *testing.T) {
	t.Parallel()
	n := newNight(t, evening(18).AddDate(5, 0, 0), 2)
	n.until(evening(18).AddDate(5, 0, 0).Add(time.Second))
	require.Len(t, n.files(), 1)
	n.clock.set(evening(18))
	n.until(three(19))
	assert.Equal(t, []string{"evenpull-2026-07-19T010000Z.db", "evenpull-2031-07-18T193000Z.db"}, n.files())
	n.until(three(20))
	assert.Contains(t, n.files(), "evenpull-2026-07-20T010000Z.db")
	assert.Len(t, n.files(), 2)
}

func TestNightly_CopyIsMadeAtTheStart(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	copies := t.TempDir()
	began := time.Now()
	p := start(t, "--demo", "--backup-dir", copies)
	var names []string
	require.Eventually(t, func() bool {
		names, _ = filepath.Glob(filepath.Join(copies, "evenpull-*Z.db"))
		return len(names) == 1
	}, 30*time.Second, 5*time.Millisecond, "%s", p.stderr)
	require.Eventually(t, func() bool {
		return metric(t, p, "evenpull_last_backup_timestamp_seconds") >= float64(began.Unix())
	}, 30*time.Second, 5*time.Millisecond)
	found, err := store.Check(context.Background(), names[0])
	require.NoError(t, err)
	assert.Equal(t, store.Condition{}, found)
	require.Equal(t, exitWell, p.stop())

	code, _, stderr := told(t, "--addr", "127.0.0.1:0", "--db", filepath.Join(t.TempDir(), "fleet.db"), "--backup-dir",
		filepath.Join(copies, "missing"))
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, stderr, "make the folder, or give another with --backup-dir")
}
