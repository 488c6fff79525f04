package book

import (
	"cmp"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// readingCheck checks readings against what is stored. It is good for one transaction in which no sled changes.
type readingCheck struct {
	reads *store.Reads
	now   time.Time
	found map[string]foundSled // by what rows call them
	ids   map[string][]string  // of the sleds by folded id and name, once somebody has asked
	there string               // which sleds there are, in words
	rows  map[string]int       // of each sled that is known
}

// foundSled is the sled that rows call by one name, or what is wrong with that name.
type foundSled struct {
	timeline *fleet.Timeline
	wrong    string
}

// mostFound is how many names are remembered at a time.
const mostFound = 10_000

func (w *Writer) check() *readingCheck { return &readingCheck{reads: &w.tx.Reads, now: w.now} }

// all checks rows, and lets take have each that fits as long as all do, with the reading that it replaces.
func (c *readingCheck) all(
	rows iter.Seq[fleet.Row], take func(row fleet.Row, replaced *fleet.Reading) error,
) (CheckedReadings, error) {
	c.rows = map[string]int{}
	found, faults := CheckedReadings{Sleds: c.rows}, fleet.Faults{}
	for row := range rows {
		found.Rows++
		replaced, err := c.row(&row)
		if err != nil {
			return found, err
		}
		if len(found.First) < firstRows {
			found.First = append(found.First, row)
		}
		if row.Faults.Any() || len(row.Unread) > 0 {
			found.Bad++
		}
		faults.InRow(row.Number, &row.Faults)
		if faults.Any() { // nothing is asked, and nothing is stored
			continue
		}
		if err := take(row, replaced); err != nil {
			return found, err
		}
	}
	return found, faults.Err()
}

// row finds all that is wrong with a row: what reading it found first, then the rules, but for fields that could not be
// read in the first place. The row's sled and gear become those it means, and the reading that it replaces is returned.
func (c *readingCheck) row(row *fleet.Row) (replaced *fleet.Reading, err error) {
	unread := map[string]bool{}
	for _, f := range row.Faults.List() {
		unread[f.At] = true
	}
	if unread[""] { // the row as a whole
		return nil, nil
	}
	for _, name := range row.Unread {
		unread[name] = true
	}
	r, broken := &row.Reading, (*fleet.Faults)(nil)
	var called foundSled
	if !unread["sled"] {
		if called, err = c.sled(r.Sled, row.AsTyped); err != nil {
			return nil, err
		}
		if called.wrong != "" {
			row.Faults.AddRow(row.Number, "sled", "%s", called.wrong)
		}
	}
	if called.timeline == nil { // judged as far as it can be without a sled
		r.Tidy()
		broken = r.Check(c.now)
	} else if broken, replaced, err = c.reading(r, *called.timeline, row.AsTyped); err != nil {
		return nil, err
	} else {
		c.rows[r.Sled]++
	}
	for _, f := range broken.List() {
		if !unread[f.At] {
			row.Faults.AddRow(row.Number, f.At, "%s", f.Detail)
		}
	}
	return replaced, nil
}

// sled finds a sled by its id or, as typed, by a name that is its own alone, whatever its case, spaces and punctuation.
func (c *readingCheck) sled(name string, typed bool) (foundSled, error) {
	if f, ok := c.found[name]; ok {
		return f, nil
	}
	var f foundSled
	t, err := c.reads.Timeline(name)
	if isKind(err, fleet.NotFound) {
		if err := c.readNames(); err != nil {
			return f, err
		}
		ids := c.ids[folded(name)]
		switch {
		case typed && len(ids) == 1:
			t, err = c.reads.Timeline(ids[0])
		case typed && len(ids) > 1:
			f.wrong, err = fmt.Sprintf("%s can be %s; write which", fleet.Quoted(name), strings.Join(ids, " or ")), nil
		default:
			f.wrong, err = fmt.Sprintf("there is no sled %s; there are %s", fleet.Quoted(name), c.there), nil
		}
	}
	if err != nil {
		return f, err
	}
	if f.wrong == "" {
		f.timeline = &t
	}
	if t.Base.Retired {
		f.wrong = retiredMessage(t.Base)
	}
	if c.found == nil || len(c.found) == mostFound {
		c.found = map[string]foundSled{}
	}
	c.found[name] = f
	return f, nil
}

// readNames reads the names of all sleds, once.
func (c *readingCheck) readNames() error {
	if c.ids != nil {
		return nil
	}
	names, err := c.reads.SledNames()
	if err != nil {
		return err
	}
	c.ids = map[string][]string{}
	for _, id := range slices.Sorted(maps.Keys(names)) {
		c.ids[folded(id)] = append(c.ids[folded(id)], id)
		if name := folded(names[id]); name != folded(id) {
			c.ids[name] = append(c.ids[name], id)
		}
	}
	const most = 12
	there, others := slices.Sorted(maps.Values(names)), ""
	if len(there) > most {
		there, others = there[:most], " and others"
	}
	c.there = cmp.Or(strings.Join(there, ", "), "none yet") + others
	return nil
}

// folded is a name without case, spaces, punctuation and accents.
func folded(name string) string { return strings.ReplaceAll(fleet.Slug(name), "-", "") }

// reading tidies a reading of a sled and judges it by the parts there were on its date. It reports every fault, and the
// reading that this one replaces.
func (c *readingCheck) reading(r *fleet.Reading, t fleet.Timeline, typed bool) (
	faults *fleet.Faults, replaced *fleet.Reading, err error,
) {
	r.Tidy()
	s := t.Until(r.MeasuredOn).Today()
	r.Sled = s.ID
	if typed {
		r.Gear = s.LabelCalled(r.Gear)
	}
	faults = r.CheckOn(s, c.now)
	if g, _, ok := s.GearByLabel(r.Gear); ok {
		r.GearID = g.ID
	}
	if r.Replaces == "" {
		return faults, nil, nil
	}
	other, err := c.reads.Reading(r.Replaces)
	switch {
	case isKind(err, fleet.NotFound):
		faults.Add("replaces", "there is no reading %q", r.Replaces)
	case err != nil:
		return nil, nil, err
	case other.Sled != s.ID:
		faults.Add("replaces", "reading %q is of another sled, %s", r.Replaces, other.Sled)
	default:
		return faults, &other, nil
	}
	return faults, nil, nil
}
