package words

import (
	"fmt"
	"math"
	"strings"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// Answer is an answer in sentences. A sentence that there is no need of is empty.
type Answer struct {
	Level      Level
	Asked      string   // the question
	Headline   string   // which gear; both of a toss-up, and how far they are off
	Meaning    string   // what that does to the pull
	Sure       string   // how sure it is the nearest
	Rests      []string // what the two numbers rest on
	MovedStart string   // the moved start, where it is worth it
	ForPullers ForPullers
}

// Level is what an answer comes to, in one word.
type Level string

const (
	Unknown    Level = "unknown"
	OutOfReach Level = "out-of-reach"
	TossUp           = Level(match.TossUp)
	Close            = Level(match.Close)
	Clear            = Level(match.Clear)
)

// levelOf is the level of an answer. A gear that is the very setting asked about is clear.
func levelOf(a match.Answer) Level {
	n := a.Nearest
	switch {
	case n == nil:
		return Unknown
	case n.OutOfReach != nil && *n.OutOfReach:
		return OutOfReach
	case n.OwnSetting, n.Confidence == match.TossUp && a.RunnerUp == nil:
		return Clear
	}
	return Level(n.Confidence)
}

// Names are the names of the two sleds of an answer.
type Names struct {
	Asked, On string
	Guests    []string // the sentences of Guest of those that are guests
}

// ToAnswer says what an answer to a question comes to.
func ToAnswer(asked match.Asked, a match.Answer, names Names, units fleet.Units) Answer {
	level := levelOf(a)
	asked.Gear, a = isolated(asked.Gear), withIsolated(a)
	names.Asked, names.On = isolated(names.Asked), isolated(names.On)
	t := answerText{level: level, asked: asked, answer: a, names: names, units: units}
	out, n := Answer{}, a.Nearest
	switch t.level {
	case Unknown:
		out = t.unknown()
	case OutOfReach:
		out = t.outOfReach(*n)
	case TossUp:
		out = t.tossUp(*n)
	default:
		out = t.inReach(*n)
	}
	out.Level, out.Asked = t.level, t.question()
	if n == nil {
		out.Rests, out.ForPullers.Rests = names.Guests, strings.Join(names.Guests, " ")
		return out
	}
	out.Rests = append(t.basisLines(*n), names.Guests...)
	if m := a.MovedStart; m != nil && m.WorthIt {
		out.MovedStart = t.movedStart(*m)
	}
	out.ForPullers = t.forPullers(*n)
	return out
}

// answerText makes the sentences of one answer.
type answerText struct {
	level  Level
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

// question is what was asked: "C on Bluestem, from full back. Nearest on Fescue:".
func (t answerText) question() string {
	from := Position(t.asked.StartFt, t.units)
	if t.byDistance() {
		return fmt.Sprintf("%s. Nearest on %s, from %s:", t.setting(), t.names.On, from)
	}
	return fmt.Sprintf("%s, from %s. Nearest on %s:", t.setting(), from, t.names.On)
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
	case n.OwnSetting: // nothing to be unsure of
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

// tossUp names both gears and how far they are off: neither is the answer.
func (t answerText) tossUp(n match.Nearest) Answer {
	other := t.runnerUp(n)
	said := differenceOfBoth(n.Candidate, other, t.units)
	out := Answer{
		Headline: fmt.Sprintf("%s or %s on %s: %s.", n.Gear, other.Gear, t.names.On, said),
		Meaning: fmt.Sprintf("%s: %s; %s: %s (%s).", n.Gear, t.differenceOf(n.Difference), other.Gear,
			t.differenceOf(other.Difference), onePull),
		Sure: fmt.Sprintf("A toss-up between %s and %s: %s for %s, %s for %s.", n.Gear, other.Gear,
			chance(n.ChanceNearest), n.Gear, chance(t.answer.RunnerUp.ChanceNearest), other.Gear),
	}
	if m := t.answer.MovedStart; m != nil && m.WorthIt {
		out.Headline = fmt.Sprintf("%s or %s on %s: %s; %s.", n.Gear, other.Gear, t.names.On, said, t.comesWithin(*m))
		out.Meaning += fmt.Sprintf(" A moved start (%s) only where class rules allow.",
			t.off(m.Difference).plusMinusText())
	}
	return out
}

// comesWithin is "low 2 from 1 ft forward comes within 1 ft".
func (t answerText) comesWithin(m match.MovedStart) string {
	return fmt.Sprintf("%s from %s comes within %s", m.Gear, Position(m.RoundedStartFt, t.units),
		lengthRoundedUp(m.DifferenceFt, t.units))
}

// runnerUp is the other gear of a toss-up.
func (t answerText) runnerUp(n match.Nearest) match.Candidate {
	for _, c := range t.answer.Gears {
		if c.Gear == t.answer.RunnerUp.Gear {
			return c
		}
	}
	return n.Candidate
}

func (t answerText) differenceOf(d match.Difference) string {
	return differenceText(d.DifferenceFt, t.off(d))
}

// differenceOfBoth says how far two gears are off: "8 ft either way", "8 ft later or 12 ft earlier".
func differenceOfBoth(one, two match.Candidate, units fleet.Units) string {
	first, second := sizeText(one.DifferenceFt, units), sizeText(two.DifferenceFt, units)
	size, same := strings.CutSuffix(first, " "+later(one.DifferenceFt))
	switch {
	case first == second:
		return first + " with both"
	case same && second == size+" "+later(two.DifferenceFt):
		return size + " either way"
	}
	return first + " or " + second
}

// sizeText is a difference without its ±: "4 ft later", or "level" where it rounds to nothing.
func sizeText(differenceFt float64, units fleet.Units) string {
	size := math.Abs(differenceFt)
	if isZero(figure(size, units.Decimals(), units)) {
		return "level"
	}
	return length(size, units) + " " + later(differenceFt)
}

func (t answerText) outOfReach(n match.Nearest) Answer {
	out := Answer{
		Headline: fmt.Sprintf("Out of reach on %s.", t.names.On),
		Meaning: fmt.Sprintf("The %s gear, %s, tops out %s, so the weight comes on %s than the class is used to.",
			ladderEnd(n), n.Gear, differenceText(n.DifferenceFt, t.off(n.Difference)), later(n.DifferenceFt)),
		Sure: fmt.Sprintf("No other gear on %s comes nearer, and a moved start only makes it earlier.", t.names.On),
	}
	nor := "No other gear on %s comes nearer, nor does a start moved up to %s"
	switch {
	case n.DifferenceFt >= 0:
		out.Sure = fmt.Sprintf(nor+".", t.names.On, Position(match.ReachableMoveFt, t.units))
	case n.StartFt > 0:
		out.Sure = fmt.Sprintf(nor+" back.", t.names.On, exactLength(match.ReachableMoveFt, t.units))
	}
	return out
}

// ladderEnd is the end of the ladder beyond which the top-out asked for lies.
func ladderEnd(n match.Nearest) string { return either(n.DifferenceFt, "fastest", "slowest") }

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
	from := "at " + fullBack
	if m.RoundedStartFt > 0 {
		from = Position(m.RoundedStartFt, t.units) + " of " + fullBack
	}
	return fmt.Sprintf("%s on %s with the box started %s tops out at %s: %s. "+
		"Exactly as asked would be %s; this is the nearest mark on the rails.",
		m.Gear, t.names.On, from,
		withInterval(m.TonightFt, m.TonightLowFt, m.TonightHighFt, t.units), than, exactLength(m.StartFt, t.units))
}

// Because says why there is no answer, or why it is for another start position than asked; "" where neither holds.
func Because(b match.Because, units fleet.Units) string {
	b.Sled, b.Gear = isolated(b.Sled), isolated(b.Gear)
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
