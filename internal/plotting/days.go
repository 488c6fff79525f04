package plotting

import (
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenpull/internal/fleet"
)

// DrawDays draws a sled's test days as a complete SVG document: each day's offset in percent between its limits, in
// topOut or meters of one gear on the right where its top-out is known, and the pattern the days show, as a line and
// in words. A zero Style is light and in feet. It errs only where the document cannot be written.
func DrawDays(d Days, s Style) ([]byte, error) {
	title := sanitize(d.Title, "Test days over the season")
	desc := sanitize(d.Description, "How far each test day lies from what the sled's other days say.")
	v := newDaysPlot(d, s.Units)
	if !slices.ContainsFunc(v.days, func(d day) bool { return d.known }) {
		return emptyDrawing(s.Theme, title, desc, "There is nothing to draw yet.", "No test day of this sled has a number.")
	}
	return v.draw(title, desc, s)
}

// drawDay is one test day as drawn: x is its place in the season, y percent, and the interval runs from one limit to the
// other.
type day struct {
	point
	label              string
	known, single, off bool
}

// daysPlot is the days, the line of their pattern and its words.
type daysPlot struct {
	days       []day
	drift      drift
	topOut     float64 // the top-out that the second axis is for, in the units of the axes; 0 when unknown
	rightTitle string
}

// minTopOutFt is the shortest top-out that has an axis of its own: below it there is nothing to read off.
const minTopOutFt = 1

func newDaysPlot(d Days, u fleet.Units) daysPlot {
	var v daysPlot
	for i, p := range d.Days {
		q := day{point: point{x: float64(i)}, label: sanitize(p.Label, "no name"), known: drawable(p.OffsetPct), single: p.Readings == 1, off: p.Off}
		if q.known {
			q.y = p.OffsetPct
		}
		if drawable(p.LimitPct) && p.LimitPct > 0 {
			q.low, q.high, q.interval = -p.LimitPct, p.LimitPct, true
		}
		v.days = append(v.days, q)
	}
	if drawable(d.TopOutFt) && d.TopOutFt >= minTopOutFt {
		v.topOut = u.From(d.TopOutFt)
		v.rightTitle = unitName(u)
		if gear := sanitize(d.Gear, ""); gear != "" {
			v.rightTitle += " in " + gear
		}
	}
	v.drift = newDrift(d.Drift, v.days)
	return v
}

// yRange is the range of per cents: at least one on each side of zero.
func (v daysPlot) yRange() (low, high float64) {
	const least = 1
	counted := []point{{y: -least}, {y: least}}
	for _, d := range v.days {
		if d.known {
			counted = append(counted, d.point)
		}
	}
	e := yExtent(append(counted, v.drift.line...), nil, 2*least)
	return e.padded(0.13, 2*least) // room for a word above the highest
}

func (v daysPlot) draw(title, desc string, s Style) ([]byte, error) {
	low, high := v.yRange()
	perCent := withPlusSigns(ticks(low, high, 5))
	var feet []plot.Tick
	right := vg.Length(16)
	if v.topOut > 0 {
		perPct := v.topOut / 100
		feet = withPlusSigns(ticks(low*perPct, high*perPct, 5))
		for i := range feet {
			feet[i].Value /= perPct
		}
		right = rightAxisWidth(feet)
	}
	left := 8 + widestLabel(perCent)
	names := v.layoutLabels(left, width-left-right)
	foot := newFooter(width, nil, v.legend())
	words := vg.Length(0)
	if v.drift.known() {
		words = textPitch + 8
	}
	sh := newCanvas(s.Theme, width, roundedUp(baseHeight-textPitch+names.height()+words+foot.extraHeight()))

	p := sh.plot
	p.X.Min, p.X.Max = -0.5, float64(len(v.days))-0.5
	p.X.Tick.Marker = plot.ConstantTicks{}
	p.Y.Min, p.Y.Max = low, high
	p.Y.Tick.Marker = plot.ConstantTicks(perCent)
	sh.gridLines(false, true)
	p.Add(layer(func(c draw.Canvas, x, y func(float64) vg.Length) {
		step := x(1) - x(0)
		for _, d := range v.days {
			sh.drawLimits(c, x(d.x), y, d, min(0.36*step, 26))
		}
		c.StrokeLine2(stroke(sh.text, thinWidth), c.Min.X, y(0), c.Max.X, y(0))
		sh.drawDrift(c, x, y, v.drift)
		for _, d := range v.days {
			sh.drawDay(c, x(d.x), y(d.y), d, min(1, max(0.3, float64(step/(2.6*markerSize)))))
		}
		sh.drawOutlierLabels(c, x, y, v.days)
		sh.drawRightAxis(c, y, feet)
		sh.drawDayLabels(c, x, names)
	}))
	heading := "% later (+) or earlier (−)"
	sh.drawYTitle(heading)
	if feet != nil {
		sh.drawRightTitle(heading, v.rightTitle)
	}
	if v.drift.known() {
		sh.drawDriftCaption(v.drift, v.topOut, s.Units)
	}
	p.Draw(sh.dataArea(sh.leftMargin()+names.left-left, right, foot.height()+names.height(), titleHeight+words))
	sh.drawFooter(foot)
	return sh.svg.finish(title, desc)
}

