package plotting

import (
	"cmp"
	"slices"
	"strings"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenpull/internal/fleet"
)

// DrawChart draws a sled's chart as a complete SVG document: a line with its interval for each gear, labeled at
// its end, and the readings. Where only one start position is known it is a ladder instead, one rung a gear,
// and without any number a drawing that says so. A zero Style is light and in feet. It errs only where the
// document cannot be written.
func DrawChart(c Chart, s Style) ([]byte, error) {
	title := sanitize(c.Title, "Top-out distances")
	desc := sanitize(c.Description, "Top-out distance of each gear by start position.")
	gears, missing := seriesOf(c.Gears, s.Units)
	switch starts, known := xExtent(gears); {
	case !known:
		return emptyDrawing(s.Theme, title, desc, "There is nothing to draw yet.", "No gear of this sled has a number.")
	case starts.high-starts.low < sameStart:
		return drawLadder(gears, missing, title, desc, starts.low, s)
	default:
		return drawLines(gears, missing, title, desc, starts, s)
	}
}

// sameStart is how far apart two start positions must be to count as two, in either unit.
const sameStart = 0.01

// point is a point in the units of the axes. The interval is there where it could be drawn.
type point struct {
	x, y, low, high float64
	interval        bool
}

// newPoint converts a point in feet. An interval that cannot be drawn or does not hold the point is left out.
func newPoint(startFt, topOutFt, lowFt, highFt float64, u fleet.Units) point {
	d := point{x: u.From(startFt), y: u.From(topOutFt)}
	if drawable(lowFt, highFt) && lowFt <= topOutFt && topOutFt <= highFt {
		d.low, d.high, d.interval = u.From(lowFt), u.From(highFt), true
	}
	return d
}

// series is one gear as drawn.
type series struct {
	label    string
	marker   marker
	line     []point // by start position
	readings []point
	setAside []point // readings set aside
}

// labelPoint is where the label belongs: the end of the line or, without a line, the last reading.
func (t series) labelPoint() point {
	if len(t.line) > 0 {
		return t.line[len(t.line)-1]
	}
	return slices.MaxFunc(t.readings, func(a, b point) int { return cmp.Compare(a.x, b.x) })
}

// seriesOf converts the gears and leaves out what cannot be drawn. The labels of gears of which there is neither
// a line nor a reading that counts come second.
func seriesOf(gears []ChartGear, u fleet.Units) (known []series, missing []string) {
	for i, g := range gears {
		t := series{label: sanitize(g.Label, "no label"), marker: markerFor(i)}
		for _, p := range g.Line {
			if !drawable(p.StartFt, p.TopOutFt) {
				continue
			}
			t.line = append(t.line, newPoint(p.StartFt, p.TopOutFt, p.LowFt, p.HighFt, u))
		}
		slices.SortStableFunc(t.line, func(a, b point) int { return cmp.Compare(a.x, b.x) })
		for _, p := range g.Points {
			switch d := (point{x: u.From(p.StartFt), y: u.From(p.DistanceFt)}); {
			case !drawable(p.StartFt, p.DistanceFt):
			case p.SetAside:
				t.setAside = append(t.setAside, d)
			default:
				t.readings = append(t.readings, d)
			}
		}
		if len(t.line)+len(t.readings) == 0 {
			missing = append(missing, t.label)
			if len(t.setAside) == 0 {
				continue
			}
		}
		known = append(known, t)
	}
	return known, missing
}

// xExtent is the range of start positions, false where no gear has a number.
func xExtent(gears []series) (extent, bool) {
	var e extent
	for _, g := range gears {
		for _, d := range slices.Concat(g.line, g.readings) {
			e.add(d.x)
		}
	}
	return e, e.any
}

// distanceExtent is the range of the distances of gears.
func distanceExtent(gears []series, least float64) extent {
	var counted, aside []point
	for _, g := range gears {
		counted = append(append(counted, g.line...), g.readings...)
		aside = append(aside, g.setAside...)
	}
	return yExtent(counted, aside, least)
}

