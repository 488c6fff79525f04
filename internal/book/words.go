package book

import (
	"fmt"

	"evenpull/internal/fleet"
)

// inWords is a distance as people read it, rounded to that many decimals.
func inWords(units fleet.Units, feet float64, decimals int) string {
	if units == fleet.InMetres {
		return fmt.Sprintf("%.*f m", decimals+1, units.From(feet)) // a tenth of a metre is a third of a foot
	}
	return fmt.Sprintf("%.*f ft", decimals, feet)
}

// position is a start position as people say it.
func position(units fleet.Units, startFt float64) string {
	if startFt == 0 {
		return "full back"
	}
	return inWords(units, startFt, 1) + " forward"
}
