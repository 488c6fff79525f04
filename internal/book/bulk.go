package book

import (
	"context"
	"iter"
	"maps"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// batchSize is how many readings are stored at a time.
const batchSize = 2000

// firstRows is how many rows a check gives back as they were understood.
const firstRows = 5

// CheckReadings checks many readings against the fleet as it is stored, without holding up a write: Invalid with every
// fault of every row, in the order of the rows. What it found is there with an error too.
func (b *Book) CheckReadings(ctx context.Context, rows iter.Seq[fleet.Row[fleet.Reading]]) (found Checked[fleet.Reading], err error) {
	err = b.store.Read(ctx, func(r *store.Reads) error {
		found, err = (&readingCheck{reads: r, now: b.timestamp()}).all(rows, nil)
		return err
	})
	return found, err
}

// AddReadings stores many readings, all or nothing, and returns how many. It is Invalid with every fault of every row,
// in the order of the rows. A row cannot replace a reading of another row: it has no id yet.
func (w *Writer) AddReadings(rows iter.Seq[fleet.Row[fleet.Reading]]) (count int, err error) {
	defer func() {
		if err != nil {
			w.failed = err // part of them may be written: the whole write is rolled back
		}
	}()
	var batch, replaced []fleet.Reading
	flush := func() error {
		err := w.tx.AddReadings(batch)
		batch = batch[:0]
		return err
	}
	found, err := w.check().all(rows, func(r fleet.Reading, old *fleet.Reading) error {
		w.stamp(&r)
		batch = append(batch, r)
		if stillCounts(old) {
			replaced = append(replaced, *old)
		}
		if len(batch) < batchSize {
			return nil
		}
		return flush()
	})
	if err != nil || found.Rows == 0 {
		return 0, err
	}
	if err := flush(); err != nil {
		return 0, err
	}
	entry := bulkEntry{Rows: found.Rows, Sleds: found.Sleds}
	done := map[string]bool{} // two rows may replace the same one
	for _, old := range replaced {
		if done[old.ID] {
			continue
		}
		done[old.ID], entry.SetAside = true, append(entry.SetAside, old.ID)
		if _, err := w.supersede(old); err != nil {
			return 0, err
		}
	}
	about := slices.Collect(maps.Keys(entry.Sleds))
	return entry.Rows, w.record(fleet.ActAdded, fleet.OfReadings, "", about, nil, entry)
}

// bulkEntry is what the history holds of many readings that were added at once.
type bulkEntry struct {
	Rows     int            `json:"rows"`
	Sleds    map[string]int `json:"sleds"`               // how many of each
	SetAside []string       `json:"set_aside,omitempty"` // readings that were replaced and counted until then, by id
}
