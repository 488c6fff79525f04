package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"evenpull/internal/store"
)

// When copies are made: at an hour when nobody pulls, and again soon after one has failed. Assumptions of our own.
const (
	copyHour   = 3 // by the clock where this program runs
	copyAgain  = time.Hour
	copyLasts  = 24 * time.Hour // an older newest copy is followed by another at the start
	clockAsked = time.Hour      // a machine that sleeps, or whose clock is set, is noticed as soon as this
)

// A copy is named after the moment it was made, so that names sort by age.
const (
	copyPrefix = "evenpull-"
	copyTime   = "2006-01-02T150405Z"
	copySuffix = ".db"
)

// nightly makes a copy of the database every night and keeps the newest of them.
type nightly struct {
	folder string
	keep   int
	copy   func(ctx context.Context, file string) error // makes a copy and checks it, or leaves nothing
	now    func() time.Time
	after  func(time.Duration) <-chan time.Time
	log    *slog.Logger
	good   atomic.Int64 // when the last good copy was made, in microseconds; 0 for never
}

// newNightly looks at what is in the folder, which must be there.
func newNightly(folder string, keep int, log *slog.Logger) (*nightly, error) {
	n := &nightly{folder: folder, keep: keep, now: time.Now, after: time.After, log: log}
	return n, n.look()
}

// look finds the newest copy from before, and removes what a copy that was killed has left.
func (n *nightly) look() error {
	copies, err := n.copies()
	if err != nil {
		return fmt.Errorf("looking at the copies in %s: %w; make the folder, or give another with --backup-dir",
			n.folder, err)
	}
	if newest := len(copies) - 1; newest >= 0 {
		n.good.Store(copies[newest].UnixMicro())
	}
	return store.RemoveUnfinishedCopies(n.folder)
}

// last is when the last good copy was made, the zero time for never.
func (n *nightly) last() time.Time {
	if at := n.good.Load(); at != 0 {
		return time.UnixMicro(at)
	}
	return time.Time{}
}

// run makes copies until ctx ends.
func (n *nightly) run(ctx context.Context) {
	now := n.now()
	due := now
	if age := now.Sub(n.last()); age >= 0 && age < copyLasts {
		due = nextNight(now)
	}
	for {
		select {
		case <-ctx.Done():
			return
		case <-n.after(min(max(due.Sub(now), 0), clockAsked)):
		}
		now = n.now()
		switch next := nextNight(now); {
		case now.Before(due) && due.After(next): // the clock was set back
			due = next
		case now.Before(due):
		case n.take(ctx, now):
			due = next
		default:
			due = now.Add(copyAgain)
		}
	}
}

// nextNight is the next time that a copy is due by the clock.
func nextNight(now time.Time) time.Time {
	at := time.Date(now.Year(), now.Month(), now.Day(), copyHour, 0, 0, 0, now.Location())
	if !at.After(now) {
		at = time.Date(now.Year(), now.Month(), now.Day()+1, copyHour, 0, 0, 0, now.Location())
	}
	return at
}

// take makes one copy. Only when that is there and checked, the oldest go.
func (n *nightly) take(ctx context.Context, now time.Time) bool {
	file := n.file(now)
	if err := n.copy(ctx, file); err != nil {
		if ctx.Err() == nil {
			n.log.ErrorContext(ctx, "the database was not copied", "to", file, "error", err, "again in", copyAgain)
		}
		return false
	}
	n.good.Store(now.UnixMicro())
	n.log.InfoContext(ctx, "the database is copied, and the copy is checked", "to", file)
	if err := n.prune(file); err != nil {
		n.log.WarnContext(ctx, "old copies were not removed", "folder", n.folder, "error", err)
	}
	return true
}

func (n *nightly) file(at time.Time) string {
	return filepath.Join(n.folder, copyPrefix+at.UTC().Format(copyTime)+copySuffix)
}

// prune removes the oldest copies, but never the one that was just made, whatever the clock says of the others.
func (n *nightly) prune(made string) error {
	copies, err := n.copies()
	if err != nil {
		return err
	}
	for _, at := range copies[:max(len(copies)-n.keep, 0)] {
		if file := n.file(at); file != made {
			if err := os.Remove(file); err != nil {
				return err
			}
		}
	}
	return nil
}

// copies are when the copies in the folder were made, oldest first. Whatever else lies there is none of ours, nor is
// what only has the name of one: an empty file, or half of one.
func (n *nightly) copies() (made []time.Time, err error) {
	entries, err := os.ReadDir(n.folder)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		text, ours := strings.CutPrefix(e.Name(), copyPrefix)
		text, db := strings.CutSuffix(text, copySuffix)
		at, err := time.Parse(copyTime, text)
		if ours && db && err == nil && store.IsCopy(filepath.Join(n.folder, e.Name())) {
			made = append(made, at)
		}
	}
	slices.SortFunc(made, time.Time.Compare)
	return made, nil
}
