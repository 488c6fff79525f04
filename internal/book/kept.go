package book

import (
	"fmt"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Kept is the first answer to a request that carried an idempotency key. It is kept for 30 days.
type Kept struct {
	Request                     [32]byte // fingerprint of what was asked
	Status                      int
	ContentType, ETag, Location string
	Body                        []byte
	At                          time.Time
}

// Kept returns the answer kept under an idempotency key, or nil.
func (w *Writer) Kept(key string) (*Kept, error) {
	a, err := w.tx.IdempotencyRecord(key)
	if a == nil || err != nil {
		return nil, err
	}
	k := &Kept{Status: a.Status, ContentType: a.ContentType, ETag: a.ETag, Location: a.Location, Body: a.Body, At: a.CreatedAt}
	if copy(k.Request[:], a.Digest) != len(k.Request) {
		return nil, fmt.Errorf("the fingerprint kept under %q has %d bytes", key, len(a.Digest))
	}
	return k, nil
}

// Keep keeps an answer, in the same transaction as what it tells of. Its time is that of the write unless given.
func (w *Writer) Keep(key string, k Kept) error {
	if held, err := w.tx.IdempotencyRecord(key); err != nil {
		return err
	} else if held != nil {
		return fleet.Errorf(fleet.Conflict, "the idempotency key %q has been used before", key)
	}
	if k.At.IsZero() {
		k.At = w.now
	}
	return w.tx.AddIdempotencyRecord(key, store.IdempotencyRecord{
		Digest: k.Request[:], Status: k.Status, ContentType: k.ContentType, ETag: k.ETag, Location: k.Location,
		Body: k.Body, CreatedAt: k.At,
	})
}
