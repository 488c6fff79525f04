package book

import (
	"fmt"
	"slices"
	"strings"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
)

// gap is something about a sled's parts that has to be known from a change on, and is not.
type gap struct {
	change fleet.Change // the zero one for the sled before any change
	part   driveline.Part
	gears  []fleet.Gear // that it concerns; none for the sled as a whole
}

// gaps lists the ranges that the axle lacks, and what the ratio of a change by ratio cannot be computed without.
func gaps(t fleet.Timeline) []gap {
	var out []gap
	stages := t.Stages()
	for i, s := range stages {
		var c fleet.Change
		if i > 0 {
			c = t.Changes[i-1]
		}
		open := map[driveline.Part][]fleet.Gear{}
		for _, g := range s.Gears {
			if _, there := s.Driveline.AxleRatios[g.Range]; g.Range != "" && !there {
				open[driveline.Range] = append(open[driveline.Range], g)
			}
		}
		if c.Effect == fleet.ByRatio {
			for j, g := range s.Gears {
				_, missing := shiftOf(stages[i-1], s, j)
				for _, part := range missing {
					if part != driveline.Axle || !hasGear(open[driveline.Range], g.ID) { // that gap explains it
						open[part] = append(open[part], g)
					}
				}
			}
			if travelUnknown(stages[i-1], s) {
				open[driveline.Travel] = nil
			}
		}
		for _, part := range []driveline.Part{
			driveline.Range, driveline.Travel, driveline.SprocketAndChain, driveline.Axle, driveline.Final,
			driveline.Other, driveline.TireCircumference, driveline.GearRatio,
		} {
			if gears, is := open[part]; is {
				out = append(out, gap{c, part, gears})
			}
		}
	}
	return out
}

// newGaps are the gaps of a new timeline that the old one did not have.
func newGaps(old, next fleet.Timeline) []gap {
	had := gaps(old)
	var out []gap
	for _, g := range gaps(next) {
		i := slices.IndexFunc(had, func(h gap) bool { return h.change.ID == g.change.ID && h.part == g.part })
		if i >= 0 {
			g.gears = slices.DeleteFunc(g.gears, func(of fleet.Gear) bool { return hasGear(had[i].gears, of.ID) })
			if len(g.gears) == 0 {
				continue
			}
		}
		out = append(out, g)
	}
	return out
}

// field is the field of its change that the gap comes from.
func (g gap) field() string {
	d := g.change.Driveline
	gearAt := func(field string, gives func(fleet.Gear) bool) string {
		i := slices.IndexFunc(g.change.Gears, func(of fleet.Gear) bool { return gives(of) && hasGear(g.gears, of.ID) })
		if i < 0 {
			return "gears"
		}
		return fmt.Sprintf("gears[%d].%s", i, field)
	}
	ranged := func(of fleet.Gear) bool { return of.Range != "" }
	switch g.part {
	case driveline.Travel:
		return "travel_ft"
	case driveline.Range:
		if at := gearAt("range", ranged); at != "gears" || len(d.AxleRatios) == 0 {
			return at
		}
		return "driveline.axle_ratios"
	case driveline.SprocketAndChain:
		switch {
		case d.BoxFtPerTurn != 0:
			return "driveline.box_ft_per_turn"
		case d.SprocketTeeth == 0:
			return "driveline.chain_pitch_in"
		}
		return "driveline.sprocket_teeth"
	case driveline.Axle:
		switch {
		case d.AxleRatio != 0:
			return "driveline.axle_ratio"
		case len(d.AxleRatios) > 0:
			return "driveline.axle_ratios"
		}
		return gearAt("range", ranged)
	case driveline.Final:
		return "driveline.final_ratio"
	case driveline.Other:
		return "driveline.other_ratio"
	case driveline.TireCircumference:
		return "driveline.tire_circumference_ft"
	}
	return gearAt("ratio", func(of fleet.Gear) bool { return of.Ratio != nil })
}

// messageForNewChange is for the change that is being noted.
func (g gap) messageForNewChange(sled string) string {
	if g.part == driveline.Range {
		return fmt.Sprintf("the axle then has no such range for gear %s; "+
			"give the range of each gear that the new axle has", g.gearLabels())
	}
	return fmt.Sprintf("the %s of %s%s is not known both before and after the change, "+
		"so readings cannot be carried by its ratio; "+
		"correct the sled's parts first, or say that the effect is unknown", words.Part(g.part), sled, g.inGears())
}

// message is for a change that is noted already.
func (g gap) message() string {
	of := "the sled as it was at first"
	if g.change.ID != "" {
		of = fmt.Sprintf("the change of %s (%s)", g.change.MadeOn, g.change.What)
	}
	if g.part == driveline.Range {
		return fmt.Sprintf("%s leaves gear %s in a range that its axle lacks", of, g.gearLabels())
	}
	return fmt.Sprintf("the %s%s is not known both before and after %s, whose ratio readings are carried by",
		words.Part(g.part), g.inGears(), of)
}

func (g gap) inGears() string {
	if len(g.gears) == 0 {
		return ""
	}
	return " in gear " + g.gearLabels()
}

func (g gap) gearLabels() string { return strings.Join(fleet.Sled{Gears: g.gears}.Labels(), ", ") }
