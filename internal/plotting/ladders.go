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

// DrawLadders draws ladders side by side as a complete SVG document: a column for each sled, a rung with its interval
// and label for each gear, the slowest on top, and the rungs of the first sled carried on across the others. The
// drawing grows wider where the columns need it. A zero Style is light and in feet. It errs only where the document
// cannot be written.
func DrawLadders(l Ladders, s Style) ([]byte, error) {
	title := sanitize(l.Title, "Ladders side by side")
	desc := sanitize(l.Description, "Where each gear of each sled tops out from full back.")
	columns, missing := columnsOf(l.Sleds, s.Units)
	if len(columns) == 0 {
		return emptyDrawing(s.Theme, title, desc, "There is nothing to draw yet.", "No gear of these sleds has a number.")
	}
	var rungs []point
	most := 0
	for _, c := range columns {
		most = max(most, len(c.rungs))
		for _, r := range c.rungs {
			rungs = append(rungs, r.point)
		}
	}
	low, high := yExtent(rungs, nil, minSpan(s.Units)).padded(0.06, minSpan(s.Units))
	marks := ticks(low, high, 8)

	const right, slack = 10, 14 // slack is what the plot takes beyond what we see
	margins := 8 + widestLabel(marks) + slack + right
	need := vg.Length(0)
	for _, c := range columns {
		need += c.minWidth()
	}
	wide := roundedUp(max(width, need+margins))
	var numbers []plot.Tick // on the right as well where the left is far away
	if wide > width {
		wide += roundedUp(rightAxisWidth(marks) - right)
		margins += rightAxisWidth(marks) - right
		numbers = marks
	}
	spare := (wide - margins - need) / vg.Length(len(columns))
	rows := nameRows(columns, spare)

	foot := newFooter(wide, missing, laddersLegend(columns))
	const usual = 430 // height of the data of a drawing of the usual number of gears
	data := max(usual, textPitch*vg.Length(most+1))
	names := textPitch*vg.Length(rows) + 6
	sh := newCanvas(s.Theme, wide, roundedUp(data+titleHeight+names+foot.height()+12))
	p := sh.plot
	p.X.Min, p.X.Max = 0, 1 // the columns are laid out in units of the drawing
	p.X.Tick.Marker = plot.ConstantTicks{}
	p.X.LineStyle.Width = 0
	p.Y.Min, p.Y.Max = low, high
	p.Y.Tick.Marker = marks
	p.Add(layer(func(c draw.Canvas, _, y func(float64) vg.Length) {
		sh.drawColumns(c, y, columns, spare, marks)
		sh.drawSledNames(c, columns, rows)
		sh.drawRightAxis(c, y, numbers)
	}))
	sh.drawYTitle("Top-out distance from full back, " + unitName(s.Units))
	end := vg.Length(right)
	if numbers != nil {
		end = rightAxisWidth(marks)
	}
	p.Draw(sh.dataArea(sh.leftMargin(), end, foot.height()+8, titleHeight+names))
	sh.drawFooter(foot)
	return sh.svg.finish(title, desc)
}

// drawRung is one gear as drawn.
type rung struct {
	point
	label      string
	labelWidth vg.Length // the label
	guess      bool
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
	labelX      vg.Length // where its labels begin
	labelY      []float64 // of the labels
}

const (
	minHalfRung   = 17 // of the length of a rung
	maxHalfRung   = 40
	leaderLength  = 18  // from a rung to its label
	columnGap     = 14  // between a label and the next column
	maxLabelWidth = 150 // the longest gear label
	maxNameWidth  = 190 // the longest name that a column makes room for
	nameGap       = 14  // between names, and beside a pole
)

