package book

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"time"
	"unicode/utf8"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Imported is how much came in.
type Imported struct{ Sleds, Readings, Classes, Shows int }

// Import fills an empty database with a fleet that Export wrote: all or nothing. It is a Conflict where there is a sled, Unreadable
// where the document is none or of another format, and Invalid with every fault of everything in it: what comes in keeps to the
// rules as if it had been entered here.
func (w *Writer) Import(document io.Reader) (Imported, error) {
	if found, err := w.tx.AnySled(); err != nil {
		return Imported{}, err
	} else if found {
		return Imported{}, fleet.Errorf(fleet.Conflict, "there is a fleet in this database already: a fleet comes into an empty one only")
	}
	i := &importer{
		w: w, sleds: map[string]store.Timeline{}, gears: map[string]string{}, readings: map[string]string{},
		classes: map[string]bool{}, shows: map[string]bool{}, others: map[string]bool{},
	}
	r := archiveReader{in: json.NewDecoder(document), faults: &i.faults}
	err := r.read([]string{sectionSleds, sectionChanges, sectionReadings, sectionClasses, sectionShows, sectionHistory}, i.take)
	if err == nil {
		err = i.flush()
	}
	if err == nil {
		err = i.faults.Err()
	}
	if err != nil {
		w.failed = err // some may be written already: the whole write must not stand
		return Imported{}, err
	}
	return i.count, w.record(fleet.ActImported, fleet.OfFleet, "", slices.Sorted(maps.Keys(i.sleds)), nil, map[string]int{
		"sleds": i.count.Sleds, "readings": i.count.Readings, "classes": i.count.Classes, "shows": i.count.Shows,
	})
}

// importer takes a document in, thing by thing, and remembers what later things may refer to.
type importer struct {
	w        *Writer
	faults   fleet.Faults
	count    Imported
	sleds    map[string]store.Timeline // changes as far as they have come
	gears    map[string]string         // the sled of each gear's id
	readings map[string]string         // the sled of each reading's id
	classes  map[string]bool
	shows    map[string]bool
	others   map[string]bool // ids of changes and of what was run
	ready    []fleet.Reading // to be stored
	entries  []fleet.Entry   // likewise
}

func (i *importer) take(section, at string, thing json.RawMessage) error {
	if section != sectionReadings { // what follows may refer to any of them
		if err := i.flushReadings(); err != nil {
			return err
		}
	}
	switch section {
	case sectionSleds:
		return i.sled(at, thing)
	case sectionChanges:
		return i.change(at, thing)
	case sectionReadings:
		return i.reading(at, thing)
	case sectionClasses:
		return i.class(at, thing)
	case sectionShows:
		return i.show(at, thing)
	}
	return i.entry(at, thing)
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
	for _, f := range faultsOf(found) {
		i.faults.Add(at+"."+f.At, "%s", f.Detail)
	}
}

// Ids that are read in links are slugs; the others are letters and digits.
const (
	mostSlug = 160
	mostID   = 40
)

func (i *importer) slug(at, id string, taken bool) {
	switch {
	case id == "" || utf8.RuneCountInString(id) > mostSlug || fleet.Slug(id) != id:
		i.faults.Add(at+".id", "must be small letters, digits and single hyphens, up to %d, not %q", mostSlug, shorten(id))
	case taken:
		i.faults.Add(at+".id", "%q is in the document already", id)
	}
}

func (i *importer) id(at, id string, taken bool) {
	odd := func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-') }
	switch {
	case id == "" || len(id) > mostID || slices.ContainsFunc([]rune(id), odd):
		i.faults.Add(at+".id", "must be letters and digits, up to %d, not %q", mostID, shorten(id))
	case taken:
		i.faults.Add(at+".id", "%q is in the document already", id)
	}
}

