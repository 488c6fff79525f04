package archive

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"time"
	"unicode/utf8"

	"evenpull/internal/fleet"
)

// Imported is how much came in.
type Imported struct{ Sleds, Readings, Weighings, Classes, Shows int }

// Fleet is where a document is taken in: an empty fleet, in a write that is undone where Import errs.
type Fleet interface {
	AddSled(fleet.Sled) error
	AddChange(fleet.Change) error
	AddReadings([]fleet.Reading) error
	AddWeighings([]fleet.Weighing) error
	AddClass(fleet.Class) error
	AddShowRecord(fleet.ShowRecord) error
	PutInspectionList(fleet.InspectionList) error
	AddInspections([]fleet.Inspection) error
	Record(...fleet.Entry) error
}

// CheckClosedSheet finds what is wrong with a closed sheet, at places inside it, and the classes it has, in their
// order.
type CheckClosedSheet func(fleet.ClosedSheet) (classes []string, faults *fleet.Faults)

// Import takes in a fleet that Export wrote, and returns the ids of its sleds. It is Unreadable where the document is
// none or of another format, and Invalid with every fault of everything in it: what comes in keeps to the rules as if
// it had been entered here.
func Import(document io.Reader, into Fleet, now time.Time, check CheckClosedSheet) (Imported, []string, error) {
	i := newImporter(into, now)
	i.checkSheet = check
	if err := i.read(newReader(document, fleetLayout())); err != nil {
		return Imported{}, nil, err
	}
	return i.count, slices.Sorted(maps.Keys(i.sleds)), nil
}

func newImporter(into Fleet, now time.Time) *importer {
	return &importer{
		to: into, now: now, sleds: map[string]fleet.Timeline{}, gears: map[string]string{},
		readings: map[string]string{}, doubtful: map[string]bool{}, classes: map[string]bool{},
		shows: map[string]bool{}, others: map[string]bool{}, lists: map[string]bool{},
	}
}

// read takes everything in and says what is wrong with it.
func (i *importer) read(from *reader) error {
	early := from.read(i.take)
	if early == nil {
		early = i.flush()
	}
	if early != nil && !errors.Is(early, errTooManyFaults) {
		return early
	}
	err := i.faults.Err()
	var e *fleet.Error
	if early != nil && errors.As(err, &e) {
		e.Detail += "; nothing after that was read"
	}
	return err
}

// importer takes a document in, thing by thing, and remembers what later things may refer to.
type importer struct {
	to         Fleet
	now        time.Time // of the write that takes it in
	checkSheet CheckClosedSheet
	one        *SledDocument // of one sled; nil of a fleet

	faults   fleet.Faults
	found    int             // how many those are
	before   int             // how many those were before the thing at hand
	unread   map[string]bool // places of the thing at hand that could not be read, and are not judged again
	count    Imported
	sleds    map[string]fleet.Timeline // changes as far as they have come
	doubtful map[string]bool           // sleds of which something is wrong, so that nothing else is judged by them
	stages   stages                    // of the sled that the reading before was of
	gears    map[string]string         // the sled of each gear's id
	readings map[string]string         // the sled of each reading's id
	classes  map[string]bool
	shows    map[string]bool
	others   map[string]bool  // ids of changes, of weighings, of what was run and of inspections
	lists    map[string]bool  // sleds that have an inspection list
	ready    []fleet.Reading  // to be stored
	weighed  []fleet.Weighing // likewise
	entries  []fleet.Entry    // likewise
	held     int              // how many bytes those are
}

// maxFaults is how many faults are counted: whoever has that many looks for their cause and not for each of them. An
// assumption of our own.
const maxFaults = 10 * fleet.MaxFaults

var errTooManyFaults = errors.New("too many faults to count")

func (i *importer) take(section, at string, thing json.RawMessage) error {
	if i.found > maxFaults {
		return errTooManyFaults
	}
	if !utf8.Valid(thing) {
		i.unread = nil
		i.add(at, "holds bytes that are not text (UTF-8)")
		return nil
	}
	if section != sectionReadings { // what follows may refer to any of them
		if err := i.flushReadings(); err != nil {
			return err
		}
	}
	if section != sectionWeighings {
		if err := i.flushWeighings(); err != nil {
			return err
		}
	}
	switch section {
	case sectionGiven:
		return check(i, at, thing, i.given)
	case sectionSleds:
		return check(i, at, thing, i.sled)
	case sectionChanges:
		return check(i, at, thing, i.change)
	case sectionReadings:
		return check(i, at, thing, i.reading)
	case sectionWeighings:
		return check(i, at, thing, i.weighing)
	case sectionClasses:
		return check(i, at, thing, i.class)
	case sectionShows:
		return check(i, at, thing, i.show)
	case sectionInspectionLists:
		return check(i, at, thing, i.inspectionList)
	case sectionInspections:
		return check(i, at, thing, i.inspection)
	}
	return check(i, at, thing, func(at string, e fleet.Entry) error { return i.entry(at, e, len(thing)) })
}