// columnsOf converts the ladders and leaves out what cannot be drawn. What has no number comes second: whole sleds
// and, of others, gears.
func columnsOf(sleds []Ladder, u fleet.Units) (columns []column, missing []string) {
	for _, l := range sleds {
		c := column{name: sanitize(l.Name, "no name")}
		c.nameWidth = textWidth(boldFont(textSize), c.name)
		var without []string
		for _, g := range l.Gears {
			label := sanitize(g.Label, "no label")
			if !drawable(g.TopOutFt) || g.TopOutFt <= 0 {
				without = append(without, label+" on "+c.name)
				continue
			}
			label = truncate(plainFont(textSize), label, maxLabelWidth)
			r := rung{point: newPoint(0, g.TopOutFt, g.LowFt, g.HighFt, u), label: label, labelWidth: textWidth(plainFont(textSize), label), guess: g.Guess}
			c.rungs = append(c.rungs, r)
			c.labelWidth = max(c.labelWidth, r.labelWidth)
		}
		if len(c.rungs) == 0 {
			missing = append(missing, c.name)
			continue
		}
		missing = append(missing, without...)
		slices.SortStableFunc(c.rungs, func(a, b rung) int { return cmp.Compare(b.y, a.y) })
		columns = append(columns, c)
	}
	return columns, missing
}

// minWidth is the least width of a column: for its rungs and labels, and for half of its name, as names may stand in two
// rows.
func (c column) minWidth() vg.Length {
	return max(2*minHalfRung+leaderLength+c.labelWidth+columnGap, (min(c.nameWidth, maxNameWidth)+2*nameGap)/2)
}

// nameRows is how many rows the names of the sleds take.
func nameRows(columns []column, spare vg.Length) int {
	for _, c := range columns {
		if len(columns) > 1 && c.nameWidth+nameGap > c.minWidth()+spare {
			return 2
		}
	}
	return 1
}

// laddersLegend explains what is there of the shapes.
func laddersLegend(columns []column) (key []legendItem) {
	there := func(is func(rung) bool) bool {
		return slices.ContainsFunc(columns, func(c column) bool { return slices.ContainsFunc(c.rungs, is) })
	}
	bar := func(word string, guess bool) {
		if there(func(r rung) bool { return r.guess == guess }) {
			key = append(key, legendItem{2 * minHalfRung, word, func(s *canvas, c draw.Canvas, m, y vg.Length) { s.drawBar(c, m, y, minHalfRung, guess) }})
		}
	}
	bar("from readings", false)
	bar("stated or from ratios", true)
	if there(func(r rung) bool { return r.interval }) {
		key = append(key, legendItem{2 * minHalfRung, "95 % interval", func(s *canvas, c draw.Canvas, m, y vg.Length) {
			c.FillPolygon(bandColor(s.accent), rectangle(m-minHalfRung, y-11, m+minHalfRung, y+11))
			drawWhisker(c, stroke(s.accent, thinWidth), vg.Point{X: m, Y: y - 11}, vg.Point{X: m, Y: y + 11}, 0, y+11)
		}})
	}
	if len(columns) > 1 {
		f := plainFont(textSize)
		key = append(key, legendItem{40, "level with " + truncate(f, columns[0].name, maxNameWidth), func(s *canvas, c draw.Canvas, m, y vg.Length) {
			c.StrokeLine2(s.referenceStyle(), m-20, y, m+20, y)
		}})
	}
	return key
}

// referenceStyle is how the rungs of the first sled are carried on.
func (s *canvas) referenceStyle() draw.LineStyle { return stroke(s.muted, 1.5, 3, 7) }

