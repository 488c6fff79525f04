package book

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"evenpull/internal/fleet"
)

// AddSled stores a new sled under an id made from its name and returns it as stored. It is Invalid with every fault
// there is, or a Conflict where the id is taken.
func (w *Writer) AddSled(s fleet.Sled) (fleet.Sled, error) {
	s.Gears = slices.Clone(s.Gears)
	s.Tidy()
	if err := s.Check().Err(); err != nil {
		return fleet.Sled{}, err
	}
	s.ID = fleet.Slug(s.Name)
	taken, err := w.tx.Sled(s.ID)
	if err := checkFree(err, "sled %q (%s)", s.ID, taken.Name); err != nil {
		return fleet.Sled{}, err
	}
	for i := range s.Gears {
		s.Gears[i].ID = w.b.newID()
	}
	s.Readings, s.Weighings, s.Revision, s.CreatedAt, s.UpdatedAt = 0, 0, 1, w.now, w.now
	if err := w.tx.AddSled(s); err != nil {
		return fleet.Sled{}, err
	}
	stored, err := w.tx.Sled(s.ID)
	if err != nil {
		return fleet.Sled{}, err
	}
	return s, w.record(fleet.ActAdded, fleet.OfSled, s.ID, []string{s.ID}, nil, stored)
}

// Correction is a sled's document as it should be. Was[i] is the label that Sled.Gears[i] has so far, "" when it is
// the same or the gear is new; Was may be shorter than the gears.
type Correction struct {
	Sled fleet.Sled
	Was  []string
}

// CorrectSled replaces a sled's document, as far as it was noted wrongly, and returns it as stored; no reading is
// carried by that. ifMatch checks the sled as it is; its error is returned unchanged. A gear keeps its readings under a
// new label; two may swap theirs. A sled that is not there is NotFound; a document that is wrong in itself or does not
// go with the readings is Invalid; a gear left out that has readings is a Conflict.
func (w *Writer) CorrectSled(id string, ifMatch func(fleet.Sled) error, c Correction) (fleet.Sled, error) {
	old, err := matching(w.tx.Timeline, id, func(t fleet.Timeline) error { return ifMatch(t.Today()) })
	if err != nil {
		return fleet.Sled{}, err
	}
	was, s := old.Today(), c.Sled
	s.Gears = slices.Clone(s.Gears)
	s.Tidy()
	if err := checkGuestCorrection(was, s, c.Was); err != nil {
		return fleet.Sled{}, err
	}
	s.Guest = was.Guest
	faults := s.Check()
	left := w.keepGears(faults, was.Gears, s.Gears, c.Was)
	s.ID, s.Readings, s.Weighings, s.Revision = was.ID, was.Readings, was.Weighings, was.Revision+1
	s.Invented, s.CreatedAt, s.UpdatedAt = was.Invented, was.CreatedAt, w.now
	next := correctTimeline(faults, old, s)
	if err := w.checkAgainstReadings(faults, next); err != nil {
		return fleet.Sled{}, err
	}
	if err := faults.Err(); err != nil {
		return fleet.Sled{}, err
	}
	uses, err := w.usesOfGears(old, left)
	if err == nil && uses != "" {
		err = fleet.Errorf(fleet.Conflict, "a gear with readings, classes, shows or changes cannot be left out: %s; "+
			"list it, under its new label if it has one (with \"was\")", uses)
	}
	if err != nil {
		return fleet.Sled{}, err
	}
	return s, w.storeCorrection(old, next)
}

// storeCorrection stores a sled and its changes as they should have been noted.
func (w *Writer) storeCorrection(old, next fleet.Timeline) error {
	var differ []int
	for i, change := range next.Changes {
		if !reflect.DeepEqual(change, old.Changes[i]) {
			differ = append(differ, i)
			if err := w.tx.ReplaceChange(change); err != nil {
				return err
			}
		}
	}
	stored, err := w.replaceSled(old, next.Base)
	if err != nil {
		return err
	}
	for _, i := range differ {
		c := stored.Changes[i]
		if err := w.record(fleet.ActChanged, fleet.OfChange, c.ID, []string{c.Sled}, old.Changes[i], c); err != nil {
			return err
		}
	}
	return nil
}

// replaceSled stores a sled, as it was before its first change, at its next revision, records that its document reads
// differently now, and returns it as stored.
func (w *Writer) replaceSled(old fleet.Timeline, s fleet.Sled) (stored fleet.Timeline, err error) {
	s.Revision, s.UpdatedAt = old.Base.Revision+1, w.now
	if err := w.tx.ReplaceSled(s); err != nil {
		return fleet.Timeline{}, err
	}
	if stored, err = w.tx.Timeline(old.Base.ID); err != nil {
		return fleet.Timeline{}, err
	}
	was, is := old.Today(), stored.Today()
	return stored, w.record(actOn(was, is), fleet.OfSled, is.ID, []string{is.ID}, was, is)
}

