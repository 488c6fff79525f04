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
	title := clean(l.Title, "Ladders side by side")
	desc := clean(l.Description, "Where each gear of each sled tops out from full back.")
	columns, missing := columnsOf(l.Sleds, s.Units)
	if len(columns) == 0 {
		return wordsOnly(s.Theme, title, desc, "There is nothing to draw yet.", "No gear of these sleds has a number.")
	}
	var rungs []dot
	most := 0
	for _, c := range columns {
		most = max(most, len(c.rungs))
		for _, r := range c.rungs {
			rungs = append(rungs, r.dot)
		}
	}
	low, high := heightsOf(rungs, nil, leastSpan(s.Units)).padded(0.06, leastSpan(s.Units))
	marks := ticks(low, high, 8)

	const right, slack = 10, 14 // slack is what the plot takes beyond what we see
	margins := 8 + widestOf(marks) + slack + right
	need := vg.Length(0)
	for _, c := range columns {
		need += c.need()
	}
	wide := wholeUnits(max(width, need+margins))
	var numbers []plot.Tick // on the right as well where the left is far away
	if wide > width {
		wide += wholeUnits(rightMargin(marks) - right)
		margins += rightMargin(marks) - right
		numbers = marks
	}
	spare := (wide - margins - need) / vg.Length(len(columns))
	rows := nameRows(columns, spare)

	foot := newFooter(wide, missing, laddersKey(columns))
	const usual = 430 // height of the data of a drawing of the usual number of gears
	data := max(usual, textPitch*vg.Length(most+1))
	names := textPitch*vg.Length(rows) + 6
	sh := newSheet(s.Theme, wide, wholeUnits(data+headingHeight+names+foot.height()+12))
	p := sh.plot
	p.X.Min, p.X.Max = 0, 1 // the columns are laid out in units of the drawing
	p.X.Tick.Marker = plot.ConstantTicks{}
	p.X.LineStyle.Width = 0
	p.Y.Min, p.Y.Max = low, high
	p.Y.Tick.Marker = marks
	p.Add(layer(func(c draw.Canvas, _, y func(float64) vg.Length) {
		sh.ladders(c, y, columns, spare, marks)
		sh.sledNames(c, columns, rows)
		sh.rightNumbers(c, y, numbers)
	}))
	sh.heading("Top-out distance from full back, " + unitWord(s.Units))
	end := vg.Length(right)
	if numbers != nil {
		end = rightMargin(marks)
	}
	p.Draw(sh.area(sh.leftMargin(), end, foot.height()+8, headingHeight+names))
	sh.footer(foot)
	return sh.canvas.finish(title, desc)
}

// step is one gear as drawn.
type step struct {
	dot
	label string
	wide  vg.Length // the label
	guess bool
}

// column is one sled as drawn, its rungs from the slowest, and where it stands.
type column struct {
	name      string
	nameWide  vg.Length
	labelWide vg.Length // the widest
	rungs     []step

	left, right vg.Length // its edges
	pole        vg.Length // the middle of its rungs
	half        vg.Length // of the length of a rung
	labels      vg.Length // where its labels begin
	heights     []float64 // of the labels
}

const (
	leastHalf   = 17 // of the length of a rung
	longestHalf = 40
	ladderLead  = 18  // from a rung to its label
	columnGap   = 14  // between a label and the next column
	labelMost   = 150 // the longest gear label
	nameMost    = 190 // the longest name that a column makes room for
	nameGap     = 14  // between names, and beside a pole
)