// check reads a thing, notes what is wrong with its form, and lets as check and store the rest. A thing of which
// nothing could be read is left out.
func check[T any](i *importer, at string, thing json.RawMessage, as func(at string, thing T) error) error {
	value, found := read[T](thing)
	i.before, i.unread = i.found, map[string]bool{}
	i.note(at, found)
	for _, f := range found.List() {
		i.unread[fleet.Inside(at, f.At)] = true
	}
	if i.unread[at] {
		return nil
	}
	return as(at, value)
}

// store writes unless there is a fault: then all that is left is to find the others.
func (i *importer) store(write func() error) error {
	if i.faults.Any() {
		return nil
	}
	return write()
}

// note adds the faults of a thing's own check.
func (i *importer) note(at string, found *fleet.Faults) {
	for _, f := range found.List() {
		i.add(fleet.Inside(at, f.At), "%s", f.Detail)
	}
}

// add notes a fault, in a length that can be answered.
func (i *importer) add(at, format string, args ...any) {
	if !i.unread[at] {
		const most = 400
		i.found++
		i.faults.Add(fleet.Shortened(at, most), "%s", fleet.Shortened(fmt.Sprintf(format, args...), most))
	}
}

// batch is how many readings, or entries of the history, are stored at a time.
const batch = 2000

// How much one document can bring: far more than anybody has, and little enough to keep in mind while it is read.
// Assumptions of our own.
const (
	mostSleds   = 50_000
	mostClasses = 50_000
	mostShows   = 100_000
	mostChanges = 2000 // of one sled
)

// Ids that are read in links are slugs, of a show with its date; the others are letters and digits.
const (
	mostSlug     = 120
	mostShowSlug = 160
	mostID       = 40
)

func isSlug(id string, most int) bool {
	return id != "" && utf8.RuneCountInString(id) <= most && fleet.Slug(id) == id
}

func (i *importer) slug(at, id string, most int, taken bool) {
	switch {
	case !isSlug(id, most):
		i.add(at+".id", "must be small letters, digits and single hyphens, up to %d, not %s", most, fleet.Quoted(id))
	case taken:
		i.add(at+".id", "%q is in the document already", id)
	}
}

func (i *importer) id(at, id string, taken bool) {
	if i.idAt(at+".id", id) && taken {
		i.add(at+".id", "%q is in the document already", id)
	}
}

// idAt checks the form of an id; at is the field it stands in.
func (i *importer) idAt(at, id string) bool {
	odd := func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-')
	}
	if id == "" || len(id) > mostID || slices.ContainsFunc([]rune(id), odd) {
		i.add(at, "must be letters and digits, up to %d, not %s", mostID, fleet.Quoted(id))
		return false
	}
	return true
}

// moment is a time as it is stored, checked. It may lie a day ahead: clocks differ.
func (i *importer) moment(at, field string, t time.Time) time.Time {
	t = t.UTC().Truncate(time.Microsecond)
	if t.Year() < 1970 || t.After(i.now.AddDate(0, 0, 1)) {
		i.add(at+"."+field, "must be a time from 1970 until now, not %s", t.Format(time.RFC3339))
	}
	return t
}

func (i *importer) flushReadings() error { return flush(i, &i.ready, i.to.AddReadings) }

func (i *importer) flushWeighings() error { return flush(i, &i.weighed, i.to.AddWeighings) }

// flush stores what is still held.
func (i *importer) flush() error {
	if err := errors.Join(i.flushReadings(), i.flushWeighings()); err != nil {
		return err
	}
	i.held = 0
	return flush(i, &i.entries, func(entries []fleet.Entry) error { return i.to.Record(entries...) })
}

// flush stores things that are held.
func flush[T any](i *importer, held *[]T, add func([]T) error) error {
	ready := *held
	*held = ready[:0]
	if len(ready) == 0 {
		return nil
	}
	return i.store(func() error { return add(ready) })
}
