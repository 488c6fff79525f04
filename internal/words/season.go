package words

import (
	"fmt"
	"math"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// Suspect is the sled whose chart may be off where a class keeps being moved one way.
type Suspect struct {
	Sled string // its name
	Only bool   // the class was moved on this sled alone; else it is the one that the class is used to
}

// Moved says how a class was set over a season of so many shows against what was planned, and what may be off where it
// keeps being moved one way.
func Moved(m match.Moved, shows int, of Suspect, units fleet.Units) string {
	switch {
	case m.Shows == 0:
		return "What was set was not noted at any of its shows."
	case m.OneWay && of.Only:
		return fmt.Sprintf("%s: the chart of %s or what this class stands for may be off.", oneWay(m, units), of.Sled)
	case m.OneWay:
		return fmt.Sprintf("%s: what this class stands for, or the chart of %s that it comes from, may be off.",
			oneWay(m, units), of.Sled)
	}
	at := ""
	if m.Shows < shows {
		at = fmt.Sprintf(", at the %s of %d that noted it", counted(m.Shows, "show"), shows)
	}
	if math.Abs(m.MeanFt) < noDifferenceFt {
		return fmt.Sprintf("Set as planned on average%s.", at)
	}
	return fmt.Sprintf("Set %s %s than planned on average%s.", finely(math.Abs(m.MeanFt), units), later(m.MeanFt), at)
}

func oneWay(m match.Moved, units fleet.Units) string {
	return fmt.Sprintf("Set %s than planned at %d of %d shows, by %s on average",
		later(m.MeanFt), m.Times, m.Shows, gap(m.MeanFt, units))
}

func counted(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}
