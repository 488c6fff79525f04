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
func drawLadder(gears []trace, missing []string, title, desc string, startAt float64, s Style) ([]byte, error) {
	for i := range gears { // readings set aside at another start position say nothing here
		gears[i].aside = slices.DeleteFunc(gears[i].aside, func(d dot) bool { return math.Abs(d.x-startAt) > sameStart })
	}
	gears = slices.DeleteFunc(gears, func(g trace) bool { return len(g.line)+len(g.readings)+len(g.aside) == 0 })
	slices.SortStableFunc(gears, func(a, b trace) int { return cmp.Compare(b.middle(), a.middle()) })

	foot := newFooter(width, missing, chartKey(gears, true))
	const usual, rung = 300, 44 // height of the rungs of a drawing of the usual height; of one rung
	sh := newSheet(s.Theme, width, baseHeight+foot.extra()+max(0, rung*vg.Length(len(gears))-usual))

	const most = 270
	label := boldFont(labelSize)
	margin := vg.Length(0)
	for i := range gears {
		gears[i].label = shorten(label, gears[i].label, most)
		margin = max(margin, widthOf(label, gears[i].label))
	}

	p := sh.plot
	p.X.Min, p.X.Max = distancesOf(gears, leastSpan(s.Units)).padded(0.06, leastSpan(s.Units))
	sh.levelTicks(p.X.Min, 8+margin+14+24)
	p.Y.Min, p.Y.Max = -float64(len(gears))+0.5, 0.5
	p.Y.Tick.Marker = plot.ConstantTicks{}
	sh.gridLines(true, false)
	p.Add(layer(func(c draw.Canvas, x, y func(float64) vg.Length) {
		for i, g := range gears {
			at := y(-float64(i))
			sh.write(c, label, sh.text, text.XRight, c.Min.X-14, at, g.label)
			sh.rung(c, x, at, g)
		}
		sh.axisTitle(c, foot.height(), "Top-out distance, "+unitWord(s.Units))
	}))
	sh.heading(fromWords(startAt, s))
	p.Draw(sh.area(sh.leftMargin()+margin+14, 24, foot.height()+textPitch, headingHeight))
	sh.footer(foot)
	return sh.canvas.finish(title, desc)
}

// fromWords says where every pull of a ladder starts.
func fromWords(startAt float64, s Style) string {
	if startAt == 0 {
		return "Gears, from full back"
	}
	return "Gears, from a start of " + strings.TrimSuffix(number(startAt, 1), ".0") + " " + unitWord(s.Units)
}

// middle is what a rung is ordered by: the estimate, else the mean of its readings, else the end of the ladder.
func (t trace) middle() float64 {
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

// rung draws one gear along the height given: the estimate as an upright bar on its whisker, the readings below.
func (s *sheet) rung(c draw.Canvas, x func(float64) vg.Length, y vg.Length, g trace) {
	at := func(v float64) vg.Length { return min(max(x(v), c.Min.X), c.Max.X) }
	above, below := y+7, y-9
	for _, d := range g.line {
		if d.interval {
			whisker(c, stroke(s.accent, lineWidth), vg.Point{X: x(d.low), Y: above}, vg.Point{X: x(d.high), Y: above}, c.Min.X, c.Max.X)
		}
		c.StrokeLine2(stroke(s.accent, 2*lineWidth), at(d.y), above-9, at(d.y), above+9)
	}
	for _, d := range g.readings {
		g.marker.draw(c, s.accent, at(d.y), below)
	}
	for _, d := range g.aside {
		hollowCross(c, s.text, at(d.y), below)
	}
}
