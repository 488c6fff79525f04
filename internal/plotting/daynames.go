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
	slant     = math.Pi / 4 // how day names rise where they have no room level
	dayNameAt = 14          // below the data
	// slantedMost is the longest slanted name. The drawing needs room to the left of it.
	slantedMost = 165
)

// nameOf is the name of the day at a place.
type nameOf struct {
	place int
	words string
}

// dayNames is the names that are written below the data, and the left margin that they need.
type dayNames struct {
	list    []nameOf
	slanted bool
	left    vg.Length
	deep    vg.Length
}

// height is what they take below the data.
func (n dayNames) height() vg.Length { return dayNameAt + n.deep }

// nameDays chooses the names that are written, for data that starts at left and is wide units wide: all of them level
// where they fit beside each other, else slanted as many as fit. Days that stand off and the days at both ends and at
// the pattern go first.
func (v season) nameDays(left, wide vg.Length) dayNames {
	const gap = 12
	f := plainFont(textSize)
	out := dayNames{left: left, deep: textPitch}
	n := len(v.days)
	pitch := wide / vg.Length(n)
	level := true
	for i := 0; i < n && level; i++ {
		level = widthOf(f, v.days[i].label)+gap <= pitch
	}
	if level || n == 1 {
		for i, d := range v.days {
			out.list = append(out.list, nameOf{i, shorten(f, d.label, pitch-gap)})
		}
		return out
	}
	out.slanted = true
	sin, cos := math.Sincos(slant)
	longest := vg.Length(0)
	// The margin makes the data narrower: with all of it taken, this is the least that is left of the pitch.
	least := (wide - max(0, slantedMost-left)) / vg.Length(n)
	for _, place := range v.spacedDays(textSize * 1.2 / sin / float64(least)) {
		words := shorten(f, v.days[place].label, slantedMost)
		w := widthOf(f, words)
		longest = max(longest, w)
		out.list = append(out.list, nameOf{place, words})
		// The first letter stands (place + ½) pitches right of the margin and need left of there.
		need := 8 + w*vg.Length(cos) + textSize*vg.Length(sin)
		share := (vg.Length(place) + 0.5) / vg.Length(n)
		if share < 1 {
			out.left = max(out.left, (need-(left+wide)*share)/(1-share))
		}
	}
	out.deep = longest*vg.Length(sin) + textSize*vg.Length(cos) + 4
	return out
}

// spacedDays lists, in order, places at least apart from each other.
func (v season) spacedDays(apart float64) []int {
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

// dayNames writes them, each below a short mark.
func (s *sheet) dayNames(c draw.Canvas, x func(float64) vg.Length, names dayNames) {
	f := plainFont(textSize)
	for _, n := range names.list {
		at := x(float64(n.place))
		c.StrokeLine2(stroke(s.muted, thinWidth), at, c.Min.Y, at, c.Min.Y-rightMark)
		if names.slanted {
			s.writeUp(c, f, s.text, slant, at+4, c.Min.Y-dayNameAt-4, n.words)
		} else {
			s.write(c, f, s.text, text.XCenter, at, c.Min.Y-dayNameAt-textPitch/2, n.words)
		}
	}
}
