package words

import (
	"fmt"
	"math"

	"evenpull/internal/fleet"
)

// Night says what the pulls of one night have shown: how many count, by how many feet everything tops out later than
// usual, nil where no gear is known to say it by, and how many of them lie so far off that they move nothing.
func Night(pulls int, laterFt *float64, off int, units fleet.Units) string {
	said := ""
	switch {
	case pulls == 0:
	case laterFt == nil:
		said = fmt.Sprintf("After %s tonight.", counted(pulls, "pull"))
	case math.Abs(*laterFt) < negligibleFt:
		said = fmt.Sprintf("After %s tonight: as usual.", counted(pulls, "pull"))
	default:
		said = fmt.Sprintf("After %s tonight: %s %s than usual.", counted(pulls, "pull"),
			nonzeroLength(*laterFt, units), later(*laterFt))
	}
	switch {
	case off == 0:
		return said
	case said != "":
		said += " "
	}
	if off == 1 {
		return said + "1 pull tonight lies far from what the other days say: it is not used until another one " +
			"agrees with it or " +
			"somebody confirms it."
	}
	return fmt.Sprintf("%s%d pulls tonight lie far from what the other days say: they are not used until somebody "+
		"confirms them.", said, off)
}