// withPlusSigns puts a plus before what is above zero.
func withPlusSigns(marks []plot.Tick) []plot.Tick {
	for i, m := range marks {
		if m.Value > 0 {
			marks[i].Label = "+" + m.Label
		}
	}
	return marks
}

// drawLimits draws how far a day may lie from zero: a pale ground between two bars. A limit beyond the axis has no bar.
func (s *canvas) drawLimits(c draw.Canvas, x vg.Length, y func(float64) vg.Length, d day, half vg.Length) {
	if !d.interval {
		return
	}
	bottom, top := max(y(d.low), c.Min.Y), min(y(d.high), c.Max.Y)
	c.FillPolygon(bandColor(s.muted), rectangle(x-half, bottom, x+half, top))
	for _, at := range []vg.Length{y(d.low), y(d.high)} {
		if c.Min.Y <= at && at <= c.Max.Y {
			c.StrokeLine2(stroke(s.muted, thinWidth), x-half, at, x+half, at)
		}
	}
}

// dayMarker is a circle, or a larger diamond for a day that stands off; hollow where the day has one reading.
func dayMarker(d day, size float64) marker {
	m := marker{scale: 0.95 * size}
	if d.off {
		m = marker{corners: 4, scale: 1.5 * max(size, 0.6)}
	}
	m.hollow = d.single
	return m
}

func (s *canvas) dayColor(d day) color.Color {
	if d.off {
		return s.second
	}
	return s.accent
}

func (s *canvas) drawDay(c draw.Canvas, x, y vg.Length, d day, size float64) {
	if d.known {
		dayMarker(d, size).draw(c, s.dayColor(d), x, y)
	}
}

const outlierLabel = "stands off"

// drawOutlierLabels writes beside each day that stands off that it does, where there is room for it. The key says it of those
// without.
func (s *canvas) drawOutlierLabels(c draw.Canvas, x, y func(float64) vg.Length, days []day) {
	const away, half = 14, textPitch / 2 // from the middle of a marker to the word; of a line of text
	f := plainFont(textSize)
	w := textWidth(f, outlierLabel)
	var taken []vg.Rectangle
	for _, d := range days {
		if d.known {
			taken = append(taken, boxAround(x(d.x), y(d.y), away, away))
		}
	}
	for _, d := range days {
		if !d.off || !d.known {
			continue
		}
		px, py := x(d.x), y(d.y)
		outwards := vg.Length(math.Copysign(away+half, d.y))
		level := min(max(px, c.Min.X+w/2), c.Max.X-w/2)
		for _, at := range []vg.Point{{X: level, Y: py + outwards}, {X: px + away + w/2 + 2, Y: py}, {X: px - away - w/2 - 2, Y: py}, {X: level, Y: py - outwards}} {
			r := boxAround(at.X, at.Y, w/2, half)
			if r.Min.X < c.Min.X || r.Max.X > c.Max.X || r.Min.Y < c.Min.Y || r.Max.Y > c.Max.Y ||
				slices.ContainsFunc(taken, func(o vg.Rectangle) bool { return overlaps(r, o) }) {
				continue
			}
			s.drawText(c, f, s.second, text.XCenter, at.X, at.Y, outlierLabel)
			taken = append(taken, r)
			break
		}
	}
}

func boxAround(x, y, halfWide, halfHigh vg.Length) vg.Rectangle {
	return vg.Rectangle{Min: vg.Point{X: x - halfWide, Y: y - halfHigh}, Max: vg.Point{X: x + halfWide, Y: y + halfHigh}}
}

func overlaps(a, b vg.Rectangle) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// legend explains what is there of the shapes.
func (v daysPlot) legend() (key []legendItem) {
	shape := func(word string, wide vg.Length, of day) {
		is := func(d day) bool { return d.known && d.off == of.off && d.single == of.single }
		if slices.ContainsFunc(v.days, is) {
			key = append(key, legendItem{wide, word, func(s *canvas, c draw.Canvas, m, y vg.Length) {
				dayMarker(of, 1).draw(c, s.dayColor(of), m, y)
			}})
		}
	}
	shape("day", 2*markerSize, day{})
	shape("one reading", 2*markerSize, day{single: true})
	shape(outlierLabel, 3*markerSize, day{off: true})
	shape("stands off, one reading", 3*markerSize, day{off: true, single: true})
	if slices.ContainsFunc(v.days, func(d day) bool { return d.interval }) {
		key = append(key, legendItem{36, "limits", func(s *canvas, c draw.Canvas, m, y vg.Length) {
			s.drawLimits(c, m, func(v float64) vg.Length { return y + vg.Length(v) }, day{point: point{low: -10, high: 10, interval: true}}, 18)
		}})
	}
	return key
}
