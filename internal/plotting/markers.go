package plotting

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// marker is a shape that stands for a gear or a pull, so that color never has to.
type marker struct {
	corners int     // 0 is a circle
	turn    float64 // where the first corner lies, rad anticlockwise from the right
	scale   float64 // evens out how large the shapes look
	hollow  bool
}

const shapes = 6

// markerFor cycles through the shapes, first filled, then hollow.
func markerFor(i int) marker {
	m := [shapes]marker{
		{corners: 0, scale: 0.95},
		{corners: 4, turn: math.Pi / 4, scale: 1.2},
		{corners: 3, turn: math.Pi / 2, scale: 1.3},
		{corners: 4, turn: 0, scale: 1.25},
		{corners: 3, turn: -math.Pi / 2, scale: 1.3},
		{corners: 6, turn: 0, scale: 1.1},
	}[i%shapes]
	m.hollow = i/shapes%2 == 1
	return m
}

func (m marker) draw(c draw.Canvas, col color.Color, x, y vg.Length) {
	r := vg.Length(m.scale) * markerSize
	if m.hollow {
		r -= thinWidth / 2
	}
	var p vg.Path
	if m.corners == 0 {
		p.Move(vg.Point{X: x + r, Y: y})
		p.Arc(vg.Point{X: x, Y: y}, r, 0, 2*math.Pi)
	} else {
		p = polygon(x, y, r, m.corners, m.turn)
	}
	p.Close()
	if m.hollow {
		c.SetLineStyle(stroke(col, thinWidth))
		c.Stroke(p)
		return
	}
	c.SetColor(col)
	c.Fill(p)
}

// hollowCross marks a reading that is set aside: the outline of a cross.
func hollowCross(c draw.Canvas, col color.Color, x, y vg.Length) {
	const arm, half = 10.5, 3 // length and half the breadth of an arm
	offsets := [12][2]vg.Length{
		{arm, half}, {half, half}, {half, arm}, {-half, arm}, {-half, half}, {-arm, half},
		{-arm, -half}, {-half, -half}, {-half, -arm}, {half, -arm}, {half, -half}, {arm, -half},
	}
	var p vg.Path
	for i, o := range offsets { // turned by an eighth
		at := vg.Point{X: x + (o[0]-o[1])*math.Sqrt2/2, Y: y + (o[0]+o[1])*math.Sqrt2/2}
		if i == 0 {
			p.Move(at)
		} else {
			p.Line(at)
		}
	}
	p.Close()
	c.SetLineStyle(stroke(col, thinWidth))
	c.Stroke(p)
}

// beyond points up or down to a reading that lies outside the drawing.
func beyond(c draw.Canvas, col color.Color, x, y vg.Length, up bool) {
	d := vg.Length(-7)
	if up {
		d = 7
	}
	c.StrokeLines(stroke(col, thinWidth), []vg.Point{{X: x - 7, Y: y}, {X: x, Y: y + d}, {X: x + 7, Y: y}})
}

func polygon(x, y, r vg.Length, corners int, turn float64) vg.Path {
	var p vg.Path
	for i := range corners {
		sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/float64(corners))
		at := vg.Point{X: x + r*vg.Length(cos), Y: y + r*vg.Length(sin)}
		if i == 0 {
			p.Move(at)
		} else {
			p.Line(at)
		}
	}
	return p
}
