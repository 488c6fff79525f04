package calibrate

import (
	"cmp"
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// Standard uncertainties of what is read off the rails and the ground, in feet, where nobody gives better ones.
// Assumptions of our own.
const (
	startMarkSD = 0.1 // where the box stood when the pull started
	endMarkSD   = 0.5 // where it stood when a pull stopped short
	distanceSD  = 1.0 // how far that pull had gone
	travelSD    = 0.1 // the taped travel
)

// observation is a reading that can be fitted.
type observation struct {
	reading *fleet.Reading
	gear    int // place in Sled.Gears
	day     int // 0, 1, … in the order of their names, without gaps
	start   float64
	end     float64 // where the box stopped; meaningless when topped out
	top     bool    // topped out
	y       float64 // ln(distance − take-up)
	w       float64
}

// observations are a notebook's fitted readings in an order that does not depend on the order of writing.
type observations struct {
	list   []observation
	days   []string  // names, ascending
	starts []float64 // of topped-out readings, ascending
	gears  []int     // gears with an observation, ascending
	travel float64   // 0 when it was never taped
	takeUp float64
	unused []*fleet.Reading // stopped short, but nothing to judge them by
	stated map[int]*fleet.Reading
	past   []*fleet.Reading
	counts map[place]int
	topped map[place]bool
	all    []float64 // start positions of every reading that is not set aside
}

// place is a gear at a start position.
type place struct {
	gear  int
	start float64
}

// observe sorts a notebook's readings by what they are worth. v0 is the assumed variance of a reading.
func observe(n Notebook, v0 float64) *observations {
	o := &observations{takeUp: n.Sled.TakeUpFt, stated: map[int]*fleet.Reading{}, counts: map[place]int{}, topped: map[place]bool{}}
	if n.Sled.TravelFt != nil {
		o.travel = *n.Sled.TravelFt
	}
	gearOf := make(map[string]int, len(n.Sled.Gears))
	for i, g := range n.Sled.Gears {
		gearOf[g.ID] = i
	}
	day := map[string]bool{}
	var usable []*fleet.Reading
	for i := range n.Readings {
		r := &n.Readings[i]
		g, ok := gearOf[r.GearID]
		if r.SetAside != nil || !ok || r.DistanceFt <= o.takeUp || (o.travel > 0 && r.StartFt >= o.travel) {
			continue
		}
		o.all = append(o.all, r.StartFt)
		switch r.Ended {
		case fleet.ToppedOut:
			o.starts = append(o.starts, r.StartFt)
			usable = append(usable, r)
			day[r.Day] = true
		case fleet.StoppedShort:
			usable = append(usable, r)
		case fleet.PastTop:
			o.past = append(o.past, r)
		case fleet.Stated:
			if old, had := o.stated[g]; !had || newer(r, old) {
				o.stated[g] = r
			}
		}
	}
	o.all = distinct(o.all)
	o.starts = distinct(o.starts)
	kept := usable[:0]
	for _, r := range usable {
		if r.Ended == fleet.StoppedShort && !o.judgeable(r) {
			o.unused = append(o.unused, r)
			continue
		}
		day[r.Day] = true
		kept = append(kept, r)
	}
	for d := range day {
		o.days = append(o.days, d)
	}
	slices.Sort(o.days)
	has := map[int]bool{}
	for _, r := range kept {
		obs := observation{
			reading: r, gear: gearOf[r.GearID], start: r.StartFt, top: r.Ended == fleet.ToppedOut,
			y: math.Log(r.DistanceFt - o.takeUp), w: 1,
		}
		obs.day, _ = slices.BinarySearch(o.days, r.Day)
		if !obs.top {
			obs.end = *r.EndFt
			moved := obs.end - obs.start
			u2 := (startMarkSD*startMarkSD+endMarkSD*endMarkSD)/(moved*moved) + math.Pow(distanceSD/(r.DistanceFt-o.takeUp), 2)
			obs.w = v0 / (v0 + u2)
		} else {
			o.topped[place{obs.gear, obs.start}] = true
		}
		o.counts[place{obs.gear, obs.start}]++
		has[obs.gear] = true
		o.list = append(o.list, obs)
	}
	for g := range has {
		o.gears = append(o.gears, g)
		delete(o.stated, g)
	}
	slices.Sort(o.gears)
	slices.SortFunc(o.list, func(a, b observation) int {
		return cmp.Or(cmp.Compare(a.day, b.day), cmp.Compare(a.gear, b.gear), cmp.Compare(a.start, b.start),
			cmp.Compare(a.y, b.y), cmp.Compare(a.end, b.end), cmp.Compare(a.reading.ID, b.reading.ID))
	})
	return o
}

// judgeable says whether a reading that stopped short can be compared with one that topped out: the share of the
// way that its box moved must be known.
func (o *observations) judgeable(r *fleet.Reading) bool {
	switch {
	case r.EndFt == nil || *r.EndFt-r.StartFt < fleet.MinBoxMoveFt:
		return false
	case o.travel > 0:
		return *r.EndFt < o.travel
	case len(o.starts) < 2:
		return false
	}
	return r.StartFt >= o.starts[0] && *r.EndFt <= o.starts[len(o.starts)-1]
}

func newer(a, b *fleet.Reading) bool {
	return cmp.Or(cmp.Compare(a.MeasuredOn, b.MeasuredOn), a.CreatedAt.Compare(b.CreatedAt), cmp.Compare(a.ID, b.ID)) > 0
}

func distinct(v []float64) []float64 {
	slices.Sort(v)
	return slices.Compact(v)
}

// filter keeps some observations; readings that stopped short and are left out become unused.
func (o *observations) filter(keep func(observation) bool) *observations {
	out := *o
	out.list, out.gears, out.counts = nil, nil, map[place]int{}
	for _, obs := range o.list {
		switch {
		case keep(obs):
			out.list = append(out.list, obs)
			out.counts[place{obs.gear, obs.start}]++
			if !slices.Contains(out.gears, obs.gear) {
				out.gears = append(out.gears, obs.gear)
			}
		default:
			out.unused = append(slices.Clone(out.unused), obs.reading)
		}
	}
	slices.Sort(out.gears)
	renumber(out.list)
	return &out
}

// renumber closes gaps in the days, which the design counts from 0 without any.
func renumber(list []observation) {
	day, last := -1, -1
	for i := range list {
		if list[i].day != last {
			last = list[i].day
			day++
		}
		list[i].day = day
	}
}