// drawColumns lays the columns out between the edges of the data, each with an equal share of what is spare, and draws
// them.
func (s *canvas) drawColumns(c draw.Canvas, y func(float64) vg.Length, columns []column, spare vg.Length, marks []plot.Tick) {
	at := c.Min.X
	for i := range columns {
		k := &columns[i]
		room := k.minWidth() + spare
		k.half = min(max(room/5, minHalfRung), maxHalfRung)
		k.half = max(minHalfRung, min(k.half, (room-leaderLength-k.labelWidth-columnGap)/2))
		k.left, k.right = at, at+room
		k.center = at + (room-(2*k.half+leaderLength+k.labelWidth))/2 + k.half
		k.labelX = k.center + k.half + leaderLength
		wanted := make([]float64, len(k.rungs))
		for j, r := range k.rungs {
			wanted[j] = y(r.y).Points()
		}
		const edge = textPitch / 2
		k.labelY = spreadLabels(wanted, textPitch, c.Min.Y.Points()+edge, c.Max.Y.Points()-edge)
		at += room
	}
	for _, m := range marks {
		s.drawLevelLine(c, columns, y(m.Value), stroke(s.grid, thinWidth))
	}
	for _, k := range columns {
		c.StrokeLine2(stroke(s.grid, thinWidth), k.center, c.Min.Y, k.center, c.Max.Y)
	}
	if len(columns) > 1 {
		for _, r := range columns[0].rungs {
			s.drawLevelLine(c, columns, y(r.y), s.referenceStyle())
		}
	}
	for _, k := range columns {
		for j, r := range k.rungs {
			s.drawColumnRung(c, y, k, r, vg.Length(k.labelY[j]))
		}
	}
}

// drawLevelLine is a level line across the columns that leaves out the labels.
func (s *canvas) drawLevelLine(c draw.Canvas, columns []column, y vg.Length, sty draw.LineStyle) {
	const clear = 6
	from := c.Min.X
	for _, k := range columns {
		covered := vg.Length(-1) // by the labels at this height
		for j, h := range k.labelY {
			if math.Abs(h-y.Points()) < textPitch/2 {
				covered = max(covered, k.rungs[j].labelWidth)
			}
		}
		if covered >= 0 {
			c.StrokeLine2(sty, from, y, k.labelX-clear, y)
			from = k.labelX + covered + clear
		}
	}
	if from < c.Max.X {
		c.StrokeLine2(sty, from, y, c.Max.X, y)
	}
}

// drawRung draws one gear: its interval, its rung, and its label at the height given with a line that leads to it.
func (s *canvas) drawColumnRung(c draw.Canvas, y func(float64) vg.Length, k column, r rung, label vg.Length) {
	at := y(r.y)
	if r.interval && r.low < r.high {
		bottom, top := max(y(r.low), c.Min.Y), min(y(r.high), c.Max.Y)
		c.FillPolygon(bandColor(s.accent), rectangle(k.center-k.half, bottom, k.center+k.half, top))
		drawWhisker(c, stroke(s.accent, thinWidth), vg.Point{X: k.center, Y: y(r.low)}, vg.Point{X: k.center, Y: y(r.high)}, c.Min.Y, c.Max.Y)
	}
	s.drawBar(c, k.center, at, k.half, r.guess)
	c.StrokeLine2(stroke(s.muted, 1.5), k.center+k.half+2, at, k.labelX-3, label)
	s.drawText(c, plainFont(textSize), s.text, text.XLeft, k.labelX, label, r.label)
}

// drawBar is a rung: whole, or hollow for a guess.
func (s *canvas) drawBar(c draw.Canvas, x, y, half vg.Length, guess bool) {
	const high = 3.5 // half of the height
	if !guess {
		c.FillPolygon(s.accent, rectangle(x-half, y-high, x+half, y+high))
		return
	}
	ring := rectangle(x-half+1, y-high-1, x+half-1, y+high+1)
	c.StrokeLines(stroke(s.accent, thinWidth), append(ring, ring[0]))
}

// drawSledNames writes the names above the columns. In two rows each name has the room up to the poles of its neighbors,
// and the poles of the upper row's go up between the names of the lower.
func (s *canvas) drawSledNames(c draw.Canvas, columns []column, rows int) {
	f := boldFont(textSize)
	for i, k := range columns {
		left, right := k.left+nameGap/2, k.right-nameGap/2
		middle := (k.left + k.right) / 2
		if rows == 2 {
			left, right, middle = 8, s.width-8, k.center
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
		at := c.Max.Y + 6 + textPitch*(row+0.5)
		if row == 1 {
			c.StrokeLine2(stroke(s.muted, 1.5), k.center, c.Max.Y, k.center, at-textPitch/2+2)
		}
		s.drawText(c, f, s.text, text.XCenter, min(max(middle, left+half), right-half), at, name)
	}
}
