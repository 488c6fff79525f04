package calibrate

import (
	"cmp"
	"maps"
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
	reading *fleet.Figure
	gear    int // place in Sled.Gears
	day     int // 0, 1, … in the order of their first readings' dates, then of their names, without gaps
	start   float64
	end     float64 // where the box stopped; meaningless when topped out
	longer  float64 // how much longer the travel was that it was made with, ft
	since   int     // changes of parts made after it, by whose ratios y is moved
	top     bool    // topped out
	y       float64 // ln(distance − take-up)
	w       float64
}

// observations are a notebook's fitted readings in an order that does not depend on the order of writing.
type observations struct {
	list     []observation
	starts   []float64 // of topped-out readings, ascending
	gears    []int     // gears with an observation, ascending
	travel   float64   // 0 when it was never taped
	takeUp   float64
	labels   []string          // of Sled.Gears
	slowness []float64         // Notebook.Slowness
	unused   []*fleet.Figure   // stopped short, but nothing to judge them by
	before   []observation     // carried over a change of parts, and taken over since by readings in the same gear
	outdated []*fleet.Figure   // from before a change whose effect is not known
	said     map[int]statement // newest of each gear
	stated   map[int]statement // of gears without an observation
	past     []*fleet.Figure
	counts   map[place]int
	recent   map[int]bool // gears with an observation since the last change of parts
	topped   map[place]bool
	all      []float64 // start positions of every reading that is not set aside
}

// statement is somebody's word on a gear, y as for an observation.
type statement struct {
	*fleet.Figure
	y float64
}

// place is a gear at a start position.
type place struct {
	gear  int
	start float64
}

// observe sorts a notebook's readings by what they are worth. v0 is the assumed variance of a reading.
func observe(n Notebook, v0 float64) *observations {
	o := &observations{takeUp: n.Sled.TakeUpFt, labels: n.Sled.Labels(), slowness: n.Slowness,
		said: map[int]statement{}}
	if n.Sled.TravelFt != nil {
		o.travel = *n.Sled.TravelFt
	}
	o.list = make([]observation, 0, len(n.Readings))
	for i := range n.Readings {
		r := &n.Readings[i]
		g := n.Sled.GearPlace(r.GearID)
		if r.SetAside || g < 0 || r.DistanceFt <= o.takeUp {
			continue
		}
		shift, travel, since, ok := n.carry(r, g)
		if !ok {
			o.outdated = append(o.outdated, r)
			continue
		}
		if travel > 0 && r.StartFt >= travel {
			continue
		}
		o.all = append(o.all, r.StartFt)
		y := math.Log(r.DistanceFt-o.takeUp) + shift
		switch r.Ended {
		case fleet.ToppedOut, fleet.StoppedShort:
			if travel > 0 && travel-r.StartFt < fleet.MinBoxMoveFt {
				o.unused = append(o.unused, r) // an error of the marks would be most of such a way
				continue
			}
			obs := observation{reading: r, gear: g, start: r.StartFt, top: r.Ended == fleet.ToppedOut, y: y, w: 1,
				since: since}
			if o.travel > 0 && travel > 0 {
				obs.longer = travel - o.travel
			}
			if !obs.top {
				if r.EndFt == nil || *r.EndFt-r.StartFt < fleet.MinBoxMoveFt || (travel > 0 && *r.EndFt >= travel) {
					continue
				}
				obs.end, obs.w = *r.EndFt, v0/(v0+shortVariance(r, o.takeUp))
			}
			o.list = append(o.list, obs)
		case fleet.PastTop:
			if since == 0 {
				o.past = append(o.past, r)
			}
		case fleet.Stated:
			if r.Word == nil {
				continue
			}
			if old, had := o.said[g]; !had || newer(r, old.Figure) {
				o.said[g] = statement{r, y}
			}
		}
	}
	o.all = distinct(o.all)
	o.takeOver()
	o.settle()
	return o
}

// shortVariance is what a reading that stopped short adds to the variance of its logarithm: u²/(e − s)² of the box's
// marks and u²/d² of the distance.
func shortVariance(r *fleet.Figure, takeUp float64) float64 {
	moved := *r.EndFt - r.StartFt
	return (startMarkSD*startMarkSD+endMarkSD*endMarkSD)/(moved*moved) + math.Pow(distanceSD/(r.DistanceFt-takeUp), 2)
}

