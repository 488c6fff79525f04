package archive

import (
	"context"
	"io"
	"slices"
	"time"

	"evenpull/internal/fleet"
)

// sledFormat names how one sled is written as a document for another crew. As for format, a change that an older
// program cannot read needs a new number.
const sledFormat = "evenpull-sled-1"

// sectionGiven is the section of such a document that says whose the sled is: one fleet.Guest.
const sectionGiven = "given"

func sledLayout() layout {
	return layout{sledFormat, "a sled that another crew gave away", []string{sectionGiven, sectionSleds, sectionChanges,
		sectionReadings, sectionWeighings}}
}

// How much a document of one sled can bring: far more than anybody has noted of one. Assumptions of our own.
const (
	mostReadings  = 20_000
	mostWeighings = 5_000
)

// CheckSize is a Conflict where so much is noted of a sled that no crew could take it in.
func CheckSize(s fleet.Sled) error {
	for _, of := range []struct {
		what       string
		many, most int
	}{{"readings", s.Readings, mostReadings}, {"weighings", s.Weighings, mostWeighings}} {
		if of.many > of.most {
			return fleet.Errorf(fleet.Conflict, "%s has %d %s, those set aside included, and a document of one sled "+
				"holds up to %d: it can only go with the whole fleet", s.Name, of.many, of.what, of.most)
		}
	}
	return nil
}

// SledDocument is one sled for another crew: whose it is and of which moment, how repeatable its crew measures, and
// what is noted of it.
type SledDocument struct {
	Guest     fleet.Guest
	Timeline  fleet.Timeline
	Readings  []fleet.Reading  // in the order they were written
	Weighings []fleet.Weighing // likewise
}

// ExportSled writes one sled as a document. It holds nothing of shows, classes, keys and history, nor which readings
// came with one request. The same sled gives the same bytes.
func ExportSled(ctx context.Context, d SledDocument, out io.Writer) error {
	w := newWriter(ctx, out, sledFormat)
	w.section(sectionGiven)
	if err := w.put(d.Guest); err != nil {
		return err
	}
	w.section(sectionSleds)
	d.Timeline.Base.Guest = nil
	if err := w.sled(d.Timeline); err != nil {
		return err
	}
	w.section(sectionChanges)
	if err := w.changes(d.Timeline); err != nil {
		return err
	}
	w.section(sectionReadings)
	for _, r := range d.Readings {
		r.Batch, r.FromOwner, r.OwnerSetAside = "", false, nil
		if r.SetAside != nil {
			r.SetAside = &fleet.SetAside{Reason: r.SetAside.Reason, At: r.SetAside.At}
		}
		if err := w.put(r); err != nil {
			return err
		}
	}
	w.section(sectionWeighings)
	for _, g := range d.Weighings {
		g.OwnerSetAside = nil
		if err := w.put(g); err != nil {
			return err
		}
	}
	return w.end()
}

// ImportSled reads a document that ExportSled wrote, all of it or nothing: it comes from a stranger. It is Unreadable
// where the document is none, of another format or beyond the limits, and Invalid with every fault of everything in it.
func ImportSled(document io.Reader, now time.Time) (SledDocument, error) {
	d := new(heldSled)
	i := newImporter(d, now)
	i.one = &d.SledDocument
	if err := i.read(newReader(document, sledLayout())); err != nil {
		return SledDocument{}, err
	}
	if d.Guest.Owner == "" || i.count.Sleds == 0 {
		return SledDocument{}, fleet.Errorf(fleet.Unreadable,
			"the document must say whose the sled is (%q) and hold one sled (%q)", sectionGiven, sectionSleds)
	}
	slices.SortFunc(d.Timeline.Changes, fleet.CompareChanges)
	return d.SledDocument, nil
}

func (i *importer) given(at string, g fleet.Guest) error {
	if i.one.Guest.Owner != "" {
		return fleet.Errorf(fleet.Unreadable, "the document says twice whose the sled is")
	}
	g.Tidy()
	i.note(at, g.Check(i.now))
	i.one.Guest = g
	return nil
}

// guest checks the mark of a guest in a fleet. A crew gives its own sleds away only.
func (i *importer) guest(at string, g *fleet.Guest) {
	switch {
	case g == nil:
	case i.one != nil:
		i.add(at+".guest", "this sled was a guest of the crew that gave it away: only its owner can give it")
	default:
		g.Tidy()
		i.note(at+".guest", g.Check(i.now))
	}
}

// fromOwner checks what a reading of a guest has beside one of a sled of one's own.
func (i *importer) fromOwner(at string, r *fleet.Reading, t fleet.Timeline) {
	switch {
	case i.one != nil:
		if r.FromOwner || r.OwnerSetAside != nil || r.Batch != "" {
			i.add(at, "a sled that is given away has no from_owner, owner_set_aside and batch")
		}
		r.FromOwner, r.OwnerSetAside = true, r.SetAside
	case !r.FromOwner:
		if r.OwnerSetAside != nil {
			i.add(at+".owner_set_aside", "goes with from_owner")
		}
	case t.Base.ID != "" && t.Base.Guest == nil:
		i.add(at+".from_owner", "goes with the readings of a guest only")
	default:
		r.OwnerSetAside = i.ownersAside(at, r.OwnerSetAside, r.SetAside)
	}
}

// heldSled is a document of one sled that is read, in memory until all of it is found right. It has no more of a fleet
// than what can be in one: the reader knows no other section.
type heldSled struct {
	Fleet
	SledDocument
}

// AddSled holds the sled.
func (d *heldSled) AddSled(s fleet.Sled) error {
	d.Timeline.Base = s
	return nil
}

// AddChange holds a change of its parts.
func (d *heldSled) AddChange(c fleet.Change) error {
	d.Timeline.Changes = append(d.Timeline.Changes, c)
	return nil
}

// AddReadings holds some of its readings.
func (d *heldSled) AddReadings(r []fleet.Reading) error {
	d.Readings = append(d.Readings, r...)
	return nil
}

// AddWeighings holds some of its weighings.
func (d *heldSled) AddWeighings(w []fleet.Weighing) error {
	d.Weighings = append(d.Weighings, w...)
	return nil
}
