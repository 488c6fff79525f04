package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Shows returns a part of the list of shows, newest date first, and the cursor of the next part, "" for the last. A
// wrong cursor is Invalid.
func (b *Book) Shows(ctx context.Context, after string, limit int) ([]fleet.Show, string, error) {
	stored, next, err := list(ctx, b, func(r *store.Reads) ([]store.Show, string, error) {
		return r.Shows(after, limit)
	})
	return mapSlice(stored, b.show), next, err
}

// Show returns a show, or NotFound.
func (b *Book) Show(ctx context.Context, id string) (fleet.Show, error) {
	stored, err := read(ctx, b, func(r *store.Reads) (store.Show, error) { return r.Show(id) })
	return b.show(stored), err
}

// AddShow stores a new show under an id made from its name and date and returns it as stored; one that is over keeps
// its sheet. It is Invalid with every fault there is, or a Conflict where the id is taken.
func (w *Writer) AddShow(s fleet.Show) (fleet.Show, error) {
	if err := w.prepareShow(&s, fleet.Show{}); err != nil {
		return fleet.Show{}, err
	}
	s.ID = fleet.Slug(s.Name + " " + s.Date)
	_, err := w.tx.Show(s.ID)
	if err := checkFree(err, "show %q on that day", s.ID); err != nil {
		return fleet.Show{}, err
	}
	s.Revision, s.CreatedAt, s.UpdatedAt = 1, w.now, w.now
	over := s.Over
	s.Over = false
	if err := w.tx.AddShow(store.Show{Show: s}); err != nil {
		return fleet.Show{}, err
	}
	return w.stored(s.ID, nil, over)
}

// ReplaceShow replaces a show and returns it as stored. Over true closes it with its sheet as it stands; false opens it
// again, past its date too, and deletes its closed sheet. ifMatch checks the show as it is; its error is returned
// unchanged. A show that is not there is NotFound; a document that is wrong is Invalid; a class that was run and is
// left out is a Conflict, and so is another sled or other classes while the show stays over.
func (w *Writer) ReplaceShow(id string, ifMatch func(fleet.Show) error, s fleet.Show) (fleet.Show, error) {
	old, err := matching(w.tx.Show, id, func(s store.Show) error { return ifMatch(w.b.show(s)) })
	if err != nil {
		return fleet.Show{}, err
	}
	before := w.b.show(old)
	if err := w.prepareShow(&s, before); err != nil {
		return fleet.Show{}, err
	}
	if before.Over && s.Over && (s.Sled != old.Sled || !slices.Equal(s.Classes, old.Classes)) {
		return fleet.Show{}, fleet.Errorf(fleet.Conflict,
			"%s is over and keeps the sheet it was run with: "+
				"to change its sled or its classes, open it again first (\"over\": false)", old.Name)
	}
	if err := w.checkDropped(before, s.Classes); err != nil {
		return fleet.Show{}, err
	}
	s.ID, s.Revision, s.CreatedAt, s.UpdatedAt = old.ID, old.Revision+1, old.CreatedAt, w.now
	if s.Replaces, err = w.inPlaceOf(s.Sled, old.Show); err != nil {
		return fleet.Show{}, err
	}
	closes := s.Over && !old.Over
	next := store.Show{Show: s, Reopened: !s.Over && w.b.isPast(s) && (before.Over || old.Reopened)}
	next.Over = s.Over && old.Over
	if old.Over && !s.Over {
		if err := w.recordClosedSheetGone(fleet.ActOpenedAgain, old.Show); err != nil {
			return fleet.Show{}, err
		}
		if err := w.tx.DeleteClosedSheet(id); err != nil {
			return fleet.Show{}, err
		}
	}
	if err := w.tx.ReplaceShow(next); err != nil {
		return fleet.Show{}, err
	}
	return w.stored(id, &old.Show, closes)
}

// inPlaceOf is the name of the sled that a show had booked before the one it books now: sheets that were printed for
// it are out of date. It is "" where there was none, or where it is the same again.
func (w *Writer) inPlaceOf(sled string, old fleet.Show) (string, error) {
	name := func(id string) (string, error) {
		if id == "" {
			return "", nil
		}
		s, err := w.tx.Sled(id)
		return s.Name, err
	}
	if sled == old.Sled {
		return old.Replaces, nil
	}
	before, err := name(old.Sled)
	if err != nil {
		return "", err
	}
	now, err := name(sled)
	before = cmp.Or(before, old.Replaces)
	if before == now {
		before = ""
	}
	return before, err
}

