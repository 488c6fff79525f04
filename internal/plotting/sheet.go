package plotting

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// sheet is one drawing under way: the ground it is drawn on, its axes and its colors.
type sheet struct {
	palette
	canvas *canvas
	wide   vg.Length
	plot   *plot.Plot
}

// layer draws the data between the axes.
type layer func(c draw.Canvas, x, y func(float64) vg.Length)

// Plot implements plot.Plotter.
func (l layer) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	l(c, x, y)
}

func newSheet(theme Theme, wide, height vg.Length) *sheet {
	s := &sheet{palette: paletteOf(theme), canvas: newCanvas(wide, height), wide: wide, plot: plot.New()}
	p := s.plot
	p.BackgroundColor = nil // transparent
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Padding = 0
		a.Tick.Label = s.style(plainFont(textSize), s.text, a.Tick.Label.XAlign, a.Tick.Label.YAlign)
	}
	p.X.LineStyle = stroke(s.muted, thinWidth)
	p.X.Tick.LineStyle = stroke(s.muted, thinWidth)
	p.X.Tick.Length = 10
	p.Y.LineStyle.Width = 0 // the grid is enough
	p.Y.Tick.LineStyle.Width = 0
	return s
}

func (s *sheet) style(f font.Font, c color.Color, x text.XAlignment, y text.YAlignment) text.Style {
	return text.Style{
		Color: c, Font: f, XAlign: x, YAlign: y,
		Handler: anchored{Plain: text.Plain{Fonts: font.DefaultCache}, on: s.canvas},
	}
}

// write puts text beside a point, its middle at the point's height.
func (s *sheet) write(c draw.Canvas, f font.Font, col color.Color, align text.XAlignment, x, y vg.Length, txt string) {
	sty := s.style(f, col, align, text.YCenter)
	// Raised so that the middle of capitals and figures, 0.72 of the size high, comes to stand there.
	c.FillText(sty, vg.Point{X: x, Y: y + f.Size*0.1}, txt)
}

// writeUp puts text that rises at an angle (rad) so that it ends at a point.
func (s *sheet) writeUp(c draw.Canvas, f font.Font, col color.Color, angle float64, x, y vg.Length, txt string) {
	sty := s.style(f, col, text.XRight, text.YCenter)
	sty.Rotation = angle
	sin, cos := math.Sincos(angle)
	raise := f.Size * 0.1 // as in write, across the line of text
	c.FillText(sty, vg.Point{X: x - raise*vg.Length(sin), Y: y + raise*vg.Length(cos)}, txt)
}

// rightNumbers writes numbers beside the right end of the data, each with a short mark.
func (s *sheet) rightNumbers(c draw.Canvas, y func(float64) vg.Length, marks []plot.Tick) {
	for _, m := range marks {
		at := y(m.Value)
		c.StrokeLine2(stroke(s.muted, thinWidth), c.Max.X, at, c.Max.X+rightMark, at)
		s.write(c, plainFont(textSize), s.text, text.XLeft, c.Max.X+rightMark+4, at, m.Label)
	}
}

// rightMark is the length of a mark beside the data; rightMargin is the room that the numbers there take with it.
const rightMark = 8

func rightMargin(marks []plot.Tick) vg.Length { return rightMark + 4 + widestOf(marks) + 8 }

// gridLines adds quiet lines at the ticks.
func (s *sheet) gridLines(vertical, horizontal bool) {
	g := &plotter.Grid{}
	if vertical {
		g.Vertical = stroke(s.grid, thinWidth)
	}
	if horizontal {
		g.Horizontal = stroke(s.grid, thinWidth)
	}
	s.plot.Add(g)
}

// leftMargin is what the numbers on the axes may take beyond what the plot sees to itself: the room for those of the
// vertical axis by our own font.
func (s *sheet) leftMargin() vg.Length {
	p := s.plot
	level := widestOf(p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max)) / 2
	return 8 + max(level, s.numbersWidth()) - s.numbersWidth()/roomier
}

// numbersWidth is the room for the numbers of the vertical axis.
func (s *sheet) numbersWidth() vg.Length {
	return widestOf(s.plot.Y.Tick.Marker.Ticks(s.plot.Y.Min, s.plot.Y.Max))
}

func widestOf(marks []plot.Tick) vg.Length {
	widest := vg.Length(0)
	for _, t := range marks {
		widest = max(widest, widthOf(plainFont(textSize), t.Label))
	}
	return widest
}

// levelTicks sets the ticks of the horizontal axis between low and its end, as many as find room beside each other
// between the margins.
func (s *sheet) levelTicks(low float64, margins vg.Length) {
	const gap = 14
	high := s.plot.X.Max
	for most := 5; most >= 2; most-- {
		marks := ticks(low, high, most)
		s.plot.X.Tick.Marker = marks
		if len(marks) < 2 {
			return
		}
		widest := widestOf(marks)
		// The plot gives way to numbers that stick out at its ends.
		apart := (s.wide - margins - widest) * vg.Length((marks[1].Value-marks[0].Value)/(high-s.plot.X.Min))
		if widest+gap <= apart {
			return
		}
	}
}

// axisTitle writes what the horizontal axis shows above the footer, in the middle below the data where it has the
// room there.
func (s *sheet) axisTitle(data draw.Canvas, bottom vg.Length, txt string) {
	half := widthOf(plainFont(textSize), txt) / 2
	x := min(max(data.Center().X, 8+half), s.wide-8-half)
	s.write(draw.New(s.canvas), plainFont(textSize), s.text, text.XCenter, x, bottom+textPitch/2, txt)
}

// area is the whole ground less margins.
func (s *sheet) area(left, right, bottom, top vg.Length) draw.Canvas {
	return draw.Crop(draw.New(s.canvas), left, -right, bottom, -top)
}

// wordsOnly is a drawing that says why there is nothing to draw.
func wordsOnly(theme Theme, title, desc string, lines ...string) ([]byte, error) {
	s := newSheet(theme, width, baseHeight)
	c := draw.New(s.canvas)
	y := c.Center().Y + textPitch*vg.Length(len(lines)-1)/2
	for i, l := range lines {
		f, col := plainFont(textSize), s.muted
		if i == 0 {
			f, col = boldFont(labelSize), s.text
		}
		s.write(c, f, col, text.XCenter, c.Center().X, y, l)
		y -= textPitch
	}
	return s.canvas.finish(title, desc)
}
