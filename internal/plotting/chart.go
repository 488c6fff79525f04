package plotting

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	"evenpull/internal/fleet"
)

// DrawChart draws a sled's chart: a line with its interval for each gear, labeled at its end, and the readings. Where
// only one start position is known it is a ladder instead, one rung a gear.
func DrawChart(c Chart, s Style) []byte {
	lay := layout{
		title: sanitize(c.Title, "Top-out distances"),
		desc:  sanitize(c.Description, "Top-out distance of each gear by start position."),
	}
	gears, missing := seriesOf(c.Gears, s.Units)
	starts := xExtent(gears)
	switch {
	case !starts.any:
		return emptyDrawing(s, lay, "No gear of this sled has a number.")
	case starts.high-starts.low < sameStart:
		return drawLadder(gears, missing, lay, starts.low, s)
	}
	return drawLines(gears, missing, lay, starts, s)
}

const (
	sameStart    = 0.01 // start positions that differ by less count as one, in either unit
	usualData    = 300  // height of the data in a drawing of the usual height
	maxGearLabel = 270  // width of the longest label of a gear
)

// seriesOf leaves out what cannot be drawn. The labels of gears without a number come second.
func seriesOf(gears []ChartGear, u fleet.Units) (drawn []series, missing []string) {
	for i, g := range gears {
		t := series{label: sanitize(g.Label, "no label"), marker: markerFor(i)}
		for _, p := range g.Line {
			if drawable(p.StartFt, p.TopOutFt) {
				t.line = append(t.line, newPoint(u.From(p.StartFt), p.TopOutFt, p.LowFt, p.HighFt, u.From))
			}
		}
		slices.SortStableFunc(t.line, byX)
		for _, p := range g.Points {
			list := &t.readings
			switch {
			case p.SetAside:
				list = &t.setAside
			case p.Waits:
				list = &t.waiting
			}
			if drawable(p.StartFt, p.DistanceFt) {
				*list = append(*list, point{x: u.From(p.StartFt), y: u.From(p.DistanceFt)})
			}
		}
		if !t.hasNumber() {
			missing = append(missing, t.label)
		}
		if t.hasNumber() || len(t.uncounted()) > 0 {
			drawn = append(drawn, t)
		}
	}
	return drawn, missing
}

// chartLegend has the interval as a band, or as a whisker on a ladder.
func chartLegend(gears []series, ladder bool) (l legend) {
	l.add(slices.ContainsFunc(gears, series.hasInterval), 36, "95 % interval", func(c *canvas, x, y vg.Length) {
		left, right := xy(x-18, y), xy(x+18, y)
		if ladder {
			c.drawWhisker(stroke(c.accent, lineWidth), left, right, 0, c.Max.X)
			return
		}
		c.FillPolygon(bandColor(c.accent), rectangle(left.X, y-10, right.X, y+10))
		c.StrokeLines(stroke(c.accent, lineWidth), []vg.Point{left, right})
	})
	l.add(slices.ContainsFunc(gears, func(g series) bool { return len(g.readings) > 0 }), 2*markerSize, "reading",
		func(c *canvas, x, y vg.Length) { markerFor(0).draw(c, c.accent, x, y) })
	l.add(slices.ContainsFunc(gears, func(g series) bool { return len(g.setAside) > 0 }), 2*markerSize, "set aside",
		(*canvas).drawCross)
	l.add(slices.ContainsFunc(gears, func(g series) bool { return len(g.waiting) > 0 }), 2*markerSize*waitingScale,
		"does not count yet", func(c *canvas, x, y vg.Length) { markerFor(0).waiting().draw(c, c.text, x, y) })
	return l
}

// truncateLabels shortens the labels of gears to the longest that is drawn, and returns the width of the widest.
func truncateLabels(gears []series) (widest vg.Length) {
	for i := range gears {
		gears[i].label = truncate(boldFont(labelSize), gears[i].label, maxGearLabel)
		widest = max(widest, textWidth(boldFont(labelSize), gears[i].label))
	}
	return widest
}

// drawLines draws top-out distance against start position.
func drawLines(gears []series, missing []string, lay layout, starts extent, s Style) []byte {
	known := slices.DeleteFunc(slices.Clone(gears), func(g series) bool { return !g.hasNumber() })
	lay.footer = newFooter(s.Note, width, missing, chartLegend(gears, false))
	c := newCanvas(s.Theme, width,
		baseHeight+lay.footer.extraHeight()+max(0, labelPitch*vg.Length(len(known))-usualData),
		"Top-out distance, "+unitName(s.Units))
	const leader = 40 // leader line and marker before a label
	lay.right = truncateLabels(known) + leader + 2*markerSize + 12
	lay.below, lay.xTitle = textPitch, "Start position, "+unitName(s.Units)+" from full back"

	p := c.plot
	p.X.Min, p.X.Max = starts.padded(0.02, s.Units.From(1))
	if starts.low >= 0 { // room for the markers at full back
		p.X.Min -= (p.X.Max - p.X.Min) * 0.03
	}
	least := s.Units.From(minSpanFt)
	p.Y.Min, p.Y.Max = seriesExtent(gears, least).padded(0.05, least)
	p.Y.Tick.Marker = ticks(p.Y.Min, p.Y.Max, 5)
	c.setXTicks(max(p.X.Min, min(starts.low, 0)), 8+c.yTickWidth()+lay.right)
	c.drawData = func() {
		for _, g := range known {
			c.drawSeries(g)
		}
		for _, g := range gears {
			c.drawUncounted(g.setAside, c.drawCross)
			c.drawUncounted(g.waiting, c.drawWaiting(g))
		}
		c.drawEndLabels(known, leader)
	}
	p.Add(&plotter.Grid{Horizontal: c.gridStyle()}, c)
	return c.finish(lay)
}

