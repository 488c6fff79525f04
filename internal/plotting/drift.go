package plotting

import (
	"math"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenpull/internal/fleet"
)

// drift is the pattern of a season as drawn: a line by place and percent, and what it is.
type drift struct {
	line  []dot
	jump  bool
	pct   float64
	place int    // of the first day after a jump
	from  string // its name
}

func (d drift) known() bool { return len(d.line) > 0 }

// driftOf lays the line of the size given among the days: where the sum of squares of what is left is least.
func driftOf(d *DriftLine, days []day) drift {
	if d == nil || !drawable(d.Pct) || d.Pct == 0 || d.From < 0 || d.From >= len(days) {
		return drift{}
	}
	last := len(days) - 1
	var at func(i int) float64 // the line at a place, less its level
	switch {
	case d.Kind == "trend" && d.From < last:
		at = func(i int) float64 { return d.Pct * float64(i-d.From) }
	case d.Kind == "jump" && d.From > 0:
		at = func(i int) float64 {
			if i >= d.From {
				return d.Pct
			}
			return 0
		}
	default:
		return drift{}
	}
	first := 0
	if d.Kind == "trend" {
		first = d.From
	}
	level, n := 0.0, 0.0
	for i := first; i <= last; i++ {
		if days[i].known {
			level += days[i].y - at(i)
			n++
		}
	}
	if n == 0 {
		return drift{}
	}
	level /= n
	point := func(x float64, i int) dot { return dot{x: x, y: level + at(i)} }
	out := drift{jump: d.Kind == "jump", pct: d.Pct, place: d.From, from: days[d.From].label}
	if out.jump {
		edge := float64(d.From) - 0.5
		out.line = []dot{point(-0.5, 0), point(edge, 0), point(edge, last), point(float64(last)+0.5, last)}
	} else {
		out.line = []dot{point(float64(first), first), point(float64(last), last)}
	}
	for _, p := range out.line {
		if !drawable(p.y) {
			return drift{}
		}
	}
	return out
}

// driftPen is the line of a pattern: broken, so that it is told from limits and axis without color.
func (s *sheet) driftPen() draw.LineStyle { return stroke(s.second, lineWidth, 13, 7) }

func (s *sheet) driftLine(c draw.Canvas, x, y func(float64) vg.Length, d drift) {
	path := make([]vg.Point, len(d.line))
	for i, p := range d.line {
		path[i] = vg.Point{X: x(p.x), Y: y(p.y)}
	}
	if len(path) > 0 {
		c.StrokeLines(s.driftPen(), path)
	}
}

// driftWords says below the heading what the line shows, with a sample of it. topOut is what a percent is of, 0 when
// unknown.
func (s *sheet) driftWords(d drift, topOut float64, u fleet.Units) {
	const sample = 44
	c := draw.New(s.canvas)
	f := plainFont(textSize)
	y := c.Max.Y - headingHeight - textPitch/2
	c.StrokeLine2(s.driftPen(), 8, y, 8+sample, y)
	s.write(c, f, s.text, text.XLeft, 8+sample+10, y, shorten(f, d.words(topOut, u), s.wide-sample-26))
}

// words names the pattern: "Jump: 4.0 % (11 ft) later from 2026-06-13 on".
func (d drift) words(topOut float64, u fleet.Units) string {
	size := small(math.Abs(d.pct)) + " %"
	if topOut > 0 {
		size += " (" + small(math.Abs(d.pct)/100*topOut) + " " + shortUnit(u) + ")"
	}
	way := " later"
	if d.pct < 0 {
		way = " earlier"
	}
	if d.jump {
		return "Jump: " + size + way + " from " + d.from + " on"
	}
	return "Trend: " + size + way + " with each day"
}

// small writes a size with the decimals it takes to see it.
func small(v float64) string {
	switch {
	case v >= 9.95:
		return number(v, 0)
	case v >= 0.095:
		return number(v, 1)
	}
	return number(v, 2)
}
