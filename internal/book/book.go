// Package book holds the use cases. It is the one place where storage, calibration, matching and drawing meet.
package book

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync/atomic"
	"time"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Options are what a Book needs from outside. Everything but the assumption has a default.
type Options struct {
	Now     func() time.Time
	NewID   func() string // ids of gears, readings and keys: up to 40 characters, never the same twice
	Assumed calibrate.Assumption
	Log     *slog.Logger
	Zone    *time.Location // of the server: UTC, or by its IANA name; that of shows that are given none
}

// Book answers questions about one fleet and writes to it. Safe for use by many goroutines.
type Book struct {
	store          *store.Store
	now            func() time.Time
	newID          func() string
	assumed        calibrate.Assumption
	log            *slog.Logger
	zone           *time.Location
	latest         atomic.Pointer[snapshot] // never nil
	refreshing     chan struct{}            // holds one token, for whoever refreshes latest
	keyUseFailedAt atomic.Int64             // when the use of a key could last not be stored, in µs since 1970
}

// New makes the book of what is stored in s.
func New(s *store.Store, o Options) *Book {
	b := &Book{store: s, now: o.Now, newID: o.NewID, assumed: o.Assumed,
		log: cmp.Or(o.Log, slog.New(slog.DiscardHandler)), zone: cmp.Or(o.Zone, time.UTC),
		refreshing: make(chan struct{}, 1)}
	if b.now == nil {
		b.now = time.Now
	}
	if b.newID == nil {
		b.newID = newID
	}
	b.latest.Store(&snapshot{})
	b.refreshing <- struct{}{}
	return b
}

// newID is 16 characters with 80 random bits: among a million ids, the chance that two are the same is 4 in 10^13.
func newID() string { return strings.ToLower(rand.Text())[:16] }

// timestamp is the time now as it is stored: UTC, to the microsecond.
func (b *Book) timestamp() time.Time { return b.now().UTC().Truncate(time.Microsecond) }

// Ready says whether the database answers.
func (b *Book) Ready(ctx context.Context) error { return b.store.Ping(ctx) }

// Revision is the fleet's revision: it moves with every write of a sled, a reading, a class or a show.
func (b *Book) Revision(ctx context.Context) (int64, error) { return b.store.Revision(ctx) }

// Stamp names the state of the fleet: every write moves it. Unlike a revision it is not reached a second time after an
// older copy was restored.
func (b *Book) Stamp(ctx context.Context) (string, error) {
	return read(ctx, b, func(r *store.Reads) (string, error) {
		number, at, err := r.NewestEntry()
		return fmt.Sprintf("%x-%x", number, at.UnixMicro()), err
	})
}

// Empty says whether there is no sled, class and show.
func (b *Book) Empty(ctx context.Context) (bool, error) {
	found, err := read(ctx, b, (*store.Reads).HasFleet)
	return !found && err == nil, err
}

// Sleds returns a part of the list of sleds, by id, retired ones included, and the cursor of the next part, "" for the
// last. A wrong cursor is Invalid.
func (b *Book) Sleds(ctx context.Context, after string, limit int) ([]fleet.Sled, string, error) {
	return list(ctx, b, func(r *store.Reads) ([]fleet.Sled, string, error) { return r.Sleds(after, limit) })
}

// Sled returns a sled, or NotFound.
func (b *Book) Sled(ctx context.Context, id string) (fleet.Sled, error) {
	return read(ctx, b, func(r *store.Reads) (fleet.Sled, error) { return r.Sled(id) })
}

// Readings returns a part of the list of a sled's readings, newest first, those set aside included, and the cursor of
// the next part, "" for the last. A sled that is not there is NotFound, a wrong cursor Invalid.
func (b *Book) Readings(ctx context.Context, sled, after string, limit int) ([]fleet.Reading, string, error) {
	return list(ctx, b, func(r *store.Reads) ([]fleet.Reading, string, error) { return r.Readings(sled, after, limit) })
}

// ReadingsOldestFirst is Readings as a notebook is written.
func (b *Book) ReadingsOldestFirst(
	ctx context.Context, sled, after string, limit int,
) ([]fleet.Reading, string, error) {
	return list(ctx, b, func(r *store.Reads) ([]fleet.Reading, string, error) {
		return r.ReadingsOldestFirst(sled, after, limit)
	})
}

// Reading returns a reading, or NotFound.
func (b *Book) Reading(ctx context.Context, id string) (fleet.Reading, error) {
	return read(ctx, b, func(r *store.Reads) (fleet.Reading, error) { return r.Reading(id) })
}

// read returns what ask finds in a read transaction.
func read[T any](ctx context.Context, b *Book, ask func(*store.Reads) (T, error)) (found T, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) (err error) {
		found, err = ask(r)
		return err
	})
	return found, err
}

// list is read for a part of a list and the cursor of the next part.
func list[T any](
	ctx context.Context, b *Book, ask func(*store.Reads) ([]T, string, error),
) (items []T, next string, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) (err error) {
		items, next, err = ask(r)
		return err
	})
	return items, next, err
}

// mapSlice is a list of what each of another becomes.
func mapSlice[T, U any](list []T, become func(T) U) []U {
	out := make([]U, len(list))
	for i, one := range list {
		out[i] = become(one)
	}
	return out
}

// isKind says whether an error is of that kind.
func isKind(err error, kind fleet.Kind) bool {
	var e *fleet.Error
	return errors.As(err, &e) && e.Kind == kind
}
