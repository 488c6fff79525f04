package plotting

import (
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// DrawDays draws a sled's test days: each day's offset in percent between its limits, in feet or meters of one gear on
// the right where its top-out is known, and the pattern the days show, as a line and in words.
func DrawDays(d Days, s Style) []byte {
	lay := layout{
		title: sanitize(d.Title, "Test days over the season"),
		desc:  sanitize(d.Description, "How far each test day lies from what the sled's other days say."),
		right: 16,
	}
	days := daysOf(d.Days)
	if !slices.ContainsFunc(days, func(d day) bool { return d.known }) {
		return emptyDrawing(s, lay, "No test day of this sled has a number.")
	}
	drift := newDrift(d.Drift, days)
	low, high := percentRange(days, drift)
	percent := withPlusSigns(ticks(low, high, 5))
	var distances []plot.Tick // on the right
	topOut := 0.0             // in the units of the axes, 0 when unknown
	if drawable(d.TopOutFt) && d.TopOutFt >= minTopOutFt {
		topOut = s.Units.From(d.TopOutFt)
		distances = withPlusSigns(ticks(low*(topOut/100), high*(topOut/100), 5))
		for i := range distances {
			distances[i].Value /= topOut / 100
		}
		lay.right = rightAxisWidth(distances)
	}
	left := 8 + widestLabel(percent)
	labels := layoutDayLabels(days, drift, left, width-left-lay.right)
	lay.left, lay.below = labels.left-left, labels.height()
	lay.footer = newFooter(s.Note, width, nil, daysLegend(days))
	if drift.line != nil {
		lay.above = textPitch + 8
	}
	const title = "% later (+) or earlier (−)"
	c := newCanvas(s.Theme, width, roundedUp(baseHeight-textPitch+lay.below+lay.above+lay.footer.extraHeight()), title)

	p := c.plot
	p.X.Min, p.X.Max = -0.5, float64(len(days))-0.5
	p.X.Tick.Marker = plot.ConstantTicks{}
	p.Y.Min, p.Y.Max = low, high
	p.Y.Tick.Marker = plot.ConstantTicks(percent)
	c.drawData = func() {
		step := c.x(1) - c.x(0)
		for _, d := range days {
			if d.interval {
				c.drawLimits(c.x(d.x), min(0.36*step, 26), c.y(d.low), c.y(d.high), c.data)
			}
		}
		c.StrokeLine2(stroke(c.text, thinWidth), c.data.Min.X, c.y(0), c.data.Max.X, c.y(0))
		c.StrokeLines(c.driftStyle(), c.path(drift.line))
		for _, d := range days {
			if d.known {
				c.drawDay(d, c.x(d.x), c.y(d.y), min(1, max(0.3, float64(step/(2.6*markerSize)))))
			}
		}
		c.drawOutlierLabels(days)
		c.drawRightAxis(distances)
		c.drawDayLabels(labels)
	}
	p.Add(&plotter.Grid{Horizontal: c.gridStyle()}, c)
	if topOut > 0 {
		right := unitName(s.Units)
		if gear := sanitize(d.Gear, ""); gear != "" {
			right += " in " + gear
		}
		right = truncate(plainFont(textSize), right, width-16-textWidth(plainFont(textSize), title)-20)
		c.drawText(plainFont(textSize), c.text, text.XRight, width-8, c.Max.Y-textPitch/2, right)
	}
	if drift.line != nil {
		c.drawDriftCaption(drift, topOut, s.Units)
	}
	return c.finish(lay)
}

// minTopOutFt is the shortest top-out with an axis of its own. On a shorter one nothing could be read.
const minTopOutFt = 1

// day is one test day as drawn: x is its place in the season, y percent, and the interval runs from one limit to the
// other.
type day struct {
	point
	label              string
	known, single, off bool // it has a number; one reading; it stands off
}

func daysOf(in []DayPoint) (out []day) {
	for i, p := range in {
		d := day{label: sanitize(p.Label, "no name"), known: drawable(p.OffsetPct), single: p.Readings == 1, off: p.Off}
		d.x = float64(i)
		if d.known {
			d.y = p.OffsetPct
		}
		if drawable(p.LimitPct) && p.LimitPct > 0 {
			d.low, d.high, d.interval = -p.LimitPct, p.LimitPct, true
		}
		out = append(out, d)
	}
	return out
}

// percentRange is the range of the vertical axis: at least one percent on each side of zero.
func percentRange(days []day, d drift) (low, high float64) {
	const least = 1
	counted := append([]point{{y: -least}, {y: least}}, d.line...)
	for _, d := range days {
		if d.known {
			counted = append(counted, d.point)
		}
	}
	return yExtent(counted, nil, 2*least).padded(0.13, 2*least) // room for a label above the highest
}

func withPlusSigns(marks []plot.Tick) []plot.Tick {
	for i, m := range marks {
		if m.Value > 0 {
			marks[i].Label = "+" + m.Label
		}
	}
	return marks
}

// drawLimits draws how far a day may lie from zero: a band between two bars. A limit beyond the area has no bar.
func (c *canvas) drawLimits(x, half, low, high vg.Length, within vg.Rectangle) {
	bottom, top := within.Min.Y, within.Max.Y
	c.FillPolygon(bandColor(c.muted), rectangle(x-half, max(low, bottom), x+half, min(high, top)))
	for _, y := range []vg.Length{low, high} {
		if bottom <= y && y <= top {
			c.StrokeLine2(stroke(c.muted, thinWidth), x-half, y, x+half, y)
		}
	}
}

// dayMarker is a circle, or a larger diamond for a day that stands off; hollow where the day has one reading.
func dayMarker(d day, size float64) marker {
	if d.off {
		return marker{corners: 4, scale: 1.5 * max(size, 0.6), hollow: d.single}
	}
	return marker{scale: 0.95 * size, hollow: d.single}
}

func (c *canvas) drawDay(d day, x, y vg.Length, size float64) {
	col := c.accent
	if d.off {
		col = c.second
	}
	dayMarker(d, size).draw(c, col, x, y)
}

const outlierLabel = "stands off"

// drawOutlierLabels labels each day that stands off where there is room for it beside its marker. The legend covers
// those without.
func (c *canvas) drawOutlierLabels(days []day) {
	const away, half = 14, textPitch / 2 // from the middle of a marker to the label; of a line of text
	f := plainFont(textSize)
	w := textWidth(f, outlierLabel)
	var taken []vg.Rectangle
	for _, d := range days {
		if d.known {
			taken = append(taken, boxAround(xy(c.x(d.x), c.y(d.y)), away, away))
		}
	}
	for _, d := range days {
		if !d.off || !d.known {
			continue
		}
		x, y, side := c.x(d.x), c.y(d.y), away+w/2+2
		outwards := vg.Length(math.Copysign(away+half, d.y))
		level := min(max(x, c.data.Min.X+w/2), c.data.Max.X-w/2)
		for _, at := range []vg.Point{xy(level, y+outwards), xy(x+side, y), xy(x-side, y), xy(level, y-outwards)} {
			r := boxAround(at, w/2, half)
			inside := r.Min.X >= c.data.Min.X && r.Max.X <= c.data.Max.X && r.Min.Y >= c.data.Min.Y &&
				r.Max.Y <= c.data.Max.Y
			if inside && !slices.ContainsFunc(taken, func(o vg.Rectangle) bool { return overlaps(r, o) }) {
				c.drawText(f, c.second, text.XCenter, at.X, at.Y, outlierLabel)
				taken = append(taken, r)
				break
			}
		}
	}
}

func boxAround(at vg.Point, halfWidth, halfHeight vg.Length) vg.Rectangle {
	half := xy(halfWidth, halfHeight)
	return vg.Rectangle{Min: at.Sub(half), Max: at.Add(half)}
}

func overlaps(a, b vg.Rectangle) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

func daysLegend(days []day) (l legend) {
	for _, k := range []struct {
		label string
		width vg.Length
		like  day
	}{
		{"day", 2 * markerSize, day{}},
		{"one reading", 2 * markerSize, day{single: true}},
		{outlierLabel, 3 * markerSize, day{off: true}},
		{"stands off, one reading", 3 * markerSize, day{off: true, single: true}},
	} {
		is := func(d day) bool { return d.known && d.off == k.like.off && d.single == k.like.single }
		l.add(slices.ContainsFunc(days, is), k.width, k.label,
			func(c *canvas, x, y vg.Length) { c.drawDay(k.like, x, y, 1) })
	}
	l.add(slices.ContainsFunc(days, func(d day) bool { return d.interval }), 36, "limits",
		func(c *canvas, x, y vg.Length) { c.drawLimits(x, 18, y-10, y+10, c.Rectangle) })
	return l
}
