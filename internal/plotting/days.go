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
// feet or meters of one gear on the right where its top-out is known, and the pattern the days show, as a line and
// in words. A zero Style is light and in feet. It errs only where the document cannot be written.
func DrawDays(d Days, s Style) ([]byte, error) {
	title := clean(d.Title, "Test days over the season")
	desc := clean(d.Description, "How far each test day lies from what the sled's other days say.")
	v := seasonOf(d, s.Units)
	if !slices.ContainsFunc(v.days, func(d day) bool { return d.known }) {
		return wordsOnly(s.Theme, title, desc, "There is nothing to draw yet.", "No test day of this sled has a number.")
	}
	return v.draw(title, desc, s)
}

// day is one test day as drawn: x is its place in the season, y percent, and the interval runs from one limit to the
// other.
type day struct {
	dot
	label            string
	known, once, off bool
}

// season is the days, the line of their pattern and its words.
type season struct {
	days    []day
	drift   drift
	feet    float64 // the top-out that the second axis is for, in the units of the axes; 0 when unknown
	feetFor string
}

// leastTopOutFt is the shortest top-out that has an axis of its own: below it there is nothing to read off.
const leastTopOutFt = 1

func seasonOf(d Days, u fleet.Units) season {
	var v season
	for i, p := range d.Days {
		q := day{dot: dot{x: float64(i)}, label: clean(p.Label, "no name"), known: drawable(p.OffsetPct), once: p.Readings == 1, off: p.Off}
		if q.known {
			q.y = p.OffsetPct
		}
		if drawable(p.LimitPct) && p.LimitPct > 0 {
			q.low, q.high, q.interval = -p.LimitPct, p.LimitPct, true
		}
		v.days = append(v.days, q)
	}
	if drawable(d.TopOutFt) && d.TopOutFt >= leastTopOutFt {
		v.feet = u.From(d.TopOutFt)
		v.feetFor = unitWord(u)
		if gear := clean(d.Gear, ""); gear != "" {
			v.feetFor += " in " + gear
		}
	}
	v.drift = driftOf(d.Drift, v.days)
	return v
}

// heights is the range of per cents: at least one on each side of zero.
func (v season) heights() (low, high float64) {
	const least = 1
	counted := []dot{{y: -least}, {y: least}}
	for _, d := range v.days {
		if d.known {
			counted = append(counted, d.dot)
		}
	}
	e := heightsOf(append(counted, v.drift.line...), nil, 2*least)
	return e.padded(0.13, 2*least) // room for a word above the highest
}

func (v season) draw(title, desc string, s Style) ([]byte, error) {
	low, high := v.heights()
	perCent := signed(ticks(low, high, 5))
	var feet []plot.Tick
	right := vg.Length(16)
	if v.feet > 0 {
		perPct := v.feet / 100
		feet = signed(ticks(low*perPct, high*perPct, 5))
		for i := range feet {
			feet[i].Value /= perPct
		}
		right = rightMargin(feet)
	}
	left := 8 + widestOf(perCent)
	names := v.nameDays(left, width-left-right)
	foot := newFooter(width, nil, v.key())
	words := vg.Length(0)
	if v.drift.known() {
		words = textPitch + 8
	}
	sh := newSheet(s.Theme, width, wholeUnits(baseHeight-textPitch+names.height()+words+foot.extra()))

	p := sh.plot
	p.X.Min, p.X.Max = -0.5, float64(len(v.days))-0.5
	p.X.Tick.Marker = plot.ConstantTicks{}
	p.Y.Min, p.Y.Max = low, high
	p.Y.Tick.Marker = plot.ConstantTicks(perCent)
	sh.gridLines(false, true)
	p.Add(layer(func(c draw.Canvas, x, y func(float64) vg.Length) {
		step := x(1) - x(0)
		for _, d := range v.days {
			sh.limits(c, x(d.x), y, d, min(0.36*step, 26))
		}
		c.StrokeLine2(stroke(sh.text, thinWidth), c.Min.X, y(0), c.Max.X, y(0))
		sh.driftLine(c, x, y, v.drift)
		for _, d := range v.days {
			sh.day(c, x(d.x), y(d.y), d, min(1, max(0.3, float64(step/(2.6*markerSize)))))
		}
		sh.offWords(c, x, y, v.days)
		sh.rightNumbers(c, y, feet)
		sh.dayNames(c, x, names)
	}))
	heading := "% later (+) or earlier (−)"
	sh.heading(heading)
	if feet != nil {
		sh.headingRight(heading, v.feetFor)
	}
	if v.drift.known() {
		sh.driftWords(v.drift, v.feet, s.Units)
	}
	p.Draw(sh.area(sh.leftMargin()+names.left-left, right, foot.height()+names.height(), headingHeight+words))
	sh.footer(foot)
	return sh.canvas.finish(title, desc)
}

