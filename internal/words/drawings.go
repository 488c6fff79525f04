package words

import (
	"fmt"
	"math"
	"strings"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/panload"
)

// ChartTitle is the title of the drawing of a sled's chart.
func ChartTitle(sled string) string { return "Where " + isolated(sled) + " tops out" }

// Chart describes the drawing of a sled's chart by where its known gears top out, each from its first known start
// position.
func Chart(sled string, gears []string, first []calibrate.Estimate, units fleet.Units) string {
	sled = isolated(sled)
	var known []string
	for i, e := range first {
		if e.Known() {
			known = append(known, fmt.Sprintf("gear %s at %s from %s",
				isolated(gears[i]), length(e.TopOutFt, units), Position(e.StartFt, units)))
		}
	}
	if len(known) == 0 {
		return fmt.Sprintf("Nothing is known yet about where %s tops out.", sled)
	}
	return fmt.Sprintf("How far %s is pulled until its box tops out, by where the box starts: %s. "+
		"A larger distance is a slower gear.", sled, strings.Join(known, "; "))
}

// LaddersTitle is the title of the drawing of every sled's gears side by side.
const LaddersTitle = "Where every gear of the fleet tops out, from " + fullBack

// Ladder describes one sled of that drawing: the estimates are from full back, in the order of its gears.
func Ladder(sled string, gears []string, from []calibrate.Estimate, units fleet.Units) string {
	sled = isolated(sled)
	var known []string
	for i, e := range from {
		if e.Known() {
			known = append(known, isolated(gears[i])+" at "+length(e.TopOutFt, units))
		}
	}
	if len(known) == 0 {
		known = []string{"nothing known"}
	}
	return fmt.Sprintf("%s: %s.", sled, strings.Join(known, ", "))
}

// Pull describes a box along the pull tonight.
func Pull(sled, gear string, e calibrate.Estimate, units fleet.Units) string {
	sled, gear = isolated(sled), isolated(gear)
	if !e.Known() {
		return fmt.Sprintf("Nothing is known about gear %s on %s from %s.", gear, sled, Position(e.StartFt, units))
	}
	return fmt.Sprintf("The box of %s in gear %s, from %s, tops out after %s.",
		sled, gear, Position(e.StartFt, units), length(e.TonightFt, units))
}

// DistanceAsked labels the distance of a question by distance.
const DistanceAsked = "The distance asked about"

// BoxTitle is the title of the drawing of one sled's box.
func BoxTitle(sled string) string { return "The box of " + sled + " along the pull" }

// Apart says where the box of a sled tops out against another: positive is later.
func Apart(sled string, differenceFt float64, units fleet.Units) string {
	sled = isolated(sled)
	by := length(math.Abs(differenceFt), units)
	if by == length(0, units) {
		return fmt.Sprintf("%s tops out at the same place.", sled)
	}
	way := later(differenceFt)
	return fmt.Sprintf("%s tops out %s %s, so the weight comes on %s.", sled, by, way, way)
}

// Loading names a line of loads by what is in the box: "Bluestem, C: 16,000 lb in the box".
func Loading(whose string, inBoxLb float64, units fleet.Units) string {
	in := "empty box"
	if inBoxLb > 0 {
		in = Weight(inBoxLb, units) + " in the box"
	}
	if whose == "" {
		return in
	}
	return whose + ": " + in
}

// NoLoads says why a drawing has no load along the pull of a sled.
func NoLoads(because panload.Cannot) string {
	switch because {
	case panload.TopOutUnknown:
		return "Where the sled asked about tops out is not known."
	case panload.TravelUnknown:
		return "The travel of the sled asked about is not known."
	}
	return "The weighings do not tell what lies on the pan."
}

// Loads describes a drawing of loads by where each line begins and the most it reaches, in pounds, or says why it has
// none.
func Loads(labels []string, ends [][]float64, because panload.Cannot, units fleet.Units) string {
	var said []string
	for i, label := range labels {
		if len(ends[i]) == 2 {
			said = append(said, fmt.Sprintf("%s, from %s to %s", label, signed(ends[i][0], Weight(ends[i][0], units)),
				signed(ends[i][1], Weight(ends[i][1], units))))
		}
	}
	if len(said) == 0 {
		return NoLoads(because)
	}
	return "What lies on the pan: " + strings.Join(said, "; ") + "."
}
