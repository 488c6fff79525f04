package book

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"evenpull/internal/fleet"
)

// ChangeView is a change of parts with what it does to the top-outs.
type ChangeView struct {
	fleet.Change
	MovesPct *float64 // growth of the way to the top from full back, where all gears move alike; nil otherwise
}

// Changes lists a sled's changes of parts, newest first, with the revision they are of. A sled that is not there is
// NotFound.
func (b *Book) Changes(ctx context.Context, sled string) ([]ChangeView, int64, error) {
	snap, state, err := b.currentSled(ctx, sled)
	if err != nil {
		return nil, 0, err
	}
	views := changeViews(state.timeline)
	slices.Reverse(views)
	return views, snap.revision, nil
}

// changeViews are the changes in order.
func changeViews(t fleet.Timeline) []ChangeView {
	stages := t.Stages()
	views := make([]ChangeView, len(t.Changes))
	for i, c := range t.Changes {
		before, after := stages[i], stages[i+1]
		views[i] = ChangeView{Change: c, MovesPct: movesPct(logShifts(c, before, after), before, after)}
	}
	return views
}

// sameLogTolerance is how far apart the logarithms of two equal ratios may be, by rounding.
const sameLogTolerance = 1e-9

func movesPct(shifts []float64, before, after fleet.Sled) *float64 {
	log := shifts[0]
	for _, s := range shifts {
		if !(math.Abs(s-log) < sameLogTolerance) { // NaN too
			return nil
		}
	}
	if before.TravelFt != nil {
		log += math.Log(*after.TravelFt / *before.TravelFt)
	}
	if pct := 100 * math.Expm1(log); !math.IsInf(pct, 0) { // parts in wrong units can imply infinity
		return &pct
	}
	return nil
}

// AddChange notes a change of a sled's parts, early or late, and returns it as stored. A sled that is not there is
// NotFound. It is Invalid with every fault: of the change itself, of what it does not go with, and of what would have
// to be known to carry readings by its ratio.
func (w *Writer) AddChange(sled string, c fleet.Change) (ChangeView, error) {
	old, err := matching(w.tx.Timeline, sled, func(t fleet.Timeline) error { return checkOwn(t.Base) })
	if err != nil {
		return ChangeView{}, err
	}
	c.Gears = slices.Clone(c.Gears)
	c.Tidy()
	c.ID, c.Sled, c.CreatedAt = w.b.newID(), sled, entryTime(old, c.MadeOn, w.now)
	faults := c.CheckOn(old.Today(), w.now)
	resolveGears(faults, &c, old.Base)
	if err := w.checkFirstDay(faults, old.Base, c); err != nil {
		return ChangeView{}, err
	}
	next := fleet.Timeline{Base: old.Base, Changes: append(slices.Clone(old.Changes), c)}
	slices.SortFunc(next.Changes, fleet.CompareChanges)
	place := indexOfChange(next, c.ID)
	if !faults.Any() { // the rest assumes a change that is right by itself
		checkSomethingChanged(faults, c, next.Stages()[place])
		checkRatios(faults, old, next, c.ID)
		if err := w.checkTravels(faults, next); err != nil {
			return ChangeView{}, err
		}
	}
	if err := faults.Err(); err != nil {
		return ChangeView{}, err
	}
	if err := w.tx.AddChange(c); err != nil {
		return ChangeView{}, err
	}
	stored, err := w.replaceSled(old, old.Base)
	if err != nil {
		return ChangeView{}, err
	}
	err = w.record(fleet.ActAdded, fleet.OfChange, c.ID, []string{sled}, nil, stored.Changes[place])
	return changeViews(next)[place], err
}

func indexOfChange(t fleet.Timeline, id string) int {
	return slices.IndexFunc(t.Changes, func(c fleet.Change) bool { return c.ID == id })
}

// entryTime is when a change is entered: now, but after those of its date that were entered before it, even if the
// clock was set back. Changes of a date count in that order.
func entryTime(t fleet.Timeline, madeOn string, now time.Time) time.Time {
	for _, c := range t.Changes {
		if c.MadeOn == madeOn && !c.CreatedAt.Before(now) {
			now = c.CreatedAt.Add(time.Microsecond)
		}
	}
	return now
}

// RemoveChange removes a change: everything is as if it had never been noted. One that is not there is NotFound; one
// that later changes or readings depend on is a Conflict.
func (w *Writer) RemoveChange(id string) error {
	sled, err := w.tx.SledOfChange(id)
	if err != nil {
		return err
	}
	old, err := matching(w.tx.Timeline, sled, func(t fleet.Timeline) error { return checkOwn(t.Base) })
	if err != nil {
		return err
	}
	place := indexOfChange(old, id)
	next := fleet.Timeline{Base: old.Base, Changes: slices.Delete(slices.Clone(old.Changes), place, place+1)}
	faults := new(fleet.Faults)
	for _, g := range newGaps(old, next) {
		faults.Add("", "%s", g.message())
	}
	if err := w.checkTravels(faults, next); err != nil {
		return err
	}
	if faults.Any() {
		return fleet.Errorf(fleet.Conflict, "without this change, %s", details(faults.List()))
	}
	if err := w.tx.DeleteChange(sled, id); err != nil {
		return err
	}
	if _, err := w.replaceSled(old, old.Base); err != nil {
		return err
	}
	return w.record(fleet.ActRemoved, fleet.OfChange, id, []string{sled}, old.Changes[place], nil)
}

