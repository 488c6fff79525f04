package book

import (
	"context"
	"time"

	"evenpull/internal/store"
)

// Writer is one write under way. What it writes happens as a whole or not at all.
type Writer struct {
	tx     *store.Tx
	b      *Book
	now    time.Time // of the whole write
	failed error     // of a bulk write that was begun and then refused
}

// Write carries out do as a whole or not at all: an error or a panic of do undoes everything. Writes follow one
// another, so do must not wait for anything outside; all it is to write must be at hand.
func (b *Book) Write(ctx context.Context, do func(w *Writer) error) error {
	return b.store.Write(ctx, func(tx *store.Tx) error {
		w := &Writer{tx: tx, b: b, now: b.stamp()}
		if err := do(w); err != nil {
			return err
		}
		return w.failed
	})
}
