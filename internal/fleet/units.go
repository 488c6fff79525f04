package fleet

import (
	"fmt"
	"math"
)

// FeetPerMile and MetresPerFoot are exact: NIST Special Publication 811, Appendix B.
const (
	MetresPerFoot = 0.3048
	FeetPerMile   = 5280
	InchesPerFoot = 12
)

// Feet converts metres to feet.
func Feet(metres float64) float64 { return metres / MetresPerFoot }

// Metres converts feet to metres.
func Metres(feet float64) float64 { return feet * MetresPerFoot }

// Units are the units of what people read; the program itself counts in feet.
type Units string

// The units there are.
const (
	InFeet   Units = "ft"
	InMetres Units = "m"
)

// From converts feet to these units.
func (u Units) From(feet float64) float64 {
	if u == InMetres {
		return Metres(feet)
	}
	return feet
}

// FeetAndMetres is a distance as a refusal gives it, for readers who count in either: "34.5 ft (10.5 m)".
func FeetAndMetres(feet float64) string {
	return fmt.Sprintf("%.6g ft (%.6g m)", feet, inTenths(feet))
}

// BetweenFeet is a range of distances likewise: "3 to 200 ft (0.9 to 61 m)", "0 to 200 ft (61 m)".
func BetweenFeet(low, high float64) string {
	if low == 0 {
		return "0 to " + FeetAndMetres(high)
	}
	return fmt.Sprintf("%.6g to %.6g ft (%.6g to %.6g m)", low, high, inTenths(low), inTenths(high))
}

// inTenths is in metres, to a tenth where that is not nothing.
func inTenths(feet float64) float64 {
	metres := Metres(feet)
	if tenths := math.Round(metres*10) / 10; tenths != 0 && !math.IsInf(tenths, 0) {
		return tenths
	}
	return metres
}
