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
	s := t.Base
	for _, c := range t.Changes {
		s = with(s, c)
	}
	return s
}

// Until is what was noted of the sled up to the end of a day, an ISO 8601 date.
func (t Timeline) Until(day string) Timeline {
	n := slices.IndexFunc(t.Changes, func(c Change) bool { return c.MadeOn > day })
	if n < 0 {
		n = len(t.Changes)
	}
	return Timeline{t.Base, t.Changes[:n:n]}
}

// with puts a change into a sled. An axle of one speed leaves no gear in a range.
func with(s Sled, c Change) Sled {
	s.Driveline = c.On(s.Driveline)
	if c.TravelFt != nil {
		s.TravelFt = c.TravelFt
	}
	s.Gears = slices.Clone(s.Gears)
	for i := range s.Gears {
		g := &s.Gears[i]
		if s.Driveline.AxleRatio != 0 {
			g.Range = ""
		}
		if n := slices.IndexFunc(c.Gears, func(of Gear) bool { return of.ID == g.ID }); n >= 0 {
			if c.Gears[n].Ratio != nil {
				g.Ratio = c.Gears[n].Ratio
			}
			if c.Gears[n].Range != "" {
				g.Range = c.Gears[n].Range
			}
		}
	}
	return s
}
