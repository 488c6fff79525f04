package plotting

import (
	"slices"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const (
	headingHeight = textPitch + 8 // what the vertical axis shows, level above it: nobody tilts a phone
	keyHeight     = textPitch + 4
)

// heading writes what the vertical axis shows.
func (s *sheet) heading(txt string) {
	c := draw.New(s.canvas)
	s.write(c, plainFont(textSize), s.text, text.XLeft, 8, c.Max.Y-textPitch/2, txt)
}

// headingRight writes what the numbers at the right end of the data show, in the room beside the heading.
func (s *sheet) headingRight(heading, txt string) {
	c := draw.New(s.canvas)
	f := plainFont(textSize)
	txt = shorten(f, txt, s.wide-16-widthOf(f, heading)-20)
	s.write(c, f, s.text, text.XRight, s.wide-8, c.Max.Y-textPitch/2, txt)
}

// keyItem says what one shape means.
type keyItem struct {
	wide   vg.Length // of the sample
	word   string
	sample func(s *sheet, c draw.Canvas, middle, y vg.Length)
}

const (
	keyGap  = 26 // between two items
	keyStep = 8  // between a sample and its word
)

func (k keyItem) width() vg.Length { return k.wide + keyStep + widthOf(plainFont(textSize), k.word) }

// footer is what stands below the axis: what the shapes mean, in as many rows as it takes, and what has no number.
type footer struct {
	rows    [][]keyItem
	missing string
}

func newFooter(wide vg.Length, missing []string, key []keyItem) footer {
	f := footer{missing: listed("No number yet: ", missing, wide-16)}
	x := vg.Length(0)
	for _, k := range key {
		if len(f.rows) == 0 || x+k.width() > wide-16 {
			f.rows, x = append(f.rows, nil), 0
		}
		last := len(f.rows) - 1
		f.rows[last] = append(f.rows[last], k)
		x += k.width() + keyGap
	}
	return f
}

// chartKey explains what is there of a chart's shapes. The interval is a band, or a whisker on a ladder.
func chartKey(gears []trace, ladder bool) (key []keyItem) {
	there := func(is func(trace) bool) bool { return slices.ContainsFunc(gears, is) }
	if there(func(g trace) bool { return slices.ContainsFunc(g.line, func(d dot) bool { return d.interval }) }) {
		key = append(key, keyItem{36, "95 % interval", func(s *sheet, c draw.Canvas, m, y vg.Length) {
			if ladder {
				whisker(c, stroke(s.accent, lineWidth), vg.Point{X: m - 18, Y: y}, vg.Point{X: m + 18, Y: y}, 0, s.wide)
				return
			}
			c.FillPolygon(band(s.accent), rectangle(m-18, y-10, m+18, y+10))
			c.StrokeLine2(stroke(s.accent, lineWidth), m-18, y, m+18, y)
		}})
	}
	if there(func(g trace) bool { return len(g.readings) > 0 }) {
		key = append(key, keyItem{2 * markerSize, "reading", func(s *sheet, c draw.Canvas, m, y vg.Length) { markerFor(0).draw(c, s.accent, m, y) }})
	}
	if there(func(g trace) bool { return len(g.aside) > 0 }) {
		key = append(key, keyItem{2 * markerSize, "set aside", func(s *sheet, c draw.Canvas, m, y vg.Length) { hollowCross(c, s.text, m, y) }})
	}
	return key
}

func (f footer) height() vg.Length {
	h := 4 + f.extra()
	if len(f.rows) > 0 {
		h += keyHeight
	}
	return h
}

// extra is what it takes beyond the usual height of a drawing.
func (f footer) extra() vg.Length {
	h := textPitch * vg.Length(max(0, len(f.rows)-1))
	if f.missing != "" {
		h += textPitch
	}
	return h
}

// footer writes it, the key above what is missing.
func (s *sheet) footer(f footer) {
	c := draw.New(s.canvas)
	y := vg.Length(4) + textPitch/2
	if f.missing != "" {
		s.write(c, plainFont(textSize), s.muted, text.XLeft, 8, y, f.missing)
		y += textPitch
	}
	for _, row := range slices.Backward(f.rows) {
		x := vg.Length(8)
		for _, k := range row {
			k.sample(s, c, x+k.wide/2, y)
			s.write(c, plainFont(textSize), s.muted, text.XLeft, x+k.wide+keyStep, y, k.word)
			x += k.width() + keyGap
		}
		y += textPitch
	}
}

// rectangle lists the corners between two opposite ones.
func rectangle(left, bottom, right, top vg.Length) []vg.Point {
	return []vg.Point{{X: left, Y: bottom}, {X: right, Y: bottom}, {X: right, Y: top}, {X: left, Y: top}}
}
