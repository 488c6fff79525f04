package plotting

import (
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const (
	annotationHeight = 44
	annotationGap    = 12
	maxWhisker       = 0.25 // of an interval on each side as drawn, as a share of the top-out: a wild one leaves no room
)

// drawAnnotation draws, above the top line, where a box tops out with its interval, and its marker on top of the staff where
// no words with the marker stand beside it.
func (s *canvas) drawAnnotation(c draw.Canvas, x func(float64) vg.Length, q pull, y vg.Length, marked bool) {
	if !q.topsOut {
		return
	}
	pen := s.lineStyle(q.place, lineWidth)
	top := x(q.top)
	c.StrokeLine2(stroke(pen.Color, thinWidth), top, c.Max.Y, top, y+9)
	if q.interval {
		left, right := q.whiskerEnds(x)
		drawWhisker(c, stroke(pen.Color, lineWidth), vg.Point{X: x(q.low), Y: y}, vg.Point{X: x(q.high), Y: y}, left, right)
	}
	if marked {
		markerFor(q.place).draw(c, pen.Color, top, y+9+markerSize)
	}
}

// whiskerEnds is how far a flag reaches.
func (q pull) whiskerEnds(x func(float64) vg.Length) (left, right vg.Length) {
	if !q.interval {
		return x(q.top), x(q.top)
	}
	return max(x(q.low), x(q.top*(1-maxWhisker))), min(x(q.high), x(q.top*(1+maxWhisker)))
}

// spaceBeside is the wider of the two sides of a flag, from left to right, and whether that is its left side. The
// staffs of later boxes pass through its row.
func spaceBeside(q pull, pulls []pull, x func(float64) vg.Length, start, end vg.Length) (left, right vg.Length, before bool) {
	if !q.topsOut {
		return start, end, false
	}
	low, high := q.whiskerEnds(x)
	for _, other := range pulls {
		if other.topsOut && other.top > q.top {
			end = min(end, x(other.top)-annotationGap)
		}
	}
	if low-start >= end-high {
		return start, low - annotationGap, true
	}
	return high + annotationGap, end, false
}

// annotationsFit says whether there is room beside every flag for what matters: the gear, the figure and some of the
// name. The answer is needed before the axes are laid out, hence from where they are about to be.
func annotationsFit(pulls []pull, far float64, start, end vg.Length) bool {
	const some, slack = 240, 20
	x := func(v float64) vg.Length { return start + (end-start)*vg.Length(v/far) }
	for _, q := range pulls {
		left, right, _ := spaceBeside(q, pulls, x, start, end)
		need := textWidth(plainFont(labelSize), q.label)
		if len(q.distances) > 0 {
			need = textWidth(plainFont(labelSize), q.label+q.distances[len(q.distances)-1])
		}
		if right-left-markerSpace < min(need, some)+slack {
			return false
		}
	}
	return true
}

// markerSpace is the room for a marker before words.
const markerSpace = 2*markerSize + 8

// drawAnnotationText writes whose box it is and where it tops out into the room from left to right, with the pull's marker at
// its right end before a flag, else at its left end.
func (s *canvas) drawAnnotationText(c draw.Canvas, q pull, left, right, y vg.Length, before bool) {
	f := plainFont(labelSize)
	at := left + markerSize
	if before {
		at = right - markerSize
	}
	markerFor(q.place).draw(c, s.lineStyle(q.place, lineWidth).Color, at, y)
	words := q.text(f, right-left-markerSpace)
	if before {
		s.drawText(c, f, s.text, text.XRight, right-markerSpace, y, words)
	} else {
		s.drawText(c, f, s.text, text.XLeft, left+markerSpace, y, words)
	}
}

// text says whose box it is and where it tops out, in the room there is. The interval, which the flag shows as well,
// goes first, then the middle of the name, and last the gear and the figures.
func (q pull) text(f font.Font, room vg.Length) string {
	for _, figures := range q.distances {
		if textWidth(f, q.label+figures) <= room {
			return q.label + figures
		}
	}
	tail := ""
	if len(q.distances) > 0 {
		tail = q.distances[len(q.distances)-1]
	}
	sled, gear, found := cutLast(q.label, ", ")
	if found && textWidth(f, "M…, "+gear+tail) <= room {
		return truncate(f, sled, room-textWidth(f, ", "+gear+tail)) + ", " + gear + tail
	}
	if textWidth(f, "M…"+tail) <= room {
		return truncate(f, q.label, room-textWidth(f, tail)) + tail
	}
	return truncate(f, q.label, room)
}

// cutLast cuts s at the last separator.
func cutLast(s, separator string) (before, after string, found bool) {
	i := strings.LastIndex(s, separator)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(separator):], true
}
