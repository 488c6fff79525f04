package words

import (
	"fmt"
	"math"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// Suspect is the sled whose chart may be wrong where a class is moved one way again and again.
type Suspect struct {
	Sled string // its name
	Only bool   // the class was moved on this sled alone; else it is the one that the class is used to
}

// Moved compares how a class was set over a season of so many shows with what was planned, and says what may be wrong
// where it is moved one way again and again.
func Moved(m match.Moved, shows int, of Suspect, units fleet.Units) string {
	of.Sled = isolated(of.Sled)
	switch {
	case m.Shows == 0:
		return "What was set was not noted at any of its shows."
	case m.OneWay && of.Sled == "":
		return fmt.Sprintf("%s: the distance that this class is set to may be off.", movedOneWay(m, units))
	case m.OneWay && of.Only:
		return fmt.Sprintf("%s: the chart of %s, or the top-out noted for this class, may be off.",
			movedOneWay(m, units), of.Sled)
	case m.OneWay:
		return fmt.Sprintf("%s: the top-out noted for this class, or the chart of %s that it comes from, may be off.",
			movedOneWay(m, units), of.Sled)
	}
	at := ""
	if m.Shows < shows {
		at = fmt.Sprintf(", at the %s of %d that noted it", counted(m.Shows, "show"), shows)
	}
	if math.Abs(m.MeanFt) < negligibleFt {
		return fmt.Sprintf("Set as planned on average%s.", at)
	}
	return fmt.Sprintf("Set %s %s than planned on average%s.", fineLength(math.Abs(m.MeanFt), units), later(m.MeanFt),
		at)
}

func movedOneWay(m match.Moved, units fleet.Units) string {
	return fmt.Sprintf("Set %s than planned at %d of %d shows, by %s on average",
		later(m.MeanFt), m.Times, m.Shows, nonzeroLength(m.MeanFt, units))
}

// counted is a number of things: "1 reading", "2 changes of parts".
func counted(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	if thing, rest, found := strings.Cut(one, " of "); found {
		return fmt.Sprintf("%d %ss of %s", n, thing, rest)
	}
	return fmt.Sprintf("%d %ss", n, one)
}