// keepGears gives each gear the id it had, or a new one, and returns the gears that are left out.
func (w *Writer) keepGears(f *fleet.Faults, old, gears []fleet.Gear, was []string) (left []fleet.Gear) {
	before, takenBy := fleet.Sled{Gears: old}, map[string]int{}
	keep := func(i int, label string) bool {
		g, _, ok := before.GearByLabel(label)
		if _, taken := takenBy[label]; !ok || taken {
			return false
		}
		gears[i].ID, takenBy[label] = g.ID, i
		return true
	}
	// Those with a new label choose first: the label they had is then free for another gear.
	for i := range min(len(gears), len(was)) {
		label := tidyLabel(was[i])
		if label == "" || keep(i, label) {
			continue
		}
		if first, taken := takenBy[label]; taken {
			f.Add(fmt.Sprintf("gears[%d].was", i), "gear %d was %q already; a gear can become only one", first+1, label)
		} else {
			f.Add(fmt.Sprintf("gears[%d].was", i), "the sled has no gear %q; it has %s",
				label, strings.Join(before.Labels(), ", "))
		}
	}
	for i := range gears {
		renamed := i < len(was) && tidyLabel(was[i]) != ""
		if !renamed && !keep(i, gears[i].Label) {
			gears[i].ID = w.b.newID()
		}
	}
	return slices.DeleteFunc(slices.Clone(old), func(g fleet.Gear) bool {
		_, taken := takenBy[g.Label]
		return taken
	})
}

// tidyLabel is the label of a gear as it is stored.
func tidyLabel(label string) string { return strings.TrimSpace(norm.NFC.String(label)) }

// checkAgainstReadings notes where the document does not go with readings that count. What is wrong already by itself
// is named once. A guest's owner has seen to the owner's readings, and those taken here count in no chart.
func (w *Writer) checkAgainstReadings(f *fleet.Faults, t fleet.Timeline) error {
	if t.Base.Guest != nil {
		return nil
	}
	wrong := map[string]bool{}
	for _, fault := range f.List() {
		wrong[fault.At] = true
	}
	if !wrong["travel_ft"] {
		if err := w.checkTravels(f, t); err != nil {
			return err
		}
	}
	if takeUp := t.Base.TakeUpFt; takeUp > 0 && !wrong["take_up_ft"] {
		n, err := w.tx.CountReadingsWithin(t.Base.ID, takeUp)
		if err != nil {
			return err
		}
		if n > 0 {
			f.Add("take_up_ft", "%s ended within %s, before the box would have moved; correct or set aside %s first",
				countReadings(n), fleet.FeetAndMeters(takeUp), pronoun(n))
		}
	}
	return nil
}

// usesOfGears says what holds gears that are to be dropped: readings, even those set aside, a class that is used to one
// or was run in it, a change of parts that names it. It is "" where nothing does.
func (w *Writer) usesOfGears(t fleet.Timeline, left []fleet.Gear) (string, error) {
	if len(left) == 0 {
		return "", nil
	}
	counts, errCounts := w.tx.CountReadingsByGear(t.Base.ID)
	classes, errClasses := w.tx.ClassesByGear(t.Base.ID)
	lines, errLines := w.tx.CountAsRunByGear(t.Base.ID)
	if err := cmp.Or(errCounts, errClasses, errLines); err != nil {
		return "", err
	}
	var uses []string
	for _, g := range left {
		if n := counts[g.ID]; n > 0 {
			uses = append(uses, fmt.Sprintf("gear %s has %s", g.Label, countReadings(n)))
		}
		if names := classes[g.ID]; len(names) > 0 {
			uses = append(uses,
				fmt.Sprintf("%s %s used to gear %s", strings.Join(names, ", "), isOrAre(len(names)), g.Label))
		}
		if lines[g.ID] > 0 {
			uses = append(uses, fmt.Sprintf("gear %s was run at a show", g.Label))
		}
		if c := lastChange(t.Changes, func(n noted) bool { return hasGear(n.gears, g.ID) }); c != nil {
			uses = append(uses, fmt.Sprintf("gear %s was changed on %s", g.Label, c.MadeOn))
		}
	}
	return strings.Join(uses, "; "), nil
}

// RemoveSled deletes a sled without readings, weighings, classes and shows, and retires one that has some. It returns
// the sled as it was, or as it is when retired. ifMatch is as for CorrectSled.
func (w *Writer) RemoveSled(id string, ifMatch func(fleet.Sled) error) (s fleet.Sled, retired bool, err error) {
	t, err := matching(w.tx.Timeline, id, func(t fleet.Timeline) error { return ifMatch(t.Today()) })
	if err != nil {
		return fleet.Sled{}, false, err
	}
	s = t.Today()
	used, err := w.tx.SledInUse(id)
	switch {
	case err != nil:
		return fleet.Sled{}, false, err
	case s.Readings == 0 && s.Weighings == 0 && !used:
		return s, false, w.deleteSled(t)
	case s.Retired:
		return s, true, nil
	}
	base := t.Base
	base.Retired = true
	stored, err := w.replaceSled(t, base)
	return stored.Today(), true, err
}

// deleteSled deletes a sled, and its changes and its inspection list with it.
func (w *Writer) deleteSled(t fleet.Timeline) error {
	id := t.Base.ID
	list, err := w.tx.InspectionList(id)
	if err != nil {
		return err
	}
	if err := w.tx.DeleteSled(id); err != nil {
		return err
	}
	for _, c := range t.Changes {
		if err := w.record(fleet.ActRemoved, fleet.OfChange, c.ID, []string{id}, c, nil); err != nil {
			return err
		}
	}
	if list.Revision > 0 {
		if err := w.record(fleet.ActRemoved, fleet.OfInspectionList, id, []string{id}, list, nil); err != nil {
			return err
		}
	}
	return w.record(fleet.ActRemoved, fleet.OfSled, id, []string{id}, t.Today(), nil)
}

func countReadings(n int) string {
	if n == 1 {
		return "1 reading"
	}
	return fmt.Sprintf("%d readings", n)
}

func isOrAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}
