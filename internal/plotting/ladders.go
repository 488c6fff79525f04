package plotting

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenpull/internal/fleet"
)

// DrawLadders draws ladders side by side: a column for each sled, a rung with its interval and label for each gear, the
// slowest on top, and lines across at the rungs of the first sled. The drawing grows wider where the columns need it.
func DrawLadders(l Ladders, s Style) []byte {
	const rightMargin, slack = 10, 14 // slack is what the plot takes beyond the numbers of the vertical axis
	lay := layout{
		title: sanitize(l.Title, "Ladders side by side"),
		desc:  sanitize(l.Description, "Where each gear of each sled tops out from full back."),
		right: rightMargin, below: 8,
	}
	columns, missing := columnsOf(l.Sleds, s.Units)
	if len(columns) == 0 {
		return emptyDrawing(s, lay, "No gear of these sleds has a number.")
	}
	var rungs []point
	most, need := 0, vg.Length(0)
	for _, k := range columns {
		most = max(most, len(k.rungs))
		need += k.minWidth()
		for _, r := range k.rungs {
			rungs = append(rungs, r.point)
		}
	}
	low, high := yExtent(rungs, nil, s.Units.From(minSpanFt)).padded(0.06, s.Units.From(minSpanFt))
	marks := ticks(low, high, 8)

	margins := 8 + widestLabel(marks) + slack + rightMargin
	wide := roundedUp(max(width, need+margins))
	var numbers []plot.Tick // on the right as well where the left is far away
	if wide > width {
		numbers, lay.right = marks, rightAxisWidth(marks)
		wide += roundedUp(lay.right - rightMargin)
		margins += lay.right - rightMargin
	}
	spare := (wide - margins - need) / vg.Length(len(columns))
	rows := nameRows(columns, spare)

	lay.footer = newFooter(s.Note, wide, missing, laddersLegend(columns))
	lay.above = textPitch*vg.Length(rows) + 6
	const usual = 430 // height of the data in a drawing of the usual number of gears
	data := max(usual, textPitch*vg.Length(most+1))
	c := newCanvas(s.Theme, wide, roundedUp(data+titleHeight+lay.above+lay.footer.height()+12),
		"Top-out distance from full back, "+unitName(s.Units))
	p := c.plot
	p.X.Min, p.X.Max = 0, 1 // the columns are laid out in units of the drawing
	p.X.Tick.Marker = plot.ConstantTicks{}
	p.X.LineStyle.Width = 0
	p.Y.Min, p.Y.Max = low, high
	p.Y.Tick.Marker = marks
	c.drawData = func() {
		c.layoutColumns(columns, spare)
		c.drawColumns(columns, marks)
		c.drawSledNames(columns, rows)
		c.drawRightAxis(numbers)
	}
	p.Add(c)
	return c.finish(lay)
}

func roundedUp(v vg.Length) vg.Length { return vg.Length(math.Ceil(float64(v))) }

// rung is one gear as drawn.
type rung struct {
	point
	label      string
	labelWidth vg.Length
	guess      bool
	labelY     vg.Length
}

// column is one sled as drawn, its rungs from the slowest, and where it stands.
type column struct {
	name       string
	nameWidth  vg.Length
	labelWidth vg.Length // the widest
	rungs      []rung

	left, right vg.Length // its edges
	center      vg.Length // the middle of its rungs
	half        vg.Length // of the length of a rung
	labelX      vg.Length
}

const (
	minHalfRung   = 17 // half of the length of a rung
	maxHalfRung   = 40
	leaderLength  = 18  // from a rung to its label
	columnGap     = 14  // between a label and the next column
	maxLabelWidth = 150 // the longest gear label
	maxNameWidth  = 190 // the longest name that a column makes room for
	nameGap       = 14  // between names, and beside a leader line
)

