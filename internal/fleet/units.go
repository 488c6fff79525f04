package fleet

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
