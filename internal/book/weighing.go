package book

import (
	"context"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Weighings returns a part of the list of a sled's weighings, newest first, those set aside included, and the cursor of
// the next part, "" for the last. A sled that is not there is NotFound, a wrong cursor Invalid.
func (b *Book) Weighings(ctx context.Context, sled, after string, limit int) ([]fleet.Weighing, string, error) {
	return list(ctx, b, func(r *store.Reads) ([]fleet.Weighing, string, error) {
		return r.Weighings(sled, after, limit)
	})
}

// WeighingsOldestFirst is Weighings as they were weighed.
func (b *Book) WeighingsOldestFirst(ctx context.Context, sled, after string, limit int) ([]fleet.Weighing, string,
	error) {
	return list(ctx, b, func(r *store.Reads) ([]fleet.Weighing, string, error) {
		return r.WeighingsOldestFirst(sled, after, limit)
	})
}

// Weighing returns a weighing, or NotFound.
func (b *Book) Weighing(ctx context.Context, id string) (fleet.Weighing, error) {
	return read(ctx, b, func(r *store.Reads) (fleet.Weighing, error) { return r.Weighing(id) })
}

// AddWeighing stores a weighing of a sled and returns it as stored. A sled that is not there is NotFound, one that is
// retired a Conflict, and a weighing against the rules Invalid.
func (w *Writer) AddWeighing(sled string, g fleet.Weighing) (fleet.Weighing, error) {
	t, err := w.tx.Timeline(sled)
	if err != nil {
		return fleet.Weighing{}, err
	}
	if t.Base.Retired {
		return fleet.Weighing{}, fleet.Errorf(fleet.Conflict, "%s", retiredMessage(t.Base))
	}
	if err := w.judge(&g, t).Err(); err != nil {
		return fleet.Weighing{}, err
	}
	w.asNewWeighing(&g)
	if err := w.tx.AddWeighings([]fleet.Weighing{g}); err != nil {
		return fleet.Weighing{}, err
	}
	return g, w.record(fleet.ActAdded, fleet.OfWeighing, g.ID, []string{sled}, nil, g)
}

// judge tidies a weighing of a sled and judges it by the parts there were on its date.
func (w *Writer) judge(g *fleet.Weighing, t fleet.Timeline) *fleet.Faults {
	g.Tidy()
	g.Sled = t.Base.ID
	f := g.CheckOn(t.Until(g.WeighedOn).Today(), w.now)
	if err := checkOwn(t.Base); err != nil {
		f.Add("sled", "%s", err)
	}
	return f
}

func (w *Writer) asNewWeighing(g *fleet.Weighing) {
	g.ID, g.SetAside, g.CreatedAt = w.b.newID(), nil, w.now
}

// weighingRows checks many weighings.
func (w *Writer) weighingRows() rowCheck[fleet.Weighing] {
	return rowCheck[fleet.Weighing]{
		sleds: &sledFinder{reads: &w.tx.Reads},
		sled:  func(g *fleet.Weighing) *string { return &g.Sled },
		alone: func(g *fleet.Weighing) *fleet.Faults {
			g.Tidy()
			return g.Check(w.now)
		},
		on: func(g *fleet.Weighing, t fleet.Timeline, _ bool) (*fleet.Faults, error) { return w.judge(g, t), nil },
	}
}

// CheckWeighings checks many weighings against the fleet as it is stored, without holding up a write: Invalid with
// every fault of every row, in the order of the rows. What it found is there with an error too.
func (b *Book) CheckWeighings(
	ctx context.Context, rows iter.Seq[fleet.Row[fleet.Weighing]],
) (found Checked[fleet.Weighing], err error) {
	err = b.store.Read(ctx, func(r *store.Reads) error {
		w := Writer{tx: &store.Tx{Reads: *r}, b: b, now: b.timestamp()} // which only reads
		found, err = w.weighingRows().all(rows, nil)
		return err
	})
	return found, err
}

// AddWeighings stores many weighings, all or nothing, and returns how many. It is Invalid with every fault of every
// row, in the order of the rows.
func (w *Writer) AddWeighings(rows iter.Seq[fleet.Row[fleet.Weighing]]) (count int, err error) {
	defer func() {
		if err != nil {
			w.failed = err // part of them may be written: the whole write is rolled back
		}
	}()
	var batch []fleet.Weighing
	found, err := w.weighingRows().all(rows, func(row fleet.Row[fleet.Weighing]) error {
		g := row.Record
		w.asNewWeighing(&g)
		if batch = append(batch, g); len(batch) < batchSize {
			return nil
		}
		err := w.tx.AddWeighings(batch)
		batch = batch[:0]
		return err
	})
	if err != nil || found.Rows == 0 {
		return 0, err
	}
	if err := w.tx.AddWeighings(batch); err != nil {
		return 0, err
	}
	entry := bulkEntry{Rows: found.Rows, Sleds: found.Sleds}
	about := slices.Collect(maps.Keys(entry.Sleds))
	return entry.Rows, w.record(fleet.ActAdded, fleet.OfWeighings, "", about, nil, entry)
}

// SetWeighingAside leaves a weighing out for a reason, or brings it back where reason is nil, and returns it as stored.
// A weighing that is not there is NotFound; an empty or overlong reason Invalid; one that goes against the sled as it
// was on its date cannot come back: a Conflict.
func (w *Writer) SetWeighingAside(id string, reason *string) (fleet.Weighing, error) {
	before, err := w.tx.Weighing(id)
	if err != nil {
		return fleet.Weighing{}, err
	}
	after := before
	act, err := w.setAside(note{
		what: "weighing", sled: before.Sled, on: before.WeighedOn, aside: &after.SetAside,
		owners: before.OwnerSetAside, checkOn: after.CheckOn,
	}, reason)
	if err != nil || act == "" {
		return before, err
	}
	if err := w.tx.SetWeighingAside(after, after.SetAside); err != nil {
		return fleet.Weighing{}, err
	}
	return after, w.record(act, fleet.OfWeighing, id, []string{after.Sled}, before, after)
}

// checkWeighedMarks notes the weighings whose box stood past the travel of their dates.
func (w *Writer) checkWeighedMarks(f *fleet.Faults, s fleet.Sled, from, before string) error {
	n, err := w.tx.CountWeighingsPast(s.ID, from, before, *s.TravelFt+fleet.BeyondTopFt)
	if err == nil && n > 0 {
		weighings := "1 weighing"
		if n > 1 {
			weighings = fmt.Sprintf("%d weighings", n)
		}
		f.Add("travel_ft", "in %s%s the box stood past %s; set aside %s first", weighings, betweenDates(from, before),
			fleet.FeetAndMeters(*s.TravelFt), pronoun(n))
	}
	return err
}

// mostWeighings is how many weighings of a sled count: those made last. Nobody weighs one as often; it bounds how long
// a fit takes. An assumption of our own.
const mostWeighings = 100

// countingWeighings are those that count: not set aside, and made since the last change that ended the ones before it.
func countingWeighings(t fleet.Timeline, all []fleet.Weighing) []fleet.Weighing {
	from := t.WeighingsFrom()
	isOut := func(g fleet.Weighing) bool { return g.SetAside != nil || g.WeighedOn < from }
	counting := slices.DeleteFunc(slices.Clone(all), isOut)
	if over := len(counting) - mostWeighings; over > 0 {
		byDate := func(a, b fleet.Weighing) int { return strings.Compare(a.WeighedOn, b.WeighedOn) }
		slices.SortStableFunc(counting, byDate)
		counting = counting[over:]
	}
	return counting
}
