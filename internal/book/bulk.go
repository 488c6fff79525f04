package book

import (
	"iter"
	"maps"
	"slices"
	"strings"

	"evenpull/internal/fleet"
)

// batchSize is how many readings are stored at a time.
const batchSize = 2000

// AddReadings stores many readings, all or nothing, and returns how many. With dryRun it only checks. It is Invalid
// with every fault of every row, in the order of the rows. A row cannot replace a reading of another row: it has no id
// yet.
func (w *Writer) AddReadings(rows iter.Seq[fleet.Row], dryRun bool) (count int, err error) {
	defer func() {
		if err != nil {
			w.failed = err // part of them may be written: the whole write is rolled back
		}
	}()
	sleds := map[string]*fleet.Timeline{}
	var faults fleet.Faults
	var batch []fleet.Reading
	replaced := map[string]fleet.Reading{}
	entry := bulkEntry{Sleds: map[string]int{}}
	flush := func() error {
		full := batch
		batch = batch[:0]
		if dryRun || faults.Any() || len(full) == 0 {
			return nil
		}
		return w.tx.AddReadings(full)
	}
	for row := range rows {
		entry.Rows++
		entry.Sleds[row.Reading.Sled]++
		found, r, old, err := w.checkRow(row, sleds)
		if err != nil {
			return 0, err
		}
		faults.InRow(row.Number, found)
		batch = append(batch, r)
		if stillCounts(old) {
			if _, known := replaced[old.ID]; !known {
				entry.SetAside = append(entry.SetAside, old.ID)
			}
			replaced[old.ID] = *old
		}
		if len(batch) == batchSize {
			if err := flush(); err != nil {
				return 0, err
			}
		}
	}
	if err := flush(); err != nil {
		return 0, err
	}
	if err := faults.Err(); err != nil {
		return 0, err
	}
	if dryRun || entry.Rows == 0 {
		return entry.Rows, nil
	}
	for _, id := range entry.SetAside {
		if _, err := w.supersede(replaced[id]); err != nil {
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

// checkRow finds all that is wrong with a row: what reading it found, then the rules, except for fields that could not
// be read. It returns the reading as it would be stored, and the one that it replaces.
func (w *Writer) checkRow(
	row fleet.Row, sleds map[string]*fleet.Timeline,
) (faults *fleet.Faults, r fleet.Reading, replaced *fleet.Reading, err error) {
	faults, r = &row.Faults, row.Reading
	unread := map[string]bool{}
	for _, f := range faults.List() {
		unread[withoutUnit(f.At)] = true
	}
	if unread[""] { // the row as a whole
		return faults, r, nil, nil
	}
	s, seen := sleds[r.Sled]
	if !seen && !unread["sled"] {
		found, err := w.tx.Timeline(r.Sled)
		switch {
		case err == nil:
			s = &found
		case !isKind(err, fleet.NotFound):
			return nil, r, nil, err
		}
		sleds[r.Sled] = s
	}
	var broken *fleet.Faults
	if s == nil { // checked as far as possible without a sled
		r.Tidy()
		broken = r.Check(w.now)
	} else if broken, replaced, err = w.prepareReading(&r, *s); err != nil {
		return nil, r, nil, err
	}
	switch {
	case s == nil && !unread["sled"]:
		faults.Add("sled", "there is no sled %q", row.Reading.Sled)
	case s != nil && s.Base.Retired:
		faults.Add("sled", "%s", retiredMessage(s.Base))
	}
	for _, f := range broken.List() {
		if !unread[withoutUnit(f.At)] {
			faults.Add(f.At, "%s", f.Detail)
		}
	}
	return faults, r, replaced, nil
}

// withoutUnit is a field's name without its unit: a column in meters that could not be read is the same field as the
// one in feet that is then missing.
func withoutUnit(field string) string {
	return strings.TrimSuffix(strings.TrimSuffix(field, "_ft"), "_m")
}