func (i *importer) moment(at, field string, t time.Time) time.Time {
	if t.Year() < 1970 || t.Year() > 9999 {
		i.faults.Add(at+"."+field, "must be a time since 1970, not %s", t.Format(time.RFC3339))
	}
	return t.UTC().Truncate(time.Microsecond)
}

func (i *importer) sled(at string, thing json.RawMessage) error {
	s, ok := into[fleet.Sled](&i.faults, at, thing)
	if !ok {
		return nil
	}
	s.Tidy()
	i.note(at, s.Check())
	_, taken := i.sleds[s.ID]
	i.slug(at, s.ID, taken)
	for n, g := range s.Gears {
		_, taken := i.gears[g.ID]
		i.id(fmt.Sprintf("%s.gears[%d]", at, n), g.ID, taken)
		i.gears[g.ID] = s.ID
	}
	i.revision(at, s.Revision)
	s.CreatedAt, s.UpdatedAt = i.moment(at, "created_at", s.CreatedAt), i.moment(at, "updated_at", s.UpdatedAt)
	i.sleds[s.ID] = store.Timeline{Base: s}
	i.count.Sleds++
	return i.store(func() error { return i.w.tx.AddSled(s) })
}

func (i *importer) revision(at string, revision int64) {
	if revision < 1 {
		i.faults.Add(at+".revision", "must be 1 or more, not %d", revision)
	}
}

// of finds the sled that a thing is about.
func (i *importer) of(at, sled string) (store.Timeline, bool) {
	t, ok := i.sleds[sled]
	if !ok {
		i.faults.Add(at+".sled", "there is no sled %q in the document", shorten(sled))
	}
	return t, ok
}

// label is what a gear of a sled is called. Gears are told apart by their ids.
func (i *importer) label(at string, sled fleet.Sled, gearID string) string {
	for _, g := range sled.Gears {
		if g.ID == gearID {
			return g.Label
		}
	}
	i.faults.Add(at+".gear_id", "%s has no gear with the id %q", sled.Name, shorten(gearID))
	return ""
}

func (i *importer) change(at string, thing json.RawMessage) error {
	c, ok := into[fleet.Change](&i.faults, at, thing)
	if !ok {
		return nil
	}
	i.id(at, c.ID, i.others[c.ID])
	i.others[c.ID] = true
	c.CreatedAt = i.moment(at, "created_at", c.CreatedAt)
	t, ok := i.of(at, c.Sled)
	if !ok {
		return nil
	}
	for n := range c.Gears {
		c.Gears[n].Label = i.label(fmt.Sprintf("%s.gears[%d]", at, n), t.Base, c.Gears[n].ID)
	}
	c.Tidy()
	i.note(at, c.CheckOn(t.Base, i.w.now))
	i.sleds[c.Sled], _ = inserted(t, c)
	return i.store(func() error { return i.w.tx.AddChange(c) })
}

func (i *importer) reading(at string, thing json.RawMessage) error {
	r, ok := into[fleet.Reading](&i.faults, at, thing)
	if !ok {
		return nil
	}
	_, taken := i.readings[r.ID]
	i.id(at, r.ID, taken)
	if r.Replaces != "" && i.readings[r.Replaces] != r.Sled {
		i.faults.Add(at+".replaces", "there is no reading %q of this sled before it", shorten(r.Replaces))
	}
	i.readings[r.ID] = r.Sled
	r.CreatedAt = i.moment(at, "created_at", r.CreatedAt)
	if a := r.SetAside; a != nil {
		reason, err := tidyReason(a.Reason)
		if err != nil {
			i.faults.Add(at+".set_aside.reason", "must be a few words, up to %d characters", fleet.MaxReasonLength)
		}
		r.SetAside = &fleet.SetAside{Reason: reason, At: i.moment(at, "set_aside.at", a.At)}
	}
	t, ok := i.of(at, r.Sled)
	if !ok {
		return nil
	}
	r.Gear = i.label(at, t.Base, r.GearID)
	r.Tidy()
	if r.SetAside != nil { // it need not go with the sled as it was noted later
		i.note(at, r.Check(i.w.now))
	} else {
		i.note(at, r.CheckOn(t.Until(r.MeasuredOn).Today(), i.w.now))
	}
	i.count.Readings++
	i.ready = append(i.ready, r)
	if len(i.ready) == batch {
		return i.flushReadings()
	}
	return nil
}

