package book

import (
	"context"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"

	"evenpull/internal/archive"
	"evenpull/internal/fleet"
)

// TakenIn is what a document of another crew's sled changes here.
type TakenIn struct {
	Sled         fleet.Sled // as it is then
	New          bool       // it was not here before
	Corrected    bool       // its own document reads differently
	Readings     int        // that are new
	Mended       int        // readings that were here and read differently, set aside by the owner or not
	StillAside   int        // readings that were set aside here and stay so
	Changes      int        // of parts: new, different or gone
	Weighings    int        // that are new or read differently
	marked       bool       // its mark differs: the date, how repeatable its crew measures
	replaced     fleet.Timeline
	next         fleet.Timeline
	changed      []changedPart
	addReadings  []fleet.Reading
	putReadings  [][2]fleet.Reading // as they were and as they are to be
	addWeighings []fleet.Weighing
	putWeighings [][2]fleet.Weighing
}

// GivenSled is a document of another crew's sled that was read and keeps to the rules.
type GivenSled = archive.SledDocument

// ReadSled reads a document of another crew's sled. One that cannot be read is Unreadable, one that breaks a rule
// Invalid. It is read before a turn to write: however long a stranger's document is, nobody waits for it.
func (b *Book) ReadSled(document io.Reader) (GivenSled, error) {
	return archive.ImportSled(document, b.timestamp())
}

// CheckSled says what taking a document in would change, and writes nothing. Its errors are those of TakeSled.
func (b *Book) CheckSled(ctx context.Context, d GivenSled, as string) (TakenIn, error) {
	return readAsWriter(ctx, b, func(w *Writer) (TakenIn, error) { return w.planGuest(d, as) })
}

// TakeSled takes in a document of another crew's sled, as a guest: a new one, under the name as where one is given, or
// what is new of one that is here. What was set aside here stays so. A name that breaks a rule is Invalid. It is a
// Conflict where the name is taken, with the code NameTaken; where the sled is one's own; where a newer document of it
// is here; and where it lacks a gear that is in use here.
func (w *Writer) TakeSled(d GivenSled, as string) (TakenIn, error) {
	in, err := w.planGuest(d, as)
	if err != nil {
		return TakenIn{}, err
	}
	if err := w.storeGuest(&in); err != nil {
		w.failed = err // part of it may be written: the whole write is rolled back
		return TakenIn{}, err
	}
	return in, nil
}

// planGuest works out what a document changes.
func (w *Writer) planGuest(d GivenSled, as string) (TakenIn, error) {
	id, err := w.sledOfDocument(d)
	if err != nil {
		return TakenIn{}, err
	}
	if id == "" {
		return w.planNewGuest(d, as)
	}
	return w.planKnownGuest(d, id)
}

// sledOfDocument is the id of the guest here that a document is of, told by the ids of its gears; "" where it is not
// here yet. It is a Conflict where parts of it are here under another sled.
func (w *Writer) sledOfDocument(d GivenSled) (string, error) {
	gears := mapSlice(d.Timeline.Base.Gears, func(g fleet.Gear) string { return g.ID })
	known, err := w.tx.SledsOfGears(gears)
	if err != nil {
		return "", err
	}
	sleds := known
	for _, of := range []struct {
		find func([]string) ([]string, error)
		ids  []string
	}{
		{w.tx.SledsOfChanges, mapSlice(d.Timeline.Changes, func(c fleet.Change) string { return c.ID })},
		{w.tx.SledsOfReadings, mapSlice(d.Readings, func(r fleet.Reading) string { return r.ID })},
		{w.tx.SledsOfWeighings, mapSlice(d.Weighings, func(g fleet.Weighing) string { return g.ID })},
	} {
		more, err := of.find(of.ids)
		if err != nil {
			return "", err
		}
		sleds = append(sleds, more...)
	}
	slices.Sort(sleds)
	switch sleds = slices.Compact(sleds); {
	case len(sleds) == 0:
		return "", nil
	case len(sleds) > 1:
		return "", fleet.Errorf(fleet.Conflict, "parts of this document are here already as parts of several sleds, "+
			"%s: ask its owner for a whole document", strings.Join(sleds, ", "))
	case len(known) == 0:
		return "", fleet.Errorf(fleet.Conflict, "parts of this document are here already as parts of %s, "+
			"which is another sled: ask its owner for a whole document", sleds[0])
	}
	return sleds[0], nil
}

func (w *Writer) planNewGuest(d GivenSled, as string) (TakenIn, error) {
	s := d.Timeline.Base
	if as != "" {
		s.Name = as
		s.Tidy()
		if err := fleet.CheckName(s.Name).Err(); err != nil {
			return TakenIn{}, err
		}
	}
	id := fleet.Slug(s.Name)
	taken, err := w.tx.Sled(id)
	switch {
	case err == nil:
		var asked fleet.Questions
		asked.Ask(fleet.NameTaken, 0, "name", fmt.Sprintf("there is a sled %q (%s) here: say under which other name "+
			"this one is to be taken in", id, taken.Name))
		return TakenIn{}, asked.Err()
	case !isKind(err, fleet.NotFound):
		return TakenIn{}, err
	}
	s.ID, s.Retired, s.Revision, s.CreatedAt, s.UpdatedAt = id, false, 1, w.now, w.now
	in := TakenIn{New: true, next: asGuest(d, s), addReadings: d.Readings, addWeighings: d.Weighings}
	in.count(id)
	return in, nil
}

