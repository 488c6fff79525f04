package book

import (
	"context"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Writer is one write under way. What it writes happens as a whole or not at all.
type Writer struct {
	tx            *store.Tx
	b             *Book
	who           fleet.Actor
	now           time.Time // of the whole write
	failed        error     // what keeps this write from standing, whatever became of the error
	latest        *snapshot // the fleet as this write last looked at it
	latestTouches int       // how often the write had touched a sled by then
}

// Write carries out do, for who, as a whole or not at all: an error or a panic of do undoes everything. Writes follow one
// another, so do must not wait for anything outside; all it is to write must be at hand. Before it comes what is due:
// shows that are over by now keep their sheets as they stand. Everything that do changes has its entry in the history, in the
// same transaction. A key that has ended since who was found is a Conflict.
func (b *Book) Write(ctx context.Context, who fleet.Actor, do func(w *Writer) error) error {
	var next *snapshot
	var touched []string
	err := b.store.Write(ctx, func(tx *store.Tx) error {
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
		next, touched = w.resultingSnapshot()
		return w.failed
	})
	if err == nil && next != nil {
		b.publish(next)
		for _, id := range touched {
			if state, ok := next.lookup(id); ok {
				state.chart() // fitted here, by who waits for the disk anyway, and not by who asks next
			}
		}
	}
	return err
}

// readyMost is how many sleds a write may touch for it to leave the fleet ready for the next question: more are better read at
// leisure than while others wait to write.
const maxEagerFits = 20

// leaves is the fleet as this write leaves it, to be published once it stands, and the sleds that it touched: nil where it changed
// nothing, touched too much, or nobody has asked of the fleet yet, this write included.
func (w *Writer) resultingSnapshot() (*snapshot, []string) {
	moves, revision := w.tx.Moves()
	touched, _ := w.tx.Touching()
	if !moves || len(touched) > maxEagerFits || w.failed != nil || w.b.latest.Load() == nil && w.latest == nil {
		return nil, nil
	}
	snap, err := w.snapshot()
	if err != nil { // then whoever asks next finds out
		return nil, nil
	}
	next := *snap
	next.revision = revision
	return &next, touched
}

// publish makes a snapshot the one that questions are answered from, unless there is a newer one.
func (b *Book) publish(next *snapshot) {
	for {
		latest := b.latest.Load()
		if latest != nil && latest.revision >= next.revision || b.latest.CompareAndSwap(latest, next) {
			return
		}
	}
}

func (b *Book) writer(tx *store.Tx, who fleet.Actor) *Writer {
	return &Writer{tx: tx, b: b, who: who, now: b.timestamp()}
}

// checkHolds refuses whoever comes with a key that has ended, while this write waited for others perhaps.
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

// state is the fleet as this write sees it, with what it has written so far. It is this write's own: if it fails, nobody
// else has seen any of it.
func (w *Writer) snapshot() (*snapshot, error) {
	touched, times := w.tx.Touching()
	if w.latest != nil && w.latestTouches == times {
		return w.latest, nil
	}
	from := w.latest
	if from == nil {
		from = w.b.latest.Load()
	}
	if from == nil {
		from = &snapshot{}
	}
	next, err := w.b.catchUp(&w.tx.Reads, from, touched)
	if err != nil {
		return nil, err
	}
	w.latest, w.latestTouches = next, times
	return next, nil
}
