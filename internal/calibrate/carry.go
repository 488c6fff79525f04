package calibrate

import (
	"math"
	"slices"

	"evenpull/internal/fleet"
)

// carriedSD is what a change of parts leaves unmeasured, as a logarithm, standard: rolling radius, a ratio's last
// digit.
const carriedSD = 0.003

// Change is one change of a sled's parts, by its effect on the readings made before it. Readings of its own day count
// as made after it.
type Change struct {
	On string // ISO 8601 date
	// of each gear of Sled.Gears: logarithm by which its way to the top grew for the same move of the box; NaN where
	// nobody knows, and readings made before then no longer count
	LogShift []float64
	TravelFt float64 // the travel before it; 0 when it was never taped
}

// carry moves a reading of a gear over every change made after it: the logarithm to add, the travel it was made with,
// and over how many. False when the effect of one is not known.
func (n Notebook) carry(r *fleet.Figure, gear int) (shift, travel float64, changes int, ok bool) {
	if n.Sled.TravelFt != nil {
		travel = *n.Sled.TravelFt
	}
	for i := len(n.Changes) - 1; i >= 0; i-- {
		c := n.Changes[i]
		if r.MeasuredOn >= c.On {
			break
		}
		if gear >= len(c.LogShift) || math.IsNaN(c.LogShift[gear]) {
			return 0, 0, 0, false
		}
		shift += c.LogShift[gear]
		travel = c.TravelFt
		changes++
	}
	return shift, travel, changes, true
}

// restored are the observations with what was carried in these gears beside what they have read since.
func (o *observations) restored(gears map[int]bool) *observations {
	out := *o
	out.before = nil
	out.list = slices.Clone(o.list)
	for _, obs := range o.before {
		if gears[obs.gear] {
			out.list = append(out.list, obs)
		} else {
			out.before = append(out.before, obs)
		}
	}
	out.settle()
	return &out
}

// takeOver drops what was carried in every gear that has topped out since, and keeps it for comparison.
func (o *observations) takeOver() {
	newest := map[int]int{} // gear → fewest changes since one of its topped-out readings
	for _, obs := range o.list {
		if least, had := newest[obs.gear]; obs.top && (!had || obs.since < least) {
			newest[obs.gear] = obs.since
		}
	}
	kept := o.list[:0]
	for _, obs := range o.list {
		if least, had := newest[obs.gear]; had && obs.since > least {
			o.before = append(o.before, obs)
			continue
		}
		kept = append(kept, obs)
	}
	o.list = kept
}
