package words

import (
	"fmt"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

// Advice says what a reading in that gear would do for its ±, which has a decimal more here because gains are small.
func Advice(gear string, a calibrate.Advice, units fleet.Units) string {
	what := fmt.Sprintf("Gear %s from %s", isolated(gear), Position(a.StartFt, units))
	then := fmt.Sprintf("±%s%s after this reading.", nbsp, fineLength(a.Then, units))
	if a.Now == nil {
		return fmt.Sprintf("%s: nothing is known about it yet, %s", what, then)
	}
	return fmt.Sprintf("%s: ±%s%s now, %s", what, nbsp, fineLength(*a.Now, units), then)
}

// Drift says what the days of a sled show and where to look.
func Drift(sled string, d calibrate.Drift) string {
	sled = isolated(sled)
	pct := 100 * d.Log
	since := fmt.Sprintf("Since %s, %s tops out %s %s", date(d.From), sled, percent(pct), later(pct))
	switch {
	case d.Kind == "jump":
		return since + " than before: something was changed or broke. " +
			"If parts were changed, note the change; else look for what is worn or slips."
	case pct > 0:
		return since + " from each test day to the next. " +
			"Worn tires do the opposite: look at tire pressure and at what may slip more and more."
	}
	return since + " from each test day to the next. Tires that wear do that: measure how far they roll in one turn."
}

// StandsOut says by how many percent a gear's top-out was measured off what the other gears predict.
func StandsOut(gear string, offPct float64) string {
	return fmt.Sprintf("Gear %s was measured %s %s than its ratio and the sled's other gears say: "+
		"its ratio, its label or a reading is noted wrongly.", isolated(gear), percent(offPct), farther(offPct))
}
