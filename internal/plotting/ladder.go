package plotting

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// drawLadder draws the gears of one start position as rungs, the slowest on top: where each tops out down the
// track, with its interval and readings.
func drawLadder(gears []series, missing []string, title, desc string, startAt float64, s Style) ([]byte, error) {
	for i := range gears { // readings set aside at another start position say nothing here
		gears[i].setAside = slices.DeleteFunc(gears[i].setAside, func(d point) bool { return math.Abs(d.x-startAt) > sameStart })
	}
	gears = slices.DeleteFunc(gears, func(g series) bool { return len(g.line)+len(g.readings)+len(g.setAside) == 0 })
	slices.SortStableFunc(gears, func(a, b series) int { return cmp.Compare(b.sortKey(), a.sortKey()) })

	foot := newFooter(width, missing, chartLegend(gears, true))
	const usual, rung = 300, 44 // height of the rungs of a drawing of the usual height; of one rung
	sh := newCanvas(s.Theme, width, baseHeight+foot.extraHeight()+max(0, rung*vg.Length(len(gears))-usual))

	const most = 270
	label := boldFont(labelSize)
	margin := vg.Length(0)
	for i := range gears {
		gears[i].label = truncate(label, gears[i].label, most)
		margin = max(margin, textWidth(label, gears[i].label))
	}

	p := sh.plot
	p.X.Min, p.X.Max = distanceExtent(gears, minSpan(s.Units)).padded(0.06, minSpan(s.Units))
	sh.setXTicks(p.X.Min, 8+margin+14+24)
	p.Y.Min, p.Y.Max = -float64(len(gears))+0.5, 0.5
	p.Y.Tick.Marker = plot.ConstantTicks{}
	sh.gridLines(true, false)
	p.Add(layer(func(c draw.Canvas, x, y func(float64) vg.Length) {
		for i, g := range gears {
			at := y(-float64(i))
			sh.drawText(c, label, sh.text, text.XRight, c.Min.X-14, at, g.label)
			sh.drawRung(c, x, at, g)
		}
		sh.drawXTitle(c, foot.height(), "Top-out distance, "+unitName(s.Units))
	}))
	sh.drawYTitle(startTitle(startAt, s))
	p.Draw(sh.dataArea(sh.leftMargin()+margin+14, 24, foot.height()+textPitch, titleHeight))
	sh.drawFooter(foot)
	return sh.svg.finish(title, desc)
}

// startTitle says where every pull of a ladder starts.
func startTitle(startAt float64, s Style) string {
	if startAt == 0 {
		return "Gears, from full back"
	}
	return "Gears, from a start of " + strings.TrimSuffix(formatNumber(startAt, 1), ".0") + " " + unitName(s.Units)
}

// sortKey is what a rung is ordered by: the estimate, else the mean of its readings, else the end of the ladder.
func (t series) sortKey() float64 {
	switch {
	case len(t.line) > 0:
		return t.line[0].y
	case len(t.readings) > 0:
		sum := 0.0
		for _, d := range t.readings {
			sum += d.y
		}
		return sum / float64(len(t.readings))
	}
	return math.Inf(-1)
}

// drawRung draws one gear along the height given: the estimate as an upright bar on its whisker, the readings below.
func (s *canvas) drawRung(c draw.Canvas, x func(float64) vg.Length, y vg.Length, g series) {
	at := func(v float64) vg.Length { return min(max(x(v), c.Min.X), c.Max.X) }
	above, below := y+7, y-9
	for _, d := range g.line {
		if d.interval {
			drawWhisker(c, stroke(s.accent, lineWidth), vg.Point{X: x(d.low), Y: above}, vg.Point{X: x(d.high), Y: above}, c.Min.X, c.Max.X)
		}
		c.StrokeLine2(stroke(s.accent, 2*lineWidth), at(d.y), above-9, at(d.y), above+9)
	}
	for _, d := range g.readings {
		g.marker.draw(c, s.accent, at(d.y), below)
	}
	for _, d := range g.setAside {
		drawCross(c, s.text, at(d.y), below)
	}
}
