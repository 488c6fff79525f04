package book

import (
	"context"
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Batch is what came with one request of many readings.
type Batch struct {
	ID       string
	Sleds    []string // ascending
	Readings int
	SetAside int // of these, how many are set aside
}

// batchOf counts a batch, or is NotFound.
func batchOf(r *store.Reads, id string) (Batch, error) {
	counts, err := r.BatchCounts(id)
	if err != nil {
		return Batch{}, err
	}
	if len(counts) == 0 {
		return Batch{}, fleet.Errorf(fleet.NotFound, "there is no batch %q of readings", id)
	}
	out := Batch{ID: id}
	for _, of := range counts {
		out.Sleds = append(out.Sleds, of.Sled)
		out.Readings += of.Readings
		out.SetAside += of.SetAside
	}
	return out, nil
}

// Batch tells of the readings that came with one request, or is NotFound.
func (b *Book) Batch(ctx context.Context, id string) (Batch, error) {
	return read(ctx, b, func(r *store.Reads) (Batch, error) { return batchOf(r, id) })
}

// SetBatchAside leaves all readings that came with one request out of their charts for a reason, and counts those again
// that they had replaced, as far as they go with their sleds as these are noted now; or brings back what was set aside
// so, where reason is nil. It is one entry in the history. A batch that is not there is NotFound, an empty or overlong
// reason Invalid; one of which a reading goes against its sled as it is noted now cannot come back: a Conflict.
func (w *Writer) SetBatchAside(id string, reason *string) (Batch, error) {
	if _, err := batchOf(&w.tx.Reads, id); err != nil {
		return Batch{}, err
	}
	readings, err := w.tx.Batch(id)
	if err != nil {
		return Batch{}, err
	}
	if reason != nil {
		err = w.takeBatchBack(id, readings, *reason)
	} else {
		err = w.bringBatchBack(id, readings)
	}
	if err != nil {
		return Batch{}, err
	}
	return batchOf(&w.tx.Reads, id)
}

func (w *Writer) takeBatchBack(id string, readings []fleet.Reading, reason string) error {
	text, err := fleet.TidyReason(reason)
	if err != nil {
		return err
	}
	change, of := w.batchChange(id, readings, func(r fleet.Reading) bool { return r.SetAside == nil })
	if len(of) == 0 {
		return nil
	}
	if err := w.tx.SetBatchAside(id, fleet.SetAside{Reason: text, At: w.now}); err != nil {
		return err
	}
	change.after.SetAside += len(of)
	change.after.Reason = text
	sleds := sledFinder{reads: &w.tx.Reads}
	for _, r := range of {
		old, err := w.replacedBy(r)
		if err != nil {
			return err
		}
		if old == nil || old.SetAside == nil || old.SetAside.Reason != replacedReason ||
			!old.SetAside.At.Equal(r.CreatedAt) {
			continue // it counts, or does not for another reason
		}
		if faults, err := w.checkStored(&sleds, *old); err != nil {
			return err
		} else if faults.Any() {
			continue // its sled was corrected since, and it does not go with that
		}
		if err := w.tx.SetAside(*old, nil); err != nil {
			return err
		}
		change.after.Replaced = append(change.after.Replaced, old.ID)
	}
	return change.record(fleet.ActSetAside)
}

func (w *Writer) bringBatchBack(id string, readings []fleet.Reading) error {
	change, of := w.batchChange(id, readings,
		func(r fleet.Reading) bool { return r.SetAside != nil && r.SetAside.WithBatch })
	if len(of) == 0 {
		return nil
	}
	sleds := sledFinder{reads: &w.tx.Reads}
	for _, r := range of {
		faults, err := w.checkStored(&sleds, r)
		if err != nil {
			return err
		}
		if err := faults.Err(); err != nil {
			return cannotRestore("reading", err)
		}
	}
	if err := w.tx.BringBatchBack(id); err != nil {
		return err
	}
	change.after.SetAside -= len(of)
	for _, r := range of {
		old, err := w.replacedBy(r)
		if err != nil {
			return err
		}
		if !stillCounts(old) {
			continue
		}
		if _, err := w.supersede(*old, r.CreatedAt); err != nil {
			return err
		}
		change.after.Replaced = append(change.after.Replaced, old.ID)
	}
	return change.record(fleet.ActBroughtBack)
}

// checkStored says what is against a reading by its sled as that is noted for its date.
func (w *Writer) checkStored(sleds *sledFinder, r fleet.Reading) (*fleet.Faults, error) {
	of, err := sleds.sled(r.Sled, false)
	if err != nil {
		return nil, err
	}
	return r.CheckOn(of.timeline.Until(r.MeasuredOn).Today(), w.now), nil
}

// batchChange is a batch that is being set aside or brought back.
type batchChange struct {
	w             *Writer
	id            string
	sleds         []string
	before, after batchEntry
}

// batchChange begins one, with those of its readings that it is about.
func (w *Writer) batchChange(
	id string, readings []fleet.Reading, which func(fleet.Reading) bool,
) (change batchChange, of []fleet.Reading) {
	change = batchChange{w: w, id: id, before: batchEntry{Rows: len(readings)}}
	for _, r := range readings {
		if r.SetAside != nil {
			change.before.SetAside++
		}
		if which(r) {
			of = append(of, r)
			change.sleds = append(change.sleds, r.Sled)
		}
	}
	change.after = change.before
	return change, of
}

func (c batchChange) record(act string) error {
	slices.Sort(c.sleds)
	return c.w.record(act, fleet.OfReadings, c.id, slices.Compact(c.sleds), c.before, c.after)
}

// replacedBy is the reading that another one corrects, nil where it corrects none.
func (w *Writer) replacedBy(r fleet.Reading) (*fleet.Reading, error) {
	if r.Replaces == "" {
		return nil, nil
	}
	old, err := w.tx.Reading(r.Replaces)
	return &old, err
}