// columnsOf leaves out what cannot be drawn. What has no number comes second: whole sleds and, of others, gears.
func columnsOf(sleds []Ladder, u fleet.Units) (columns []column, missing []string) {
	f := plainFont(textSize)
	for _, l := range sleds {
		k := column{name: sanitize(l.Name, "no name")}
		k.nameWidth = textWidth(boldFont(textSize), k.name)
		var without []string
		for _, g := range l.Gears {
			label := sanitize(g.Label, "no label")
			if !drawable(g.TopOutFt) || g.TopOutFt <= 0 {
				without = append(without, label+" on "+k.name)
				continue
			}
			r := rung{point: newPoint(0, g.TopOutFt, g.LowFt, g.HighFt, u.From), guess: g.Guess}
			r.label = truncate(f, label, maxLabelWidth)
			r.labelWidth = textWidth(f, r.label)
			k.rungs = append(k.rungs, r)
			k.labelWidth = max(k.labelWidth, r.labelWidth)
		}
		if len(k.rungs) == 0 {
			missing = append(missing, k.name)
			continue
		}
		missing = append(missing, without...)
		slices.SortStableFunc(k.rungs, func(a, b rung) int { return cmp.Compare(b.y, a.y) })
		columns = append(columns, k)
	}
	return columns, missing
}

// minWidth is for the rungs and labels of a column, and for half of its name, as names may stand in two rows.
func (k column) minWidth() vg.Length {
	return max(2*minHalfRung+leaderLength+k.labelWidth+columnGap, (min(k.nameWidth, maxNameWidth)+2*nameGap)/2)
}

func nameRows(columns []column, spare vg.Length) int {
	tooWide := func(k column) bool { return k.nameWidth+nameGap > k.minWidth()+spare }
	if len(columns) > 1 && slices.ContainsFunc(columns, tooWide) {
		return 2
	}
	return 1
}

func laddersLegend(columns []column) (l legend) {
	has := func(is func(rung) bool) bool {
		return slices.ContainsFunc(columns, func(k column) bool { return slices.ContainsFunc(k.rungs, is) })
	}
	l.add(has(func(r rung) bool { return !r.guess }), 2*minHalfRung, "from readings",
		func(c *canvas, x, y vg.Length) { c.drawBar(x, y, minHalfRung, false) })
	l.add(has(func(r rung) bool { return r.guess }), 2*minHalfRung, "stated or from ratios",
		func(c *canvas, x, y vg.Length) { c.drawBar(x, y, minHalfRung, true) })
	l.add(has(func(r rung) bool { return r.interval }), 2*minHalfRung, "95 % interval",
		func(c *canvas, x, y vg.Length) { c.drawInterval(x, y-11, y+11, minHalfRung, c.Rectangle) })
	l.add(len(columns) > 1, 40, "level with "+truncate(plainFont(textSize), columns[0].name, maxNameWidth),
		func(c *canvas, x, y vg.Length) { c.StrokeLine2(c.referenceStyle(), x-20, y, x+20, y) })
	return l
}

// referenceStyle is for the lines across at the rungs of the first sled.
func (p palette) referenceStyle() draw.LineStyle { return stroke(p.muted, leaderWidth, 3, 7) }

// layoutColumns places the columns between the edges of the data, each with an equal share of what is spare.
func (c *canvas) layoutColumns(columns []column, spare vg.Length) {
	left := c.data.Min.X
	for i := range columns {
		k := &columns[i]
		room := k.minWidth() + spare
		k.left, k.right = left, left+room
		k.half = max(minHalfRung, min(room/5, maxHalfRung, (room-leaderLength-k.labelWidth-columnGap)/2))
		k.center = left + (room-(2*k.half+leaderLength+k.labelWidth))/2 + k.half
		k.labelX = k.center + k.half + leaderLength
		wanted := make([]float64, len(k.rungs))
		for j, r := range k.rungs {
			wanted[j] = c.y(r.y).Points()
		}
		const edge = textPitch / 2
		for j, y := range spreadLabels(wanted, textPitch, c.data.Min.Y.Points()+edge, c.data.Max.Y.Points()-edge) {
			k.rungs[j].labelY = vg.Length(y)
		}
		left += room
	}
}

