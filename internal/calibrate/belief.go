package calibrate

import (
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// Limits of what is believed of a distance before a model is asked. Assumptions of our own.
const (
	// beliefFactor is how far a reading may lie from its gear's other readings.
	beliefFactor = 1.5
	// ladderFactor is how far it may lie from the sled's other gears where its own says nothing: the slowest gear of a
	// box drive tops out at less than twice the distance of the fastest (common practice, no source).
	ladderFactor = 2.0
	// grossFactor and grossGears are the same where a reading that is stored already is left out without asking: there
	// have to be two other gears, because one alone may be the wrong one itself.
	grossFactor = 2.5
	grossGears  = 2
	// bareLowFt and bareHighFt bound a top-out from full back on a sled of which nothing else is known.
	bareLowFt, bareHighFt = 50.0, 1000.0
	// leastShareUntaped is the least share of the travel that a forward start leaves on a sled whose travel is not
	// known.
	leastShareUntaped = 0.5
)

// Range is where the distance of one reading would have to lie, in ft, to be believed without asking.
type Range struct {
	LowFt, HighFt float64
	ExpectedFt    float64 // about where it should lie; 0 on a sled of which nothing else is known
	// Own says that this comes from readings in its own gear, and not from the sled's other gears.
	Own bool
	// FastestFt and SlowestFt are about where the fastest and the slowest gear of which something is known would lie; 0
	// where none is.
	FastestFt, SlowestFt float64
}

// Holds says whether a distance lies inside.
func (r Range) Holds(distanceFt float64) bool { return distanceFt >= r.LowFt && distanceFt <= r.HighFt }

// Belief tells distances that can be believed from those that are asked about. It is not safe for use by many
// goroutines.
type Belief struct {
	n       Notebook
	ways    [][]float64 // by gear: ways to the top from full back that its readings imply, ft
	settled bool        // each in ascending order
}

// Claim is what a reading says of its gear, as far as belief goes by it: little enough to be held for every row of a
// long request until the others have been learned from.
type Claim struct {
	DistanceFt        float64
	gear              int
	shortest, longest float64 // its way bounded as a share of the gear's from full back
	today             float64 // by what the changes of parts since have multiplied such a way, the other way round
	way               float64 // from full back, as the gear stands today; 0 where it implies none
	judged, past      bool    // there is something to judge; only a lower limit
}

// BeliefOf learns from a notebook's readings that are not set aside.
func BeliefOf(n Notebook) *Belief {
	b := &Belief{n: n, ways: make([][]float64, len(n.Sled.Gears))}
	for i := range n.Readings {
		b.Learn(&n.Readings[i])
	}
	return b
}

// Learn takes in another reading, one of a request under way, and returns what it says.
func (b *Belief) Learn(r *fleet.Figure) Claim {
	c := b.claim(r)
	if r.SetAside {
		c.way = 0
	}
	if c.way > 0 {
		b.ways[c.gear] = append(b.ways[c.gear], c.way)
		b.settled = false
	}
	return c
}

// Range says where the distance of a reading that was learned would have to lie: within a factor of 1.5 of the median
// of its gear's other readings, each moved to the same way of the box; with fewer than two of these, or where they
// contradict each other, within a factor of 2 of the sled's other gears; on a bare sled between 50 and 1,000 ft from
// full back. A reading past the top has a lower limit only. A reading is not compared with itself.
func (b *Belief) Range(c Claim) Range { return b.within(c, 1, ladderFactor) }

// gross says whether a reading that was learned lies so far off that it is left out without asking.
func (b *Belief) gross(r *fleet.Figure) bool {
	return !b.within(b.claim(r), grossGears, grossFactor).Holds(r.DistanceFt)
}

// claim is what a reading says.
func (b *Belief) claim(r *fleet.Figure) Claim {
	gear := b.n.Sled.GearPlace(r.GearID)
	if gear < 0 {
		return Claim{}
	}
	c := Claim{gear: gear, DistanceFt: r.DistanceFt, past: r.Ended == fleet.PastTop}
	if c.shortest, c.longest, c.today, c.judged = b.shares(r, gear); !c.judged || c.past || c.shortest != c.longest {
		return c
	}
	way := (r.DistanceFt - b.n.Sled.TakeUpFt) / c.longest
	if made := way * c.today; made >= bareLowFt && made <= bareHighFt || r.Confirmed {
		c.way = way
	}
	return c
}

// within is Range with the sled's other gears asked where there are at least that many, within a factor.
func (b *Belief) within(c Claim, gears int, factor float64) Range {
	if !c.judged {
		return Range{HighFt: math.Inf(1)}
	}
	if !b.settled {
		for _, of := range b.ways {
			slices.Sort(of)
		}
		b.settled = true
	}
	out := b.fullBack(c, gears, factor)
	takeUp := b.n.Sled.TakeUpFt
	out.LowFt, out.HighFt = takeUp+out.LowFt*c.shortest, takeUp+out.HighFt*c.longest
	for _, ft := range []*float64{&out.ExpectedFt, &out.FastestFt, &out.SlowestFt} {
		if *ft > 0 {
			*ft = takeUp + *ft*c.longest
		}
	}
	if c.past {
		out.HighFt = math.Inf(1)
	}
	return out
}

// fullBack is Range of the way to the top from full back, without the claim itself.
func (b *Belief) fullBack(c Claim, gears int, factor float64) Range {
	own := allBut{sorted: b.ways[c.gear], skip: len(b.ways[c.gear])}
	if i, there := slices.BinarySearch(own.sorted, c.way); there && c.way > 0 {
		own.skip = i
	}
	var others []float64
	for g, of := range b.ways {
		if g != c.gear && len(of) > 0 {
			others = append(others, allBut{of, len(of)}.median())
		}
	}
	slices.Sort(others)
	out := Range{LowFt: bareLowFt / c.today, HighFt: bareHighFt / c.today}
	n := own.len()
	switch {
	case n >= 2 && own.at(n/2) <= own.at((n-1)/2)*beliefFactor:
		middle := own.median()
		out = Range{LowFt: middle / beliefFactor, HighFt: middle * beliefFactor, ExpectedFt: middle, Own: true}
		others = append(others, middle)
		slices.Sort(others)
	case len(others) >= gears:
		middle := allBut{others, len(others)}.median()
		out = Range{LowFt: middle / factor, HighFt: middle * factor, ExpectedFt: middle}
	}
	if len(others) > 0 {
		out.FastestFt, out.SlowestFt = others[0], others[len(others)-1]
	}
	return out
}

// shares bound the way of a reading as a share of its gear's way from full back as the gear stands today: straight, by
// the taped travel. They are equal where the travel is known or the box started full back. False where nothing can be
// said.
func (b *Belief) shares(r *fleet.Figure, gear int) (shortest, longest, today float64, ok bool) {
	shift, travel, _, ok := b.n.carry(r, gear)
	if !ok {
		return 0, 0, 0, false
	}
	today = math.Exp(-shift)
	end := travel
	if r.Ended == fleet.StoppedShort {
		if r.EndFt == nil {
			return 0, 0, 0, false
		}
		end = *r.EndFt
	}
	switch {
	case travel > 0:
		// a change of parts that moves the travel knows it before and after
		share := today * (end - r.StartFt) / *b.n.Sled.TravelFt
		return share, share, today, share > 0
	case r.Ended == fleet.StoppedShort:
		return 0, 0, 0, false
	case r.StartFt == 0:
		return today, today, today, true
	}
	return today * leastShareUntaped, today, today, true
}

// allBut is values in ascending order but for one, by its place; with a place past the last, all of them.
type allBut struct {
	sorted []float64
	skip   int
}

func (w allBut) len() int { return len(w.sorted) - min(len(w.sorted)-w.skip, 1) }

func (w allBut) at(i int) float64 {
	if i >= w.skip {
		i++
	}
	return w.sorted[i]
}

// median of at least one value; of two in the middle, their geometric mean.
func (w allBut) median() float64 {
	n := w.len()
	return math.Sqrt(w.at((n-1)/2) * w.at(n/2))
}
