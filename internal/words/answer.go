package words

import (
	"fmt"
	"math"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// Answer is an answer in sentences. A sentence that there is no need of is empty.
type Answer struct {
	Headline   string   // which gear
	Meaning    string   // what that does to the pull
	Sure       string   // how sure it is the nearest
	Rests      []string // what the two numbers rest on
	MovedStart string   // the moved start, where it is worth it
	ForPullers ForPullers
}

// Names are the names of the two sleds of an answer.
type Names struct{ Asked, On string }

// ToAnswer says what an answer to a question comes to.
func ToAnswer(asked match.Asked, a match.Answer, names Names, units fleet.Units) Answer {
	t := answerText{asked: asked, answer: a, names: names, units: units}
	n := a.Nearest
	if n == nil {
		return t.unknown()
	}
	var out Answer
	switch {
	case n.OutOfReach != nil && *n.OutOfReach:
		out = t.outOfReach(*n)
	case n.Confidence == match.TossUp && a.RunnerUp != nil && !n.OwnSetting:
		out = t.tossUp(*n)
	default:
		out = t.inReach(*n)
	}
	out.Rests = t.basisLines(*n)
	if m := a.MovedStart; m != nil && m.WorthIt {
		out.MovedStart = t.movedStart(*m)
	}
	out.ForPullers = t.forPullers(*n, out)
	return out
}

// answerText makes the sentences of one answer.
type answerText struct {
	asked  match.Asked
	answer match.Answer
	names  Names
	units  fleet.Units
}

// setting is the setting asked about: "C on Bluestem".
func (t answerText) setting() string {
	if t.byDistance() {
		return exactLength(t.asked.TopOutFt, t.units)
	}
	return t.asked.Gear + " on " + t.names.Asked
}

// byDistance says whether a distance is asked about, and no setting.
func (t answerText) byDistance() bool { return t.asked.Basis == fleet.Given }

// onePull is what the ± beside a top-out and a difference is of.
const onePull = "on one more pull tonight"

// off is a difference from what was asked, with the ± of one more pull tonight.
func (t answerText) off(d match.Difference) rounded {
	return withInterval(d.DifferenceFt, d.DifferenceTonightLowFt, d.DifferenceTonightHighFt, t.units)
}

// spansZero says whether one more pull tonight may as well top out earlier as later than asked.
func spansZero(d match.Difference) bool {
	return d.DifferenceTonightLowFt < 0 && d.DifferenceTonightHighFt > 0
}

// differenceText is a difference in a few words: "4 ± 5 ft later", or "level, ± 5 ft" where it rounds to nothing.
func differenceText(differenceFt float64, off rounded) string {
	if off.roundsToZero() {
		return "level, " + off.plusMinusText()
	}
	return off.String() + " " + later(differenceFt)
}

func (t answerText) unknown() Answer {
	out := Answer{Headline: "No answer yet."}
	if t.asked.Known() {
		out.Meaning = Because(t.answer.Because, t.units)
		out.Sure = fmt.Sprintf("One marked top-out of each gear on %s is enough for a first answer.", t.names.On)
	} else {
		from := Position(t.asked.StartFt, t.units)
		out.Meaning = fmt.Sprintf("It is not known where %s tops out from %s.", t.setting(), from)
		out.Sure = fmt.Sprintf("One marked top-out of %s is enough for a first answer.", t.setting())
		if t.asked.StartFt != 0 {
			out.Sure = fmt.Sprintf("A marked top-out of %s from there is enough; "+
				"so is one from %s once the travel of %s is taped.", t.setting(), fullBack, t.names.Asked)
		}
	}
	out.ForPullers = ForPullers{
		Headline: "Not known.", Meaning: out.Meaning,
		Line: fmt.Sprintf("%s: not known on %s", t.pullersSetting(), t.names.On),
	}
	return out
}

func (t answerText) inReach(n match.Nearest) Answer {
	out := Answer{Headline: fmt.Sprintf("%s on %s.", n.Gear, t.names.On), Meaning: t.meaning(n)}
	next := t.answer.RunnerUp
	switch {
	case n.OwnSetting:
		out.Sure = "It is the very setting that was asked about."
	case next == nil:
		out.Sure = fmt.Sprintf("%s is the only gear known on %s.", n.Gear, t.names.On)
	case n.Confidence == match.Close:
		out.Sure = fmt.Sprintf("%s is probably the nearest, %s; %s is the next likeliest.",
			n.Gear, chance(n.ChanceNearest), next.Gear)
	default:
		out.Sure = fmt.Sprintf("%s is very likely the nearest: %s.", n.Gear, chance(n.ChanceNearest))
	}
	return out
}

func (t answerText) meaning(n match.Nearest) string {
	off := t.off(n.Difference)
	if off.roundsToZero() {
		return fmt.Sprintf("The box tops out at the same spot (%s %s).", off.plusMinusText(), onePull)
	}
	way := later(n.DifferenceFt)
	said := fmt.Sprintf("The box tops out %s %s (%s %s), so the weight comes on %s.", off.valueText(), way,
		off.plusMinusText(), onePull, way)
	if spansZero(n.Difference) {
		said += " The measuring can hardly tell that apart."
	}
	return said
}

// tossUp names both gears: neither is the answer.
func (t answerText) tossUp(n match.Nearest) Answer {
	next := *t.answer.RunnerUp
	out := Answer{
		Headline: fmt.Sprintf("%s or %s on %s.", n.Gear, next.Gear, t.names.On),
		Meaning:  t.bothGears(n, next.Gear) + ".",
		Sure: fmt.Sprintf("A toss-up between %s and %s: %s for %s, %s for %s.",
			n.Gear, next.Gear, chance(n.ChanceNearest), n.Gear, chance(next.ChanceNearest), next.Gear),
	}
	if m := t.answer.MovedStart; m != nil && m.WorthIt {
		off := t.off(m.Difference)
		out.Meaning += fmt.Sprintf(" Where the rules allow, %s from %s comes within %s (%s).",
			m.Gear, Position(m.RoundedStartFt, t.units), lengthRoundedUp(m.DifferenceFt, t.units), off.plusMinusText())
	}
	return out
}

// bothGears says how far the two gears of a toss-up are off: "8 ft either way (± 6 ft): low 2 later, high 1 earlier".
func (t answerText) bothGears(n match.Nearest, other string) string {
	next := n.Candidate
	for _, c := range t.answer.Gears {
		if c.Gear == other {
			next = c
		}
	}
	if math.Abs(n.DifferenceFt+next.DifferenceFt) < negligibleFt && math.Abs(n.DifferenceFt) > negligibleFt {
		size := (math.Abs(n.DifferenceFt) + math.Abs(next.DifferenceFt)) / 2
		half := max(n.DifferenceTonightHighFt-n.DifferenceTonightLowFt,
			next.DifferenceTonightHighFt-next.DifferenceTonightLowFt) / 2
		off := withPlusMinus(size, half, t.units)
		return fmt.Sprintf("%s either way (%s %s): %s %s, %s %s",
			off.valueText(), off.plusMinusText(), onePull, n.Gear, later(n.DifferenceFt), next.Gear,
			later(next.DifferenceFt))
	}
	one, two := t.off(n.Difference), t.off(next.Difference)
	return fmt.Sprintf("%s tops out %s; %s tops out %s",
		n.Gear, differenceText(n.DifferenceFt, one), next.Gear, differenceText(next.DifferenceFt, two))
}

func (t answerText) outOfReach(n match.Nearest) Answer {
	end, way := t.ladderEnd(n)
	out := Answer{
		Headline: fmt.Sprintf("Out of reach on %s.", t.names.On),
		Meaning: fmt.Sprintf("The %s gear, %s, tops out %s, so the weight comes on %s than the class is used to.",
			end, n.Gear, differenceText(n.DifferenceFt, t.off(n.Difference)), way),
		Sure: fmt.Sprintf("No other gear on %s comes nearer, and a moved start only makes it earlier.", t.names.On),
	}
	if n.DifferenceFt >= 0 {
		out.Sure = fmt.Sprintf("No other gear on %s comes nearer, nor does a start moved up to %s.",
			t.names.On, Position(match.ReachableMoveFt, t.units))
	}
	return out
}

// ladderEnd is the end of the ladder beyond which the top-out asked for lies.
func (t answerText) ladderEnd(n match.Nearest) (end, way string) {
	if n.DifferenceFt < 0 {
		return "slowest", "earlier"
	}
	return "fastest", "later"
}

// basisLines are the two numbers, each with its basis.
func (t answerText) basisLines(n match.Nearest) []string {
	var out []string
	a := t.asked
	if n.ComparedAt == match.FullBack && a.StartFt != 0 {
		out = append(out, fmt.Sprintf("Compared at %s because nothing is known about %s from %s.",
			fullBack, t.names.On, Position(a.StartFt, t.units)))
	}
	switch {
	case t.byDistance() && a.OnePull:
		out = append(out, fmt.Sprintf("Asked: %s, where one pull topped out on one night.", t.setting()))
	case t.byDistance():
		out = append(out, fmt.Sprintf("Asked: %s.", t.setting()))
	case a.Known():
		out = append(out, fmt.Sprintf("%s, from %s: %s on average over nights, %s.", t.setting(),
			Position(a.StartFt, t.units),
			withInterval(a.TopOutFt, a.LowFt, a.HighFt, t.units), Basis(a.Basis, a.StatedBy)))
	}
	out = append(out, fmt.Sprintf("%s on %s, from %s: %s %s, %s.", n.Gear, t.names.On, Position(n.StartFt, t.units),
		withInterval(n.TonightFt, n.TonightLowFt, n.TonightHighFt, t.units), onePull, Basis(n.Basis, n.StatedBy)))
	if moved := movedTonight(n.Estimate, t.units); moved != "" {
		out = append(out, moved)
	}
	if u := t.answer.UsualGear; u != "" {
		out = append(out, fmt.Sprintf("On another night %s comes nearest; tonight's own pulls have changed that.", u))
	}
	if tonight, usual := n.TonightHighFt-n.TonightLowFt, n.HighFt-n.LowFt; tonight > muchWider*usual {
		out = append(out, fmt.Sprintf("On average over nights it is %s: most of the ± tonight is how one night "+
			"differs from the next. "+
			"Measuring on more days narrows that, more pulls on one day do not; the first pulls tonight narrow "+
			"tonight's.",
			withPlusMinus(0, usual/2, t.units).plusMinusText()))
	}
	return out
}

// muchWider is from how many times the interval of the average on an answer says where tonight's comes from. Our own
// choice.
const muchWider = 2

// movedTonight says how far the night's own pulls have moved a top-out; "" where they have not.
func movedTonight(e calibrate.Estimate, units fleet.Units) string {
	moved := e.TonightFt - e.TopOutFt
	if math.Abs(moved) < negligibleFt {
		return ""
	}
	return fmt.Sprintf("That is %s %s than usual, by tonight's own pulls.", nonzeroLength(moved, units), later(moved))
}

func (t answerText) movedStart(m match.MovedStart) string {
	off := t.off(m.Difference)
	than := differenceText(m.DifferenceFt, off)
	if !off.roundsToZero() {
		than += " than asked"
	}
	return fmt.Sprintf("%s on %s with the box started %s of %s tops out at %s: %s. "+
		"Exactly as asked would be %s; this is the nearest mark on the rails.",
		m.Gear, t.names.On, Position(m.RoundedStartFt, t.units), fullBack,
		withInterval(m.TonightFt, m.TonightLowFt, m.TonightHighFt, t.units), than, exactLength(m.StartFt, t.units))
}

// Because says why there is no answer, or why it is for another start position than asked; "" where neither holds.
func Because(b match.Because, units fleet.Units) string {
	switch b.Reason {
	case match.AskedUnknown:
		return fmt.Sprintf("Nothing is known about gear %s on %s from %s.", b.Gear, b.Sled, Position(b.StartFt, units))
	case match.Unknown:
		return fmt.Sprintf("Nothing is known about %s yet.", b.Sled)
	case match.UnknownFromThere:
		return fmt.Sprintf("Nothing is known about %s from %s.", b.Sled, Position(b.StartFt, units))
	case match.ComparedFullBack:
		return fmt.Sprintf("Nothing is known about %s from %s, so both sleds are compared at %s.",
			b.Sled, Position(b.StartFt, units), fullBack)
	case match.SettingNotThere:
		return "The setting it is used to is no longer there."
	case match.NoSled:
		return "No sled is booked yet."
	}
	return ""
}

// chance is a count out of a hundred.
func chance(p float64) string {
	switch {
	case p > 0.99:
		return "more than 99 in 100"
	case p < 0.01:
		return "less than 1 in 100"
	}
	return fmt.Sprintf("about %.0f in 100", math.Round(p*100))
}
