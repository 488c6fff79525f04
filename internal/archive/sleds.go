package archive

import (
	"cmp"
	"fmt"
	"slices"

	"evenpull/internal/fleet"
)

func (i *importer) sled(at string, s fleet.Sled) error {
	s.Tidy()
	i.note(at, withoutRanges(s).Check())
	i.guest(at, s.Guest)
	_, taken := i.sleds[s.ID]
	i.slug(at, s.ID, mostSlug, taken)
	for n, g := range s.Gears[:min(len(s.Gears), fleet.MaxGears)] {
		where := fmt.Sprintf("%s.gears[%d]", at, n)
		_, taken := i.gears[g.ID]
		i.id(where, g.ID, taken)
		i.gears[g.ID] = s.ID
		i.line(where+".range", g.Range, fleet.MaxLabelLength)
	}
	i.revision(at, s.Revision)
	s.CreatedAt, s.UpdatedAt = i.moment(at, "created_at", s.CreatedAt), i.moment(at, "updated_at", s.UpdatedAt)
	if i.count.Sleds++; i.count.Sleds > mostSleds {
		return fleet.Errorf(fleet.Unreadable, "the document has more than %d sleds", mostSleds)
	}
	if i.one != nil && i.count.Sleds > 1 {
		return fleet.Errorf(fleet.Unreadable, "the document has more than one sled")
	}
	i.sleds[s.ID], i.doubtful[s.ID] = fleet.Timeline{Base: s}, i.found > i.before
	return i.store(func() error { return i.to.AddSled(s) })
}

// withoutRanges is a sled whose gears are in no range of its axle. A gear that was first noted when the axle had two
// speeds already is in a range that the axle lacked before that change.
func withoutRanges(s fleet.Sled) fleet.Sled {
	s.Gears = slices.Clone(s.Gears)
	for n := range s.Gears {
		s.Gears[n].Range = ""
	}
	return s
}

// line checks text on one line for which fleet has no check of its own.
func (i *importer) line(at, text string, most int) {
	i.note(at, fleet.CheckLine(text, 0, most))
}

// mostRevision leaves room to count on.
const mostRevision = 1 << 40

func (i *importer) revision(at string, revision int64) {
	if revision < 1 || revision > mostRevision {
		i.add(at+".revision", "must be 1 or more, not %d", revision)
	}
}

// of finds the sled that a thing is about.
func (i *importer) of(at, sled string) (fleet.Timeline, bool) {
	t, ok := i.sleds[sled]
	if !ok {
		i.add(at+".sled", "there is no sled %s in the document", fleet.Quoted(sled))
	}
	return t, ok
}

// label is what a gear of a sled is called. Gears are told apart by their ids; a label that is given has to be that
// one.
func (i *importer) label(at, idField, labelField string, sled fleet.Sled, id, given string) string {
	for _, g := range sled.Gears {
		if g.ID != id {
			continue
		}
		if given != "" && given != g.Label {
			i.add(at+"."+labelField, "the gear with the id %q is %s, not %s", id, g.Label, fleet.Quoted(given))
		}
		return g.Label
	}
	i.add(at+"."+idField, "%s has no gear with the id %s", sled.Name, fleet.Quoted(id))
	return ""
}

func (i *importer) change(at string, c fleet.Change) error {
	i.id(at, c.ID, i.others[c.ID])
	i.others[c.ID] = true
	c.CreatedAt = i.moment(at, "created_at", c.CreatedAt)
	t, ok := i.of(at, c.Sled)
	if !ok {
		return nil
	}
	if len(c.Gears) > len(t.Base.Gears) {
		i.add(at+".gears", "%s has %d gears, and the change names %d", t.Base.Name, len(t.Base.Gears), len(c.Gears))
		return nil
	}
	named := map[string]bool{}
	for n := range c.Gears {
		g := &c.Gears[n]
		where := fmt.Sprintf("%s.gears[%d]", at, n)
		if named[g.ID] {
			i.add(where+".id", "is named by this change already")
		}
		named[g.ID] = true
		i.line(where+".range", g.Range, fleet.MaxLabelLength)
		g.Label = i.label(where, "id", "label", t.Base, g.ID, g.Label)
		i.unread[where+".label"] = i.unread[where+".label"] || g.Label == "" // said of its id
	}
	c.Tidy()
	i.note(at, c.CheckOn(t.Base, i.now))
	if t.Changes = append(t.Changes, c); len(t.Changes) > mostChanges {
		return fleet.Errorf(fleet.Unreadable, "%s has more than %d changes of parts in the document", t.Base.Name,
			mostChanges)
	}
	i.sleds[c.Sled], i.doubtful[c.Sled] = t, i.doubtful[c.Sled] || i.found > i.before
	return i.store(func() error { return i.to.AddChange(c) })
}

// stages are a sled's parts over time.
type stages struct {
	sled string
	from []string // the dates of the changes
	are  []fleet.Sled
}

// on is a sled with the parts it had on a day.
func (i *importer) on(t fleet.Timeline, day string) fleet.Sled {
	if i.stages.sled != t.Base.ID {
		slices.SortFunc(t.Changes, fleet.CompareChanges)
		i.stages = stages{sled: t.Base.ID, are: t.Stages()}
		for _, c := range t.Changes {
			i.stages.from = append(i.stages.from, c.MadeOn)
		}
	}
	n, _ := slices.BinarySearch(i.stages.from, day+"\xff") // after all of that day
	return i.stages.are[n]
}

func (i *importer) reading(at string, r fleet.Reading) error {
	_, taken := i.readings[r.ID]
	i.id(at, r.ID, taken)
	t, known := i.of(at, r.Sled)
	r.Sled = cmp.Or(t.Base.ID, r.Sled) // one copy of it for all
	if r.Replaces != "" && i.readings[r.Replaces] != r.Sled {
		i.add(at+".replaces", "there is no reading %s of this sled before it", fleet.Quoted(r.Replaces))
	}
	i.readings[r.ID] = r.Sled
	if i.count.Readings++; i.one != nil && i.count.Readings > mostReadings {
		return fleet.Errorf(fleet.Unreadable, "the document has more than %d readings", mostReadings)
	}
	r.CreatedAt = i.moment(at, "created_at", r.CreatedAt)
	r.SetAside = i.aside(at, "set_aside", r.SetAside)
	if a := r.SetAside; a != nil && a.WithBatch && r.Batch == "" {
		i.add(at+".set_aside.with_batch", "goes with batch")
	}
	if r.ConfirmedAt != nil {
		confirmed := i.moment(at, "confirmed_at", *r.ConfirmedAt)
		r.ConfirmedAt = &confirmed
	}
	if r.Batch != "" {
		i.idAt(at+".batch", r.Batch)
	}
	i.fromOwner(at, &r, t)
	if !known {
		return nil
	}
	r.Gear = i.label(at, "gear_id", "gear", t.Base, r.GearID, r.Gear)
	i.unread[at+".gear"] = i.unread[at+".gear"] || r.Gear == "" // said of its id
	r.Tidy()
	// One that counts in no chart need not go with the sled as it was noted later.
	uncounted := r.SetAside != nil || t.Base.Guest != nil && !r.FromOwner
	if uncounted || i.doubtful[r.Sled] {
		i.note(at, r.Check(i.now))
	} else {
		i.note(at, r.CheckOn(i.on(t, r.MeasuredOn), i.now))
	}
	i.ready = append(i.ready, r)
	if len(i.ready) == batch {
		return i.flushReadings()
	}
	return nil
}
