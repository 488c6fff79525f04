package plotting

import (
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// canvas is one drawing in progress: its whole area, its colors, its axes and the SVG.
type canvas struct {
	draw.Canvas
	palette
	svg     *vgsvg.Canvas
	anchors []string // text-anchor attributes of the texts, in the order drawn
	plot    *plot.Plot

	drawData func()                  // draws between the axes; only there the following are known
	data     vg.Rectangle            // the area between the axes
	x, y     func(float64) vg.Length // where a value of an axis lies
}

// newCanvas begins a drawing. What the vertical axis shows is written level above it, so that it reads on a phone.
func newCanvas(theme Theme, width, height vg.Length, yTitle string) *canvas {
	svg := vgsvg.New(width, height)
	c := &canvas{Canvas: draw.New(svg), palette: paletteOf(theme), svg: svg, plot: plot.New()}
	p := c.plot
	p.BackgroundColor = nil // transparent
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Padding = 0
		a.Tick.Label = c.textStyle(plainFont(textSize), c.text, a.Tick.Label.XAlign, a.Tick.Label.YAlign)
	}
	p.X.LineStyle = stroke(c.muted, thinWidth)
	p.X.Tick.LineStyle = stroke(c.muted, thinWidth)
	p.X.Tick.Length = 10
	p.Y.LineStyle.Width, p.Y.Tick.LineStyle.Width = 0, 0 // the grid is enough
	c.drawText(plainFont(textSize), c.text, text.XLeft, 8, c.Max.Y-textPitch/2, yTitle)
	return c
}

// Plot implements plot.Plotter.
func (c *canvas) Plot(data draw.Canvas, p *plot.Plot) {
	c.data = data.Rectangle
	c.x, c.y = p.Transforms(&data)
	c.drawData()
}

func (c *canvas) path(line []point) []vg.Point {
	path := make([]vg.Point, len(line))
	for i, p := range line {
		path[i] = xy(c.x(p.x), c.y(p.y))
	}
	return path
}

// layout is what stands around the data.
type layout struct {
	title, desc string // of the document
	xTitle      string // centered below the data where there is room
	footer      footer
	// The room beside the data: left of the numbers of the vertical axis, right, above the footer, below the titles.
	left, right, below, above vg.Length
}

// finish draws the data with the axes, the title of the horizontal axis and the footer.
func (c *canvas) finish(lay layout) []byte {
	p, font := c.plot, plainFont(textSize)
	halfTick := widestLabel(p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max)) / 2
	// The room for the numbers on the axes, less what gonum leaves for them by the widths of its own font.
	left := 8 + max(halfTick, c.yTickWidth()) - c.yTickWidth()/fontSlack + lay.left
	p.Draw(draw.Crop(c.Canvas, left, -lay.right, lay.footer.height()+lay.below, -titleHeight-lay.above))
	if lay.xTitle != "" {
		half := textWidth(font, lay.xTitle) / 2
		x := min(max((c.data.Min.X+c.data.Max.X)/2, 8+half), c.Max.X-8-half)
		c.drawText(font, c.text, text.XCenter, x, lay.footer.height()+textPitch/2, lay.xTitle)
	}
	return c.encodeWith(lay)
}

// encodeWith draws the footer and returns the SVG.
func (c *canvas) encodeWith(lay layout) []byte {
	c.drawFooter(lay.footer)
	return c.encode(lay.title, strings.Join(append([]string{lay.desc}, lay.footer.note...), " "))
}

// emptyDrawing says why there is nothing to draw.
func emptyDrawing(s Style, lay layout, reason string) []byte {
	lay.footer = newFooter(s.Note, width, nil, nil)
	c := newCanvas(s.Theme, width, baseHeight+lay.footer.extraHeight(), "")
	at := c.Center()
	c.drawText(boldFont(labelSize), c.text, text.XCenter, at.X, at.Y+textPitch/2, "There is nothing to draw yet.")
	c.drawText(plainFont(textSize), c.muted, text.XCenter, at.X, at.Y-textPitch/2, reason)
	return c.encodeWith(lay)
}

func (c *canvas) textStyle(f font.Font, col color.Color, x text.XAlignment, y text.YAlignment) text.Style {
	return text.Style{
		Color: col, Font: f, XAlign: x, YAlign: y,
		Handler: anchoredText{Plain: text.Plain{Fonts: font.DefaultCache}, on: c},
	}
}

// drawText centers text vertically on a point and aligns it horizontally beside it.
func (c *canvas) drawText(f font.Font, col color.Color, align text.XAlignment, x, y vg.Length, txt string) {
	c.drawRotatedText(f, col, align, 0, x, y, txt)
}

// drawRotatedText is drawText along a line that rises at an angle (rad).
func (c *canvas) drawRotatedText(
	f font.Font, col color.Color, align text.XAlignment, angle float64, x, y vg.Length, txt string,
) {
	style := c.textStyle(f, col, align, text.YCenter)
	style.Rotation = angle
	// Raised so that the middle of capitals and figures, 0.72 of the size high, lies on the point.
	sin, cos := math.Sincos(angle)
	raise := f.Size * 0.1
	c.FillText(style, xy(x-raise*vg.Length(sin), y+raise*vg.Length(cos)), txt)
}

// drawRightAxis writes numbers at the right end of the data, each with a tick mark.
func (c *canvas) drawRightAxis(marks []plot.Tick) {
	for _, m := range marks {
		y, end := c.y(m.Value), c.data.Max.X+tickLength
		c.StrokeLine2(stroke(c.muted, thinWidth), c.data.Max.X, y, end, y)
		c.drawText(plainFont(textSize), c.text, text.XLeft, end+4, y, m.Label)
	}
}

func rightAxisWidth(marks []plot.Tick) vg.Length { return tickLength + 4 + widestLabel(marks) + 8 }

func (c *canvas) yTickWidth() vg.Length {
	return widestLabel(c.plot.Y.Tick.Marker.Ticks(c.plot.Y.Min, c.plot.Y.Max))
}

func widestLabel(marks []plot.Tick) (widest vg.Length) {
	for _, t := range marks {
		widest = max(widest, textWidth(plainFont(textSize), t.Label))
	}
	return widest
}

// setXTicks puts ticks on the horizontal axis from low on, as many as have room beside each other between the margins.
func (c *canvas) setXTicks(low float64, margins vg.Length) {
	const gap = 14
	axis := &c.plot.X
	for most := 5; most >= 2; most-- {
		marks := ticks(low, axis.Max, most)
		axis.Tick.Marker = marks
		if len(marks) < 2 {
			return
		}
		widest := widestLabel(marks)
		// The plot makes room for numbers that reach beyond its ends.
		apart := (c.Max.X - margins - widest) * vg.Length((marks[1].Value-marks[0].Value)/(axis.Max-axis.Min))
		if widest+gap <= apart {
			return
		}
	}
}