// resolveGears gives the gears of a change their ids.
func resolveGears(f *fleet.Faults, c *fleet.Change, s fleet.Sled) {
	first := map[string]int{}
	for i := range c.Gears {
		g, _, ok := s.GearByLabel(c.Gears[i].Label)
		if !ok {
			continue // a fault already
		}
		c.Gears[i].ID = g.ID
		if j, twice := first[g.ID]; twice {
			f.Add(fmt.Sprintf("gears[%d].label", i), "gear %s is gear %d of this change already", g.Label, j+1)
			continue
		}
		first[g.ID] = i
	}
}

// checkFirstDay refuses a change that no reading, nor any weighing that it ends, was made before. A wrong date is a
// fault already.
func (w *Writer) checkFirstDay(f *fleet.Faults, s fleet.Sled, c fleet.Change) error {
	madeOn := c.MadeOn
	if _, err := time.Parse(time.DateOnly, madeOn); err != nil {
		return nil
	}
	if c.EndsWeighings {
		weighed, err := w.tx.FirstWeighingOn(s.ID)
		if err != nil || weighed != "" && weighed < madeOn {
			return err
		}
	}
	first, err := w.tx.FirstReadingOn(s.ID)
	if err == nil && first != "" && first >= madeOn {
		f.Add("made_on", "no reading of %s is older than %s, the first one is of %s (those of the day itself count as "+
			"made after a change): there is nothing to carry; correct the sled's parts instead", s.Name, madeOn, first)
	}
	return err
}

// checkSomethingChanged refuses a change that changes nothing; before is the sled as it was.
func checkSomethingChanged(f *fleet.Faults, c fleet.Change, before fleet.Sled) {
	at, differs := "", false
	for _, p := range partsWith(before.Gears) {
		if p.given(givenBy(&c)) {
			at = cmp.Or(at, p.field[:strings.IndexAny(p.field+".", ".[")])
			differs = differs || !p.same(givenBy(&c), notedOf(&before))
		}
	}
	if len(c.Gears) > 0 {
		at = cmp.Or(at, "gears")
	}
	switch {
	case at == "" && c.Effect == fleet.ByRatio && !c.EndsWeighings:
		f.Add("effect", "readings can be carried by the ratio only where the parts that were changed are given; "+
			"otherwise the effect is unknown")
	case at != "" && !differs:
		f.Add(at, "this is what was on %s already: nothing was changed", before.Name)
	}
}

// checkRatios notes the gaps that the old timeline did not have. For the change with that id it names the fields.
func checkRatios(f *fleet.Faults, old, next fleet.Timeline, id string) {
	for _, g := range newGaps(old, next) {
		if g.change.ID == id {
			f.Add(g.field(), "%s", g.messageForNewChange(next.Base.Name))
		} else {
			f.Add("made_on", "with this change, %s", g.message())
		}
	}
}

// checkTravels notes the readings whose box would have started, or stopped short, at or past the travel of their date.
func (w *Writer) checkTravels(f *fleet.Faults, t fleet.Timeline) error {
	days := mapSlice(t.Changes, func(c fleet.Change) string { return c.MadeOn })
	days = slices.Concat([]string{""}, days, []string{""}) // that a stage begins on, and the next one
	for i, s := range t.Stages() {
		from, before := days[i], days[i+1]
		if s.TravelFt == nil || before != "" && from >= before {
			continue
		}
		n, err := w.tx.CountReadingsPast(s.ID, from, before, *s.TravelFt)
		if err != nil {
			return err
		}
		if n > 0 {
			f.Add("travel_ft", "in %s%s the box stood at or past %s; correct or set aside %s first",
				countReadings(n), betweenDates(from, before), fleet.FeetAndMeters(*s.TravelFt), pronoun(n))
		}
		if err := w.checkWeighedMarks(f, s, from, before); err != nil {
			return err
		}
	}
	return nil
}

// betweenDates is a span of dates in words; "" bounds nothing.
func betweenDates(from, before string) (words string) {
	if from != "" {
		words = " since " + from
	}
	if before != "" {
		words += " before " + before
	}
	return words
}

// details are the faults without their fields.
func details(faults []fleet.Fault) string {
	return strings.Join(mapSlice(faults, func(f fleet.Fault) string { return f.Detail }), "; ")
}
