package words

import (
	"fmt"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// ForPullers is an answer as the pullers' page says it, large and in few words.
type ForPullers struct {
	Headline string // the gear
	Meaning  string // what it means for the pull
	Rests    string // what the two numbers rest on, where that is not a measurement
	Line     string // all of it in a line, for a message
}

func (t answerText) forPullers(n match.Nearest, out Answer) ForPullers {
	p := ForPullers{Headline: strings.TrimSuffix(out.Headline, "."), Rests: t.caveats(n)}
	switch {
	case n.OutOfReach != nil && *n.OutOfReach:
		end, _ := t.ladderEnd(n)
		way := t.pullersMeaning(n)
		p.Headline = out.Headline
		p.Meaning = fmt.Sprintf("Its %s gear, %s, is %s.", end, n.Gear, way)
		p.Line = fmt.Sprintf("%s is out of reach on %s: %s", t.pullersSetting(), t.names.On, way)
		return p
	case n.Confidence == match.TossUp && t.answer.RunnerUp != nil && !n.OwnSetting:
		p.Meaning = t.bothGears(n, t.answer.RunnerUp.Gear)
	default:
		p.Meaning = t.pullersMeaning(n)
	}
	p.Line = fmt.Sprintf("%s is %s: %s", t.pullersSetting(), p.Headline, p.Meaning)
	p.Meaning += "."
	return p
}

// pullersSetting is what a puller ran, with where the box started if that was forward.
func (t answerText) pullersSetting() string {
	if t.asked.StartFt == 0 {
		return t.setting()
	}
	return t.setting() + ", from " + Position(t.asked.StartFt, t.units)
}

// way is "4 ± 5 ft later, so lighter on the way": the weight comes on later.
func (t answerText) pullersMeaning(n match.Nearest) string {
	off := t.off(n.Difference)
	if off.roundsToZero() {
		return differenceText(n.DifferenceFt, off) + ", so the same on the way"
	}
	weight, maybe := "heavier", ""
	if n.DifferenceFt > 0 {
		weight = "lighter"
	}
	if spansZero(n.Difference) {
		maybe = "if anything "
	}
	return fmt.Sprintf("%s, so %s%s on the way", differenceText(n.DifferenceFt, off), maybe, weight)
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