func (c *canvas) drawColumns(columns []column, marks []plot.Tick) {
	for _, m := range marks {
		c.drawLevelLine(columns, c.y(m.Value), c.gridStyle())
	}
	for _, k := range columns {
		c.StrokeLine2(c.gridStyle(), k.center, c.data.Min.Y, k.center, c.data.Max.Y)
	}
	if len(columns) > 1 {
		for _, r := range columns[0].rungs {
			c.drawLevelLine(columns, c.y(r.y), c.referenceStyle())
		}
	}
	for _, k := range columns {
		for _, r := range k.rungs {
			y := c.y(r.y)
			if r.interval && r.low < r.high {
				c.drawInterval(k.center, c.y(r.low), c.y(r.high), k.half, c.data)
			}
			c.drawBar(k.center, y, k.half, r.guess)
			c.StrokeLine2(stroke(c.muted, leaderWidth), k.center+k.half+2, y, k.labelX-3, r.labelY)
			c.drawText(plainFont(textSize), c.text, text.XLeft, k.labelX, r.labelY, r.label)
		}
	}
}

// drawLevelLine draws a level line across the columns that leaves out the labels.
func (c *canvas) drawLevelLine(columns []column, y vg.Length, style draw.LineStyle) {
	const gap = 6
	from := c.data.Min.X
	for _, k := range columns {
		covered := vg.Length(-1) // by the labels at this height
		for _, r := range k.rungs {
			if math.Abs((r.labelY - y).Points()) < textPitch/2 {
				covered = max(covered, r.labelWidth)
			}
		}
		if covered >= 0 {
			c.StrokeLine2(style, from, y, k.labelX-gap, y)
			from = k.labelX + covered + gap
		}
	}
	if from < c.data.Max.X {
		c.StrokeLine2(style, from, y, c.data.Max.X, y)
	}
}

// drawInterval draws a band with a whisker, as far as they lie within an area.
func (c *canvas) drawInterval(x, low, high, half vg.Length, within vg.Rectangle) {
	bottom, top := within.Min.Y, within.Max.Y
	c.FillPolygon(bandColor(c.accent), rectangle(x-half, max(low, bottom), x+half, min(high, top)))
	c.drawWhisker(stroke(c.accent, thinWidth), xy(x, low), xy(x, high), bottom, top)
}

// drawBar draws a rung: filled, or hollow for a guess.
func (c *canvas) drawBar(x, y, half vg.Length, guess bool) {
	const high = 3.5 // half of the height
	if !guess {
		c.FillPolygon(c.accent, rectangle(x-half, y-high, x+half, y+high))
		return
	}
	ring := rectangle(x-half+1, y-high-1, x+half-1, y+high+1)
	c.StrokeLines(stroke(c.accent, thinWidth), append(ring, ring[0]))
}

// drawSledNames writes the names above the columns. In two rows each name has the room up to the centers of the columns
// beside it, and leader lines to the upper row pass between the names of the lower.
func (c *canvas) drawSledNames(columns []column, rows int) {
	f := boldFont(textSize)
	for i, k := range columns {
		left, right, middle := k.left+nameGap/2, k.right-nameGap/2, (k.left+k.right)/2
		if rows == 2 {
			left, right, middle = 8, c.Max.X-8, k.center
			if i > 0 {
				left = columns[i-1].center + nameGap
			}
			if i < len(columns)-1 {
				right = columns[i+1].center - nameGap
			}
		}
		name := truncate(f, k.name, right-left)
		half := textWidth(f, name) / 2
		row := vg.Length(i % rows)
		y := c.data.Max.Y + 6 + textPitch*(row+0.5)
		if row == 1 {
			c.StrokeLine2(stroke(c.muted, leaderWidth), k.center, c.data.Max.Y, k.center, y-textPitch/2+2)
		}
		c.drawText(f, c.text, text.XCenter, min(max(middle, left+half), right-half), y, name)
	}
}
