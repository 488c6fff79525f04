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

// footer is what stands below the axis: what the shapes mean and which gears have no number.
type footer struct {
	interval, readings, aside bool
	missing                   string
}

func newFooter(gears []trace, missing []string) footer {
	f := footer{missing: listed("No number yet: ", missing, width-16)}
	for _, g := range gears {
		f.interval = f.interval || slices.ContainsFunc(g.line, func(d dot) bool { return d.interval })
		f.readings = f.readings || len(g.readings) > 0
		f.aside = f.aside || len(g.aside) > 0
	}
	return f
}

func (f footer) key() bool { return f.interval || f.readings || f.aside }

func (f footer) height() vg.Length {
	h := vg.Length(4)
	if f.key() {
		h += keyHeight
	}
	return h + f.extra()
}

// extra is what it takes beyond the usual height of a drawing.
func (f footer) extra() vg.Length {
	if f.missing != "" {
		return textPitch
	}
	return 0
}

// footer writes it. The interval is a band, or a whisker on a ladder.
func (s *sheet) footer(f footer, ladder bool) {
	c := draw.New(s.canvas)
	y := vg.Length(4) + textPitch/2
	if f.missing != "" {
		s.write(c, plainFont(textSize), s.muted, text.XLeft, 8, y, f.missing)
		y += textPitch
	}
	x := vg.Length(8)
	item := func(wide vg.Length, word string, sample func(middle vg.Length)) {
		sample(x + wide/2)
		s.write(c, plainFont(textSize), s.muted, text.XLeft, x+wide+8, y, word)
		x += wide + 8 + widthOf(plainFont(textSize), word) + 26
	}
	if f.interval {
		item(36, "95 % interval", func(m vg.Length) {
			if ladder {
				whisker(c, stroke(s.accent, lineWidth), vg.Point{X: m - 18, Y: y}, vg.Point{X: m + 18, Y: y}, 0, width)
				return
			}
			c.FillPolygon(band(s.accent), []vg.Point{{X: m - 18, Y: y - 10}, {X: m + 18, Y: y - 10}, {X: m + 18, Y: y + 10}, {X: m - 18, Y: y + 10}})
			c.StrokeLine2(stroke(s.accent, lineWidth), m-18, y, m+18, y)
		})
	}
	if f.readings {
		item(2*markerSize, "reading", func(m vg.Length) { markerFor(0).draw(c, s.accent, m, y) })
	}
	if f.aside {
		item(2*markerSize, "set aside", func(m vg.Length) { hollowCross(c, s.text, m, y) })
	}
}
