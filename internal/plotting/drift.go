package plotting

import (
	"math"
	"slices"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg/draw"

	"evenpull/internal/fleet"
)

// drift is the pattern of a season as drawn: a line by place and percent, and what it is. Without a line there is none.
type drift struct {
	line  []point
	jump  bool
	pct   float64
	place int    // of the first day after a jump
	from  string // its name
}

// newDrift places the line, whose size is given, among the days by least squares.
func newDrift(d *DriftLine, days []day) drift {
	last := len(days) - 1
	if d == nil || !drawable(d.Pct) || d.Pct == 0 || d.From < 0 || d.From > last {
		return drift{}
	}
	out := drift{jump: d.Kind == "jump", pct: d.Pct, place: d.From, from: days[d.From].label}
	first := 0
	var height func(i int) float64 // of the line at a place, less its level
	switch {
	case d.Kind == "trend" && d.From < last:
		first = d.From
		height = func(i int) float64 { return d.Pct * float64(i-d.From) }
	case out.jump && d.From > 0:
		height = func(i int) float64 {
			if i < d.From {
				return 0
			}
			return d.Pct
		}
	default:
		return drift{}
	}
	sum, n := 0.0, 0.0
	for i := first; i <= last; i++ {
		if days[i].known {
			sum += days[i].y - height(i)
			n++
		}
	}
	at := func(x float64, i int) point { return point{x: x, y: sum/n + height(i)} }
	if out.jump {
		edge := float64(d.From) - 0.5
		out.line = []point{at(-0.5, 0), at(edge, 0), at(edge, last), at(float64(last)+0.5, last)}
	} else {
		out.line = []point{at(float64(first), first), at(float64(last), last)}
	}
	if slices.ContainsFunc(out.line, func(p point) bool { return !drawable(p.y) }) {
		return drift{}
	}
	return out
}

// driftStyle is dashed, so that the line is told from limits and axis without color.
func (p palette) driftStyle() draw.LineStyle { return stroke(p.second, lineWidth, 13, 7) }

// drawDriftCaption says below the title of the axis what the line shows, with a sample of it. topOut is what a percent
// is of, 0 when unknown.
func (c *canvas) drawDriftCaption(d drift, topOut float64, u fleet.Units) {
	const sample = 44
	f := plainFont(textSize)
	y := c.Max.Y - titleHeight - textPitch/2
	c.StrokeLine2(c.driftStyle(), 8, y, 8+sample, y)
	c.drawText(f, c.text, text.XLeft, 8+sample+10, y, truncate(f, d.caption(topOut, u), c.Max.X-sample-26))
}

// caption names the pattern: "Jump: 4.0 % (11 ft) later from 2026-06-13 on".
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
