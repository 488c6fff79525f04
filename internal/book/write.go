package book

import (
	"context"
	"fmt"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Writer is one write. All of it happens or nothing.
type Writer struct {
	tx      *store.Tx
	b       *Book
	who     fleet.Actor
	now     time.Time // of the whole write
	failed  error     // rolls this write back, whatever its caller does with the error
	latest  *snapshot // the fleet as this write last saw it; nil before
	touches int       // how often the write had touched a sled by then
}

// Write carries out do, for who: an error or a panic of do rolls everything back. Writes follow one another, so do must
// not wait for anything outside. Before it, shows that are over by now are closed. Everything that do changes has an
// entry in the history, in the same transaction. A key that has ended since who was found is a Conflict.
func (b *Book) Write(ctx context.Context, who fleet.Actor, do func(w *Writer) error) error {
	return b.write(ctx, who, b.store.Write, do)
}

// WriteFromReserve is Write for what must succeed on a full disk; there do may be called twice.
func (b *Book) WriteFromReserve(ctx context.Context, who fleet.Actor, do func(w *Writer) error) error {
	return b.write(ctx, who, b.store.WriteFromReserve, do)
}

func (b *Book) write(ctx context.Context, who fleet.Actor,
	transact func(context.Context, func(*store.Tx) error) error, do func(w *Writer) error) error {
	var next *snapshot
	var touched []string
	err := transact(ctx, func(tx *store.Tx) (err error) {
		next, touched = nil, nil // of a try before this one
		w := b.writer(tx, who)
		if err := w.checkKeyValid(who); err != nil {
			return err
		}
		if err := w.closeDueShows(); err != nil {
			return err
		}
		if err := do(w); err != nil {
			return err
		}
		if next, touched, err = w.resultingSnapshot(); err != nil {
			return err
		}
		return w.failed
	})
	if err != nil || next == nil {
		return err
	}
	b.publish(next)
	for _, id := range touched {
		if state, ok := next.lookup(id); ok {
			state.chart() // fitted by the writer, who waits for the disk anyway, and not by the next reader
		}
	}
	return nil
}

func (b *Book) writer(tx *store.Tx, who fleet.Actor) *Writer {
	return &Writer{tx: tx, b: b, who: who, now: b.timestamp()}
}

// readAsWriter is read for what a write would find: look gets a writer, and must not write.
func readAsWriter[T any](ctx context.Context, b *Book, look func(*Writer) (T, error)) (T, error) {
	return read(ctx, b, func(r *store.Reads) (T, error) { return look(b.writer(&store.Tx{Reads: *r}, fleet.Actor{})) })
}

// checkKeyValid refuses a key that has ended, perhaps while this write waited for others.
func (w *Writer) checkKeyValid(who fleet.Actor) error {
	if who.KeyID == "" {
		return nil
	}
	key, err := w.tx.Key(who.KeyID)
	if err == nil && key.EndedAt != nil {
		err = fleet.Errorf(fleet.Conflict, "the key of %s has ended", key.Name)
	}
	return err
}

// maxEagerFits is how many sleds a write may touch for it to make the next snapshot too. More are better read without
// the write lock.
const maxEagerFits = 20

// resultingSnapshot is the fleet after this write, to be published once it is committed, and the sleds that it touched.
// It is nil where the write changed nothing or touched too much, and where nobody has read the fleet yet. An error
// fails the write: a server does not carry out anything else in a transaction in which it could not read.
func (w *Writer) resultingSnapshot() (*snapshot, []string, error) {
	moves, revision := w.tx.Moves()
	touched, _ := w.tx.Touching()
	unread := w.latest == nil && w.b.latest.Load().sleds == nil
	if !moves || len(touched) > maxEagerFits || w.failed != nil || unread {
		return nil, nil, nil
	}
	snap, err := w.snapshot()
	if err != nil {
		return nil, nil, fmt.Errorf("reading what the write touched: %w", err)
	}
	next := *snap
	next.revision = revision
	return &next, touched, nil
}

// snapshot is the fleet with what this write has written so far. Nobody else sees it if the write fails.
func (w *Writer) snapshot() (*snapshot, error) {
	touched, touches := w.tx.Touching()
	if w.latest != nil && w.touches == touches {
		return w.latest, nil
	}
	from := w.latest
	if from == nil {
		from = w.b.latest.Load()
	}
	next, err := w.b.catchUp(&w.tx.Reads, from, touched)
	if err != nil {
		return nil, err
	}
	w.latest, w.touches = next, touches
	return next, nil
}

// matching returns what is stored under an id, with the error of accept where it does not accept it.
func matching[T any](find func(id string) (T, error), id string, accept func(T) error) (found T, err error) {
	if found, err = find(id); err == nil {
		err = accept(found)
	}
	return found, err
}

// checkFree is a Conflict where a lookup, with the error err, found something under the id of a new one.
func checkFree(err error, what string, args ...any) error {
	if err == nil {
		return fleet.Errorf(fleet.Conflict, "there is already a "+what+": give this one another name", args...)
	}
	if isKind(err, fleet.NotFound) {
		return nil
	}
	return err
}
