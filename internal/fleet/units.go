package fleet

import (
	"fmt"
	"math"
)

// Exact: NIST Special Publication 811, Appendix B.
const (
	metersPerFoot = 0.3048
	FeetPerMile   = 5280
	InchesPerFoot = 12
	kgPerPound    = 0.45359237
)

// Feet converts meters to feet.
func Feet(meters float64) float64 { return meters / metersPerFoot }

// Units are the units of what people read; the program itself counts in feet.
type Units string

// The units there are.
const (
	InFeet   Units = "ft"
	InMeters Units = "m"
)

// From converts feet to these units.
func (u Units) From(feet float64) float64 {
	if u == InMeters {
		return feet * metersPerFoot
	}
	return feet
}

// Pounds converts kilograms to pounds.
func Pounds(kilograms float64) float64 { return kilograms / kgPerPound }

// FromPounds converts pounds to the unit of weight that goes with these units.
func (u Units) FromPounds(pounds float64) float64 {
	if u == InMeters {
		return pounds * kgPerPound
	}
	return pounds
}

// Weight is the unit of weight that goes with these units: lb or kg.
func (u Units) Weight() string {
	if u == InMeters {
		return "kg"
	}
	return "lb"
}

// Decimals is how many decimals a distance on the ground has in these units: a tenth of a meter is a third of a foot.
func (u Units) Decimals() int {
	if u == InMeters {
		return 1
	}
	return 0
}

// FeetAndMeters is a distance as a refusal gives it, for readers who count in either: "34.5 ft (10.5 m)".
func FeetAndMeters(feet float64) string {
	return fmt.Sprintf("%.6g ft (%.6g m)", feet, metersToTenths(feet))
}

// BetweenFeet is a range of distances likewise: "3 to 200 ft (0.9 to 61 m)", "0 to 200 ft (61 m)".
func BetweenFeet(low, high float64) string {
	if low == 0 {
		return "0 to " + FeetAndMeters(high)
	}
	return fmt.Sprintf("%.6g to %.6g ft (%.6g to %.6g m)", low, high, metersToTenths(low), metersToTenths(high))
}

// metersToTenths is in meters, to a tenth where that is not nothing.
func metersToTenths(feet float64) float64 {
	meters := InMeters.From(feet)
	if tenths := math.Round(meters*10) / 10; tenths != 0 && !math.IsInf(tenths, 0) {
		return tenths
	}
	return meters
}

// poundsAndKilograms is a weight as a refusal gives it, for readers who count in either: "12000 lb (5443 kg)".
func poundsAndKilograms(pounds float64) string {
	return fmt.Sprintf("%.7g lb (%.7g kg)", pounds, math.Round(InMeters.FromPounds(pounds)))
}
