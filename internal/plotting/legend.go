package plotting

import (
	"slices"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const (
	titleHeight  = textPitch + 8 // what the vertical axis shows, level above it: nobody tilts a phone
	legendHeight = textPitch + 4
)

// drawYTitle writes what the vertical axis shows.
func (s *canvas) drawYTitle(txt string) {
	c := draw.New(s.svg)
	s.drawText(c, plainFont(textSize), s.text, text.XLeft, 8, c.Max.Y-textPitch/2, txt)
}

// drawRightTitle writes what the numbers at the right end of the data show, in the room beside the heading.
func (s *canvas) drawRightTitle(heading, txt string) {
	c := draw.New(s.svg)
	f := plainFont(textSize)
	txt = truncate(f, txt, s.width-16-textWidth(f, heading)-20)
	s.drawText(c, f, s.text, text.XRight, s.width-8, c.Max.Y-textPitch/2, txt)
}

// legendItem says what one shape means.
type legendItem struct {
	sampleWidth vg.Length // of the sample
	label       string
	draw        func(s *canvas, c draw.Canvas, middle, y vg.Length)
}

const (
	legendGap = 26 // between two items
	legendPad = 8  // between a sample and its word
)

func (k legendItem) width() vg.Length {
	return k.sampleWidth + legendPad + textWidth(plainFont(textSize), k.label)
}

// drawFooter is what stands below the axis: what the shapes mean, in as many rows as it takes, and what has no number.
type footer struct {
	rows    [][]legendItem
	missing string
}

func newFooter(wide vg.Length, missing []string, key []legendItem) footer {
	f := footer{missing: joinToFit("No number yet: ", missing, wide-16)}
	x := vg.Length(0)
	for _, k := range key {
		if len(f.rows) == 0 || x+k.width() > wide-16 {
			f.rows, x = append(f.rows, nil), 0
		}
		last := len(f.rows) - 1
		f.rows[last] = append(f.rows[last], k)
		x += k.width() + legendGap
	}
	return f
}

// chartLegend explains what is there of a chart's shapes. The interval is a band, or a whisker on a ladder.
func chartLegend(gears []series, ladder bool) (key []legendItem) {
	there := func(is func(series) bool) bool { return slices.ContainsFunc(gears, is) }
	if there(func(g series) bool { return slices.ContainsFunc(g.line, func(d point) bool { return d.interval }) }) {
		key = append(key, legendItem{36, "95 % interval", func(s *canvas, c draw.Canvas, m, y vg.Length) {
			if ladder {
				drawWhisker(c, stroke(s.accent, lineWidth), vg.Point{X: m - 18, Y: y}, vg.Point{X: m + 18, Y: y}, 0, s.width)
				return
			}
			c.FillPolygon(bandColor(s.accent), rectangle(m-18, y-10, m+18, y+10))
			c.StrokeLine2(stroke(s.accent, lineWidth), m-18, y, m+18, y)
		}})
	}
	if there(func(g series) bool { return len(g.readings) > 0 }) {
		key = append(key, legendItem{2 * markerSize, "reading", func(s *canvas, c draw.Canvas, m, y vg.Length) { markerFor(0).draw(c, s.accent, m, y) }})
	}
	if there(func(g series) bool { return len(g.setAside) > 0 }) {
		key = append(key, legendItem{2 * markerSize, "set aside", func(s *canvas, c draw.Canvas, m, y vg.Length) { drawCross(c, s.text, m, y) }})
	}
	return key
}

func (f footer) height() vg.Length {
	h := 4 + f.extraHeight()
	if len(f.rows) > 0 {
		h += legendHeight
	}
	return h
}

// extraHeight is what it takes beyond the usual height of a drawing.
func (f footer) extraHeight() vg.Length {
	h := textPitch * vg.Length(max(0, len(f.rows)-1))
	if f.missing != "" {
		h += textPitch
	}
	return h
}

// drawFooter writes it, the key above what is missing.
func (s *canvas) drawFooter(f footer) {
	c := draw.New(s.svg)
	y := vg.Length(4) + textPitch/2
	if f.missing != "" {
		s.drawText(c, plainFont(textSize), s.muted, text.XLeft, 8, y, f.missing)
		y += textPitch
	}
	for _, row := range slices.Backward(f.rows) {
		x := vg.Length(8)
		for _, k := range row {
			k.draw(s, c, x+k.sampleWidth/2, y)
			s.drawText(c, plainFont(textSize), s.muted, text.XLeft, x+k.sampleWidth+legendPad, y, k.label)
			x += k.width() + legendGap
		}
		y += textPitch
	}
}

// rectangle lists the corners between two opposite ones.
func rectangle(left, bottom, right, top vg.Length) []vg.Point {
	return []vg.Point{{X: left, Y: bottom}, {X: right, Y: bottom}, {X: right, Y: top}, {X: left, Y: top}}
}
