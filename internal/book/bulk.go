package book

import (
	"context"
	"iter"
	"maps"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// batch is how many readings are stored at a time.
const batch = 2000

// firstRows is how many rows a check gives back as they were understood.
const firstRows = 5

// CheckedReadings is what was found of many readings.
type CheckedReadings struct {
	Rows  int
	Bad   int            // rows with a fault
	Sleds map[string]int // rows by the sled's id, of those whose sled is known
	First []fleet.Row    // as they would be stored
}

// CheckReadings checks many readings against the fleet as it is stored, without holding up a write: Invalid with every fault of every
// row, in the order of the rows. What it found is there with an error too.
func (b *Book) CheckReadings(ctx context.Context, rows iter.Seq[fleet.Row]) (found CheckedReadings, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) error {
		found, err = (&readingCheck{reads: r, now: b.stamp()}).all(rows, nil)
		return err
	})
	return found, err
}

// AddReadings stores many readings, all or nothing, and returns how many. It is Invalid with every fault of every row, in the order of
// the rows. Rows cannot name one another as replaced: none has an id yet.
func (w *Writer) AddReadings(rows iter.Seq[fleet.Row]) (int, error) {
	n, err := w.addReadings(rows)
	if err != nil {
		w.failed = err // some may be written already: the whole write must not stand
		return 0, err
	}
	return n, nil
}

func (w *Writer) addReadings(rows iter.Seq[fleet.Row]) (int, error) {
	var ready, replaced []fleet.Reading
	store := func() error {
		err := w.tx.AddReadings(ready)
		ready = ready[:0]
		return err
	}
	found, err := w.check().all(rows, func(r fleet.Reading, old *fleet.Reading) error {
		w.stamp(&r)
		ready = append(ready, r)
		if counts(old) {
			replaced = append(replaced, *old)
		}
		if len(ready) < batch {
			return nil
		}
		return store()
	})
	if err != nil || found.Rows == 0 {
		return 0, err
	}
	if err := store(); err != nil {
		return 0, err
	}
	all := manyAtOnce{Rows: found.Rows, Sleds: found.Sleds}
	done := map[string]bool{} // two rows may replace the same one
	for _, old := range replaced {
		if done[old.ID] {
			continue
		}
		done[old.ID], all.SetAside = true, append(all.SetAside, old.ID)
		if _, err := w.supersede(old); err != nil {
			return 0, err
		}
	}
	about := slices.Collect(maps.Keys(all.Sleds))
	return all.Rows, w.record(fleet.ActAdded, fleet.OfReadings, "", about, nil, all)
}
