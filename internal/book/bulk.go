package book

import (
	"iter"
	"maps"
	"slices"
	"strings"

	"evenpull/internal/fleet"
)

// batch is how many readings are stored at a time.
const batch = 2000

// Request says how many readings at once are to be taken.
type Request struct {
	Answers
	DryRun bool // check only
	Upload bool // ask about rows that are stored already
}

// Added is what became of many readings.
type Added struct {
	Accepted int    // stored, or on a dry run fit to be
	Skipped  int    // stored already
	Batch    string // the id they are taken back by; empty where nothing was stored
}

// AddReadings stores many readings, all or nothing. It is Invalid with every fault of every row, in the order of the rows, or else a
// Conflict with everything that is asked about and not answered. Rows cannot name one another as replaced: none has an id yet.
func (w *Writer) AddReadings(rows iter.Seq[fleet.Row], request Request) (Added, error) {
	added, err := w.addReadings(rows, request)
	if err != nil {
		w.failed = err // some may be written already: the whole write must not stand
		return Added{}, err
	}
	return added, nil
}

func (w *Writer) addReadings(rows iter.Seq[fleet.Row], request Request) (added Added, err error) {
	in := intake{w: w, dryRun: request.DryRun, batch: w.b.newID(), doubts: doubts{w: w, answers: request.Answers, upload: request.Upload}}
	in.all.Sleds = map[string]int{}
	for row := range rows {
		if err := in.take(row); err != nil {
			return Added{}, err
		}
	}
	if err := in.store(); err != nil {
		return Added{}, err
	}
	if err := in.faults.Err(); err != nil {
		return Added{}, err
	}
	kept, err := in.doubts.settle()
	if err != nil {
		return Added{}, err
	}
	added = Added{Accepted: in.all.Rows, Skipped: in.skipped}
	if request.DryRun || in.all.Rows == 0 {
		return added, nil
	}
	added.Batch = in.batch
	return added, in.finish(kept)
}

// intake is many readings on their way in.
type intake struct {
	w        *Writer
	dryRun   bool
	batch    string
	sleds    map[string]*fleet.Timeline
	faults   fleet.Faults
	doubts   doubts
	ready    []fleet.Reading
	replaced []fleet.Reading
	skipped  int
	all      manyAtOnce
}

// take checks one row and makes it ready to be stored.
func (in *intake) take(row fleet.Row) error {
	found, r, old, err := in.checkRow(row)
	if err != nil {
		return err
	}
	if found.Any() {
		in.faults.InRow(row.Number, found)
		return nil
	}
	if in.faults.Any() { // nothing is asked, and nothing is stored
		return nil
	}
	r.Batch = in.batch
	if skip, err := in.doubts.take(row.Number, r); err != nil || skip {
		in.skipped++
		return err
	}
	in.all.Rows++
	in.all.Sleds[r.Sled]++
	if counts(old) {
		in.replaced = append(in.replaced, *old)
	}
	if in.ready = append(in.ready, r); len(in.ready) == batch {
		return in.store()
	}
	return nil
}

// store stores what is ready.
func (in *intake) store() error {
	ready := in.ready
	in.ready = in.ready[:0]
	if in.dryRun || in.faults.Any() || len(ready) == 0 {
		return nil
	}
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

// checkRow finds all that is wrong with a row: what reading it found first, then the rules, but for fields that
// could not be read in the first place.
func (in *intake) checkRow(row fleet.Row) (faults *fleet.Faults, r fleet.Reading, replaced *fleet.Reading, err error) {
	w := in.w
	faults, r = &row.Faults, row.Reading
	unread := map[string]bool{}
	for _, f := range faults.List() {
		unread[quantity(f.At)] = true
	}
	if unread[""] { // the row as a whole
		return faults, r, nil, nil
	}
	s, seen := in.sleds[r.Sled]
	if !seen && !unread["sled"] {
		found, err := w.tx.Timeline(r.Sled)
		if err != nil && !is(err, fleet.NotFound) {
			return nil, r, nil, err
		}
		if err == nil {
			s = &found
		}
		if in.sleds == nil {
			in.sleds = map[string]*fleet.Timeline{}
		}
		in.sleds[r.Sled] = s
	}
	if s == nil && !unread["sled"] {
		faults.Add("sled", "there is no sled %q", r.Sled)
	}
	if s != nil && s.Base.Retired {
		faults.Add("sled", "%s", retired(s.Base))
	}
	var broken *fleet.Faults
	if s == nil { // judged as far as it can be without a sled
		r.Tidy()
		broken = r.Check(w.now)
	} else if broken, replaced, err = w.prepare(&r, *s); err != nil {
		return nil, r, nil, err
	}
	for _, f := range broken.List() {
		if !unread[quantity(f.At)] {
			faults.Add(f.At, "%s", f.Detail)
		}
	}
	return faults, r, replaced, nil
}

// quantity is a field's name without its unit: a column in meters that could not be read is the same field as the
// one in feet that is then missing.
func quantity(field string) string {
	for _, unit := range []string{"_ft", "_m"} {
		if name, ok := strings.CutSuffix(field, unit); ok {
			return name
		}
	}
	return field
}
