package fleet

import (
	"cmp"
	"slices"
)

// Timeline is a sled with its parts over time.
type Timeline struct {
	Base    Sled     // the sled with the parts it had before the first change
	Changes []Change // in the order of CompareChanges
}

// CompareChanges gives the order in which changes follow one another: by date, then as they were entered.
func CompareChanges(a, b Change) int {
	return cmp.Or(cmp.Compare(a.MadeOn, b.MadeOn), a.CreatedAt.Compare(b.CreatedAt), cmp.Compare(a.ID, b.ID))
}

// Stages are the sled before its first change and after each: one more than there are changes.
func (t Timeline) Stages() []Sled {
	stages := make([]Sled, 1, len(t.Changes)+1)
	stages[0] = t.Base
	for _, c := range t.Changes {
		stages = append(stages, with(stages[len(stages)-1], c))
	}
	return stages
}

// Today is the sled with every change put in.
func (t Timeline) Today() Sled {
	stages := t.Stages()
	return stages[len(stages)-1]
}

// Until is what was noted of the sled up to the end of a day, an ISO 8601 date.
func (t Timeline) Until(day string) Timeline {
	n := 0
	for n < len(t.Changes) && t.Changes[n].MadeOn <= day {
		n++
	}
	return Timeline{t.Base, t.Changes[:n:n]}
}

// WeighingsFrom is the date from which weighings count: that of the last change that ended those before it, "" without
// one.
func (t Timeline) WeighingsFrom() string {
	from := ""
	for _, c := range t.Changes {
		if c.EndsWeighings {
			from = max(from, c.MadeOn)
		}
	}
	return from
}

// with puts a change into a sled. An axle of one speed leaves no gear in a range.
func with(s Sled, c Change) Sled {
	s.Driveline = c.On(s.Driveline)
	s.TravelFt = cmp.Or(c.TravelFt, s.TravelFt)
	s.Gears = slices.Clone(s.Gears)
	for i := range s.Gears {
		g := &s.Gears[i]
		if s.Driveline.AxleRatio != 0 {
			g.Range = ""
		}
		if n := slices.IndexFunc(c.Gears, func(of Gear) bool { return of.ID == g.ID }); n >= 0 {
			g.Ratio, g.Range = cmp.Or(c.Gears[n].Ratio, g.Ratio), cmp.Or(c.Gears[n].Range, g.Range)
		}
	}
	return s
}