// stored records what became of a show, of old where there was one, closes it if it is to be, and returns it as it then
// is.
func (w *Writer) stored(id string, old *fleet.Show, closes bool) (fleet.Show, error) {
	s, err := w.tx.Show(id)
	if err != nil {
		return fleet.Show{}, err
	}
	if old == nil {
		err = w.record(fleet.ActAdded, fleet.OfShow, id, bookedBy(s.Show), nil, s.Show)
	} else {
		err = w.record(fleet.ActChanged, fleet.OfShow, id, bookedBy(*old, s.Show), *old, s.Show)
	}
	if err != nil {
		return fleet.Show{}, err
	}
	if closes {
		if err := w.closeShow(s.Show, w.who); err != nil {
			return fleet.Show{}, err
		}
		s.Over = true
	}
	return w.b.show(s), nil
}

// RemoveShow deletes a show. One of which something is noted as run, or how it went, or that a sled was inspected for,
// is a Conflict. ifMatch is as for ReplaceShow.
func (w *Writer) RemoveShow(id string, ifMatch func(fleet.Show) error) error {
	stored, err := matching(w.tx.Show, id, func(s store.Show) error { return ifMatch(w.b.show(s)) })
	if err != nil {
		return err
	}
	s := w.b.show(stored)
	if err := w.checkDropped(s, nil); err != nil {
		return err
	}
	if err := w.checkInspectedFor(s); err != nil {
		return err
	}
	if err := w.recordClosedSheetGone(fleet.ActRemoved, s); err != nil {
		return err
	}
	if err := w.tx.DeleteShow(id); err != nil {
		return err
	}
	return w.record(fleet.ActRemoved, fleet.OfShow, id, bookedBy(s), stored.Show, nil)
}

// bookedBy lists the sleds that shows have booked.
func bookedBy(shows ...fleet.Show) (sleds []string) {
	for _, s := range shows {
		if s.Sled != "" && !slices.Contains(sleds, s.Sled) {
			sleds = append(sleds, s.Sled)
		}
	}
	return sleds
}

// prepareShow tidies a show and finds all that is wrong with it. old is the show so far, empty for a new one: a sled
// that stays may be retired since, and a zone that is not given stays too; a new show gets the server's.
func (w *Writer) prepareShow(s *fleet.Show, old fleet.Show) error {
	s.Tidy()
	s.Zone = cmp.Or(s.Zone, old.Zone, w.b.zone.String())
	faults := s.Check()
	if s.Sled != "" {
		sled, err := w.tx.Sled(s.Sled)
		switch {
		case isKind(err, fleet.NotFound):
			faults.Add("sled", "there is no sled %q", s.Sled)
		case err != nil:
			return err
		case sled.Retired && s.Sled != old.Sled:
			faults.Add("sled", "%s is retired; bring it back first or book another sled", sled.Name)
		}
	}
	if len(s.Classes) > fleet.MaxClasses { // refused as it is
		return faults.Err()
	}
	known, err := w.tx.ClassesByID(s.Classes)
	if err != nil {
		return err
	}
	for i, id := range s.Classes {
		if _, ok := known[id]; !ok {
			faults.Add(fmt.Sprintf("classes[%d]", i), "there is no class %q", id)
		}
	}
	return faults.Err()
}

// checkDropped refuses to take classes off a show of which something is noted.
func (w *Writer) checkDropped(s fleet.Show, left []string) error {
	lines, errLines := w.tx.AsRun([]string{s.ID})
	outcomes, errOutcomes := w.tx.Outcomes([]string{s.ID})
	if err := cmp.Or(errLines, errOutcomes); err != nil {
		return err
	}
	var noted []string
	for _, id := range s.Classes {
		at := store.ShowClass{Show: s.ID, Class: id}
		if _, went := outcomes[at]; !slices.Contains(left, id) && (went || len(lines[at]) > 0) {
			noted = append(noted, id)
		}
	}
	if len(noted) == 0 {
		return nil
	}
	classes, err := w.tx.ClassesByID(noted)
	if err != nil {
		return err
	}
	names := mapSlice(noted, func(id string) string { return classes[id].Name })
	return fleet.Errorf(fleet.Conflict, "what was run at %s is noted for %s, and would be lost",
		s.Name, strings.Join(names, ", "))
}

// entry finds a show and one of its classes, or is NotFound.
func (w *Writer) entry(show, class string) (store.Show, error) {
	s, err := w.tx.Show(show)
	if err != nil {
		return store.Show{}, err
	}
	if !slices.Contains(s.Classes, class) {
		return store.Show{}, fleet.Errorf(fleet.NotFound, "class %q is not in the running order of %s", class, s.Name)
	}
	return s, nil
}
