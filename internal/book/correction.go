package book

import (
	"fmt"
	"slices"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

// corrected is a timeline whose sled today is want: a value that differs is put where it came from, into the last change that
// gave it, else into the sled as it was at first. Nothing is carried by that. Gears are told apart by id. What cannot be
// so is noted as a fault.
func corrected(f *fleet.Faults, t fleet.Timeline, want fleet.Sled) fleet.Timeline {
	today := t.Today()
	next := fleet.Timeline{Base: want, Changes: slices.Clone(t.Changes)}
	next.Base.Driveline, next.Base.TravelFt, next.Base.Gears = t.Base.Driveline, t.Base.TravelFt, slices.Clone(want.Gears)
	for _, p := range drivelineParts {
		if !p.same(today.Driveline, want.Driveline) {
			to := &next.Base.Driveline
			if c := lastOf(next.Changes, func(c fleet.Change) bool { return p.settles(c.Driveline) }); c != nil {
				to = &c.Driveline
			}
			p.put(to, want.Driveline)
		}
	}
	if orZero(today.TravelFt) != orZero(want.TravelFt) {
		to := &next.Base.TravelFt
		if c := lastOf(next.Changes, givesTravel); c != nil {
			to = &c.TravelFt
		}
		*to = want.TravelFt
	}
	for i := range next.Changes { // not those of the old timeline
		next.Changes[i].Gears = slices.Clone(next.Changes[i].Gears)
	}
	for i, g := range want.Gears {
		was, had := byID(today.Gears, g.ID)
		if !had {
			continue // a new gear is as it is from the first
		}
		first, _ := byID(t.Base.Gears, g.ID)
		next.Base.Gears[i].Ratio, next.Base.Gears[i].Range = first.Ratio, first.Range
		if orZero(was.Ratio) != orZero(g.Ratio) {
			gearFrom(next, i, func(of fleet.Gear) bool { return of.Ratio != nil }).Ratio = g.Ratio
		}
		if was.Range != g.Range {
			gearFrom(next, i, func(of fleet.Gear) bool { return of.Range != "" }).Range = g.Range
		}
	}
	for i := range next.Changes {
		c := &next.Changes[i]
		c.Gears = slices.DeleteFunc(c.Gears, func(g fleet.Gear) bool { return g.Ratio == nil && g.Range == "" })
	}
	checkCorrected(f, t, next, want)
	return next
}

// gearFrom is the gear at a place of the sled where something of it came from.
func gearFrom(t fleet.Timeline, place int, gives func(fleet.Gear) bool) *fleet.Gear {
	of := func(c fleet.Change) int {
		return slices.IndexFunc(c.Gears, func(g fleet.Gear) bool { return g.ID == t.Base.Gears[place].ID && gives(g) })
	}
	if c := lastOf(t.Changes, func(c fleet.Change) bool { return of(c) >= 0 }); c != nil {
		return &c.Gears[of(*c)]
	}
	return &t.Base.Gears[place]
}

func givesTravel(c fleet.Change) bool { return c.TravelFt != nil }

// lastOf is the last change that gives something, nil without one.
func lastOf(changes []fleet.Change, gives func(fleet.Change) bool) *fleet.Change {
	for i := len(changes) - 1; i >= 0; i-- {
		if gives(changes[i]) {
			return &changes[i]
		}
	}
	return nil
}

func byID(gears []fleet.Gear, id string) (fleet.Gear, bool) {
	i := slices.IndexFunc(gears, func(g fleet.Gear) bool { return g.ID == id })
	if i < 0 {
		return fleet.Gear{}, false
	}
	return gears[i], true
}

// checkCorrected notes what could not be put right in one place: a value that is to be unknown and was known before the change
// that gave it, and a ratio that could then not be worked out.
func checkCorrected(f *fleet.Faults, old, next fleet.Timeline, want fleet.Sled) {
	got := next.Today()
	for _, p := range drivelineParts {
		if !p.same(got.Driveline, want.Driveline) {
			f.Add("driveline."+p.name, "%s", came(lastOf(old.Changes, func(c fleet.Change) bool { return p.settles(c.Driveline) })))
		}
	}
	if orZero(got.TravelFt) != orZero(want.TravelFt) {
		f.Add("travel_ft", "%s", came(lastOf(old.Changes, givesTravel)))
	}
	for i, g := range want.Gears {
		gives := func(what func(fleet.Gear) bool) func(fleet.Change) bool {
			return func(c fleet.Change) bool {
				return slices.ContainsFunc(c.Gears, func(of fleet.Gear) bool { return of.ID == g.ID && what(of) })
			}
		}
		if orZero(got.Gears[i].Ratio) != orZero(g.Ratio) {
			f.Add(fmt.Sprintf("gears[%d].ratio", i), "%s", came(lastOf(old.Changes, gives(func(of fleet.Gear) bool { return of.Ratio != nil }))))
		}
		if got.Gears[i].Range != g.Range {
			f.Add(fmt.Sprintf("gears[%d].range", i), "%s", came(lastOf(old.Changes, gives(func(of fleet.Gear) bool { return of.Range != "" }))))
		}
	}
	if f.Any() {
		return
	}
	for _, g := range newGaps(old, next) {
		g.gears = slices.DeleteFunc(g.gears, func(of fleet.Gear) bool { return !has(old.Base.Gears, of.ID) })
		if len(g.gears) > 0 || g.part == driveline.Travel {
			f.Add("driveline", "with this correction, %s; take the change back first", g.sentence())
		}
	}
}

func came(c *fleet.Change) string {
	if c == nil {
		return "what was noted so far cannot be corrected to this: a change of parts says otherwise; take it back first"
	}
	return fmt.Sprintf("this came with the change of %s (%s), and something else was known before it: take that change back first", c.MadeOn, c.What)
}
