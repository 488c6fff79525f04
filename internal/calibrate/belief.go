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
	// grossFactor and grossGears are the same where a reading that is stored already is left out without asking: there have to be
	// two other gears, because one alone may be the wrong one itself.
	grossFactor = 2.5
	grossGears  = 2
	// bareLowFt and bareHighFt bound a top-out from full back on a sled of which nothing else is known.
	bareLowFt, bareHighFt = 50.0, 1000.0
	// leastShareUntaped is the least share of the travel that a forward start leaves on a sled whose travel is not known.
	leastShareUntaped = 0.5
)

// Range is where the distance of one reading would have to lie, in ft, to be believed without asking.
type Range struct {
	LowFt, HighFt float64
	ExpectedFt    float64 // about where it should lie; 0 on a sled of which nothing else is known
}

// Holds says whether a distance lies inside.
func (r Range) Holds(distanceFt float64) bool { return distanceFt >= r.LowFt && distanceFt <= r.HighFt }

// Belief tells distances that can be believed from those that are asked about.
type Belief struct {
	n    Notebook
	gear map[string]int
	has  map[string]bool // ids of the readings learned from
	ways [][]float64     // by gear: ways to the top from full back that its readings imply, ft, ascending
}

// BeliefOf learns from a notebook's readings that are not set aside, those of a request under way included.
func BeliefOf(n Notebook) *Belief {
	b := &Belief{n: n, gear: make(map[string]int, len(n.Sled.Gears)), has: map[string]bool{}, ways: make([][]float64, len(n.Sled.Gears))}
	for i, g := range n.Sled.Gears {
		b.gear[g.ID] = i
	}
	for i := range n.Readings {
		if gear, way, ok := b.way(&n.Readings[i]); ok {
			b.ways[gear] = append(b.ways[gear], way)
			b.has[n.Readings[i].ID] = true
		}
	}
	for _, of := range b.ways {
		slices.Sort(of)
	}
	return b
}

// Of says where the distance of a reading would have to lie: within a factor of 1.5 of the median of its gear's other
// readings, each moved to the same way of the box; with fewer than two of these, or where they contradict each other,
// within a factor of 2 of the sled's other gears; on a bare sled between 50 and 1,000 ft from full back. A reading past the
// top has a lower limit only. The notebook may hold the reading itself, which is not compared with itself.
func (b *Belief) Of(r fleet.Reading) Range { return b.of(r, 1, ladderFactor) }

// gross says whether a reading lies so far off that it is left out without asking.
func (b *Belief) gross(r fleet.Reading) bool {
	return !b.of(r, grossGears, grossFactor).Holds(r.DistanceFt)
}

// of is Of with the sled's other gears asked where there are at least that many, within a factor.
func (b *Belief) of(r fleet.Reading, gears int, factor float64) Range {
	all := Range{HighFt: math.Inf(1)}
	gear, known := b.gear[r.GearID]
	if !known {
		return all
	}
	shortest, longest, ok := b.shares(&r, gear)
	if !ok {
		return all
	}
	out := b.fullBack(gear, r, gears, factor)
	takeUp := b.n.Sled.TakeUpFt
	out.LowFt, out.HighFt = takeUp+out.LowFt*shortest, takeUp+out.HighFt*longest
	if out.ExpectedFt > 0 {
		out.ExpectedFt = takeUp + out.ExpectedFt*longest
	}
	if r.Ended == fleet.PastTop {
		out.HighFt = math.Inf(1)
	}
	return out
}

// fullBack is Range of the way to the top from full back, without r itself.
func (b *Belief) fullBack(gear int, r fleet.Reading, gears int, factor float64) Range {
	own := b.ways[gear]
	if _, way, ok := b.way(&r); ok && b.has[r.ID] {
		if i, there := slices.BinarySearch(own, way); there {
			own = slices.Delete(slices.Clone(own), i, i+1)
		}
	}
	if len(own) >= 2 && own[len(own)/2] <= own[(len(own)-1)/2]*beliefFactor {
		middle := median(own)
		return Range{middle / beliefFactor, middle * beliefFactor, middle}
	}
	var others []float64
	for g, of := range b.ways {
		if g != gear && len(of) > 0 {
			others = append(others, median(of))
		}
	}
	if len(others) >= gears {
		slices.Sort(others)
		middle := median(others)
		return Range{middle / factor, middle * factor, middle}
	}
	return Range{bareLowFt, bareHighFt, 0}
}

// way is the way to the top from full back, as the gear stands today, that a reading implies; false where it implies none or
// one that no sled has.
func (b *Belief) way(r *fleet.Reading) (gear int, way float64, ok bool) {
	gear, known := b.gear[r.GearID]
	if !known || r.SetAside != nil || r.Ended == fleet.PastTop {
		return 0, 0, false
	}
	shortest, longest, ok := b.shares(r, gear)
	if !ok || shortest != longest {
		return 0, 0, false
	}
	way = (r.DistanceFt - b.n.Sled.TakeUpFt) / longest
	return gear, way, way >= bareLowFt && way <= bareHighFt
}

// shares bound the way of a reading as a share of its gear's way from full back as the gear stands today: straight, by the
// taped travel. They are equal where the travel is known or the box started full back. False where nothing can be said.
func (b *Belief) shares(r *fleet.Reading, gear int) (shortest, longest float64, ok bool) {
	shift, travel, _, ok := b.n.carry(r, gear)
	if !ok {
		return 0, 0, false
	}
	today := math.Exp(-shift)
	end := travel
	if r.Ended == fleet.StoppedShort {
		if r.EndFt == nil {
			return 0, 0, false
		}
		end = *r.EndFt
	}
	switch {
	case travel > 0:
		share := today * (end - r.StartFt) / *b.n.Sled.TravelFt // a change of parts that moves the travel knows it before and after
		return share, share, share > 0
	case r.Ended == fleet.StoppedShort:
		return 0, 0, false
	case r.StartFt == 0:
		return today, today, true
	}
	return today * leastShareUntaped, today, true
}

// median of at least one value in ascending order; of two in the middle, their geometric mean.
func median(sorted []float64) float64 {
	return math.Sqrt(sorted[(len(sorted)-1)/2] * sorted[len(sorted)/2])
}
