package plotting

import (
	"image/color"
	"slices"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	"evenpull/internal/fleet"
)

// Loads is what lies on the pan, by the mark of the box or by distance along the pull.
type Loads struct {
	Title, Description string
	AlongPull          bool // else along the travel of the box
	Lines              []LoadLine
	Nothing            string  // why there is no line
	ShadeGap           bool    // between the first two lines
	FinishFt           float64 // where the pull ends; 0 where that is not marked
}

// LoadLine is one sled with one loading.
type LoadLine struct {
	Label   string // such as "Bluestem, C, 16,000 lb"
	Line    []LoadPoint
	Weighed []WeighedPoint
}

// LoadPoint is one point of a line with its 95 % interval, in feet and pounds.
type LoadPoint struct {
	AtFt, Lb, LowLb, HighLb float64
}

// WeighedPoint is one weighing.
type WeighedPoint struct {
	AtFt, Lb float64
	SetAside bool
}

// minSpanLb keeps the ticks of an axis of equal loads apart and round.
const minSpanLb = 1000

// DrawLoads draws the load on the pan: a line with its interval for each loading, the gap between the first two shaded
// where that is asked for, weighings as markers, and where the pull ends.
func DrawLoads(l Loads, s Style) []byte {
	lay := layout{
		title:  sanitize(l.Title, "The load on the pan"),
		desc:   sanitize(l.Description, "What lies on the pan."),
		xTitle: "Box, " + unitName(s.Units) + " from full back",
		right:  20, below: textPitch,
	}
	if l.AlongPull {
		lay.xTitle = "Distance down the track, " + unitName(s.Units)
	}
	lines := loadsOf(l.Lines, s.Units)
	if len(lines) == 0 {
		return emptyDrawing(s, lay, sanitize(l.Nothing, "No load is known."))
	}
	gap := l.ShadeGap && len(lines) == len(l.Lines) && len(lines) > 1
	finish := drawable(l.FinishFt) && l.FinishFt > 0
	lay.footer = newFooter(s.Note, width, nil, loadLegend(lines, gap))
	c := newCanvas(s.Theme, width, baseHeight+lay.footer.extraHeight(), "On the pan, "+s.Units.Weight())
	if finish {
		lay.above = textPitch
	}
	along, end := xExtent(lines), s.Units.From(l.FinishFt)
	if finish {
		along.add(end)
	}
	p := c.plot
	p.X.Min, p.X.Max = along.padded(0.03, s.Units.From(1))
	if !l.AlongPull && along.low >= 0 { // room for the markers at full back
		p.X.Min -= (p.X.Max - p.X.Min) * 0.03
	}
	least := s.Units.FromPounds(minSpanLb)
	p.Y.Min, p.Y.Max = seriesExtent(lines, least).padded(0.05, least)
	p.Y.Tick.Marker = ticks(p.Y.Min, p.Y.Max, 5)
	c.setXTicks(max(p.X.Min, min(along.low, 0)), 8+c.yTickWidth()+lay.right)
	c.drawData = func() {
		if gap {
			back := c.path(lines[1].line)
			slices.Reverse(back)
			c.FillPolygon(gapColor(c.muted), append(c.path(lines[0].line), back...))
		}
		if finish {
			x := c.x(end)
			c.StrokeLine2(stroke(c.muted, thinWidth, 3, 6), x, c.data.Min.Y, x, c.data.Max.Y)
			half := textWidth(plainFont(textSize), finishLabel) / 2
			c.drawText(plainFont(textSize), c.muted, text.XCenter, min(x, c.Max.X-8-half), c.data.Max.Y+textPitch/2,
				finishLabel)
		}
		for i, q := range lines {
			c.drawLoad(q, i)
		}
	}
	p.Add(&plotter.Grid{Horizontal: c.gridStyle()}, c)
	return c.finish(lay)
}

const finishLabel = "finish"

// loadsOf leaves out what cannot be drawn.
func loadsOf(in []LoadLine, u fleet.Units) (out []series) {
	for _, l := range in {
		q := series{label: sanitize(l.Label, "no label"), marker: markerFor(len(out))}
		for _, p := range l.Line {
			if drawable(p.AtFt, p.Lb) {
				q.line = append(q.line, newPoint(u.From(p.AtFt), p.Lb, p.LowLb, p.HighLb, u.FromPounds))
			}
		}
		slices.SortStableFunc(q.line, byX)
		for _, w := range l.Weighed {
			list := &q.readings
			if w.SetAside {
				list = &q.setAside
			}
			if drawable(w.AtFt, w.Lb) {
				*list = append(*list, point{x: u.From(w.AtFt), y: u.FromPounds(w.Lb)})
			}
		}
		if len(q.line) > 1 || len(q.readings) > 0 {
			out = append(out, q)
		}
	}
	return out
}

// drawLoad draws the interval, the line with its markers, and the weighings.
func (c *canvas) drawLoad(q series, place int) {
	style := c.lineStyle(place)
	for _, run := range intervalRuns(q.line) {
		if len(run) > 1 {
			c.drawBand(run, c.lineColor(place))
		}
	}
	path := c.path(q.line)
	if len(path) > 1 {
		c.StrokeLines(style, path)
	}
	for _, p := range q.readings {
		q.marker.draw(c, style.Color, c.x(p.x), c.y(p.y))
	}
	c.drawUncounted(q.setAside, c.drawCross)
	if len(q.readings) == 0 { // so that no two lines look alike without color
		for k := range 4 {
			if p, ok := pointAt(path, (float64(k)+0.5)/4); ok {
				q.marker.draw(c, style.Color, p.X, p.Y)
			}
		}
	}
}

// gapColor is the ground between two lines.
func gapColor(c color.NRGBA) color.NRGBA {
	c.A = 0x40
	return c
}

// loadLegend says which line is which.
func loadLegend(lines []series, gap bool) (l legend) {
	const sample, most = 44, 560
	for i, q := range lines {
		l.add(true, sample, truncateName(plainFont(textSize), q.label, "", most), func(c *canvas, x, y vg.Length) {
			c.FillPolygon(bandColor(c.lineColor(i)), rectangle(x-sample/2, y-10, x+sample/2, y+10))
			c.StrokeLines(c.lineStyle(i), []vg.Point{xy(x-sample/2, y), xy(x+sample/2, y)})
			q.marker.draw(c, c.lineColor(i), x, y)
		})
	}
	l.add(gap, 36, "the difference", func(c *canvas, x, y vg.Length) {
		c.FillPolygon(gapColor(c.muted), rectangle(x-18, y-10, x+18, y+10))
	})
	aside := slices.ContainsFunc(lines, func(q series) bool { return len(q.setAside) > 0 })
	l.add(aside, 2*markerSize, "set aside", (*canvas).drawCross)
	return l
}
