package book

import (
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
	MovesPct *float64 // by how much the way to the top from full back grew, where all gears move alike; nil otherwise
}

// Changes lists a sled's changes of parts, newest first, and the revision they are of. A sled that is not there is NotFound.
func (b *Book) Changes(ctx context.Context, sled string) ([]ChangeView, int64, error) {
	now, err := b.current(ctx)
	if err != nil {
		return nil, 0, err
	}
	p, err := now.sled(sled)
	if err != nil {
		return nil, 0, err
	}
	views := changeViews(p.timeline)
	slices.Reverse(views)
	return views, now.revision, nil
}

// changeViews are the changes in order.
func changeViews(t fleet.Timeline) []ChangeView {
	stages := t.Stages()
	views := make([]ChangeView, len(t.Changes))
	for i, c := range t.Changes {
		views[i] = ChangeView{Change: c, MovesPct: movesPct(logShifts(c, stages[i], stages[i+1]), stages[i], stages[i+1])}
	}
	return views
}

// alike is how near the logarithms of two ratios are that are the same but for rounding.
const alike = 1e-9

func movesPct(shifts []float64, before, after fleet.Sled) *float64 {
	log := shifts[0]
	for _, s := range shifts {
		if !(math.Abs(s-log) < alike) { // unknown too
			return nil
		}
	}
	if before.TravelFt != nil {
		log += math.Log(*after.TravelFt / *before.TravelFt)
	}
	if pct := 100 * math.Expm1(log); !math.IsInf(pct, 0) { // parts noted in nonsense units
		return &pct
	}
	return nil
}

