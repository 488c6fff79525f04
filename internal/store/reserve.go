package store

import (
	"context"
	"crypto/rand"
	"os"
)

// Of what is held back. A write that ends a key takes some ten pages of the log, so that twenty of them fit. Our own
// choice.
const (
	reserveBytes = 1 << 20
	reserveStep  = 4 << 10 // a page
)

// reserve is room on the disk beside a database, in the file that locks its name, so that a key can be ended and a
// browser signed out when there is no room for anything else. Only the writer uses it.
type reserve struct {
	in   *os.File // nil where there is none
	held int64    // bytes
}

// fill holds room back, all of it or what was held before.
func (r *reserve) fill() {
	if r.in != nil && r.held < reserveBytes && !r.grow(reserveBytes) {
		_ = r.in.Truncate(r.held)
	}
}

// free gives the room back to the disk.
func (r *reserve) free() {
	if r.in.Truncate(0) == nil {
		r.held = 0
	}
}

// keepRest holds back as much as there is room for.
func (r *reserve) keepRest() {
	for r.held < reserveBytes && r.grow(r.held+reserveStep) {
	}
	_ = r.in.Truncate(r.held)
}

func (r *reserve) grow(to int64) bool {
	random := make([]byte, to-r.held) // which no file system makes any shorter
	rand.Read(random)                 // never fails
	if _, err := r.in.WriteAt(random, r.held); err != nil {
		return false
	}
	r.held = to
	return true
}

// WriteFromReserve is Write for what must succeed on a full disk: where there is no room it takes that of the reserve.
// Then do is called twice.
func (s *Store) WriteFromReserve(ctx context.Context, do func(*Tx) error) error {
	return s.write(ctx, func(ctx context.Context) error {
		err := s.transact(ctx, do)
		if !isFull(err) || s.reserve.held == 0 {
			return err
		}
		s.reserve.free()
		defer s.reserve.keepRest()
		return s.transact(ctx, do)
	})
}
