package book

import (
	"context"
	"strings"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// NoteDemo notes that this write loads the invented demo fleet, so that it can be told from what people enter, and
// taken out again. It is a Conflict where there is a sled already; it has to come first.
func (w *Writer) NoteDemo() error {
	if err := w.checkEmpty("the demo"); err != nil {
		return err
	}
	return w.record(fleet.ActAdded, fleet.OfDemo, "", nil, nil, nil)
}

// Demo says whether the demo fleet is in the database.
func (b *Book) Demo(ctx context.Context) (bool, error) {
	return read(ctx, b, func(r *store.Reads) (bool, error) {
		_, loaded, err := demoLoaded(r)
		return loaded, err
	})
}

func demoLoaded(r *store.Reads) (at time.Time, loaded bool, err error) {
	e, err := r.LastEntry(fleet.OfDemo)
	if err != nil || e == nil {
		return time.Time{}, false, err
	}
	return e.At, e.Act == fleet.ActAdded, nil
}

// RemoveDemo takes the demo fleet out, with all that was noted of its sleds since. It is NotFound where there is none,
// and a Conflict where classes or shows of one's own rest on it.
func (w *Writer) RemoveDemo() error {
	at, loaded, err := demoLoaded(&w.tx.Reads)
	if err != nil {
		return err
	}
	if !loaded {
		return fleet.Errorf(fleet.NotFound, "the demo fleet is not in this database")
	}
	demo, err := w.tx.BatchAt(at)
	if err != nil {
		return err
	}
	leaning, err := w.tx.Dependents(demo)
	if err != nil {
		return err
	}
	if len(leaning) > 0 {
		return fleet.Errorf(fleet.Conflict, "%s: set on a sled or a class of the demo; change or delete %s first",
			strings.Join(leaning, ", "), pronoun(len(leaning)))
	}
	if err := w.tx.DeleteBatch(demo); err != nil {
		return err
	}
	return w.record(fleet.ActRemoved, fleet.OfDemo, "", demo.Sleds, nil, nil)
}

func pronoun(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}
