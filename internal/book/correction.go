package book

import (
	"fmt"
	"slices"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

// correctTimeline is a timeline whose sled today is want. A value that differs is put where it came from: into the last
// change that gave it, otherwise into the sled before any change. This moves no readings. Gears are told apart
// by their ids. What cannot be corrected is a fault.
func correctTimeline(f *fleet.Faults, old fleet.Timeline, want fleet.Sled) fleet.Timeline {
	next := fleet.Timeline{Base: want, Changes: slices.Clone(old.Changes)}
	next.Base.Driveline, next.Base.TravelFt = old.Base.Driveline, old.Base.TravelFt
	next.Base.Gears = slices.Clone(want.Gears)
	for i, g := range next.Base.Gears {
		if n := indexOfGear(old.Base.Gears, g.ID); n >= 0 { // a new gear is as it is from the start
			next.Base.Gears[i].Ratio, next.Base.Gears[i].Range = old.Base.Gears[n].Ratio, old.Base.Gears[n].Range
		}
	}
	for i := range next.Changes { // not those of the old timeline
		next.Changes[i].Gears = slices.Clone(next.Changes[i].Gears)
	}
	today := old.Today()
	parts := partsWith(want.Gears)
	for _, p := range parts {
		if p.same(notedOf(&today), notedOf(&want)) {
			continue
		}
		source := notedOf(&next.Base)
		if c := lastChange(next.Changes, p.settles); c != nil {
			source = givenBy(c)
		}
		p.put(source, notedOf(&want))
	}
	for i := range next.Changes {
		c := &next.Changes[i]
		c.Gears = slices.DeleteFunc(c.Gears, func(g fleet.Gear) bool { return g.Ratio == nil && g.Range == "" })
	}
	got := next.Today()
	for _, p := range parts {
		if !p.same(notedOf(&got), notedOf(&want)) {
			f.Add(p.field, "%s", cannotCorrect(lastChange(old.Changes, p.settles)))
		}
	}
	if f.Any() {
		return next
	}
	for _, g := range newGaps(old, next) {
		g.gears = slices.DeleteFunc(g.gears, func(of fleet.Gear) bool { return !hasGear(old.Base.Gears, of.ID) })
		if len(g.gears) > 0 || g.part == driveline.Travel {
			f.Add("driveline", "with this correction, %s; take the change back first", g.message())
		}
	}
	return next
}

// lastChange is the last change that gives something, nil without one.
func lastChange(changes []fleet.Change, gives func(noted) bool) *fleet.Change {
	for i := len(changes) - 1; i >= 0; i-- {
		if gives(givenBy(&changes[i])) {
			return &changes[i]
		}
	}
	return nil
}

// cannotCorrect says why a value cannot be corrected in one place: another was known before the change c that gave it.
func cannotCorrect(c *fleet.Change) string {
	if c == nil {
		return "what was noted so far cannot be corrected to this: " +
			"a change of parts says otherwise; take it back first"
	}
	return fmt.Sprintf("this came with the change of %s (%s), and something else was known before it: "+
		"take that change back first", c.MadeOn, c.What)
}
