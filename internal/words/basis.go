package words

import (
	"strings"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

// Basis is what a number rests on, in words that begin with a letter whoever stated it.
func Basis(b fleet.Basis, statedBy string) string {
	switch b {
	case fleet.Interpolated:
		return "between measured start positions"
	case fleet.Extended:
		return "beyond what was measured"
	case fleet.StatedBasis:
		if statedBy != "" {
			return "stated by " + statedBy
		}
		return "only stated"
	case fleet.Carried:
		return "from before the change"
	case fleet.Geared:
		return "from the ratios"
	case fleet.Unknown, "":
		return "not known"
	}
	return string(b)
}

// Part is the name of something that a prediction needs.
func Part(p driveline.Part) string { return strings.ReplaceAll(string(p), "-", " ") }