// yExtent is the range of y. Intervals and what was set aside widen it, but by no more than its own span on each
// side: a wild one must not flatten all the rest.
func yExtent(counted, aside []point, least float64) extent {
	var e extent
	for _, d := range counted {
		e.add(d.y)
	}
	span := max(e.high-e.low, least)
	floor, ceiling := e.low-span, e.high+span
	if e.low >= 0 {
		floor = max(floor, 0)
	}
	wide := e
	for _, d := range counted {
		if d.interval {
			wide.add(max(d.low, floor))
			wide.add(min(d.high, ceiling))
		}
	}
	for _, d := range aside {
		if floor <= d.y && d.y <= ceiling {
			wide.add(d.y)
		}
	}
	return wide
}

// minSpan keeps the ticks of a chart with equal values apart and round: 10 ft, in the units of the axis.
func minSpan(u fleet.Units) float64 { return u.From(10) }

// drawLines draws top-out distance against start position.
func drawLines(gears []series, missing []string, title, desc string, starts extent, s Style) ([]byte, error) {
	drawn := slices.DeleteFunc(slices.Clone(gears), func(g series) bool { return len(g.line)+len(g.readings) == 0 })
	foot := newFooter(width, missing, chartLegend(gears, false))
	const usual = 300 // height of the data of a drawing of the usual height
	height := baseHeight + foot.extraHeight() + max(0, labelPitch*vg.Length(len(drawn))-usual)
	sh := newCanvas(s.Theme, width, height)

	const leader, most = 40, 270 // leader line and marker; the longest label
	label := boldFont(labelSize)
	names := make([]string, len(drawn))
	margin := vg.Length(0)
	for i, g := range drawn {
		names[i] = truncate(label, g.label, most)
		margin = max(margin, textWidth(label, names[i]))
	}
	margin += leader + 2*markerSize + 12

	p := sh.plot
	p.X.Min, p.X.Max = starts.padded(0.02, oneFoot(s.Units))
	if starts.low >= 0 { // room for the markers at full back
		p.X.Min -= (p.X.Max - p.X.Min) * 0.03
	}
	p.Y.Min, p.Y.Max = distanceExtent(gears, minSpan(s.Units)).padded(0.05, minSpan(s.Units))
	p.Y.Tick.Marker = ticks(p.Y.Min, p.Y.Max, 5)
	sh.setXTicks(max(p.X.Min, min(starts.low, 0)), 8+sh.yTickWidth()+margin)
	sh.gridLines(false, true)
	p.Add(layer(func(c draw.Canvas, x, y func(float64) vg.Length) {
		for _, g := range drawn {
			sh.drawSeries(c, x, y, g)
		}
		for _, g := range gears {
			sh.drawSetAside(c, x, y, g.setAside)
		}
		sh.drawEndLabels(c, x, y, drawn, names, leader)
		sh.drawXTitle(c, foot.height(), "Start position, "+unitName(s.Units)+" from full back")
	}))
	sh.drawYTitle("Top-out distance, " + unitName(s.Units))
	p.Draw(sh.dataArea(sh.leftMargin(), margin, foot.height()+textPitch, titleHeight))
	sh.drawFooter(foot)
	return sh.svg.finish(title, desc)
}

// oneFoot is 1 ft in the units of the axis.
func oneFoot(u fleet.Units) float64 { return u.From(1) }

// series draws one gear's interval, line and readings.
func (s *canvas) drawSeries(c draw.Canvas, x, y func(float64) vg.Length, g series) {
	at := func(d point, v float64) vg.Point {
		return vg.Point{X: x(d.x), Y: min(max(y(v), c.Min.Y), c.Max.Y)}
	}
	for run := range intervalRuns(g.line) {
		if len(run) == 1 {
			d := run[0]
			drawWhisker(c, stroke(s.accent, thinWidth), vg.Point{X: x(d.x), Y: y(d.low)}, vg.Point{X: x(d.x), Y: y(d.high)}, c.Min.Y, c.Max.Y)
			continue
		}
		var ring []vg.Point
		for _, d := range run {
			ring = append(ring, at(d, d.high))
		}
		for _, d := range slices.Backward(run) {
			ring = append(ring, at(d, d.low))
		}
		c.FillPolygon(bandColor(s.accent), ring)
	}
	path := make([]vg.Point, len(g.line))
	for i, d := range g.line {
		path[i] = at(d, d.y)
	}
	if len(path) == 1 {
		c.StrokeLine2(stroke(s.accent, lineWidth), path[0].X-12, path[0].Y, path[0].X+12, path[0].Y)
	} else {
		c.StrokeLines(stroke(s.accent, lineWidth), path)
	}
	for _, d := range g.readings {
		g.marker.draw(c, s.accent, x(d.x), y(d.y))
	}
}

