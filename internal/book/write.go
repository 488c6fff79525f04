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
	seen   *snapshot // the fleet as this write last looked at it
	sawAt  int       // how often the write had touched a sled by then
}

// Write carries out do as a whole or not at all: an error or a panic of do undoes everything. Writes follow one
// another, so do must not wait for anything outside; all it is to write must be at hand. Before it comes what is due:
// shows that are over by now keep their sheets as they stand.
func (b *Book) Write(ctx context.Context, do func(w *Writer) error) error {
	return b.store.Write(ctx, func(tx *store.Tx) error {
		w := &Writer{tx: tx, b: b, now: b.stamp()}
		if err := w.closePast(); err != nil {
			return err
		}
		if err := do(w); err != nil {
			return err
		}
		return w.failed
	})
}

// state is the fleet as this write sees it, with what it has written so far. It is this write's own: if it fails, nobody
// else has seen any of it.
func (w *Writer) state() (*snapshot, error) {
	touched, times := w.tx.Touching()
	if w.seen != nil && w.sawAt == times {
		return w.seen, nil
	}
	from := w.seen
	if from == nil {
		from = w.b.kept.Load()
	}
	if from == nil {
		from = &snapshot{}
	}
	next, err := w.b.catchUp(&w.tx.Reads, from, touched)
	if err != nil {
		return nil, err
	}
	w.seen, w.sawAt = next, times
	return next, nil
}