func (c *canvas) drawSeries(g series) {
	for _, run := range intervalRuns(g.line) {
		if len(run) == 1 {
			x, low, high := c.x(run[0].x), c.y(run[0].low), c.y(run[0].high)
			c.drawWhisker(stroke(c.accent, thinWidth), xy(x, low), xy(x, high),
				c.data.Min.Y, c.data.Max.Y)
			continue
		}
		c.drawBand(run, c.accent)
	}
	path := c.path(g.line)
	if len(path) == 1 { // a short stroke
		path = []vg.Point{{X: path[0].X - 12, Y: path[0].Y}, {X: path[0].X + 12, Y: path[0].Y}}
	}
	c.StrokeLines(stroke(c.accent, lineWidth), path)
	for _, p := range g.readings {
		g.marker.draw(c, c.accent, c.x(p.x), c.y(p.y))
	}
}

// drawWaiting draws a reading of a gear that counts nowhere until somebody answers.
func (c *canvas) drawWaiting(g series) func(x, y vg.Length) {
	return func(x, y vg.Length) { g.marker.waiting().draw(c, c.text, x, y) }
}

// drawEndLabels writes each gear's label to the right of its line, apart from the others, with a leader line to it.
func (c *canvas) drawEndLabels(gears []series, leader vg.Length) {
	wanted := make([]float64, len(gears))
	for i, g := range gears {
		wanted[i] = c.y(g.labelPoint().y).Points()
	}
	const half = labelPitch / 2
	heights := spreadLabels(wanted, labelPitch, c.data.Min.Y.Points()+half, c.data.Max.Y.Points()-half)
	column := c.data.Max.X + leader
	for i, g := range gears {
		from, y := c.x(g.labelPoint().x)+markerSize+5, vg.Length(heights[i])
		c.StrokeLine2(stroke(c.muted, leaderWidth), from, vg.Length(wanted[i]), column-4, y)
		g.marker.draw(c, c.accent, column+markerSize, y)
		c.drawText(boldFont(labelSize), c.text, text.XLeft, column+2*markerSize+8, y, g.label)
	}
}

// drawLadder draws the gears of one start position as rungs, the slowest on top: where each tops out down the
// track, with its interval and readings.
func drawLadder(gears []series, missing []string, lay layout, start float64, s Style) []byte {
	elsewhere := func(p point) bool { return math.Abs(p.x-start) > sameStart }
	for i := range gears { // readings that do not count say nothing here from another start position
		gears[i].setAside = slices.DeleteFunc(gears[i].setAside, elsewhere)
		gears[i].waiting = slices.DeleteFunc(gears[i].waiting, elsewhere)
	}
	gears = slices.DeleteFunc(gears, func(g series) bool { return !g.hasNumber() && len(g.uncounted()) == 0 })
	slices.SortStableFunc(gears, func(a, b series) int { return cmp.Compare(b.sortKey(), a.sortKey()) })

	lay.footer = newFooter(s.Note, width, missing, chartLegend(gears, true))
	const rung = 44 // height
	from := "full back"
	if start != 0 {
		from = "a start of " + strings.TrimSuffix(formatNumber(start, 1), ".0") + " " + unitName(s.Units)
	}
	c := newCanvas(s.Theme, width, baseHeight+lay.footer.extraHeight()+max(0, rung*vg.Length(len(gears))-usualData),
		"Gears, from "+from)
	lay.left, lay.right = truncateLabels(gears)+14, 24
	lay.below, lay.xTitle = textPitch, "Top-out distance, "+unitName(s.Units)

	p := c.plot
	least := s.Units.From(minSpanFt)
	p.X.Min, p.X.Max = seriesExtent(gears, least).padded(0.06, least)
	c.setXTicks(p.X.Min, 8+lay.left+lay.right)
	p.Y.Min, p.Y.Max = -float64(len(gears))+0.5, 0.5
	p.Y.Tick.Marker = plot.ConstantTicks{}
	c.drawData = func() {
		for i, g := range gears {
			y := c.y(-float64(i))
			c.drawText(boldFont(labelSize), c.text, text.XRight, c.data.Min.X-14, y, g.label)
			c.drawRung(y, g)
		}
	}
	p.Add(&plotter.Grid{Vertical: c.gridStyle()}, c)
	return c.finish(lay)
}

// sortKey is what a rung is ordered by: the estimate, else the mean of its readings, else the end of the ladder.
func (g series) sortKey() float64 {
	switch {
	case len(g.line) > 0:
		return g.line[0].y
	case len(g.readings) > 0:
		sum := 0.0
		for _, p := range g.readings {
			sum += p.y
		}
		return sum / float64(len(g.readings))
	}
	return math.Inf(-1)
}

// drawRung draws one gear at a height: the estimate as an upright bar on its whisker, the readings below.
func (c *canvas) drawRung(y vg.Length, g series) {
	left, right := c.data.Min.X, c.data.Max.X
	at := func(v float64) vg.Length { return min(max(c.x(v), left), right) }
	above, below := y+7, y-9
	for _, p := range g.line {
		if p.interval {
			c.drawWhisker(stroke(c.accent, lineWidth), xy(c.x(p.low), above), xy(c.x(p.high), above),
				left, right)
		}
		c.StrokeLine2(stroke(c.accent, 2*lineWidth), at(p.y), above-9, at(p.y), above+9)
	}
	for _, p := range g.readings {
		g.marker.draw(c, c.accent, at(p.y), below)
	}
	for _, p := range g.setAside {
		c.drawCross(at(p.y), below)
	}
	for _, p := range g.waiting {
		c.drawWaiting(g)(at(p.y), below)
	}
}
