package words

import (
	"fmt"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// ForPullers is an answer as the pullers' page says it, large and in few words. Meaning goes on where Headline ends,
// and always says where the box tops out.
type ForPullers struct {
	Headline string // the gear
	Meaning  string // where it tops out, and what that means for the pull
	Rests    string // what the two numbers rest on, where that is not a measurement
	Line     string // all of it in a line, for a message
}

func (t answerText) forPullers(n match.Nearest) ForPullers {
	if own, ok := t.ownGear(n); ok {
		return t.sameSled(own)
	}
	at, way := t.about(n.Candidate), t.pullersMeaning(n)
	p := ForPullers{Headline: fmt.Sprintf("%s on %s", n.Gear, t.names.On), Rests: t.caveats(n)}
	switch t.level {
	case OutOfReach:
		end := ladderEnd(n)
		p.Headline = fmt.Sprintf("Out of reach on %s.", t.names.On)
		p.Meaning = fmt.Sprintf("Its %s gear, %s, tops out %s: %s.", end, n.Gear, at, way)
		p.Line = fmt.Sprintf("%s is out of reach on %s: %s, its %s gear, tops out %s: %s", t.pullersSetting(),
			t.names.On, n.Gear, end, at, way)
		return p
	case TossUp:
		other := t.runnerUp(n)
		p.Headline = fmt.Sprintf("%s or %s on %s", n.Gear, other.Gear, t.names.On)
		at = fmt.Sprintf("about %s or %s", length(n.TonightFt, t.units), length(other.TonightFt, t.units))
		way = fmt.Sprintf("%s (%s)", differenceOfBoth(n.Candidate, other, t.units), t.widest(n.Candidate, other))
		if m := t.answer.MovedStart; m != nil && m.WorthIt {
			way += "; " + t.comesWithin(*m)
		}
	}
	p.Meaning = fmt.Sprintf("tops out %s: %s.", at, way)
	p.Line = fmt.Sprintf("%s is %s, which tops out %s: %s", t.pullersSetting(), p.Headline, at, way)
	return p
}

// sameSled says where a gear tops out tonight on the very sled that it was run on.
func (t answerText) sameSled(own match.Candidate) ForPullers {
	at := "tops out " + t.about(own)
	p := ForPullers{
		Headline: fmt.Sprintf("%s on %s", own.Gear, t.names.On), Meaning: at + ". It is the same sled tonight.",
		Line: fmt.Sprintf("%s: %s; it is the same sled tonight", t.pullersSetting(), at),
	}
	if moved := movedTonight(own.Estimate, t.units); moved != "" {
		p.Meaning += " " + moved
	}
	if t.asked.StartFt != 0 {
		p.Rests = fmt.Sprintf("The box starts %s.", Position(t.asked.StartFt, t.units))
	}
	if own.Basis != fleet.Measured {
		p.Rests = strings.TrimSpace(fmt.Sprintf("%s It is %s.", p.Rests, Basis(own.Basis, own.StatedBy)))
	}
	return p
}

// ownGear is the gear asked about, where it is answered on its own sled from the same start.
func (t answerText) ownGear(n match.Nearest) (match.Candidate, bool) {
	if t.byDistance() || t.asked.Sled != t.answer.Sled || n.ComparedAt != match.SameStart {
		return match.Candidate{}, false
	}
	for _, c := range t.answer.Gears {
		if c.Gear == t.asked.Gear {
			return c, true
		}
	}
	return match.Candidate{}, false
}

// about is where a gear tops out tonight, "about 239 ft": its ± goes with the difference.
func (t answerText) about(c match.Candidate) string { return "about " + length(c.TonightFt, t.units) }

// widest is the larger ± of two gears.
func (t answerText) widest(one, two match.Candidate) string {
	half := max(one.DifferenceTonightHighFt-one.DifferenceTonightLowFt,
		two.DifferenceTonightHighFt-two.DifferenceTonightLowFt) / 2
	return withPlusMinus(one.DifferenceFt, half, t.units).plusMinusText()
}

// pullersSetting is what a puller ran, with where the box started if that was forward.
func (t answerText) pullersSetting() string {
	if t.asked.StartFt == 0 {
		return t.setting()
	}
	return t.setting() + ", from " + Position(t.asked.StartFt, t.units)
}

// pullersMeaning is "4 ± 5 ft later, so lighter on the way": the weight comes on later.
func (t answerText) pullersMeaning(n match.Nearest) string {
	off := t.off(n.Difference)
	if off.roundsToZero() {
		return differenceText(n.DifferenceFt, off) + ", so the same on the way"
	}
	maybe := ""
	if spansZero(n.Difference) {
		maybe = "if anything "
	}
	return fmt.Sprintf("%s, so %s%s on the way", differenceText(n.DifferenceFt, off), maybe,
		either(n.DifferenceFt, "lighter", "heavier"))
}

// caveats says what a puller has to know of the two numbers beside them.
func (t answerText) caveats(n match.Nearest) string {
	var said []string
	switch {
	case t.asked.StartFt == 0:
	case n.ComparedAt == match.FullBack:
		said = append(said, fmt.Sprintf("Compared at %s.", fullBack))
	default:
		said = append(said, fmt.Sprintf("Both boxes start %s.", Position(t.asked.StartFt, t.units)))
	}
	if n.Basis != fleet.Measured {
		said = append(said, fmt.Sprintf("%s on %s is %s.", n.Gear, t.names.On, Basis(n.Basis, n.StatedBy)))
	}
	if t.asked.Basis != fleet.Measured && !t.byDistance() {
		said = append(said, fmt.Sprintf("%s is %s.", t.setting(), Basis(t.asked.Basis, t.asked.StatedBy)))
	}
	return strings.Join(append(said, t.names.Guests...), " ")
}
