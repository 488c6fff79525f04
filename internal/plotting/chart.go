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
	title := clean(c.Title, "Top-out distances")
	desc := clean(c.Description, "Top-out distance of each gear by start position.")
	gears, missing := traces(c.Gears, s.Units)
	switch starts, known := startsOf(gears); {
	case !known:
		return wordsOnly(s.Theme, title, desc, "There is nothing to draw yet.", "No gear of this sled has a number.")
	case starts.high-starts.low < sameStart:
		return drawLadder(gears, missing, title, desc, starts.low, s)
	default:
		return drawLines(gears, missing, title, desc, starts, s)
	}
}

// sameStart is how far apart two start positions must be to count as two, in either unit.
const sameStart = 0.01

// dot is a point in the units of the axes. The interval is there where it could be drawn.
type dot struct {
	x, y, low, high float64
	interval        bool
}

// dotOf converts a point in feet. An interval that cannot be drawn or does not hold the point is left out.
func dotOf(startFt, topOutFt, lowFt, highFt float64, u fleet.Units) dot {
	d := dot{x: u.From(startFt), y: u.From(topOutFt)}
	if drawable(lowFt, highFt) && lowFt <= topOutFt && topOutFt <= highFt {
		d.low, d.high, d.interval = u.From(lowFt), u.From(highFt), true
	}
	return d
}

// trace is one gear as drawn.
type trace struct {
	label    string
	marker   marker
	line     []dot // by start position
	readings []dot
	aside    []dot // readings set aside
}

// end is where the label belongs: the end of the line or, without a line, the last reading.
func (t trace) end() dot {
	if len(t.line) > 0 {
		return t.line[len(t.line)-1]
	}
	return slices.MaxFunc(t.readings, func(a, b dot) int { return cmp.Compare(a.x, b.x) })
}

// traces converts the gears and leaves out what cannot be drawn. The labels of gears of which there is neither
// a line nor a reading that counts come second.
func traces(gears []ChartGear, u fleet.Units) (known []trace, missing []string) {
	for i, g := range gears {
		t := trace{label: clean(g.Label, "no label"), marker: markerFor(i)}
		for _, p := range g.Line {
			if !drawable(p.StartFt, p.TopOutFt) {
				continue
			}
			t.line = append(t.line, dotOf(p.StartFt, p.TopOutFt, p.LowFt, p.HighFt, u))
		}
		slices.SortStableFunc(t.line, func(a, b dot) int { return cmp.Compare(a.x, b.x) })
		for _, p := range g.Points {
			switch d := (dot{x: u.From(p.StartFt), y: u.From(p.DistanceFt)}); {
			case !drawable(p.StartFt, p.DistanceFt):
			case p.SetAside:
				t.aside = append(t.aside, d)
			default:
				t.readings = append(t.readings, d)
			}
		}
		if len(t.line)+len(t.readings) == 0 {
			missing = append(missing, t.label)
			if len(t.aside) == 0 {
				continue
			}
		}
		known = append(known, t)
	}
	return known, missing
}

// startsOf is the range of start positions, false where no gear has a number.
func startsOf(gears []trace) (extent, bool) {
	var e extent
	for _, g := range gears {
		for _, d := range slices.Concat(g.line, g.readings) {
			e.add(d.x)
		}
	}
	return e, e.any
}

// distancesOf is the range of the distances of gears.
func distancesOf(gears []trace, least float64) extent {
	var counted, aside []dot
	for _, g := range gears {
		counted = append(append(counted, g.line...), g.readings...)
		aside = append(aside, g.aside...)
	}
	return heightsOf(counted, aside, least)
}