// settle leaves out what cannot be judged, orders the rest and counts it.
func (o *observations) settle() {
	o.index()
	kept := o.list[:0]
	first := map[string]string{} // the date of a day's first reading
	for _, obs := range o.list {
		if !obs.top && !o.judgeable(obs) {
			o.unused = append(o.unused, obs.reading)
			continue
		}
		if on, seen := first[obs.reading.Day]; !seen || obs.reading.MeasuredOn < on {
			first[obs.reading.Day] = obs.reading.MeasuredOn
		}
		kept = append(kept, obs)
	}
	o.list = kept
	days := slices.SortedFunc(maps.Keys(first), func(a, b string) int {
		return cmp.Or(cmp.Compare(first[a], first[b]), cmp.Compare(a, b))
	})
	number := make(map[string]int, len(days))
	for i, day := range days {
		number[day] = i
	}
	for i := range o.list {
		o.list[i].day = number[o.list[i].reading.Day]
	}
	slices.SortFunc(o.list, func(a, b observation) int {
		return cmp.Or(cmp.Compare(a.day, b.day), cmp.Compare(a.gear, b.gear), cmp.Compare(a.start, b.start),
			cmp.Compare(a.y, b.y), cmp.Compare(a.end, b.end), cmp.Compare(a.reading.ID, b.reading.ID))
	})
	o.index()
}

// index takes what follows from the list.
func (o *observations) index() {
	o.starts, o.counts, o.topped, o.recent = nil, map[place]int{}, map[place]bool{}, map[int]bool{}
	o.stated = maps.Clone(o.said)
	for _, obs := range o.list {
		at := place{obs.gear, obs.start}
		if obs.top {
			o.starts = append(o.starts, obs.start)
			o.topped[at] = o.topped[at] || obs.since == 0
		}
		o.counts[at]++
		o.recent[obs.gear] = o.recent[obs.gear] || obs.since == 0
		delete(o.stated, obs.gear)
	}
	o.starts = distinct(o.starts)
	o.gears = slices.Sorted(maps.Keys(o.recent))
}

// unconfirmed are the observations as if nobody had confirmed any.
func (o *observations) unconfirmed() *observations {
	if !slices.ContainsFunc(o.list, func(obs observation) bool { return obs.reading.Confirmed }) {
		return o
	}
	out := *o
	out.list = slices.Clone(o.list)
	for i := range out.list {
		plain := *out.list[i].reading
		plain.Confirmed = false
		out.list[i].reading = &plain
	}
	return &out
}

// onlyStart is the one start position that all readings share, but for one by its place, −1 for none; false where there
// are more.
func (o *observations) onlyStart(but int) (at float64, only bool) {
	for i := range o.list {
		switch start := o.list[i].start; {
		case i == but:
		case !only:
			at, only = start, true
		case start != at:
			return 0, false
		}
	}
	return at, only
}

// slow is the slowness of a gear; false where nobody knows.
func (o *observations) slow(gear int) (float64, bool) {
	if gear >= len(o.slowness) {
		return 0, false
	}
	return o.slowness[gear], !math.IsNaN(o.slowness[gear])
}

// judgeable says whether a reading that stopped short can be compared with one that topped out: the share of the
// way that its box moved must be known, by the travel or by lying among measured start positions.
func (o *observations) judgeable(obs observation) bool {
	if o.travel > 0 {
		return true
	}
	return len(o.starts) >= 2 && obs.start >= o.starts[0] && obs.end <= o.starts[len(o.starts)-1]
}

// newer says whether the first of two stated figures is.
func newer(a, b *fleet.Figure) bool {
	return cmp.Or(cmp.Compare(a.MeasuredOn, b.MeasuredOn), a.Word.NotedAt.Compare(b.Word.NotedAt),
		cmp.Compare(a.ID, b.ID)) > 0
}

func distinct(v []float64) []float64 {
	slices.Sort(v)
	return slices.Compact(v)
}

// find is the place of a reading in the list, −1 where it is not there.
func (o *observations) find(reading *fleet.Figure) int {
	return slices.IndexFunc(o.list, func(obs observation) bool { return obs.reading == reading })
}

// filter keeps some observations.
func (o *observations) filter(keep func(observation) bool) *observations {
	out := *o
	out.list = make([]observation, 0, len(o.list))
	for _, obs := range o.list {
		if keep(obs) {
			out.list = append(out.list, obs)
		}
	}
	out.index()
	renumber(out.list)
	return &out
}

// use keeps some observations; the others are called unused.
func (o *observations) use(judge func(observation) bool) *observations {
	out := o.filter(judge)
	out.unused = slices.Clone(o.unused)
	for _, obs := range o.list {
		if !judge(obs) {
			out.unused = append(out.unused, obs.reading)
		}
	}
	return out
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