// asGuest is the timeline of a document as that of the guest s.
func asGuest(d GivenSled, s fleet.Sled) fleet.Timeline {
	s.Guest, s.Owner = &d.Guest, d.Guest.Owner
	t := fleet.Timeline{Base: s, Changes: slices.Clone(d.Timeline.Changes)}
	for i := range t.Changes {
		t.Changes[i].Sled = s.ID
	}
	return t
}

// count gives what is to be stored its sled, and counts it.
func (in *TakenIn) count(sled string) {
	for i := range in.addReadings {
		in.addReadings[i].Sled = sled
	}
	for i := range in.addWeighings {
		in.addWeighings[i].Sled = sled
	}
	in.Readings, in.Mended = len(in.addReadings), len(in.putReadings)
	in.Weighings = len(in.addWeighings) + len(in.putWeighings)
	in.changed = changedParts(in.replaced, in.next)
	in.Changes = len(in.changed)
	in.Sled = in.next.Today()
	in.Sled.Readings += in.Readings
	in.Sled.Weighings += len(in.addWeighings)
}

func (w *Writer) planKnownGuest(d GivenSled, id string) (TakenIn, error) {
	old, err := w.tx.Timeline(id)
	if err != nil {
		return TakenIn{}, err
	}
	was := old.Base
	switch {
	case was.Guest == nil:
		return TakenIn{}, fleet.Errorf(fleet.Conflict, "%s is no guest here but this crew's own: it stays as it is",
			was.Name)
	case d.Guest.AsOf.Before(was.Guest.AsOf):
		return TakenIn{}, fleet.Errorf(fleet.Conflict,
			"this document of %s is of %s, and the one that is here is newer, of %s", was.Name,
			d.Guest.AsOf.Format("2006-01-02 15:04"), was.Guest.AsOf.Format("2006-01-02 15:04"))
	}
	s := d.Timeline.Base
	s.ID, s.Name, s.Retired, s.Revision = was.ID, was.Name, was.Retired, was.Revision
	s.CreatedAt, s.UpdatedAt, s.Readings, s.Weighings = was.CreatedAt, was.UpdatedAt, was.Readings, was.Weighings
	in := TakenIn{replaced: old, next: asGuest(d, s)}
	gone := slices.DeleteFunc(slices.Clone(was.Gears), func(g fleet.Gear) bool { return hasGear(s.Gears, g.ID) })
	uses, err := w.usesOfGears(fleet.Timeline{Base: old.Base}, gone) // its changes go with the document
	if err == nil && uses != "" {
		err = fleet.Errorf(fleet.Conflict, "this document of %s lacks a gear that is in use here: %s; "+
			"ask its owner for one that has it", was.Name, uses)
	}
	if err != nil {
		return TakenIn{}, err
	}
	in.marked = !reflect.DeepEqual(in.next.Base.Guest, was.Guest)
	was.Guest = in.next.Base.Guest
	in.Corrected = !reflect.DeepEqual(in.next.Base, was)
	if err := in.planReadings(w, d.Readings); err != nil {
		return TakenIn{}, err
	}
	if err := in.planWeighings(w, d.Weighings); err != nil {
		return TakenIn{}, err
	}
	in.count(id)
	return in, nil
}

func (in *TakenIn) planReadings(w *Writer, given []fleet.Reading) error {
	all, err := w.tx.AllReadings(in.next.Base.ID)
	if err != nil {
		return err
	}
	here := map[string]fleet.Reading{}
	for _, r := range all {
		here[r.ID] = r
		if r.FromOwner && r.SetAsideHere() {
			in.StillAside++
		}
	}
	for _, r := range given {
		old, known := here[r.ID]
		if !known {
			in.addReadings = append(in.addReadings, r)
			continue
		}
		if !old.FromOwner {
			return fleet.Errorf(fleet.Conflict, "reading %s of this document is here already as one that this crew "+
				"took itself: ask its owner for a whole document", r.ID)
		}
		r.Sled = old.Sled
		if old.SetAsideHere() {
			r.SetAside = old.SetAside
		}
		labeled := r
		labeled.Gear = old.Gear
		if !reflect.DeepEqual(labeled, old) {
			in.putReadings = append(in.putReadings, [2]fleet.Reading{old, r})
		}
	}
	return nil
}

