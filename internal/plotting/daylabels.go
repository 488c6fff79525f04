package plotting

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const (
	labelAngle  = math.Pi / 4 // how day names rise where they have no room level
	labelOffset = 14          // below the data
	// maxRotatedWidth is the longest slanted name. The drawing needs room to the left of it.
	maxRotatedWidth = 165
)

// dayLabel is the name of the day at a place.
type dayLabel struct {
	place int
	text  string
}

// dayLabels is the names that are written below the data, and the left margin that they need.
type dayLabels struct {
	list    []dayLabel
	rotated bool
	left    vg.Length
	depth   vg.Length
}

// height is what they take below the data.
func (n dayLabels) height() vg.Length { return labelOffset + n.depth }

// layoutLabels chooses the names that are written, for data that starts at left and is wide units wide: all of them level
// where they fit beside each other, else slanted as many as fit. Days that stand off and the days at both ends and at
// the pattern go first.
func (v daysPlot) layoutLabels(left, wide vg.Length) dayLabels {
	const gap = 12
	f := plainFont(textSize)
	out := dayLabels{left: left, depth: textPitch}
	n := len(v.days)
	pitch := wide / vg.Length(n)
	level := true
	for i := 0; i < n && level; i++ {
		level = textWidth(f, v.days[i].label)+gap <= pitch
	}
	if level || n == 1 {
		for i, d := range v.days {
			out.list = append(out.list, dayLabel{i, truncate(f, d.label, pitch-gap)})
		}
		return out
	}
	out.rotated = true
	sin, cos := math.Sincos(labelAngle)
	longest := vg.Length(0)
	// The margin makes the data narrower: with all of it taken, this is the least that is left of the pitch.
	least := (wide - max(0, maxRotatedWidth-left)) / vg.Length(n)
	for _, place := range v.spacedPlaces(textSize * 1.2 / sin / float64(least)) {
		words := truncate(f, v.days[place].label, maxRotatedWidth)
		w := textWidth(f, words)
		longest = max(longest, w)
		out.list = append(out.list, dayLabel{place, words})
		// The first letter stands (place + ½) pitches right of the margin and need left of there.
		need := 8 + w*vg.Length(cos) + textSize*vg.Length(sin)
		share := (vg.Length(place) + 0.5) / vg.Length(n)
		if share < 1 {
			out.left = max(out.left, (need-(left+wide)*share)/(1-share))
		}
	}
	out.depth = longest*vg.Length(sin) + textSize*vg.Length(cos) + 4
	return out
}

// spacedPlaces lists, in order, places at least apart from each other.
func (v daysPlot) spacedPlaces(apart float64) []int {
	rank := func(i int) int {
		switch {
		case v.drift.jump && i == v.drift.place, v.days[i].off && v.days[i].known:
			return 0
		case i == 0 || i == len(v.days)-1:
			return 1
		}
		return 2
	}
	order := make([]int, len(v.days))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(rank(a), rank(b)) })
	var chosen []int // sorted
	for _, i := range order {
		at, _ := slices.BinarySearch(chosen, i)
		if at > 0 && float64(i-chosen[at-1]) < apart || at < len(chosen) && float64(chosen[at]-i) < apart {
			continue
		}
		chosen = slices.Insert(chosen, at, i)
	}
	return chosen
}

// dayLabels writes them, each below a short mark.
func (s *canvas) drawDayLabels(c draw.Canvas, x func(float64) vg.Length, names dayLabels) {
	f := plainFont(textSize)
	for _, n := range names.list {
		at := x(float64(n.place))
		c.StrokeLine2(stroke(s.muted, thinWidth), at, c.Min.Y, at, c.Min.Y-tickLength)
		if names.rotated {
			s.drawRotatedText(c, f, s.text, labelAngle, at+4, c.Min.Y-labelOffset-4, n.text)
		} else {
			s.drawText(c, f, s.text, text.XCenter, at, c.Min.Y-labelOffset-textPitch/2, n.text)
		}
	}
}