// columnsOf converts the ladders and leaves out what cannot be drawn. What has no number comes second: whole sleds
// and, of others, gears.
func columnsOf(sleds []Ladder, u fleet.Units) (columns []column, missing []string) {
	for _, l := range sleds {
		c := column{name: clean(l.Name, "no name")}
		c.nameWide = widthOf(boldFont(textSize), c.name)
		var without []string
		for _, g := range l.Gears {
			label := clean(g.Label, "no label")
			if !drawable(g.TopOutFt) || g.TopOutFt <= 0 {
				without = append(without, label+" on "+c.name)
				continue
			}
			label = shorten(plainFont(textSize), label, labelMost)
			r := step{dot: dotOf(0, g.TopOutFt, g.LowFt, g.HighFt, u), label: label, wide: widthOf(plainFont(textSize), label), guess: g.Guess}
			c.rungs = append(c.rungs, r)
			c.labelWide = max(c.labelWide, r.wide)
		}
		if len(c.rungs) == 0 {
			missing = append(missing, c.name)
			continue
		}
		missing = append(missing, without...)
		slices.SortStableFunc(c.rungs, func(a, b step) int { return cmp.Compare(b.y, a.y) })
		columns = append(columns, c)
	}
	return columns, missing
}

// need is the least width of a column: for its rungs and labels, and for half of its name, as names may stand in two
// rows.
func (c column) need() vg.Length {
	return max(2*leastHalf+ladderLead+c.labelWide+columnGap, (min(c.nameWide, nameMost)+2*nameGap)/2)
}

// nameRows is how many rows the names of the sleds take.
func nameRows(columns []column, spare vg.Length) int {
	for _, c := range columns {
		if len(columns) > 1 && c.nameWide+nameGap > c.need()+spare {
			return 2
		}
	}
	return 1
}

// laddersKey explains what is there of the shapes.
func laddersKey(columns []column) (key []keyItem) {
	there := func(is func(step) bool) bool {
		return slices.ContainsFunc(columns, func(c column) bool { return slices.ContainsFunc(c.rungs, is) })
	}
	bar := func(word string, guess bool) {
		if there(func(r step) bool { return r.guess == guess }) {
			key = append(key, keyItem{2 * leastHalf, word, func(s *sheet, c draw.Canvas, m, y vg.Length) { s.bar(c, m, y, leastHalf, guess) }})
		}
	}
	bar("from readings", false)
	bar("stated or from ratios", true)
	if there(func(r step) bool { return r.interval }) {
		key = append(key, keyItem{2 * leastHalf, "95 % interval", func(s *sheet, c draw.Canvas, m, y vg.Length) {
			c.FillPolygon(band(s.accent), rectangle(m-leastHalf, y-11, m+leastHalf, y+11))
			whisker(c, stroke(s.accent, thinWidth), vg.Point{X: m, Y: y - 11}, vg.Point{X: m, Y: y + 11}, 0, y+11)
		}})
	}
	if len(columns) > 1 {
		f := plainFont(textSize)
		key = append(key, keyItem{40, "level with " + shorten(f, columns[0].name, nameMost), func(s *sheet, c draw.Canvas, m, y vg.Length) {
			c.StrokeLine2(s.acrossPen(), m-20, y, m+20, y)
		}})
	}
	return key
}

// acrossPen is how the rungs of the first sled are carried on.
func (s *sheet) acrossPen() draw.LineStyle { return stroke(s.muted, 1.5, 3, 7) }

// ladders lays the columns out between the edges of the data, each with an equal share of what is spare, and draws
// them.
func (s *sheet) ladders(c draw.Canvas, y func(float64) vg.Length, columns []column, spare vg.Length, marks []plot.Tick) {
	at := c.Min.X
	for i := range columns {
		k := &columns[i]
		room := k.need() + spare
		k.half = min(max(room/5, leastHalf), longestHalf)
		k.half = max(leastHalf, min(k.half, (room-ladderLead-k.labelWide-columnGap)/2))
		k.left, k.right = at, at+room
		k.pole = at + (room-(2*k.half+ladderLead+k.labelWide))/2 + k.half
		k.labels = k.pole + k.half + ladderLead
		wanted := make([]float64, len(k.rungs))
		for j, r := range k.rungs {
			wanted[j] = y(r.y).Points()
		}
		const edge = textPitch / 2
		k.heights = spread(wanted, textPitch, c.Min.Y.Points()+edge, c.Max.Y.Points()-edge)
		at += room
	}
	for _, m := range marks {
		s.guide(c, columns, y(m.Value), stroke(s.grid, thinWidth))
	}
	for _, k := range columns {
		c.StrokeLine2(stroke(s.grid, thinWidth), k.pole, c.Min.Y, k.pole, c.Max.Y)
	}
	if len(columns) > 1 {
		for _, r := range columns[0].rungs {
			s.guide(c, columns, y(r.y), s.acrossPen())
		}
	}
	for _, k := range columns {
		for j, r := range k.rungs {
			s.step(c, y, k, r, vg.Length(k.heights[j]))
		}
	}
}