// AddChange notes a change of a sled's parts, early or late, and returns it as stored. A sled that is not there is NotFound. It
// is Invalid with every fault there is: of the change by itself, of what it does not go with, and of what would have to be known
// for readings to be carried by its ratio.
func (w *Writer) AddChange(sled string, c fleet.Change) (ChangeView, error) {
	old, err := w.tx.Timeline(sled)
	if err != nil {
		return ChangeView{}, err
	}
	c.Gears = slices.Clone(c.Gears)
	c.Tidy()
	c.ID, c.Sled, c.CreatedAt = w.b.newID(), sled, entered(old, c.MadeOn, w.now)
	faults := c.CheckOn(old.Today(), w.now)
	nameGears(faults, &c, old.Base)
	if err := w.checkFirstDay(faults, old.Base, c.MadeOn); err != nil {
		return ChangeView{}, err
	}
	next, place := inserted(old, c)
	if !faults.Any() { // what is wrong by itself is not judged further
		checkGiven(faults, c, next.Stages()[place])
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
	stored, err := w.renew(old)
	if err != nil {
		return ChangeView{}, err
	}
	v := changeViews(next)[place]
	return v, w.record(fleet.ActAdded, fleet.OfChange, c.ID, []string{sled}, nil, stored.Changes[place])
}

// entered is when a change is entered: now, but later than those of its date that were entered before it, whatever the clock has
// done since. In that order they count.
func entered(t fleet.Timeline, madeOn string, now time.Time) time.Time {
	for _, c := range t.Changes {
		if c.MadeOn == madeOn && !c.CreatedAt.Before(now) {
			now = c.CreatedAt.Add(time.Microsecond)
		}
	}
	return now
}

// RemoveChange takes a change back: everything is as if it had never been noted. One that is not there is NotFound; one that
// later changes or readings rest on is a Conflict.
func (w *Writer) RemoveChange(id string) error {
	sled, err := w.tx.SledOfChange(id)
	if err != nil {
		return err
	}
	old, err := w.tx.Timeline(sled)
	if err != nil {
		return err
	}
	next := fleet.Timeline{Base: old.Base, Changes: slices.DeleteFunc(slices.Clone(old.Changes), func(c fleet.Change) bool { return c.ID == id })}
	faults := new(fleet.Faults)
	for _, g := range newGaps(old, next) {
		faults.Add("", "%s", g.sentence())
	}
	if err := w.checkTravels(faults, next); err != nil {
		return err
	}
	if faults.Any() {
		return fleet.Errorf(fleet.Conflict, "without this change, %s", sentences(faults))
	}
	if err := w.tx.DeleteChange(sled, id); err != nil {
		return err
	}
	if _, err := w.renew(old); err != nil {
		return err
	}
	c := old.Changes[slices.IndexFunc(old.Changes, func(c fleet.Change) bool { return c.ID == id })]
	return w.record(fleet.ActRemoved, fleet.OfChange, id, []string{sled}, c, nil)
}

// renew notes that a sled's document reads differently now, and returns the sled as it is stored.
func (w *Writer) renew(old fleet.Timeline) (stored fleet.Timeline, err error) {
	s := old.Base
	s.Revision, s.UpdatedAt = s.Revision+1, w.now
	if err := w.tx.ReplaceSled(s); err != nil {
		return fleet.Timeline{}, err
	}
	return w.recordSled(old)
}

// inserted is a timeline with one change more, and its place among the changes: by date, then as they were entered.
func inserted(t fleet.Timeline, c fleet.Change) (next fleet.Timeline, place int) {
	next = fleet.Timeline{Base: t.Base, Changes: append(slices.Clone(t.Changes), c)}
	slices.SortFunc(next.Changes, fleet.CompareChanges)
	return next, slices.IndexFunc(next.Changes, func(of fleet.Change) bool { return of.ID == c.ID })
}

// nameGears gives the gears of a change their ids.
func nameGears(f *fleet.Faults, c *fleet.Change, s fleet.Sled) {
	first := map[string]int{}
	for i := range c.Gears {
		g, _, ok := s.GearByLabel(c.Gears[i].Label)
		if !ok {
			continue // said already
		}
		c.Gears[i].ID = g.ID
		if j, twice := first[g.ID]; twice {
			f.Add(fmt.Sprintf("gears[%d].label", i), "gear %s is gear %d of this change already", g.Label, j+1)
			continue
		}
		first[g.ID] = i
	}
}

// checkFirstDay refuses a change that no reading was made before. What is no date has been said to be none.
func (w *Writer) checkFirstDay(f *fleet.Faults, s fleet.Sled, madeOn string) error {
	if _, err := time.Parse(time.DateOnly, madeOn); err != nil {
		return nil
	}
	first, err := w.tx.FirstReadingOn(s.ID)
	if err == nil && first != "" && first >= madeOn {
		f.Add("made_on", "no reading of %s is older than %s, the first one is of %s (those of the day itself count as made after a change): there is nothing to carry; correct the sled's parts instead", s.Name, madeOn, first)
	}
	return err
}

// checkGiven refuses a change that changes nothing; before is the sled as it was.
func checkGiven(f *fleet.Faults, c fleet.Change, before fleet.Sled) {
	at, differs := "", false
	for i := len(c.Gears) - 1; i >= 0; i-- {
		g := c.Gears[i]
		j := slices.IndexFunc(before.Gears, func(was fleet.Gear) bool { return was.ID == g.ID })
		at = "gears"
		differs = differs || g.Ratio != nil && *g.Ratio != orZero(before.Gears[j].Ratio) || g.Range != "" && g.Range != before.Gears[j].Range
	}
	if c.TravelFt != nil {
		at, differs = "travel_ft", differs || *c.TravelFt != orZero(before.TravelFt)
	}
	for _, p := range drivelineParts {
		if p.given(c.Driveline) {
			at, differs = "driveline", differs || !p.same(c.Driveline, before.Driveline)
		}
	}
	switch {
	case at == "" && c.Effect == fleet.ByRatio:
		f.Add("effect", "readings can be carried by the ratio only where the parts that were changed are given; otherwise the effect is unknown")
	case at != "" && !differs:
		f.Add(at, "this is what was on %s already: nothing was changed", before.Name)
	}
}

// checkRatios notes what a new timeline leaves open that the old one did not. Of the change with that id it names the fields.
func checkRatios(f *fleet.Faults, old, next fleet.Timeline, id string) {
	for _, g := range newGaps(old, next) {
		if g.change.ID == id {
			f.Add(g.field(), "%s", g.own(next.Base.Name))
		} else {
			f.Add("made_on", "with this change, %s", g.sentence())
		}
	}
}

// checkTravels notes the readings whose box would have started, or stopped short, at or past the travel of their date.
func (w *Writer) checkTravels(f *fleet.Faults, t fleet.Timeline) error {
	stages := t.Stages()
	for i, s := range stages {
		from, before := "", ""
		if i > 0 {
			from = t.Changes[i-1].MadeOn
		}
		if i < len(t.Changes) {
			before = t.Changes[i].MadeOn
		}
		if s.TravelFt == nil || before != "" && from >= before {
			continue
		}
		n, err := w.tx.CountReadingsPast(s.ID, from, before, *s.TravelFt)
		if err != nil {
			return err
		}
		if n > 0 {
			f.Add("travel_ft", "in %s%s the box stood at or past %s; correct or set aside %s first",
				some(n), between(from, before), fleet.FeetAndMeters(*s.TravelFt), them(n))
		}
	}
	return nil
}

// between says two dates in words, "" for those that bound nothing.
func between(from, before string) (words string) {
	if from != "" {
		words = " since " + from
	}
	if before != "" {
		words += " before " + before
	}
	return words
}

// sentences are the faults without their fields.
func sentences(f *fleet.Faults) string {
	var out []string
	for _, fault := range f.List() {
		out = append(out, fault.Detail)
	}
	return strings.Join(out, "; ")
}
