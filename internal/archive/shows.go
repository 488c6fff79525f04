package archive

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/strictjson"
)

func (i *importer) class(at string, c fleet.Class) error {
	i.slug(at, c.ID, mostSlug, i.classes[c.ID])
	i.classes[c.ID] = true
	i.revision(at, c.Revision)
	c.CreatedAt, c.UpdatedAt = i.moment(at, "created_at", c.CreatedAt), i.moment(at, "updated_at", c.UpdatedAt)
	c.Tidy()
	i.note(at, c.Check())
	i.setting(at+".setting", &c.Setting)
	if c.PullOff != nil {
		i.setting(at+".pull_off", c.PullOff)
	}
	if i.count.Classes++; i.count.Classes > mostClasses {
		return fleet.Errorf(fleet.Unreadable, "the document has more than %d classes", mostClasses)
	}
	return i.store(func() error { return i.to.AddClass(c) })
}

// setting checks a class's setting with what it stood for, or the distance in its place. A start position is checked
// against no travel: that may have changed since.
func (i *importer) setting(at string, s *fleet.HomeSetting) {
	if (s.TopOutFt == nil) != (s.PlusMinusFt == nil) {
		i.add(at+".plus_minus_ft", "goes with top_out_ft, and that with it")
	}
	if _, err := time.Parse(time.DateOnly, s.NotedOn); err != nil {
		i.add(at+".noted_on", "must be a date like 2026-05-09, not %s", fleet.Quoted(s.NotedOn))
	}
	if s.IsDistance() {
		for _, f := range s.CheckDistance(at).List() {
			i.add(f.At, "%s", f.Detail)
		}
		return
	}
	t, ok := i.of(at, s.Sled)
	if !ok {
		return
	}
	s.Gear = i.label(at, "gear_id", "gear", t.Base, s.GearID, s.Gear)
	var f fleet.Faults
	fleet.CheckStart(&f, "start_ft", s.StartFt, "", nil)
	i.note(at, &f)
}

func (i *importer) show(at string, s fleet.ShowRecord) error {
	i.slug(at, s.ID, mostShowSlug, i.shows[s.ID])
	i.shows[s.ID] = true
	i.revision(at, s.Revision)
	s.CreatedAt, s.UpdatedAt = i.moment(at, "created_at", s.CreatedAt), i.moment(at, "updated_at", s.UpdatedAt)
	s.Tidy()
	i.note(at, s.Check())
	if s.Sled != "" {
		i.of(at, s.Sled)
	}
	for n, class := range s.Classes {
		if !i.classes[class] {
			i.add(fmt.Sprintf("%s.classes[%d]", at, n), "there is no class %s in the document", fleet.Quoted(class))
		}
	}
	for n := range s.AsRun {
		i.asRun(fmt.Sprintf("%s.as_run[%d]", at, n), s.Show, &s.AsRun[n])
	}
	for _, class := range slices.Sorted(maps.Keys(s.Outcomes)) {
		where := fmt.Sprintf("%s.outcomes.%s", at, fleet.Shortened(class, 100))
		o := s.Outcomes[class]
		o.Tidy()
		i.note(where, o.Check())
		i.listed(where, s.Show, class)
		s.Outcomes[class] = o
	}
	i.closedSheet(at, s)
	if i.count.Shows++; i.count.Shows > mostShows {
		return fleet.Errorf(fleet.Unreadable, "the document has more than %d shows", mostShows)
	}
	return i.store(func() error { return i.to.AddShowRecord(s) })
}

func (i *importer) listed(at string, s fleet.Show, class string) {
	if !slices.Contains(s.Classes, class) {
		i.add(at, "%s does not list class %s", s.Name, fleet.Quoted(class))
	}
}

func (i *importer) asRun(at string, s fleet.Show, a *fleet.AsRun) {
	i.id(at, a.ID, i.others[a.ID])
	i.others[a.ID] = true
	a.CreatedAt = i.moment(at, "created_at", a.CreatedAt)
	if a.Show != s.ID {
		i.add(at+".show", "must be the show it stands in, %q", s.ID)
	}
	i.listed(at+".class", s, a.Class)
	t, ok := i.of(at, a.Sled)
	if !ok {
		return
	}
	a.Gear = i.label(at, "gear_id", "gear", t.Base, a.GearID, a.Gear)
	i.unread[at+".gear"] = i.unread[at+".gear"] || a.Gear == "" // said of its id
	a.Tidy()
	on := t.Base
	on.TravelFt = nil // it may have changed since
	i.note(at, a.CheckOn(on))
}

// closedSheet checks the closed closedSheet of a show.
func (i *importer) closedSheet(at string, s fleet.ShowRecord) {
	if s.ClosedSheet == nil {
		return
	}
	if s.Reopened {
		i.add(at+".reopened", "a show that was opened again keeps no sheet")
	}
	at += ".closed_sheet"
	classes, found := i.checkSheet(*s.ClosedSheet)
	i.note(at, found)
	if found.Any() {
		return
	}
	if !slices.Equal(classes, s.Classes) {
		i.add(at+".document.rows", "must be the classes of %s in their order", s.Name)
	}
	s.ClosedSheet.Document = i.document(at+".document", s.ClosedSheet.Document)
}

// entry takes an entry of the history in. Of keys there is nothing in a document, so that nothing can be said of them
// either.
func (i *importer) entry(at string, e fleet.Entry, size int) error {
	e.At = i.moment(at, "at", e.At)
	i.note(at, e.Check())
	if slices.Contains(notExported(), e.Kind) {
		i.add(at+".kind", "the history of a %s stays where it is", e.Kind)
	}
	i.line(at+".key", e.KeyID, mostID)
	i.line(at+".subject", e.Subject, mostShowSlug+1+mostSlug)
	for n, id := range e.Sleds {
		if !isSlug(id, mostSlug) || n > 0 && id <= e.Sleds[n-1] {
			i.add(fmt.Sprintf("%s.sleds[%d]", at, n), "must be the id of a sled, each once and in order, not %s",
				fleet.Quoted(id))
		}
	}
	e.Before, e.After = i.state(at+".before", e, e.Before), i.state(at+".after", e, e.After)
	i.entries = append(i.entries, e)
	if i.held += size; len(i.entries) == batch || i.held > mostThing {
		return i.flush()
	}
	return nil
}

// state is a state before or after in the history, which must be a document of its kind.
func (i *importer) state(at string, e fleet.Entry, text json.RawMessage) json.RawMessage {
	plain := i.document(at, text)
	switch of := e.Document(); {
	case len(plain) == 0:
	case plain[0] != '{':
		i.add(at, "must be an object")
	case of != nil:
		i.note(at, strictjson.Unmarshal(plain, of, "document"))
	}
	return plain
}

// document is JSON that the history or a closed sheet holds, as it is written here.
func (i *importer) document(at string, text json.RawMessage) json.RawMessage {
	if len(text) == 0 || string(text) == "null" {
		return nil
	}
	if strictjson.TooDeep(text) {
		i.add(at, "is nested too deeply")
		return nil
	}
	plain, err := json.Marshal(text)
	if err != nil { // it was read before
		i.add(at, "cannot be read")
	}
	return plain
}
