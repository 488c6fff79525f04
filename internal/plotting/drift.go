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
	line  []point
	jump  bool
	pct   float64
	place int    // of the first day after a jump
	from  string // its name
}

func (d drift) known() bool { return len(d.line) > 0 }

// newDrift lays the line of the size given among the days: where the sum of squares of what is left is least.
func newDrift(d *DriftLine, days []day) drift {
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
	pointAt := func(x float64, i int) point { return point{x: x, y: level + at(i)} }
	out := drift{jump: d.Kind == "jump", pct: d.Pct, place: d.From, from: days[d.From].label}
	if out.jump {
		edge := float64(d.From) - 0.5
		out.line = []point{pointAt(-0.5, 0), pointAt(edge, 0), pointAt(edge, last), pointAt(float64(last)+0.5, last)}
	} else {
		out.line = []point{pointAt(float64(first), first), pointAt(float64(last), last)}
	}
	for _, p := range out.line {
		if !drawable(p.y) {
			return drift{}
		}
	}
	return out
}

// driftStyle is the line of a pattern: broken, so that it is told from limits and axis without color.
func (s *canvas) driftStyle() draw.LineStyle { return stroke(s.second, lineWidth, 13, 7) }

func (s *canvas) drawDrift(c draw.Canvas, x, y func(float64) vg.Length, d drift) {
	path := make([]vg.Point, len(d.line))
	for i, p := range d.line {
		path[i] = vg.Point{X: x(p.x), Y: y(p.y)}
	}
	if len(path) > 0 {
		c.StrokeLines(s.driftStyle(), path)
	}
}

// drawDriftCaption says below the heading what the line shows, with a sample of it. topOut is what a percent is of, 0 when
// unknown.
func (s *canvas) drawDriftCaption(d drift, topOut float64, u fleet.Units) {
	const sample = 44
	c := draw.New(s.svg)
	f := plainFont(textSize)
	y := c.Max.Y - titleHeight - textPitch/2
	c.StrokeLine2(s.driftStyle(), 8, y, 8+sample, y)
	s.drawText(c, f, s.text, text.XLeft, 8+sample+10, y, truncate(f, d.caption(topOut, u), s.width-sample-26))
}

// text names the pattern: "Jump: 4.0 % (11 ft) later from 2026-06-13 on".
func (d drift) caption(topOut float64, u fleet.Units) string {
	size := formatSmall(math.Abs(d.pct)) + " %"
	if topOut > 0 {
		size += " (" + formatSmall(math.Abs(d.pct)/100*topOut) + " " + unitSymbol(u) + ")"
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

// formatSmall writes a size with the decimals it takes to see it.
func formatSmall(v float64) string {
	switch {
	case v >= 9.95:
		return formatNumber(v, 0)
	case v >= 0.095:
		return formatNumber(v, 1)
	}
	return formatNumber(v, 2)
}
