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

// AddReadings stores many readings, all or nothing, and returns how many. With dryRun it only checks. It is Invalid
// with every fault of every row, in the order of the rows. Rows cannot name one another as replaced: none has an id
// yet.
func (w *Writer) AddReadings(rows iter.Seq[fleet.Row], dryRun bool) (int, error) {
	n, err := w.addReadings(rows, dryRun)
	if err != nil {
		w.failed = err // some may be written already: the whole write must not stand
		return 0, err
	}
	return n, nil
}

func (w *Writer) addReadings(rows iter.Seq[fleet.Row], dryRun bool) (int, error) {
	sleds := map[string]*fleet.Timeline{}
	var faults fleet.Faults
	var ready []fleet.Reading
	var replaced []fleet.Reading
	all := manyAtOnce{Sleds: map[string]int{}}
	store := func() error {
		if dryRun || faults.Any() || len(ready) == 0 {
			ready = ready[:0]
			return nil
		}
		err := w.tx.AddReadings(ready)
		ready = ready[:0]
		return err
	}
	for row := range rows {
		all.Rows++
		all.Sleds[row.Reading.Sled]++
		found, r, old, err := w.checkRow(row, sleds)
		if err != nil {
			return 0, err
		}
		faults.InRow(row.Number, found)
		ready = append(ready, r)
		if counts(old) {
			replaced = append(replaced, *old)
		}
		if len(ready) == batch {
			if err := store(); err != nil {
				return 0, err
			}
		}
	}
	if err := store(); err != nil {
		return 0, err
	}
	if err := faults.Err(); err != nil {
		return 0, err
	}
	if dryRun || all.Rows == 0 {
		return all.Rows, nil
	}
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

// checkRow finds all that is wrong with a row: what reading it found first, then the rules, but for fields that
// could not be read in the first place.
func (w *Writer) checkRow(row fleet.Row, sleds map[string]*fleet.Timeline) (faults *fleet.Faults, r fleet.Reading, replaced *fleet.Reading, err error) {
	faults, r = &row.Faults, row.Reading
	unread := map[string]bool{}
	for _, f := range faults.List() {
		unread[quantity(f.At)] = true
	}
	if unread[""] { // the row as a whole
		return faults, r, nil, nil
	}
	s, seen := sleds[r.Sled]
	if !seen && !unread["sled"] {
		found, err := w.tx.Timeline(r.Sled)
		if err != nil && !is(err, fleet.NotFound) {
			return nil, r, nil, err
		}
		if err == nil {
			s = &found
		}
		sleds[r.Sled] = s
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