// guide is a level line across the columns that leaves out the labels.
func (s *sheet) guide(c draw.Canvas, columns []column, y vg.Length, sty draw.LineStyle) {
	const clear = 6
	from := c.Min.X
	for _, k := range columns {
		covered := vg.Length(-1) // by the labels at this height
		for j, h := range k.heights {
			if math.Abs(h-y.Points()) < textPitch/2 {
				covered = max(covered, k.rungs[j].wide)
			}
		}
		if covered >= 0 {
			c.StrokeLine2(sty, from, y, k.labels-clear, y)
			from = k.labels + covered + clear
		}
	}
	if from < c.Max.X {
		c.StrokeLine2(sty, from, y, c.Max.X, y)
	}
}

// step draws one gear: its interval, its rung, and its label at the height given with a line that leads to it.
func (s *sheet) step(c draw.Canvas, y func(float64) vg.Length, k column, r step, label vg.Length) {
	at := y(r.y)
	if r.interval && r.low < r.high {
		bottom, top := max(y(r.low), c.Min.Y), min(y(r.high), c.Max.Y)
		c.FillPolygon(band(s.accent), rectangle(k.pole-k.half, bottom, k.pole+k.half, top))
		whisker(c, stroke(s.accent, thinWidth), vg.Point{X: k.pole, Y: y(r.low)}, vg.Point{X: k.pole, Y: y(r.high)}, c.Min.Y, c.Max.Y)
	}
	s.bar(c, k.pole, at, k.half, r.guess)
	c.StrokeLine2(stroke(s.muted, 1.5), k.pole+k.half+2, at, k.labels-3, label)
	s.write(c, plainFont(textSize), s.text, text.XLeft, k.labels, label, r.label)
}

// bar is a rung: whole, or hollow for a guess.
func (s *sheet) bar(c draw.Canvas, x, y, half vg.Length, guess bool) {
	const high = 3.5 // half of the height
	if !guess {
		c.FillPolygon(s.accent, rectangle(x-half, y-high, x+half, y+high))
		return
	}
	ring := rectangle(x-half+1, y-high-1, x+half-1, y+high+1)
	c.StrokeLines(stroke(s.accent, thinWidth), append(ring, ring[0]))
}

// sledNames writes the names above the columns. In two rows each name has the room up to the poles of its neighbors,
// and the poles of the upper row's go up between the names of the lower.
func (s *sheet) sledNames(c draw.Canvas, columns []column, rows int) {
	f := boldFont(textSize)
	for i, k := range columns {
		left, right := k.left+nameGap/2, k.right-nameGap/2
		middle := (k.left + k.right) / 2
		if rows == 2 {
			left, right, middle = 8, s.wide-8, k.pole
			if i > 0 {
				left = columns[i-1].pole + nameGap
			}
			if i < len(columns)-1 {
				right = columns[i+1].pole - nameGap
			}
		}
		name := shorten(f, k.name, right-left)
		half := widthOf(f, name) / 2
		row := vg.Length(i % rows)
		at := c.Max.Y + 6 + textPitch*(row+0.5)
		if row == 1 {
			c.StrokeLine2(stroke(s.muted, 1.5), k.pole, c.Max.Y, k.pole, at-textPitch/2+2)
		}
		s.write(c, f, s.text, text.XCenter, min(max(middle, left+half), right-half), at, name)
	}
}
