package words

import (
	"fmt"
	"math"

	"evenpull/internal/fleet"
)

// Check says what a check found and what to do about it.
func Check(k fleet.Check, units fleet.Units) (detail, action string) {
	k.Gear, k.OtherGear = isolated(k.Gear), isolated(k.OtherGear)
	switch k.Code {
	case fleet.ReadingOutOfLine, fleet.ReadingFitsAnotherGear:
		return outOfLine(k, units)
	case fleet.ReadingsDisagree:
		return fmt.Sprintf("%s and %s in gear %s from %s do not go together, and nothing tells which of them is wrong.",
				length(k.DistanceFt, units), length(k.OtherFt, units), k.Gear, Position(k.StartFt, units)),
			fmt.Sprintf("Measure gear %s once more. Then set the wrong one aside.", k.Gear)
	case fleet.ReadingConfirmed:
		return confirmedDetail(k, units),
			fmt.Sprintf("Measure gear %s once more, best on another day.", k.Gear)
	case fleet.ReadingNearTop:
		return fmt.Sprintf("%s in gear %s from %s is kept but not used: so near the top the box moves too little.",
				length(k.DistanceFt, units), k.Gear, Position(k.StartFt, units)),
			"Check the start position. If it was measured from the top, set the reading aside and add it again."
	case fleet.ReadingOfAnotherTravel:
		return fmt.Sprintf("%s in gear %s from %s on %s is kept but not used: it was made with another travel, "+
				"and a chart that goes by measured positions does not say what it would be with this one.",
				length(k.DistanceFt, units), k.Gear, Position(k.StartFt, units), date(k.On)),
			fmt.Sprintf("Measure gear %s from there again.", k.Gear)
	case fleet.OneDayOnly:
		return "All readings are from one day. No second day has checked them, and readings of one day can all be " +
				"off together.",
			"Measure two or three gears again on another day."
	case fleet.ReadingUnused:
		return fmt.Sprintf("The reading in gear %s that stopped short on %s is kept but not used: "+
				"nobody knows what share of the way its box had moved.", k.Gear, date(k.On)),
			"Tape the travel of this sled; then the reading counts."
	case fleet.ReadingsOutdated:
		return outdatedDetail(k), "Measure those gears again, or note the ratios before and after the change."
	case fleet.PastTopTooEarly:
		return fmt.Sprintf("The pull of %s in gear %s from %s on %s is noted as past the top, "+
				"but the chart says that gear tops out at %s.",
				length(k.DistanceFt, units), k.Gear, Position(k.StartFt, units), date(k.On),
				length(k.ExpectedFt, units)),
			"Look at the gear and at how the pull ended. " +
				"If it stopped short, set this reading aside and add it again as that."
	case fleet.DayStandsOff:
		return dayOffDetail(k),
			"Look for tire pressure, a soft surface, a wheel read from the wrong mark, or parts that were changed. " +
				"If the day was not as other days are, set its readings aside."
	case fleet.GearReadOnce:
		return fmt.Sprintf("Gear %s rests on one reading only.", k.Gear),
			"Measure it once more, best on another day; a single misread tape would go unnoticed."
	case fleet.GearsAlike:
		return alikeDetail(k, units),
			"Measure both once more on one day, one after the other, and check that the labels on the lever are right."
	case fleet.TravelDisagrees:
		return travelDetail(k, units)
	case fleet.ChangeDisagrees:
		return fmt.Sprintf("Moved by the ratio of the change, the readings of gear %s from before it lie %s %s "+
				"than those made since.", k.Gear, percent(k.DifferencePct), farther(k.DifferencePct)),
			"Look at the parts that were noted for the change, and at its date; the readings since are what counts."
	case fleet.NotMeasuredLately:
		return fmt.Sprintf("Nothing was measured on this sled since %s.", date(k.On)),
			"Measure the slowest and the fastest gear once; if both fit the chart, the rest most likely does."
	}
	return "", ""
}

// confirmedDetail says that a reading counts although the others contradict it, and what it does to its gear.
func confirmedDetail(k fleet.Check, units fleet.Units) string {
	said := fmt.Sprintf("%s in gear %s from %s on %s counts because somebody confirmed it, though the other "+
		"readings contradict it.",
		length(k.DistanceFt, units), k.Gear, Position(k.StartFt, units), date(k.Day))
	if k.DifferenceFt == 0 {
		return said
	}
	return fmt.Sprintf("%s It makes the gear's average %s, %s %s than without it, "+
		"where the 95 %% interval is %s to %s.",
		said, length(k.ExpectedFt+k.DifferenceFt, units), nonzeroLength(k.DifferenceFt, units),
		farther(k.DifferenceFt), length(k.LowFt, units), length(k.HighFt, units))
}

