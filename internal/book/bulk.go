package book

import (
	"context"
	"iter"
	"maps"
	"slices"

	"evenpull/internal/fleet"
)

// batchSize is how many readings are stored at a time.
const batchSize = 2000

// firstRows is how many rows a check gives back as they were understood.
const firstRows = 5

// Request says how many readings at once are to be taken.
type Request struct {
	Answers
	Upload bool // ask about rows that are stored already
}

// CheckReadings checks many readings against the fleet as it is stored, without holding up a write: Invalid with every
// fault of every row, in the order of the rows, or else a Conflict with everything that is asked about and not
// answered. What it found is there with an error too.
func (b *Book) CheckReadings(
	ctx context.Context, rows iter.Seq[fleet.Row[fleet.Reading]], request Request,
) (Checked[fleet.Reading], error) {
	return readAsWriter(ctx, b, func(w *Writer) (Checked[fleet.Reading], error) {
		d := newDoubts(w, request)
		found, err := w.check().all(rows, func(row fleet.Row[fleet.Reading], _ *fleet.Reading) error {
			_, err := d.take(row.Number, row.Record)
			return err
		})
		found.Skipped = d.skipped
		if err == nil {
			_, err = d.settle()
		}
		return found, err
	})
}

// Added is what became of many readings.
type Added struct {
	Accepted int    // stored
	Skipped  int    // stored already
	Batch    string // the id they are taken back by; empty where nothing was stored
}

// AddReadings stores many readings, all or nothing. It is Invalid with every fault of every row, in the order of the
// rows, or else a Conflict with everything that is asked about and not answered. Rows cannot name one another as
// replaced: none has an id yet.
func (w *Writer) AddReadings(rows iter.Seq[fleet.Row[fleet.Reading]], request Request) (added Added, err error) {
	defer func() {
		if err != nil {
			w.failed = err // some may be written already: the whole write must not stand
		}
	}()
	in := intake{w: w, batch: w.b.newID(), doubts: newDoubts(w, request),
		all: bulkEntry{Sleds: map[string]int{}}}
	if _, err := w.check().all(rows, in.take); err != nil {
		return Added{}, err
	}
	if err := in.store(); err != nil {
		return Added{}, err
	}
	kept, err := in.doubts.settle()
	if err != nil {
		return Added{}, err
	}
	added = Added{Accepted: in.all.Rows, Skipped: in.doubts.skipped}
	if in.all.Rows == 0 {
		return added, nil
	}
	added.Batch = in.batch
	return added, in.finish(kept)
}

// intake is many readings on their way in.
type intake struct {
	w        *Writer
	batch    string
	doubts   *doubts
	ready    []fleet.Reading
	replaced []fleet.Reading
	all      bulkEntry
}

// take makes one row that fits ready to be stored.
func (in *intake) take(row fleet.Row[fleet.Reading], old *fleet.Reading) error {
	r := row.Record
	in.w.asNew(&r)
	r.Batch = in.batch
	if skip, err := in.doubts.take(row.Number, r); err != nil || skip {
		return err
	}
	in.all.Rows++
	in.all.Sleds[r.Sled]++
	if stillCounts(old) {
		in.replaced = append(in.replaced, *old)
	}
	if in.ready = append(in.ready, r); len(in.ready) == batchSize {
		return in.store()
	}
	return nil
}

// store stores what is ready.
func (in *intake) store() error {
	ready := in.ready
	in.ready = in.ready[:0]
	return in.w.tx.AddReadings(ready)
}

// finish confirms what is kept, sets aside what is replaced, and leaves the entry in the history.
func (in *intake) finish(kept map[string][]string) error {
	for _, sled := range slices.Sorted(maps.Keys(kept)) {
		if err := in.w.tx.Confirm(sled, kept[sled], &in.w.now); err != nil {
			return err
		}
	}
	done := map[string]bool{} // two rows may replace the same one
	for _, old := range in.replaced {
		if done[old.ID] {
			continue
		}
		done[old.ID], in.all.SetAside = true, append(in.all.SetAside, old.ID)
		if _, err := in.w.supersede(old, in.w.now); err != nil {
			return err
		}
	}
	return in.w.record(fleet.ActAdded, fleet.OfReadings, in.batch, slices.Collect(maps.Keys(in.all.Sleds)), nil, in.all)
}

// bulkEntry is what the history holds of many readings that were added at once.
type bulkEntry struct {
	Rows     int            `json:"rows"`
	Sleds    map[string]int `json:"sleds"`               // how many of each
	SetAside []string       `json:"set_aside,omitempty"` // readings that were replaced and counted until then, by id
}
