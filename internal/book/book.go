// Package book holds the use cases: it reads the store, keeps fitted charts, answers. It is the one place
// where storage, calibration, matching and drawing meet.
package book

import (
	"context"
	"crypto/rand"
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
}

// Book answers questions about one fleet and writes to it. Safe for use by many goroutines.
type Book struct {
	store          *store.Store
	now            func() time.Time
	newID          func() string
	assumed        calibrate.Assumption
	log            *slog.Logger
	latest         atomic.Pointer[snapshot]
	keyUseFailedAt atomic.Int64  // when the use of a key could not be noted last, in microseconds since 1970
	refreshing     chan struct{} // holds one token: whoever has it may refresh what is kept
}

// New makes the book of what is stored in s.
func New(s *store.Store, o Options) *Book {
	b := &Book{store: s, now: o.Now, newID: o.NewID, assumed: o.Assumed, log: o.Log, refreshing: make(chan struct{}, 1)}
	if b.now == nil {
		b.now = time.Now
	}
	if b.newID == nil {
		b.newID = newID
	}
	if b.log == nil {
		b.log = slog.New(slog.DiscardHandler)
	}
	b.refreshing <- struct{}{}
	return b
}

// newID is 16 characters with 80 random bits: of a million of them, two are the same once in two million million
// fleets.
func newID() string { return strings.ToLower(rand.Text())[:16] }

// stamp is the time now as it is stored: UTC, to the microsecond.
func (b *Book) timestamp() time.Time { return b.now().UTC().Truncate(time.Microsecond) }

// Ready says whether the database answers.
func (b *Book) Ready(ctx context.Context) error { return b.store.Ping(ctx) }

// Revision is the fleet's revision: it moves with every write of a sled, a reading, a class or a show.
func (b *Book) Revision(ctx context.Context) (int64, error) { return b.store.Revision(ctx) }

// Empty says whether there is no sled at all.
func (b *Book) Empty(ctx context.Context) (empty bool, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) error {
		found, err := r.AnySled()
		empty = !found
		return err
	})
	return empty, err
}

// Sleds returns a page of sleds by id, retired ones included, and the cursor of the next page, "" on the last.
// A cursor that is none is Invalid.
func (b *Book) Sleds(ctx context.Context, after string, limit int) (sleds []fleet.Sled, next string, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) error {
		sleds, next, err = r.Sleds(after, limit)
		return err
	})
	return sleds, next, err
}

// Sled returns a sled, or NotFound.
func (b *Book) Sled(ctx context.Context, id string) (s fleet.Sled, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) error {
		s, err = r.Sled(id)
		return err
	})
	return s, err
}

// Readings returns a page of a sled's readings, newest first, those set aside included, and the cursor of the next
// page, "" on the last. A sled that is not there is NotFound, a cursor that is none Invalid.
func (b *Book) Readings(ctx context.Context, sled, after string, limit int) (readings []fleet.Reading, next string, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) error {
		readings, next, err = r.Readings(sled, after, limit)
		return err
	})
	return readings, next, err
}

// Reading returns a reading, or NotFound.
func (b *Book) Reading(ctx context.Context, id string) (reading fleet.Reading, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) error {
		reading, err = r.Reading(id)
		return err
	})
	return reading, err
}
