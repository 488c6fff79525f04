package book

import (
	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// IdempotencyRecord is the first answer to a request that carried an idempotency key. It is stored for 30 days.
type IdempotencyRecord = store.IdempotencyRecord

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