func (i *importer) flushReadings() error {
	if len(i.ready) == 0 {
		return nil
	}
	ready := i.ready
	i.ready = i.ready[:0]
	return i.store(func() error { return i.w.tx.AddReadings(ready) })
}

func (i *importer) class(at string, thing json.RawMessage) error {
	c, ok := into[fleet.Class](&i.faults, at, thing)
	if !ok {
		return nil
	}
	i.slug(at, c.ID, i.classes[c.ID])
	i.classes[c.ID] = true
	i.revision(at, c.Revision)
	c.CreatedAt, c.UpdatedAt = i.moment(at, "created_at", c.CreatedAt), i.moment(at, "updated_at", c.UpdatedAt)
	c.Tidy()
	i.note(at, c.Check())
	i.setting(at+".setting", &c.Setting)
	if c.PullOff != nil {
		i.setting(at+".pull_off", c.PullOff)
	}
	i.count.Classes++
	return i.store(func() error { return i.w.tx.AddClass(c) })
}

// setting checks a class's setting with what it stood for. A start position is checked against no travel: that may have changed
// since.
func (i *importer) setting(at string, s *fleet.HomeSetting) {
	if (s.TopOutFt == nil) != (s.PlusMinusFt == nil) {
		i.faults.Add(at+".plus_minus_ft", "goes with top_out_ft, and that with it")
	}
	if _, err := time.Parse(time.DateOnly, s.NotedOn); err != nil {
		i.faults.Add(at+".noted_on", "must be a date like 2026-05-09, not %q", shorten(s.NotedOn))
	}
	t, ok := i.of(at, s.Sled)
	if !ok {
		return
	}
	s.Gear = i.label(at, t.Base, s.GearID)
	i.startOn(at, s.StartFt)
}

func (i *importer) startOn(at string, startFt float64) {
	if !(startFt >= 0 && startFt <= fleet.MaxTravelFt) {
		i.faults.Add(at+".start_ft", "the start position must be 0 to %d ft, not %g", fleet.MaxTravelFt, startFt)
	}
}

func (i *importer) show(at string, thing json.RawMessage) error {
	s, ok := into[archivedShow](&i.faults, at, thing)
	if !ok {
		return nil
	}
	i.slug(at, s.ID, i.shows[s.ID])
	i.shows[s.ID] = true
	i.revision(at, s.Revision)
	s.CreatedAt, s.UpdatedAt = i.moment(at, "created_at", s.CreatedAt), i.moment(at, "updated_at", s.UpdatedAt)
	s.Tidy()
	i.note(at, s.Check())
	i.of(at, s.Sled)
	for n, class := range s.Classes {
		if !i.classes[class] {
			i.faults.Add(fmt.Sprintf("%s.classes[%d]", at, n), "there is no class %q in the document", shorten(class))
		}
	}
	for n := range s.AsRun {
		i.asRun(fmt.Sprintf("%s.as_run[%d]", at, n), s.Show, &s.AsRun[n])
	}
	for _, class := range slices.Sorted(maps.Keys(s.Outcomes)) {
		where := fmt.Sprintf("%s.outcomes.%s", at, shorten(class))
		o := s.Outcomes[class]
		o.Tidy()
		i.note(where, o.Check())
		i.listed(where, s.Show, class)
		s.Outcomes[class] = o
	}
	i.sheet(at, s)
	i.count.Shows++
	return i.store(func() error { return i.w.addArchived(s) })
}

