package book

import (
	"fmt"
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
	if taken, err := w.tx.Sled(s.ID); err == nil {
		return fleet.Sled{}, fleet.Errorf(fleet.Conflict, "there is already a sled %q (%s): give this one another name", s.ID, taken.Name)
	} else if !is(err, fleet.NotFound) {
		return fleet.Sled{}, err
	}
	for i := range s.Gears {
		s.Gears[i].ID = w.b.newID()
	}
	s.Readings, s.Revision, s.CreatedAt, s.UpdatedAt = 0, 1, w.now, w.now
	return s, w.tx.AddSled(s)
}

// Correction is a sled's document as it should be. Was[i] is the label that Sled.Gears[i] has so far, "" when it is
// the same or the gear is new; Was may be shorter than the gears.
type Correction struct {
	Sled fleet.Sled
	Was  []string
}

// CorrectSled replaces a sled's document and returns it as stored. ifMatch judges the sled as it is; its error is
// returned as it is. A gear keeps its readings under a new label; two may swap theirs. A sled that is not there is
// NotFound; a document that is wrong in itself or does not go with the readings is Invalid; a gear left out that
// has readings is a Conflict.
func (w *Writer) CorrectSled(id string, ifMatch func(fleet.Sled) error, c Correction) (fleet.Sled, error) {
	old, err := w.tx.Sled(id)
	if err != nil {
		return fleet.Sled{}, err
	}
	if err := ifMatch(old); err != nil {
		return fleet.Sled{}, err
	}
	s := c.Sled
	s.Gears = slices.Clone(s.Gears)
	s.Tidy()
	faults := s.Check()
	left := w.keepGears(faults, old.Gears, s.Gears, c.Was)
	if err := w.checkAgainstReadings(faults, id, s); err != nil {
		return fleet.Sled{}, err
	}
	if err := faults.Err(); err != nil {
		return fleet.Sled{}, err
	}
	if err := w.checkLeftOut(old, left); err != nil {
		return fleet.Sled{}, err
	}
	s.ID, s.Readings, s.Revision, s.CreatedAt, s.UpdatedAt = old.ID, old.Readings, old.Revision+1, old.CreatedAt, w.now
	return s, w.tx.ReplaceSled(s)
}

// keepGears gives each gear the id it had, or a new one, and returns the gears that are left out.
func (w *Writer) keepGears(f *fleet.Faults, old, gears []fleet.Gear, was []string) (left []fleet.Gear) {
	byLabel := make(map[string]fleet.Gear, len(old))
	for _, g := range old {
		byLabel[g.Label] = g
	}
	takenBy := map[string]int{}
	keep := func(i int, label string) bool {
		g, ok := byLabel[label]
		if _, taken := takenBy[label]; !ok || taken {
			return false
		}
		gears[i].ID, takenBy[label] = g.ID, i
		return true
	}
	// Those with a new label choose first: the label they had is then free for another gear.
	for i := range min(len(gears), len(was)) {
		label := strings.TrimSpace(norm.NFC.String(was[i]))
		if label == "" || keep(i, label) {
			continue
		}
		if first, taken := takenBy[label]; taken {
			f.Add(fmt.Sprintf("gears[%d].was", i), "gear %d was %q already; a gear can become only one", first+1, label)
		} else {
			f.Add(fmt.Sprintf("gears[%d].was", i), "the sled has no gear %q; it has %s", label, strings.Join(fleet.Sled{Gears: old}.Labels(), ", "))
		}
	}
	for i := range gears {
		renamed := i < len(was) && strings.TrimSpace(was[i]) != ""
		if !renamed && !keep(i, gears[i].Label) {
			gears[i].ID = w.b.newID()
		}
	}
	for _, g := range old {
		if _, taken := takenBy[g.Label]; !taken {
			left = append(left, g)
		}
	}
	return left
}

// checkAgainstReadings notes where the document does not go with readings that count. What is wrong already by itself
// is named once.
func (w *Writer) checkAgainstReadings(f *fleet.Faults, id string, s fleet.Sled) error {
	wrong := map[string]bool{}
	for _, fault := range faultsOf(f) {
		wrong[fault.At] = true
	}
	if s.TravelFt != nil && !wrong["travel_ft"] {
		n, err := w.tx.CountReadingsPast(id, *s.TravelFt)
		if err != nil {
			return err
		}
		if n > 0 {
			f.Add("travel_ft", "in %s the box stood at or past %g ft; correct or set aside %s first", some(n), *s.TravelFt, them(n))
		}
	}
	if s.TakeUpFt > 0 && !wrong["take_up_ft"] {
		n, err := w.tx.CountReadingsWithin(id, s.TakeUpFt)
		if err != nil {
			return err
		}
		if n > 0 {
			f.Add("take_up_ft", "%s ended within %g ft, before the box would have moved; correct or set aside %s first", some(n), s.TakeUpFt, them(n))
		}
	}
	return nil
}

// checkLeftOut refuses to drop gears that have readings, even those set aside, or that a class is used to or was run in.
func (w *Writer) checkLeftOut(s fleet.Sled, left []fleet.Gear) error {
	if len(left) == 0 {
		return nil
	}
	counts, err := w.tx.CountReadingsByGear(s.ID)
	if err != nil {
		return err
	}
	classes, err := w.tx.ClassesByGear(s.ID)
	if err != nil {
		return err
	}
	lines, err := w.tx.CountAsRunByGear(s.ID)
	if err != nil {
		return err
	}
	var kept []string
	for _, g := range left {
		if n := counts[g.ID]; n > 0 {
			kept = append(kept, fmt.Sprintf("gear %s has %s", g.Label, some(n)))
		}
		if names := classes[g.ID]; len(names) > 0 {
			kept = append(kept, fmt.Sprintf("%s %s used to gear %s", strings.Join(names, ", "), isOrAre(len(names)), g.Label))
		}
		if lines[g.ID] > 0 {
			kept = append(kept, fmt.Sprintf("gear %s was run at a show", g.Label))
		}
	}
	if len(kept) == 0 {
		return nil
	}
	return fleet.Errorf(fleet.Conflict, "a gear with readings, classes or shows cannot be left out: %s; list it, under its new label if it has one (with \"was\")",
		strings.Join(kept, "; "))
}

// RemoveSled deletes a sled without readings, classes and shows, and retires one that has some. It returns the sled as
// it was, or as it is when retired. ifMatch is as for CorrectSled.
func (w *Writer) RemoveSled(id string, ifMatch func(fleet.Sled) error) (s fleet.Sled, retired bool, err error) {
	if s, err = w.tx.Sled(id); err != nil {
		return fleet.Sled{}, false, err
	}
	if err := ifMatch(s); err != nil {
		return fleet.Sled{}, false, err
	}
	used, err := w.tx.SledInUse(id)
	switch {
	case err != nil:
		return fleet.Sled{}, false, err
	case s.Readings == 0 && !used:
		return s, false, w.tx.DeleteSled(id)
	case s.Retired:
		return s, true, nil
	}
	s.Retired, s.Revision, s.UpdatedAt = true, s.Revision+1, w.now
	return s, true, w.tx.ReplaceSled(s)
}

func some(n int) string {
	if n == 1 {
		return "1 reading"
	}
	return fmt.Sprintf("%d readings", n)
}

func them(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

func isOrAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}