// heightsOf is the range of y. Intervals and what was set aside widen it, but by no more than its own span on each
// side: a wild one must not flatten all the rest.
func heightsOf(counted, aside []dot, least float64) extent {
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

// leastSpan keeps the ticks of a chart with equal values apart and round: 10 ft, in the units of the axis.
func leastSpan(u fleet.Units) float64 { return u.From(10) }

// drawLines draws top-out distance against start position.
func drawLines(gears []trace, missing []string, title, desc string, starts extent, s Style) ([]byte, error) {
	drawn := slices.DeleteFunc(slices.Clone(gears), func(g trace) bool { return len(g.line)+len(g.readings) == 0 })
	foot := newFooter(width, missing, chartKey(gears, false))
	const usual = 300 // height of the data of a drawing of the usual height
	height := baseHeight + foot.extra() + max(0, labelPitch*vg.Length(len(drawn))-usual)
	sh := newSheet(s.Theme, width, height)

	const leader, most = 40, 270 // leader line and marker; the longest label
	label := boldFont(labelSize)
	names := make([]string, len(drawn))
	margin := vg.Length(0)
	for i, g := range drawn {
		names[i] = shorten(label, g.label, most)
		margin = max(margin, widthOf(label, names[i]))
	}
	margin += leader + 2*markerSize + 12

	p := sh.plot
	p.X.Min, p.X.Max = starts.padded(0.02, oneFoot(s.Units))
	if starts.low >= 0 { // room for the markers at full back
		p.X.Min -= (p.X.Max - p.X.Min) * 0.03
	}
	p.Y.Min, p.Y.Max = distancesOf(gears, leastSpan(s.Units)).padded(0.05, leastSpan(s.Units))
	p.Y.Tick.Marker = ticks(p.Y.Min, p.Y.Max, 5)
	sh.levelTicks(max(p.X.Min, min(starts.low, 0)), 8+sh.numbersWidth()+margin)
	sh.gridLines(false, true)
	p.Add(layer(func(c draw.Canvas, x, y func(float64) vg.Length) {
		for _, g := range drawn {
			sh.trace(c, x, y, g)
		}
		for _, g := range gears {
			sh.asides(c, x, y, g.aside)
		}
		sh.endLabels(c, x, y, drawn, names, leader)
		sh.axisTitle(c, foot.height(), "Start position, "+unitWord(s.Units)+" from full back")
	}))
	sh.heading("Top-out distance, " + unitWord(s.Units))
	p.Draw(sh.area(sh.leftMargin(), margin, foot.height()+textPitch, headingHeight))
	sh.footer(foot)
	return sh.canvas.finish(title, desc)
}

// oneFoot is 1 ft in the units of the axis.
func oneFoot(u fleet.Units) float64 { return u.From(1) }

// trace draws one gear's interval, line and readings.
func (s *sheet) trace(c draw.Canvas, x, y func(float64) vg.Length, g trace) {
	at := func(d dot, v float64) vg.Point {
		return vg.Point{X: x(d.x), Y: min(max(y(v), c.Min.Y), c.Max.Y)}
	}
	for run := range runs(g.line) {
		if len(run) == 1 {
			d := run[0]
			whisker(c, stroke(s.accent, thinWidth), vg.Point{X: x(d.x), Y: y(d.low)}, vg.Point{X: x(d.x), Y: y(d.high)}, c.Min.Y, c.Max.Y)
			continue
		}
		var ring []vg.Point
		for _, d := range run {
			ring = append(ring, at(d, d.high))
		}
		for _, d := range slices.Backward(run) {
			ring = append(ring, at(d, d.low))
		}
		c.FillPolygon(band(s.accent), ring)
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

// runs yields the stretches of a line in which every point has an interval.
func runs(line []dot) func(func([]dot) bool) {
	return func(yield func([]dot) bool) {
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

// whisker is a line, upright or level, with a cap at each end. It is drawn between the limits along its direction;
// an end beyond them has no cap.
func whisker(c draw.Canvas, sty draw.LineStyle, a, b vg.Point, least, most vg.Length) {
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

// asides draws readings set aside; one beyond the axes stands at the edge with a mark that points to it.
func (s *sheet) asides(c draw.Canvas, x, y func(float64) vg.Length, dots []dot) {
	for _, d := range dots {
		px := min(max(x(d.x), c.Min.X), c.Max.X)
		py := y(d.y)
		switch edge := vg.Length(26); {
		case py > c.Max.Y:
			py = c.Max.Y - edge
			beyond(c, s.text, px, py+16, true)
		case py < c.Min.Y:
			py = c.Min.Y + edge
			beyond(c, s.text, px, py-16, false)
		}
		hollowCross(c, s.text, px, py)
	}
}

// endLabels writes each gear's label to the right of its line, apart from the others, with a leader line to it.
func (s *sheet) endLabels(c draw.Canvas, x, y func(float64) vg.Length, gears []trace, names []string, leader vg.Length) {
	wanted := make([]float64, len(gears))
	for i, g := range gears {
		wanted[i] = y(g.end().y).Points()
	}
	const half = labelPitch / 2
	heights := spread(wanted, labelPitch, c.Min.Y.Points()+half, c.Max.Y.Points()-half)
	column := c.Max.X + leader
	for i, g := range gears {
		from := x(g.end().x) + markerSize + 5
		c.StrokeLine2(stroke(s.muted, 1.5), from, vg.Length(wanted[i]), column-4, vg.Length(heights[i]))
		g.marker.draw(c, s.accent, column+markerSize, vg.Length(heights[i]))
		s.write(c, boldFont(labelSize), s.text, text.XLeft, column+2*markerSize+8, vg.Length(heights[i]), names[i])
	}
}

// listed joins labels to the room there is: "D, E and 3 more".
func listed(prefix string, labels []string, room vg.Length) string {
	f := plainFont(textSize)
	for n := len(labels); n > 0; n-- {
		s := prefix + strings.Join(labels[:n], ", ")
		if n < len(labels) {
			s += " and " + number(float64(len(labels)-n), 0) + " more"
		}
		if widthOf(f, s) <= room || n == 1 {
			return shorten(f, s, room)
		}
	}
	return ""
}
