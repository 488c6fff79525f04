package words

import (
	"fmt"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/panload"
)

// PanCheck says what a check of weighings found and what to do about it. of finds a weighing by its id.
func PanCheck(k panload.Check, of func(id string) fleet.Weighing, units fleet.Units) (detail, action string) {
	noted, expected := Weight(k.Noted, units), Weight(k.Expected, units)
	state := func(id string) string { return weighingState(of(id), units) }
	switch k.Code {
	case panload.OutOfLine:
		return weighingOutOfLine(k, state, units)
	case panload.MiddleOff:
		return fmt.Sprintf("The middle marks lie off the line between back and top: %s read %s, and the others say %s.",
				state(k.Weighing), noted, expected),
			"Look at springs, at air bags and at where the nose of the pan touches the scale; then weigh the " +
				"middle again."
	case panload.SameDiffers:
		return fmt.Sprintf("Two weighings of one state differ: %s read %s, and on %s it was %s.", state(k.Weighing),
				noted,
				date(of(k.Others[0]).WeighedOn), expected),
			"Weigh that state once more and set the wrong one aside. If the sled was changed between them, note " +
				"the change and that it ended the weighings before it."
	case panload.PartsNotTotal:
		return fmt.Sprintf("Pan and tandem of %s make %s together, and the whole sled read %s.", state(k.Weighing),
				noted, expected),
			"Look at the three figures again: one is misread, or the sled stood off level."
	case panload.TotalNotBlocks:
		return fmt.Sprintf("The whole sled read %s in %s; with the blocks that were noted it should be %s.", noted,
				state(k.Weighing), expected),
			"Count the blocks again. If one was miscounted, set the weighing aside and add it again."
	case panload.FallsForward:
		return fmt.Sprintf("With %s in the box the pan load falls as the box goes forward, which no box does.", noted),
			"Look whether the marks of back and top were swapped, or pan and tandem."
	case panload.LengthOff:
		return fmt.Sprintf("The weighings imply %s from the tandem to the pan pin, and %s were taped.",
				fineLength(k.Expected, units), fineLength(k.Noted, units)),
			"Tape it again. If the tape is right, look at the marks and the blocks of the weighings: a whole " +
				"series may be noted wrongly."
	case panload.BoxOff:
		return fmt.Sprintf("The weighings imply an empty box of %s, and %s are noted.", expected, noted),
			"Look at what the box weighs, and whether blocks were left in it when it was weighed empty."
	case panload.CenterOff:
		return fmt.Sprintf("The weighings imply that the center of the box at full back is %s, and it was taped %s.",
				beside(k.Expected, units), beside(k.Noted, units)),
			"Tape it again, and look which side of the tandem it is."
	}
	return "", ""
}

var weighingMends = map[panload.Mend]string{
	panload.OtherMark:   "another mark of the box",
	panload.PanIsTandem: "if pan and tandem were swapped",
	panload.Kilograms:   "if the scale read kilograms",
	panload.BlockMore:   "with one block more than was noted",
	panload.BlockLess:   "with one block fewer than was noted",
}

func weighingOutOfLine(k panload.Check, state func(string) string, units fleet.Units) (detail, action string) {
	detail = fmt.Sprintf("%s read %s, and the others say about %s.", upper(state(k.Weighing)), Weight(k.Noted, units),
		Weight(k.Expected, units))
	if fits := weighingMends[k.Mend]; fits != "" {
		return detail + " It fits " + fits + ".",
			"Look at the note again. If that is so, set the weighing aside and add it again as it was."
	}
	if len(k.Others) > 0 {
		others := make([]string, len(k.Others))
		for i, id := range k.Others {
			others[i] = state(id)
		}
		detail += " Which one is off cannot be told: it may also be " + strings.Join(others, ", or ") + "."
	}
	return detail, "Weigh that state once more, and set aside the one that does not repeat."
}

// weighingState is a weighing by its state: "the weighing of May 8, 2026 with the box at full back and 12,000 lb in
// it".
func weighingState(w fleet.Weighing, units fleet.Units) string {
	in := "nothing in it"
	if w.InBoxLb > 0 {
		in = Weight(w.InBoxLb, units) + " in it"
	}
	return fmt.Sprintf("the weighing of %s with the box at %s and %s", date(w.WeighedOn), boxMark(w.BoxAtFt, units), in)
}

// beside is a place along the sled: "2.8 ft behind the tandem".
func beside(ft float64, units fleet.Units) string {
	if ft < 0 {
		return fineLength(-ft, units) + " behind the tandem"
	}
	return fineLength(ft, units) + " ahead of the tandem"
}

// upper begins a sentence: the text begins with a lower-case letter.
func upper(text string) string { return strings.ToUpper(text[:1]) + text[1:] }
