package book

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/plotting"
	"evenpull/internal/words"
)

// boxSteps is how many points a box's line along the pull is drawn through.
const boxSteps = 60

// DrawEquivalents draws both boxes along the pull, for a question with exactly one sled to answer for, with the
// intervals of one more pull tonight, and returns the revision it shows. Of a question by distance only the other
// sled's box is drawn, beside the distance. Where only one box can be drawn, its description says why; where none can,
// it is NotFound. Other errors are those of Equivalents.
func (b *Book) DrawEquivalents(ctx context.Context, q Question, style plotting.Style) ([]byte, int64, error) {
	if len(q.On) != 1 {
		return nil, 0, fleet.InvalidField("on", "a drawing is for exactly one other sled, not %d", len(q.On))
	}
	snap, err := b.current(ctx)
	if err != nil {
		return nil, 0, err
	}
	asked, on, err := snap.resolve(q)
	if err != nil {
		return nil, 0, err
	}
	other, _ := snap.sledState(on[0]).onDay(q.Day)
	drawing, why := boxes(q, asked, other, style.Units)
	if len(drawing.Pulls) == 0 {
		return nil, 0, fleet.Errorf(fleet.NotFound, "there is nothing to draw. %s", why)
	}
	return plotting.DrawBoxes(drawing, about(style, asked.Sled, other.Sled)), snap.revision, nil
}

// boxes is the drawing as plain values, and why a box is missing, in words.
func boxes(q Question, asked match.Setting, on match.Side, units fleet.Units) (d plotting.Boxes, why string) {
	look, compare := q.compare(asked)
	answer := compare(on)
	n := answer.Nearest
	d.Title, why = words.BoxTitle(on.Sled.Name), words.Because(answer.Because, units)
	if q.TopOutFt == nil {
		if n != nil && n.ComparedAt == match.FullBack {
			asked.StartFt = 0
		}
		said, missing := addPull(&d, asked.Side, asked.Gear, asked.Chart.At(asked.Gear, asked.StartFt), units)
		if missing != why {
			why = join(why, missing)
		}
		d.Title = fmt.Sprintf("The boxes of %s and %s along the pull", asked.Sled.Name, on.Sled.Name)
		d.Description = said
	}
	if n != nil {
		_, gear, _ := on.Sled.GearByLabel(n.Gear)
		said, missing := addPull(&d, on, gear, n.Estimate, units)
		why = join(why, missing)
		d.Description = join(d.Description, said)
		if len(d.Pulls) == 2 {
			d.Description = join(d.Description, words.Apart(on.Sled.Name, n.DifferenceFt, units))
		}
	}
	if q.TopOutFt != nil && len(d.Pulls) > 0 {
		d.Pulls = append(d.Pulls, plotting.BoxPull{Label: words.DistanceAsked, TopOutFt: look.TonightFt})
	}
	d.Description = join(d.Description, why)
	return d, why
}

// addPull adds one sled's box from its start to its top-out. It returns the description, or why there is none.
func addPull(
	d *plotting.Boxes, side match.Side, gear int, e calibrate.Estimate, units fleet.Units,
) (said, missing string) {
	label := side.Sled.Gears[gear].Label
	said = words.Pull(side.Sled.Name, label, e, units)
	if !e.Known() {
		return "", said
	}
	said = join(said, words.Guest(side.Sled.Name, side.Sled.Guest))
	pull := plotting.BoxPull{
		Label: side.Sled.Name + ", " + label, TopOutFt: e.TonightFt, LowFt: e.TonightLowFt,
		HighFt: e.TonightHighFt,
	}
	for i := range boxSteps + 1 {
		at := e.TonightFt * (float64(i) / boxSteps) // the last is the top-out itself
		share, ok := side.Chart.BoxShare(gear, e.StartFt, at)
		if !ok {
			return "", fmt.Sprintf("The travel of %s is not known, so its box cannot be drawn.", side.Sled.Name)
		}
		pull.Line = append(pull.Line, plotting.BoxPoint{DistanceFt: at, Share: share})
	}
	d.Pulls = append(d.Pulls, pull)
	return said, ""
}

// about is the style of a drawing of these sleds, which says of those of the demo that they are invented.
func about(style plotting.Style, sleds ...fleet.Sled) plotting.Style {
	style.Note = strings.TrimSpace(words.Invented(sleds...))
	return style
}

// join joins sentences, each of which may be empty.
func join(said ...string) string {
	return strings.Join(slices.DeleteFunc(said, func(s string) bool { return s == "" }), " ")
}
