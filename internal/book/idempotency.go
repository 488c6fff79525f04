package book

import (
	"context"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// IdempotencyRecord is the first answer to a request that carried an idempotency key. It is stored for 30 days.
type IdempotencyRecord = store.IdempotencyRecord

// AnyIdempotencyRecord says, without holding up a write, whether there may be a record of an idempotency key.
func (b *Book) AnyIdempotencyRecord(ctx context.Context, key string) (bool, error) {
	return read(ctx, b, func(r *store.Reads) (bool, error) { return r.AnyIdempotencyRecord(key) })
}

// IdempotencyRecord returns the record of an idempotency key, or nil.
func (w *Writer) IdempotencyRecord(key string) (*IdempotencyRecord, error) {
	return w.tx.IdempotencyRecord(key)
}

// AddIdempotencyRecord stores an answer in the transaction of the write that it answers. A key that was used before is
// a Conflict.
func (w *Writer) AddIdempotencyRecord(key string, r IdempotencyRecord) error {
	used, err := w.tx.IdempotencyRecord(key)
	if err != nil {
		return err
	}
	if used != nil {
		return fleet.Errorf(fleet.Conflict, "the idempotency key %q has been used before", key)
	}
	r.CreatedAt = w.now
	return w.tx.AddIdempotencyRecord(key, r)
}
