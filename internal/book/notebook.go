package book

import (
	"math"

	"evenpull/internal/calibrate"
	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

// notebookOf is what a sled's chart is made from: its readings, and what its changes of parts do to those made before
// them.
func notebookOf(t fleet.Timeline, readings []fleet.Figure) calibrate.Notebook {
	stages := t.Stages()
	n := calibrate.Notebook{Sled: stages[len(stages)-1], Readings: readings}
	parts := partsOf(n.Sled)
	for _, g := range n.Sled.Gears {
		n.Slowness = append(n.Slowness, parts.LogSlowness(gearOf(g)))
	}
	for i, c := range t.Changes {
		n.Changes = append(n.Changes, calibrate.Change{
			On: c.MadeOn, LogShift: logShifts(c, stages[i], stages[i+1]), TravelFt: valueOrZero(stages[i].TravelFt),
		})
	}
	return n
}

// logShifts are what a change does to the readings of each gear made before it, NaN where nobody knows.
func logShifts(c fleet.Change, before, after fleet.Sled) []float64 {
	shifts := make([]float64, len(after.Gears))
	for i := range shifts {
		shift, missing := shiftOf(before, after, i)
		if c.Effect != fleet.ByRatio || len(missing) > 0 || travelUnknown(before, after) {
			shift = math.NaN()
		}
		shifts[i] = shift
	}
	return shifts
}

// shiftOf is the shift of one gear, the same place in both.
func shiftOf(before, after fleet.Sled, gear int) (log float64, missing []driveline.Part) {
	return driveline.Shift(partsOf(before), gearOf(before.Gears[gear]), partsOf(after), gearOf(after.Gears[gear]))
}

// travelUnknown says whether a cut-off or a stop was moved and nobody knows from where.
func travelUnknown(before, after fleet.Sled) bool {
	return (before.TravelFt == nil) != (after.TravelFt == nil)
}

func partsOf(s fleet.Sled) driveline.Parts { return driveline.Parts(s.Driveline) }

func gearOf(g fleet.Gear) driveline.Gear {
	return driveline.Gear{Ratio: valueOrZero(g.Ratio), Range: g.Range}
}

// valueOrZero is 0 where nothing is known.
func valueOrZero(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}