func (i *importer) listed(at string, s fleet.Show, class string) {
	if !slices.Contains(s.Classes, class) {
		i.faults.Add(at, "%s does not list class %q", s.Name, shorten(class))
	}
}

func (i *importer) asRun(at string, s fleet.Show, a *fleet.AsRun) {
	i.id(at, a.ID, i.others[a.ID])
	i.others[a.ID] = true
	a.CreatedAt = i.moment(at, "created_at", a.CreatedAt)
	if a.Show != s.ID {
		i.faults.Add(at+".show", "must be the show it stands in, %q", s.ID)
	}
	i.listed(at+".class", s, a.Class)
	t, ok := i.of(at, a.Sled)
	if !ok {
		return
	}
	a.Gear = i.label(at, t.Base, a.GearID)
	a.Tidy()
	on := t.Base
	on.TravelFt = nil // it may have changed since
	i.note(at, a.CheckOn(on))
}

// sheet checks that a kept sheet can be read, and that it goes with a show that is not open.
func (i *importer) sheet(at string, s archivedShow) {
	if s.Sheet == nil {
		return
	}
	if s.Reopened {
		i.faults.Add(at+".reopened", "a show that was opened again keeps no sheet")
	}
	if _, _, err := thaw(s.Sheet.stored()); err != nil {
		i.faults.Add(at+".sheet", "cannot be read as a kept sheet: %s", shorten(err.Error()))
	}
}

func (s archivedSheet) stored() store.Sheet { return store.Sheet{Format: s.Format, Document: string(s.Document)} }

// addArchived stores a show with all that is noted of it.
func (w *Writer) addArchived(s archivedShow) error {
	if err := w.tx.AddShow(store.Show{Show: s.Show, Reopened: s.Reopened}); err != nil {
		return err
	}
	for _, a := range s.AsRun {
		if err := w.tx.AddAsRun(a); err != nil {
			return err
		}
	}
	for class, o := range s.Outcomes {
		if err := w.tx.PutOutcome(store.Entry{Show: s.ID, Class: class}, o); err != nil {
			return err
		}
	}
	if s.Sheet == nil {
		return nil
	}
	return w.tx.KeepSheet(s.ID, s.Sheet.stored())
}

// entry takes an entry of the history in. Of keys there is nothing in a document, so that nothing can be said of them either.
func (i *importer) entry(at string, thing json.RawMessage) error {
	e, ok := into[fleet.Entry](&i.faults, at, thing)
	if !ok {
		return nil
	}
	e.At = i.moment(at, "at", e.At)
	if e.At.After(i.w.now.AddDate(0, 0, 1)) {
		i.faults.Add(at+".at", "lies ahead")
	}
	switch e.Role {
	case fleet.Manager, fleet.Operator, fleet.Promoter:
	default:
		i.faults.Add(at+".role", "must be manager, operator or promoter, not %q", shorten(string(e.Role)))
	}
	if slices.Contains(notExported(), e.Kind) {
		i.faults.Add(at+".kind", "the history of a %s stays where it is", e.Kind)
	}
	for _, text := range []struct{ field, value string }{{"key", e.KeyID}, {"who", e.Who}, {"act", e.Act}, {"kind", e.Kind}, {"subject", e.Subject}} {
		if utf8.RuneCountInString(text.value) > 2*mostSlug || slices.Contains([]byte(text.value), 0) {
			i.faults.Add(at+"."+text.field, "must be text of up to %d characters", 2*mostSlug)
		}
	}
	i.entries = append(i.entries, e)
	if len(i.entries) == batch {
		return i.flush()
	}
	return nil
}

// flush stores what is still held.
func (i *importer) flush() error {
	if err := i.flushReadings(); err != nil {
		return err
	}
	entries := i.entries
	i.entries = i.entries[:0]
	if len(entries) == 0 {
		return nil
	}
	return i.store(func() error { return i.w.tx.Record(entries...) })
}
