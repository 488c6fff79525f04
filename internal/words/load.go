package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/panload"
)

// Weight is a weight in whole pounds or kilograms: "14,000 lb".
func Weight(lb float64, units fleet.Units) string {
	return weightFigure(lb, 1, units) + nbsp + units.Weight()
}

// weightFigure is the size of a weight as a number alone, to a step, with commas between thousands.
func weightFigure(lb, step float64, units fleet.Units) string {
	const most = 10 * fleet.MaxLoadLb // weighings that contradict each other can imply more
	size := units.FromPounds(min(math.Abs(lb), most))
	text := strconv.FormatFloat(math.Round(size/step)*step, 'f', 0, 64)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

// roundedLoad is the size of a load without its unit, and its ± as "± 150 lb", which never reads as zero. Both are to
// ten where the ± is a hundred or more.
func roundedLoad(l panload.Load, units fleet.Units) (size, plusMinus string) {
	half, step := (l.HighLb-l.LowLb)/2, 1.0
	if units.FromPounds(half) >= 100 {
		step = 10
	}
	plusMinus = weightFigure(half, step, units)
	if plusMinus == "0" {
		plusMinus = "1"
	}
	return weightFigure(l.Lb, step, units), "±" + nbsp + plusMinus + nbsp + units.Weight()
}

// loadText is a load with its ±: "27,760 ± 150 lb", or "−300 ± 150 lb" where it would lift.
func loadText(l panload.Load, units fleet.Units) string {
	size, plusMinus := roundedLoad(l, units)
	return signed(l.Lb, size) + nbsp + plusMinus
}

// signed is a size with a minus where what it is of is less than nothing.
func signed(lb float64, size string) string {
	if lb < 0 && !strings.HasPrefix(size, "0") {
		return "−" + size
	}
	return size
}

// Blocks are blocks in words: "7 blocks of 2,000 lb and 1 of 500 lb".
func Blocks(blocks []panload.Block, units fleet.Units) string {
	said := make([]string, len(blocks))
	for i, b := range blocks {
		what := "of "
		if i == 0 {
			what = "blocks of "
			if b.Count == 1 {
				what = "block of "
			}
		}
		said[i] = fmt.Sprintf("%d%s%s%s", b.Count, nbsp, what, Weight(b.Lb, units))
	}
	switch n := len(said); n {
	case 0:
		return "no blocks"
	case 1:
		return said[0]
	default:
		return strings.Join(said[:n-1], ", ") + " and " + said[n-1]
	}
}

// LoadCaution goes with every weight that is answered, beside the standing sentence.
const LoadCaution = "The limits of box, frame, rails, axles, tires and pan are their makers', and class and " +
	"sanctioning rules on weights come first: nothing here says that a weight is safe. Blocks are secured and placed " +
	"as always. More blocks load chains, clutch, brakes and stops more, most of all in a fast gear."

// WeighingCaution goes with what to weigh.
const WeighingCaution = "Weigh on hard level ground with a scale within its capacity: wheels chocked, pan fully " +
	"down, box brake set, drive locked out, engine off before anybody reads. Nobody stands under the sled, between " +
	"the rails or in line with the box, and nothing is held by a jack alone."

// Standing is what an answer about sleds compares and what it does not, in a fleet where sleds were weighed, or none
// was, and which of them are invented.
func Standing(weighed bool, about ...fleet.Sled) string {
	said := "This compares where the box tops out and how fast it moves. It says nothing of weight, grip, chain " +
		"or track."
	if weighed {
		said = "This compares where the box tops out, how fast it moves and, where sleds were weighed, what lies on " +
			"the pan. It says nothing of grip, chain or track."
	}
	return said + " The sled operator, the class rules and local codes decide." + Invented(about...)
}

// PanPlace is one place of the box: at the hook, halfway, or at the top. A load is nil where the weighings do not tell.
type PanPlace struct {
	Where       string   // "hook", "middle" or "top"
	BoxAtFt     *float64 // box mark; nil where the travel is not known
	AtFt        *float64 // distance along the pull, where a gear was asked for and its top-out is known
	Pan, Tandem *panload.Load
}

var placeNames = map[string]string{"hook": "At the hook", "middle": "Halfway", "top": "At the top"}

// PanLine says what lies on the pan at a place of which the box mark is known.
func PanLine(p PanPlace, units fleet.Units) string {
	at := fmt.Sprintf("%s, with the box at %s", placeNames[p.Where], boxMark(*p.BoxAtFt, units))
	if p.AtFt != nil && *p.AtFt > 0 {
		at += fmt.Sprintf(" (%s down the track)", length(*p.AtFt, units))
	}
	if p.Pan == nil {
		return at + ": the weighings do not tell."
	}
	said := fmt.Sprintf("%s: %s on the pan", at, loadText(*p.Pan, units))
	if p.Tandem != nil {
		said += fmt.Sprintf(", %s on the tandem", loadText(*p.Tandem, units))
	}
	return said + "."
}

func boxMark(ft float64, units fleet.Units) string {
	if ft == 0 {
		return fullBack
	}
	return exactLength(ft, units)
}

// PanHeadline says what a sled carries at the top with so much in its box, or that nobody knows. from is the date of
// the change of parts that ended the weighings before it, "" without one.
func PanHeadline(
	sled string, inBoxLb float64, weighings int, from string, top *panload.Load, units fleet.Units,
) string {
	sled = isolated(sled)
	with := "with an empty box"
	if inBoxLb > 0 {
		with = fmt.Sprintf("with %s in the box", Weight(inBoxLb, units))
	}
	switch {
	case weighings == 0 && from != "":
		return fmt.Sprintf("%s has not been weighed since the change of parts on %s.", sled, date(from))
	case weighings == 0:
		return sled + " is not weighed."
	case top == nil:
		return fmt.Sprintf("The weighings of %s do not tell yet what lies on its pan at the top %s.", sled, with)
	}
	return fmt.Sprintf("%s the pan of %s carries %s at the top.", upper(with), sled, loadText(*top, units))
}

// WeighNext says what is still worth weighing. boxAtFt is nil where the travel is not known.
func WeighNext(s panload.State, boxAtFt *float64, units fleet.Units) string {
	mark := map[panload.Mark]string{panload.Back: fullBack, panload.Middle: "the middle",
		panload.Top: "the top"}[s.Mark]
	if boxAtFt != nil && *boxAtFt > 0 {
		mark += fmt.Sprintf(" (%s)", exactLength(*boxAtFt, units))
	}
	load := "empty"
	if s.Loaded {
		load = "loaded with most of its blocks"
	}
	why := "what lies on the pan follows from it"
	if s.Mark == panload.Middle {
		why = "it shows whether the others can be believed"
	}
	return fmt.Sprintf("Weigh the sled %s, with the box at %s: %s.", load, mark, why)
}
