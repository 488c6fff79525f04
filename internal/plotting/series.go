package plotting

import (
	"cmp"
	"image/color"
	"slices"

	"gonum.org/v1/plot/vg"
)

// series is one line as drawn, of a gear or of a loading, in the units of the axes.
type series struct {
	label    string
	marker   marker
	line     []point // from left to right
	readings []point // or weighings
	setAside []point
	waiting  []point // they count nowhere until somebody answers
}

func (g series) hasNumber() bool { return len(g.line)+len(g.readings) > 0 }
func (g series) hasInterval() bool {
	return slices.ContainsFunc(g.line, func(p point) bool { return p.interval })
}

// uncounted are the readings that no line goes by.
func (g series) uncounted() []point { return slices.Concat(g.setAside, g.waiting) }

func byX(a, b point) int { return cmp.Compare(a.x, b.x) }

// labelPoint is where the label belongs: the end of the line or, without a line, the last reading.
func (g series) labelPoint() point {
	if len(g.line) > 0 {
		return g.line[len(g.line)-1]
	}
	return slices.MaxFunc(g.readings, byX)
}

// xExtent is the range of x of all that counts.
func xExtent(list []series) (e extent) {
	for _, g := range list {
		for _, p := range slices.Concat(g.line, g.readings) {
			e.add(p.x)
		}
	}
	return e
}

// seriesExtent is their yExtent.
func seriesExtent(list []series, least float64) extent {
	var counted, uncounted []point
	for _, g := range list {
		counted = append(append(counted, g.line...), g.readings...)
		uncounted = append(uncounted, g.uncounted()...)
	}
	return yExtent(counted, uncounted, least)
}

// intervalRuns are the stretches of a line in which every point has an interval.
func intervalRuns(line []point) (runs [][]point) {
	from := 0
	for i := range len(line) + 1 {
		if i < len(line) && line[i].interval {
			continue
		}
		if i > from {
			runs = append(runs, line[from:i])
		}
		from = i + 1
	}
	return runs
}

// drawBand fills the intervals of a stretch of a line, as far as they lie between the axes.
func (c *canvas) drawBand(run []point, col color.NRGBA) {
	at := func(x, y float64) vg.Point { return xy(c.x(x), min(max(c.y(y), c.data.Min.Y), c.data.Max.Y)) }
	var ring []vg.Point
	for _, p := range run {
		ring = append(ring, at(p.x, p.high))
	}
	for _, p := range slices.Backward(run) {
		ring = append(ring, at(p.x, p.low))
	}
	c.FillPolygon(bandColor(col), ring)
}

// drawUncounted draws readings that no line goes by; one beyond the axes stands at the edge with an arrow that points
// to it.
func (c *canvas) drawUncounted(readings []point, draw func(x, y vg.Length)) {
	const edge = 26
	for _, p := range readings {
		x, y := min(max(c.x(p.x), c.data.Min.X), c.data.Max.X), c.y(p.y)
		switch {
		case y > c.data.Max.Y:
			y = c.data.Max.Y - edge
			c.drawArrow(x, y+16, 7)
		case y < c.data.Min.Y:
			y = c.data.Min.Y + edge
			c.drawArrow(x, y-16, -7)
		}
		draw(x, y)
	}
}
