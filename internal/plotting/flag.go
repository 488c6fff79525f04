package plotting

import (
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const (
	flagHeight = 44
	flagGap    = 12
	widest     = 0.25 // of an interval on each side as drawn, as a share of the top-out: a wild one leaves no room
)

// flag draws, above the top line, where a box tops out with its interval, and its marker on top of the staff where
// no words with the marker stand beside it.
func (s *sheet) flag(c draw.Canvas, x func(float64) vg.Length, q pull, y vg.Length, marked bool) {
	if !q.topsOut {
		return
	}
	pen := s.pen(q.place, lineWidth)
	top := x(q.top)
	c.StrokeLine2(stroke(pen.Color, thinWidth), top, c.Max.Y, top, y+9)
	if q.interval {
		left, right := q.flagEnds(x)
		whisker(c, stroke(pen.Color, lineWidth), vg.Point{X: x(q.low), Y: y}, vg.Point{X: x(q.high), Y: y}, left, right)
	}
	if marked {
		markerFor(q.place).draw(c, pen.Color, top, y+9+markerSize)
	}
}

// flagEnds is how far a flag reaches.
func (q pull) flagEnds(x func(float64) vg.Length) (left, right vg.Length) {
	if !q.interval {
		return x(q.top), x(q.top)
	}
	return max(x(q.low), x(q.top*(1-widest))), min(x(q.high), x(q.top*(1+widest)))
}

// roomBeside is the wider of the two sides of a flag, from left to right, and whether that is its left side. The
// staffs of later boxes pass through its row.
func roomBeside(q pull, pulls []pull, x func(float64) vg.Length, start, end vg.Length) (left, right vg.Length, before bool) {
	if !q.topsOut {
		return start, end, false
	}
	low, high := q.flagEnds(x)
	for _, other := range pulls {
		if other.topsOut && other.top > q.top {
			end = min(end, x(other.top)-flagGap)
		}
	}
	if low-start >= end-high {
		return start, low - flagGap, true
	}
	return high + flagGap, end, false
}

// roomForWords says whether there is room beside every flag for what matters: the gear, the figure and some of the
// name. The answer is needed before the axes are laid out, hence from where they are about to be.
func roomForWords(pulls []pull, far float64, start, end vg.Length) bool {
	const some, slack = 240, 20
	x := func(v float64) vg.Length { return start + (end-start)*vg.Length(v/far) }
	for _, q := range pulls {
		left, right, _ := roomBeside(q, pulls, x, start, end)
		need := widthOf(plainFont(labelSize), q.label)
		if len(q.figures) > 0 {
			need = widthOf(plainFont(labelSize), q.label+q.figures[len(q.figures)-1])
		}
		if right-left-besideMarker < min(need, some)+slack {
			return false
		}
	}
	return true
}

// besideMarker is the room for a marker before words.
const besideMarker = 2*markerSize + 8

// flagWords writes whose box it is and where it tops out into the room from left to right, with the pull's marker at
// its right end before a flag, else at its left end.
func (s *sheet) flagWords(c draw.Canvas, q pull, left, right, y vg.Length, before bool) {
	f := plainFont(labelSize)
	at := left + markerSize
	if before {
		at = right - markerSize
	}
	markerFor(q.place).draw(c, s.pen(q.place, lineWidth).Color, at, y)
	words := q.words(f, right-left-besideMarker)
	if before {
		s.write(c, f, s.text, text.XRight, right-besideMarker, y, words)
	} else {
		s.write(c, f, s.text, text.XLeft, left+besideMarker, y, words)
	}
}

// words says whose box it is and where it tops out, in the room there is. The interval, which the flag shows as well,
// goes first, then the middle of the name, and last the gear and the figures.
func (q pull) words(f font.Font, room vg.Length) string {
	for _, figures := range q.figures {
		if widthOf(f, q.label+figures) <= room {
			return q.label + figures
		}
	}
	tail := ""
	if len(q.figures) > 0 {
		tail = q.figures[len(q.figures)-1]
	}
	sled, gear, found := cutLast(q.label, ", ")
	if found && widthOf(f, "M…, "+gear+tail) <= room {
		return shorten(f, sled, room-widthOf(f, ", "+gear+tail)) + ", " + gear + tail
	}
	if widthOf(f, "M…"+tail) <= room {
		return shorten(f, q.label, room-widthOf(f, tail)) + tail
	}
	return shorten(f, q.label, room)
}

// cutLast cuts s at the last separator.
func cutLast(s, separator string) (before, after string, found bool) {
	i := strings.LastIndex(s, separator)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(separator):], true
}
