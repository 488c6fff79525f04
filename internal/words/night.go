package words

import (
	"fmt"
	"math"
	"strings"

	"evenpull/internal/fleet"
)

// Night says what the pulls of one night have shown: how many count, by how many feet everything tops out later than
// usual, nil where no gear is known to say it by, and how many of them lie so far off that they move nothing.
func Night(pulls int, laterFt *float64, off int, units fleet.Units) string {
	after, strays := fmt.Sprintf("After %s tonight", counted(pulls, "pull")), ""
	switch {
	case pulls == 0:
		after = ""
	case laterFt == nil:
		after += "."
	case math.Abs(*laterFt) < negligibleFt:
		after += ": as usual."
	default:
		after += fmt.Sprintf(": %s %s than usual.", nonzeroLength(*laterFt, units), later(*laterFt))
	}
	switch off {
	case 0:
	case 1:
		strays = "1 pull tonight lies far from what the other days say: it is not used until another one agrees " +
			"with it or somebody confirms it."
	default:
		strays = fmt.Sprintf("%d pulls tonight lie far from what the other days say: they are not used until "+
			"somebody confirms them.", off)
	}
	return strings.TrimSpace(after + " " + strays)
}
