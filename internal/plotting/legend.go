package plotting

import (
	"slices"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// legend says what the shapes of a drawing mean.
type legend []legendItem

type legendItem struct {
	sampleWidth vg.Length
	label       string
	draw        func(c *canvas, x, y vg.Length) // the sample, centered on a point
}

// add appends an item where the drawing has what it explains.
func (l *legend) add(present bool, width vg.Length, label string, draw func(c *canvas, x, y vg.Length)) {
	if present {
		*l = append(*l, legendItem{width, label, draw})
	}
}

const (
	legendGap = 26 // between two items
	legendPad = 8  // between a sample and its label
	noteGap   = 10 // above a note
)

func (k legendItem) width() vg.Length {
	return k.sampleWidth + legendPad + textWidth(plainFont(textSize), k.label)
}

// footer stands below the axis: the legend, in as many rows as it takes, and below it what has no number, and a note.
type footer struct {
	rows    []legend
	missing string
	note    []string // its lines
}

func newFooter(note string, wide vg.Length, missing []string, l legend) footer {
	f := footer{missing: joinToFit("No number yet: ", missing, wide-16), note: wrap(sanitize(note, ""), wide-16)}
	x := vg.Length(0)
	for _, k := range l {
		if len(f.rows) == 0 || x+k.width() > wide-16 {
			f.rows, x = append(f.rows, nil), 0
		}
		last := &f.rows[len(f.rows)-1]
		*last = append(*last, k)
		x += k.width() + legendGap
	}
	return f
}

func (f footer) height() vg.Length {
	h := 4 + f.extraHeight()
	if len(f.rows) > 0 {
		h += textPitch + 4
	}
	return h
}

// extraHeight is what the footer takes beyond one row of the legend.
func (f footer) extraHeight() vg.Length {
	h := textPitch * vg.Length(max(0, len(f.rows)-1)+len(f.note))
	if len(f.note) > 0 {
		h += noteGap
	}
	if f.missing != "" {
		h += textPitch
	}
	return h
}

func (c *canvas) drawFooter(f footer) {
	y := vg.Length(4) + textPitch/2
	for _, line := range slices.Backward(f.note) {
		c.drawText(plainFont(textSize), c.text, text.XLeft, 8, y, line)
		y += textPitch
	}
	if len(f.note) > 0 {
		y += noteGap
	}
	if f.missing != "" {
		c.drawText(plainFont(textSize), c.muted, text.XLeft, 8, y, f.missing)
		y += textPitch
	}
	for _, row := range slices.Backward(f.rows) {
		x := vg.Length(8)
		for _, k := range row {
			k.draw(c, x+k.sampleWidth/2, y)
			c.drawText(plainFont(textSize), c.muted, text.XLeft, x+k.sampleWidth+legendPad, y, k.label)
			x += k.width() + legendGap
		}
		y += textPitch
	}
}
