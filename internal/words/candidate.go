package words

import (
	"fmt"

	"evenpull/internal/fleet"
)

// Candidate says how near a sled comes to the classes of a show: to how many of them something is known, for how many
// it has a gear within nearFt, and the largest difference, rounded up, with the class it is of; nil where nothing is
// known. "Within 5 ft for 7 of 8 classes; worst 8 ft, Farm 13250."
func Candidate(classes, known, near int, nearFt float64, worstFt *float64, worst string, units fleet.Units) string {
	if worstFt == nil {
		return "Nothing is known of it for these classes."
	}
	within := "within " + length(nearFt, units)
	of := fmt.Sprintf("%d of %d classes", near, classes)
	switch {
	case classes == 1:
		of = "the one class"
		if near == 0 {
			within = "not " + within
		}
	case known < classes:
		of += fmt.Sprintf(", nothing known for %d", classes-known)
	case near == classes:
		of = fmt.Sprintf("all %d classes", classes)
	}
	said := upper(within) + " for " + of
	if *worstFt == 0 {
		return said + "."
	}
	return said + "; worst " + lengthRoundedUp(*worstFt, units) + ", " + isolated(worst) + "."
}