// intervalRuns yields the stretches of a line in which every point has an interval.
func intervalRuns(line []point) func(func([]point) bool) {
	return func(yield func([]point) bool) {
		from := 0
		for i := 0; i <= len(line); i++ {
			if i < len(line) && line[i].interval {
				continue
			}
			if i > from && !yield(line[from:i]) {
				return
			}
			from = i + 1
		}
	}
}

// drawWhisker is a line, upright or level, with a cap at each end. It is drawn between the limits along its direction;
// an end beyond them has no cap.
func drawWhisker(c draw.Canvas, sty draw.LineStyle, a, b vg.Point, least, most vg.Length) {
	const half = 7
	var ends [2]vg.Point
	for i, p := range [2]vg.Point{a, b} {
		q, across := p, [2]vg.Point{{X: p.X - half, Y: p.Y}, {X: p.X + half, Y: p.Y}}
		if a.Y == b.Y {
			q.X = min(max(p.X, least), most)
			across = [2]vg.Point{{X: p.X, Y: p.Y - half}, {X: p.X, Y: p.Y + half}}
		} else {
			q.Y = min(max(p.Y, least), most)
		}
		if p == q {
			c.StrokeLines(sty, across[:])
		}
		ends[i] = q
	}
	c.StrokeLines(sty, ends[:])
}

// drawSetAside draws readings set aside; one beyond the axes stands at the edge with a mark that points to it.
func (s *canvas) drawSetAside(c draw.Canvas, x, y func(float64) vg.Length, dots []point) {
	for _, d := range dots {
		px := min(max(x(d.x), c.Min.X), c.Max.X)
		py := y(d.y)
		switch edge := vg.Length(26); {
		case py > c.Max.Y:
			py = c.Max.Y - edge
			drawArrow(c, s.text, px, py+16, true)
		case py < c.Min.Y:
			py = c.Min.Y + edge
			drawArrow(c, s.text, px, py-16, false)
		}
		drawCross(c, s.text, px, py)
	}
}

// drawEndLabels writes each gear's label to the right of its line, apart from the others, with a leader line to it.
func (s *canvas) drawEndLabels(c draw.Canvas, x, y func(float64) vg.Length, gears []series, names []string, leader vg.Length) {
	wanted := make([]float64, len(gears))
	for i, g := range gears {
		wanted[i] = y(g.labelPoint().y).Points()
	}
	const half = labelPitch / 2
	heights := spreadLabels(wanted, labelPitch, c.Min.Y.Points()+half, c.Max.Y.Points()-half)
	column := c.Max.X + leader
	for i, g := range gears {
		from := x(g.labelPoint().x) + markerSize + 5
		c.StrokeLine2(stroke(s.muted, 1.5), from, vg.Length(wanted[i]), column-4, vg.Length(heights[i]))
		g.marker.draw(c, s.accent, column+markerSize, vg.Length(heights[i]))
		s.drawText(c, boldFont(labelSize), s.text, text.XLeft, column+2*markerSize+8, vg.Length(heights[i]), names[i])
	}
}

// joinToFit joins labels to the room there is: "D, E and 3 more".
func joinToFit(prefix string, labels []string, room vg.Length) string {
	f := plainFont(textSize)
	for n := len(labels); n > 0; n-- {
		s := prefix + strings.Join(labels[:n], ", ")
		if n < len(labels) {
			s += " and " + formatNumber(float64(len(labels)-n), 0) + " more"
		}
		if textWidth(f, s) <= room || n == 1 {
			return truncate(f, s, room)
		}
	}
	return ""
}
