package plotting

import (
	"math"
	"slices"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

const (
	labelAngle      = math.Pi / 4 // of day labels that have no room level
	labelOffset     = 14          // below the data
	maxRotatedWidth = 165         // of a label; the drawing needs room to the left of it
)

type dayLabel struct {
	place int
	text  string
}

// dayLabels are the labels that are written below the data, and the left margin that they need.
type dayLabels struct {
	list    []dayLabel
	rotated bool
	left    vg.Length
	depth   vg.Length
}

func (l dayLabels) height() vg.Length { return labelOffset + l.depth }

// layoutDayLabels chooses the labels that are written, for data that starts at left and is wide units wide: all of them
// level where they fit beside each other, else rotated as many as fit. Days that stand off and the days at both ends
// and at the pattern go first.
func layoutDayLabels(days []day, d drift, left, wide vg.Length) dayLabels {
	const gap = 12
	f := plainFont(textSize)
	out := dayLabels{left: left, depth: textPitch}
	n := vg.Length(len(days))
	pitch := wide / n
	if n == 1 || !slices.ContainsFunc(days, func(d day) bool { return textWidth(f, d.label)+gap > pitch }) {
		for i, d := range days {
			out.list = append(out.list, dayLabel{i, truncate(f, d.label, pitch-gap)})
		}
		return out
	}
	out.rotated = true
	sin64, cos64 := math.Sincos(labelAngle)
	sin, cos := vg.Length(sin64), vg.Length(cos64)
	longest := vg.Length(0)
	// The margin makes the data narrower: with all of it taken, this is the least that is left of the pitch.
	least := (wide - max(0, maxRotatedWidth-left)) / n
	for _, place := range spacedPlaces(days, d, float64(textSize*1.2/sin/least)) {
		label := truncate(f, days[place].label, maxRotatedWidth)
		w := textWidth(f, label)
		longest = max(longest, w)
		out.list = append(out.list, dayLabel{place, label})
		// The first letter stands (place + ½) pitches right of the margin and need left of there.
		need := 8 + w*cos + textSize*sin
		if share := (vg.Length(place) + 0.5) / n; share < 1 {
			out.left = max(out.left, (need-(left+wide)*share)/(1-share))
		}
	}
	out.depth = longest*sin + textSize*cos + 4
	return out
}

// spacedPlaces lists, in order, places at least apart from each other. The most important are chosen first.
func spacedPlaces(days []day, d drift, apart float64) []int {
	rank := func(i int) int {
		switch {
		case d.jump && i == d.place, days[i].off && days[i].known:
			return 0
		case i == 0 || i == len(days)-1:
			return 1
		}
		return 2
	}
	var chosen []int // sorted
	for r := range 3 {
		for i := range days {
			at, _ := slices.BinarySearch(chosen, i)
			crowded := at > 0 && float64(i-chosen[at-1]) < apart || at < len(chosen) && float64(chosen[at]-i) < apart
			if rank(i) == r && !crowded {
				chosen = slices.Insert(chosen, at, i)
			}
		}
	}
	return chosen
}

// drawDayLabels writes them, each below a tick mark.
func (c *canvas) drawDayLabels(labels dayLabels) {
	f := plainFont(textSize)
	for _, l := range labels.list {
		x, y := c.x(float64(l.place)), c.data.Min.Y
		c.StrokeLine2(stroke(c.muted, thinWidth), x, y, x, y-tickLength)
		if labels.rotated {
			c.drawRotatedText(f, c.text, text.XRight, labelAngle, x+4, y-labelOffset-4, l.text)
		} else {
			c.drawText(f, c.text, text.XCenter, x, y-labelOffset-textPitch/2, l.text)
		}
	}
}