// signed puts a plus before what is above zero.
func signed(marks []plot.Tick) []plot.Tick {
	for i, m := range marks {
		if m.Value > 0 {
			marks[i].Label = "+" + m.Label
		}
	}
	return marks
}

// limits draws how far a day may lie from zero: a pale ground between two bars. A limit beyond the axis has no bar.
func (s *sheet) limits(c draw.Canvas, x vg.Length, y func(float64) vg.Length, d day, half vg.Length) {
	if !d.interval {
		return
	}
	bottom, top := max(y(d.low), c.Min.Y), min(y(d.high), c.Max.Y)
	c.FillPolygon(band(s.muted), rectangle(x-half, bottom, x+half, top))
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
	m.hollow = d.once
	return m
}

func (s *sheet) dayColor(d day) color.Color {
	if d.off {
		return s.second
	}
	return s.accent
}

func (s *sheet) day(c draw.Canvas, x, y vg.Length, d day, size float64) {
	if d.known {
		dayMarker(d, size).draw(c, s.dayColor(d), x, y)
	}
}

const offWord = "stands off"

// offWords writes beside each day that stands off that it does, where there is room for it. The key says it of those
// without.
func (s *sheet) offWords(c draw.Canvas, x, y func(float64) vg.Length, days []day) {
	const away, half = 14, textPitch / 2 // from the middle of a marker to the word; of a line of text
	f := plainFont(textSize)
	w := widthOf(f, offWord)
	var taken []vg.Rectangle
	for _, d := range days {
		if d.known {
			taken = append(taken, around(x(d.x), y(d.y), away, away))
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
			r := around(at.X, at.Y, w/2, half)
			if r.Min.X < c.Min.X || r.Max.X > c.Max.X || r.Min.Y < c.Min.Y || r.Max.Y > c.Max.Y ||
				slices.ContainsFunc(taken, func(o vg.Rectangle) bool { return overlap(r, o) }) {
				continue
			}
			s.write(c, f, s.second, text.XCenter, at.X, at.Y, offWord)
			taken = append(taken, r)
			break
		}
	}
}

func around(x, y, halfWide, halfHigh vg.Length) vg.Rectangle {
	return vg.Rectangle{Min: vg.Point{X: x - halfWide, Y: y - halfHigh}, Max: vg.Point{X: x + halfWide, Y: y + halfHigh}}
}

func overlap(a, b vg.Rectangle) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// key explains what is there of the shapes.
func (v season) key() (key []keyItem) {
	shape := func(word string, wide vg.Length, of day) {
		is := func(d day) bool { return d.known && d.off == of.off && d.once == of.once }
		if slices.ContainsFunc(v.days, is) {
			key = append(key, keyItem{wide, word, func(s *sheet, c draw.Canvas, m, y vg.Length) {
				dayMarker(of, 1).draw(c, s.dayColor(of), m, y)
			}})
		}
	}
	shape("day", 2*markerSize, day{})
	shape("one reading", 2*markerSize, day{once: true})
	shape(offWord, 3*markerSize, day{off: true})
	shape("stands off, one reading", 3*markerSize, day{off: true, once: true})
	if slices.ContainsFunc(v.days, func(d day) bool { return d.interval }) {
		key = append(key, keyItem{36, "limits", func(s *sheet, c draw.Canvas, m, y vg.Length) {
			s.limits(c, m, func(v float64) vg.Length { return y + vg.Length(v) }, day{dot: dot{low: -10, high: 10, interval: true}}, 18)
		}})
	}
	return key
}