// outOfLine names a reading that the others contradict, and what may have happened to it.
func outOfLine(k fleet.Check, units fleet.Units) (detail, action string) {
	detail = fmt.Sprintf("%s noted in gear %s from %s on %s", length(k.DistanceFt, units), k.Gear,
		Position(k.StartFt, units), date(k.Day))
	if k.DifferenceFt != 0 {
		detail += fmt.Sprintf(" is %s %s than the other readings say", nonzeroLength(k.DifferenceFt, units),
			farther(k.DifferenceFt))
	} else {
		detail += " is beyond belief"
	}
	if may := Mend(k.Mend, units); may != "" {
		detail += "; " + may
	}
	return detail + ".", "Look at the note again. Until somebody corrects it, sets it aside or says that it is " +
		"right, it does not count."
}

// Mend says what a reading would be without a usual mistake: "swapped digits would give 268 ft".
func Mend(m *fleet.Mend, units fleet.Units) string {
	if m == nil {
		return ""
	}
	switch m.Kind {
	case fleet.AnotherGear:
		return fmt.Sprintf("it fits gear %s", isolated(m.Gear))
	case fleet.LabelsSwapped:
		return fmt.Sprintf("it fits gear %s, as if the two labels were swapped that day", isolated(m.Gear))
	case fleet.SwappedDigits:
		return fmt.Sprintf("swapped digits would give %s", exactLength(m.DistanceFt, units))
	case fleet.MetersAsFeet:
		return fmt.Sprintf("meters noted as feet would give %s", length(m.DistanceFt, units))
	case fleet.FeetAsMeters:
		return fmt.Sprintf("feet noted as meters would give %s", length(m.DistanceFt, units))
	case fleet.DecimalPoint:
		return fmt.Sprintf("a decimal point in its place would give %s", exactLength(m.DistanceFt, units))
	case fleet.OtherEnd:
		return fmt.Sprintf("a start measured from the other end would be %s", Position(m.StartFt, units))
	}
	return ""
}

// alikeDetail says that two gears cannot be told apart, and how far from each other they top out.
func alikeDetail(k fleet.Check, units fleet.Units) string {
	said := fmt.Sprintf("Gears %s and %s cannot be told apart: they top out ", k.OtherGear, k.Gear)
	if isZero(figure(math.Abs(k.DifferenceFt), maxDecimals, units)) {
		return said + "at the same distance."
	}
	return said + nonzeroLength(k.DifferenceFt, units) + " from each other, less than the readings can tell."
}

func outdatedDetail(k fleet.Check) string {
	const since = "before a change of parts whose effect is not known"
	if k.Readings == 1 {
		return fmt.Sprintf("1 reading of %s was made %s, and no longer counts.", date(k.On), since)
	}
	return fmt.Sprintf("%d readings up to %s were made %s, and no longer count.", k.Readings, date(k.On), since)
}

func dayOffDetail(k fleet.Check) string {
	if k.OtherDay != "" {
		return fmt.Sprintf("The readings of %s and of %s are about %s apart; one of the two days is off.",
			date(k.Day), date(k.OtherDay), percent(k.DifferencePct))
	}
	return fmt.Sprintf("On %s every reading was about %s %s than the sled's other days say.",
		date(k.Day), percent(k.DifferencePct), farther(k.DifferencePct))
}

// travelDetail says that readings and tape disagree: DistanceFt was taped, ExpectedFt is what the readings fit.
func travelDetail(k fleet.Check, units fleet.Units) (detail, action string) {
	taped := fineLength(k.DistanceFt, units)
	if k.ExpectedFt == 0 {
		return fmt.Sprintf("The start positions do not fit a box that moves evenly over %s of travel, "+
				"nor over any other travel; the chart goes by the measured positions.", taped),
			"Check the start positions of the readings and the take-up before the box moves; " +
				"then tape the travel again."
	}
	action = "Look for take-up before the box moves, then for a cut-off set early, " +
		"then for a tape read from the wrong mark; tape the travel again."
	decimals := units.Decimals() + 1
	fits := fmt.Sprintf("%s (%s to %s)", fineLength(k.ExpectedFt, units),
		figure(k.LowFt, decimals, units), figure(k.HighFt, decimals, units))
	if k.Used {
		return fmt.Sprintf("The readings fit a travel of %s, not the %s that were taped; the chart goes by the "+
			"readings.",
			fits, taped), action
	}
	return fmt.Sprintf("The readings would rather fit a travel of %s than the %s that were taped; "+
		"the chart still goes by the tape.", fits, taped), action
}
