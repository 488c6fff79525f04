package plotting

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// marker is a shape that stands for a gear or a pull, so that color alone never has to.
type marker struct {
	corners int     // 0 is a circle
	turn    float64 // where the first corner lies, rad anticlockwise from the right
	scale   float64 // evens out how large the shapes look
	hollow  bool
}

const markerShapes = 6

// markerFor cycles through the shapes, first filled, then hollow.
func markerFor(i int) marker {
	m := [markerShapes]marker{
		{corners: 0, scale: 0.95},
		{corners: 4, turn: math.Pi / 4, scale: 1.2},
		{corners: 3, turn: math.Pi / 2, scale: 1.3},
		{corners: 4, turn: 0, scale: 1.25},
		{corners: 3, turn: -math.Pi / 2, scale: 1.3},
		{corners: 6, turn: 0, scale: 1.1},
	}[i%markerShapes]
	m.hollow = i/markerShapes%2 == 1
	return m
}

func (m marker) draw(c *canvas, col color.Color, x, y vg.Length) {
	r := vg.Length(m.scale) * markerSize
	if m.hollow {
		r -= thinWidth / 2
	}
	var p vg.Path
	if m.corners == 0 {
		p.Move(xy(x+r, y))
		p.Arc(xy(x, y), r, 0, 2*math.Pi)
		p.Close()
	} else {
		corners := make([]vg.Point, m.corners)
		for i := range corners {
			sin, cos := math.Sincos(m.turn + 2*math.Pi*float64(i)/float64(m.corners))
			corners[i] = xy(x+r*vg.Length(cos), y+r*vg.Length(sin))
		}
		p = polygon(corners)
	}
	if m.hollow {
		c.SetLineStyle(stroke(col, thinWidth))
		c.Stroke(p)
		return
	}
	c.SetColor(col)
	c.Fill(p)
}

func polygon(corners []vg.Point) (p vg.Path) {
	p.Move(corners[0])
	for _, at := range corners[1:] {
		p.Line(at)
	}
	p.Close()
	return p
}

func xy(x, y vg.Length) vg.Point { return vg.Point{X: x, Y: y} }

// rectangle lists the corners between two opposite ones.
func rectangle(left, bottom, right, top vg.Length) []vg.Point {
	return []vg.Point{{X: left, Y: bottom}, {X: right, Y: bottom}, {X: right, Y: top}, {X: left, Y: top}}
}

// drawCross marks a reading that is set aside: the outline of a cross, turned by an eighth.
func (c *canvas) drawCross(x, y vg.Length) {
	const arm, half = 10.5, 3 // length and half the breadth of an arm
	corners := []vg.Point{
		{X: arm, Y: half}, {X: half, Y: half}, {X: half, Y: arm}, {X: -half, Y: arm}, {X: -half, Y: half},
		{X: -arm, Y: half},
		{X: -arm, Y: -half}, {X: -half, Y: -half}, {X: -half, Y: -arm}, {X: half, Y: -arm}, {X: half, Y: -half},
		{X: arm, Y: -half},
	}
	for i, o := range corners {
		corners[i] = xy(x+(o.X-o.Y)*math.Sqrt2/2, y+(o.X+o.Y)*math.Sqrt2/2)
	}
	c.SetLineStyle(stroke(c.text, thinWidth))
	c.Stroke(polygon(corners))
}

// drawArrow points up to a reading beyond the drawing, or down where the height is negative.
func (c *canvas) drawArrow(x, y, height vg.Length) {
	c.StrokeLines(stroke(c.text, thinWidth), []vg.Point{{X: x - 7, Y: y}, {X: x, Y: y + height}, {X: x + 7, Y: y}})
}

// drawWhisker is a line, vertical or horizontal, with a cap at each end. It is drawn between the limits along its
// direction; an end beyond them has no cap.
func (c *canvas) drawWhisker(style draw.LineStyle, a, b vg.Point, least, most vg.Length) {
	const half = 7 // of a cap
	ends := []vg.Point{a, b}
	for i := range ends {
		along, cap := &ends[i].Y, vg.Point{X: half}
		if a.Y == b.Y {
			along, cap = &ends[i].X, vg.Point{Y: half}
		}
		if least <= *along && *along <= most {
			c.StrokeLines(style, []vg.Point{ends[i].Sub(cap), ends[i].Add(cap)})
		}
		*along = min(max(*along, least), most)
	}
	c.StrokeLines(style, ends)
}