func (in *TakenIn) planWeighings(w *Writer, given []fleet.Weighing) error {
	all, err := w.tx.AllWeighings(in.next.Base.ID)
	if err != nil {
		return err
	}
	here := map[string]fleet.Weighing{}
	for _, g := range all {
		here[g.ID] = g
	}
	for _, g := range given {
		old, known := here[g.ID]
		g.Sled = in.next.Base.ID
		if old.SetAsideHere() {
			g.SetAside = old.SetAside
		}
		switch {
		case !known:
			in.addWeighings = append(in.addWeighings, g)
		case !reflect.DeepEqual(g, old):
			in.putWeighings = append(in.putWeighings, [2]fleet.Weighing{old, g})
		}
	}
	return nil
}

// changedPart is a change of parts as it was and as it is; before is nil where it is new, after where it is gone.
type changedPart struct {
	act           string
	of            *fleet.Change // that is stored, or gone
	before, after any
}

func changedParts(old, next fleet.Timeline) (out []changedPart) {
	for i, c := range old.Changes {
		place := indexOfChange(next, c.ID)
		if place < 0 {
			out = append(out, changedPart{fleet.ActRemoved, &old.Changes[i], c, nil})
			continue
		}
		is := next.Changes[place]
		is.Gears = slices.Clone(is.Gears)
		for n, g := range is.Gears { // labels are those of today
			if k := indexOfGear(c.Gears, g.ID); k >= 0 {
				is.Gears[n].Label = c.Gears[k].Label
			}
		}
		if !reflect.DeepEqual(is, c) {
			out = append(out, changedPart{fleet.ActChanged, &next.Changes[place], c, next.Changes[place]})
		}
	}
	for i, c := range next.Changes {
		if indexOfChange(old, c.ID) < 0 {
			out = append(out, changedPart{fleet.ActAdded, &next.Changes[i], nil, c})
		}
	}
	return out
}

// changes says whether there is anything to store.
func (in TakenIn) changes() bool {
	return in.New || in.marked || in.Corrected || in.Readings+in.Mended+in.Changes+in.Weighings > 0
}

// storeGuest stores what was planned, with its entries in the history.
func (w *Writer) storeGuest(in *TakenIn) error {
	if !in.changes() {
		return nil
	}
	id, about := in.next.Base.ID, []string{in.next.Base.ID}
	if in.New {
		if err := w.tx.AddSled(in.next.Base); err != nil {
			return err
		}
	} else {
		in.next.Base.Revision++
		in.next.Base.UpdatedAt = w.now
		if err := w.tx.ReplaceSled(in.next.Base); err != nil {
			return err
		}
	}
	for _, c := range in.changed {
		if err := w.storeChangedPart(id, c); err != nil {
			return err
		}
	}
	if err := w.recordGuest(in, about); err != nil {
		return err
	}
	for _, c := range in.changed {
		if err := w.record(c.act, fleet.OfChange, c.of.ID, about, c.before, c.after); err != nil {
			return err
		}
	}
	return w.storeGuestNotes(in, about)
}

func (w *Writer) storeChangedPart(sled string, c changedPart) error {
	switch c.act {
	case fleet.ActRemoved:
		return w.tx.DeleteChange(sled, c.of.ID)
	case fleet.ActAdded:
		return w.tx.AddChange(*c.of)
	}
	return w.tx.ReplaceChange(*c.of)
}

func (w *Writer) recordGuest(in *TakenIn, about []string) error {
	stored, err := w.tx.Timeline(in.next.Base.ID)
	if err != nil {
		return err
	}
	in.Sled = stored.Today()
	in.Sled.Readings += in.Readings
	in.Sled.Weighings += len(in.addWeighings)
	if in.New {
		return w.record(fleet.ActAdded, fleet.OfSled, in.Sled.ID, about, nil, stored.Today())
	}
	return w.record(fleet.ActChanged, fleet.OfSled, in.Sled.ID, about, in.replaced.Today(), stored.Today())
}

// storeGuestNotes stores readings and weighings.
func (w *Writer) storeGuestNotes(in *TakenIn, about []string) error {
	for some := range slices.Chunk(in.addReadings, batchSize) {
		if err := w.tx.AddReadings(some); err != nil {
			return err
		}
	}
	for _, r := range in.putReadings {
		if err := w.tx.ReplaceReading(r[1]); err != nil {
			return err
		}
		if err := w.recordReading(fleet.ActChanged, r[0], r[1]); err != nil {
			return err
		}
	}
	for some := range slices.Chunk(in.addWeighings, batchSize) {
		if err := w.tx.AddWeighings(some); err != nil {
			return err
		}
	}
	for _, g := range in.putWeighings {
		if err := w.tx.ReplaceWeighing(g[1]); err != nil {
			return err
		}
		if err := w.record(fleet.ActChanged, fleet.OfWeighing, g[1].ID, about, g[0], g[1]); err != nil {
			return err
		}
	}
	for _, many := range []struct {
		kind string
		rows int
	}{{fleet.OfReadings, in.Readings}, {fleet.OfWeighings, len(in.addWeighings)}} {
		if many.rows == 0 {
			continue
		}
		entry := bulkEntry{Rows: many.rows, Sleds: map[string]int{about[0]: many.rows}}
		if err := w.record(fleet.ActAdded, many.kind, "", about, nil, entry); err != nil {
			return err
		}
	}
	return nil
}
