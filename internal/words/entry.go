package words

import (
	"fmt"
	"math"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// What is asked about a reading before it is stored is said in both units: whoever noted it may have counted in either.

// near is a distance that is about so much, in both units. It never reads as nothing.
func near(feet float64) string { return fleet.FeetAndMeters(max(math.Round(clamped(feet)), 1)) }

// Unlikely asks about a distance that lies outside what is believed of it.
func Unlikely(r fleet.Reading, in calibrate.Range) string {
	noted := fleet.FeetAndMeters(r.DistanceFt)
	from := ""
	if r.StartFt > 0 {
		from = fmt.Sprintf(" from %s forward", fleet.FeetAndMeters(r.StartFt))
	}
	switch {
	case in.ExpectedFt == 0:
		low, high := math.Ceil(clamped(in.LowFt)), math.Floor(clamped(in.HighFt))
		return fmt.Sprintf("%s? A box drive tops out at %s%s.", noted, fleet.BetweenFeet(max(low, 1), max(high, 1)),
			from)
	case r.Ended == fleet.StoppedShort:
		return fmt.Sprintf("%s? By the way its box moved, a pull in gear %s comes about %s.", noted, r.Gear,
			near(in.ExpectedFt))
	case r.Ended == fleet.PastTop:
		return fmt.Sprintf("%s? Gear %s tops out near %s%s; a pull that went past the top ended farther on.",
			noted, isolated(r.Gear), near(in.ExpectedFt), from)
	case r.DistanceFt > in.SlowestFt:
		return fmt.Sprintf("%s? This sled's slowest gear tops out near %s%s.", noted, near(in.SlowestFt), from)
	case r.DistanceFt < in.FastestFt:
		return fmt.Sprintf("%s? This sled's fastest gear tops out near %s%s.", noted, near(in.FastestFt), from)
	}
	return fmt.Sprintf("%s? Gear %s tops out near %s%s.", noted, isolated(r.Gear), near(in.ExpectedFt), from)
}

// OddDate asks about a reading whose date makes a day of its own far from all others.
func OddDate(r fleet.Reading, days int) string {
	return fmt.Sprintf("%s? It is more than a year ago, and this sled has no other reading within %d days of it. Is "+
		"the year right?",
		date(r.MeasuredOn), days)
}

// Repeated names a row that is stored already.
func Repeated(r fleet.Reading) string {
	from := fullBack
	if r.StartFt > 0 {
		from = fleet.FeetAndMeters(r.StartFt) + " forward"
	}
	return fmt.Sprintf("is stored already: %s in gear %s from %s on %s", fleet.FeetAndMeters(r.DistanceFt), r.Gear,
		from, date(r.Day))
}
