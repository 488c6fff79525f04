package plotting

import (
	"cmp"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenpull/internal/fleet"
)

// DrawBoxes draws both boxes along the pull as a complete SVG document: the share of its travel that each box has
// gone, by distance down the track, with a flag where it tops out that carries the sled, the gear and the interval.
// Where the flags leave no room for words, as they do of many pulls, the words stand in a list above them. A zero
// Style is light and in feet. It errs only where the document cannot be written.
func DrawBoxes(b Boxes, s Style) ([]byte, error) {
	title := clean(b.Title, "Both boxes along the pull")
	desc := clean(b.Description, "How far each box has moved, by distance down the track.")
	pulls := pullsOf(b.Pulls, s)
	if len(pulls) == 0 {
		return wordsOnly(s.Theme, title, desc, "There is nothing to draw yet.", "Where the boxes are along the pull is not known.")
	}
	far := farthest(pulls)
	const right, usual = 20, 2 // margin; flags in a drawing of the usual height
	list := vg.Length(0)       // height of the list of words
	if !roomForWords(pulls, far, 8+widthOf(plainFont(textSize), "100"), width-right) {
		list = textPitch * vg.Length(len(pulls))
	}
	flags := flagHeight*vg.Length(len(pulls)) + 10
	sh := newSheet(s.Theme, width, baseHeight+flagHeight*vg.Length(max(0, len(pulls)-usual))+list)
	p := sh.plot
	p.X.Min, p.X.Max = 0, far
	p.Y.Min, p.Y.Max = 0, 100
	p.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: 25, Label: "25"}, {Value: 50, Label: "50"}, {Value: 75, Label: "75"}, {Value: 100, Label: "100"}}
	sh.levelTicks(0, 8+sh.numbersWidth()+right)
	sh.gridLines(false, true)
	p.Add(layer(func(c draw.Canvas, x, y func(float64) vg.Length) {
		// The later box stands in the higher row, so that its flagstaff passes beyond the rows below it.
		for i, place := range byTopOut(pulls) {
			q, row := pulls[place], c.Max.Y+10+flagHeight*(vg.Length(i)+0.5)
			sh.flag(c, x, q, row, list > 0)
			if list == 0 {
				from, to, before := roomBeside(q, pulls, x, c.Min.X, c.Max.X)
				sh.flagWords(c, q, from, to, row, before)
			} else {
				sh.flagWords(c, q, c.Min.X, c.Max.X, c.Max.Y+flags+list-textPitch*(vg.Length(place)+0.5), false)
			}
		}
		for _, q := range pulls {
			sh.pull(c, x, y, q, len(pulls))
		}
		sh.axisTitle(c, 4, "Distance down the track, "+unitWord(s.Units))
	}))
	sh.heading("Box, % of its travel")
	p.Draw(sh.area(sh.leftMargin(), right, 4+textPitch, headingHeight+flags+list))
	return sh.canvas.finish(title, desc)
}

// pull is one box as drawn, in the units of the axes (share in percent).
type pull struct {
	place    int // among those drawn
	label    string
	figures  []string // where it tops out, in words: in full, and without the interval
	line     []dot
	topsOut  bool
	top      float64
	low      float64
	high     float64
	interval bool
}

// pullsOf converts the pulls and leaves out what cannot be drawn.
func pullsOf(in []BoxPull, s Style) []pull {
	var out []pull
	for _, b := range in {
		q := pull{place: len(out), label: clean(b.Label, "no label")}
		for _, p := range b.Line {
			if drawable(p.DistanceFt, p.Share) && p.DistanceFt >= 0 {
				q.line = append(q.line, dot{x: s.Units.From(p.DistanceFt), y: 100 * min(max(p.Share, 0), 1)})
			}
		}
		slices.SortStableFunc(q.line, func(a, b dot) int { return cmp.Compare(a.x, b.x) })
		if drawable(b.TopOutFt) && b.TopOutFt > 0 {
			q.topsOut, q.top = true, s.Units.From(b.TopOutFt)
			short := ": " + figure(q.top, s.Units) + " " + shortUnit(s.Units)
			q.figures = []string{short}
			if drawable(b.LowFt, b.HighFt) && b.LowFt <= b.TopOutFt && b.TopOutFt <= b.HighFt {
				q.interval, q.low, q.high = true, s.Units.From(max(b.LowFt, 0)), s.Units.From(b.HighFt)
				q.figures = []string{short + " (" + figure(q.low, s.Units) + " to " + figure(q.high, s.Units) + ")", short}
			}
		}
		if len(q.line) > 1 || q.topsOut {
			out = append(out, q)
		}
	}
	return out
}

func figure(v float64, u fleet.Units) string { return number(v, decimalsFor(u)) }

func shortUnit(u fleet.Units) string {
	if u == fleet.InMeters {
		return "m"
	}
	return "ft"
}

// farthest is how far down the track the drawing goes: past the last top-out, with its interval where that is not
// wild.
func farthest(pulls []pull) float64 {
	var e extent
	e.add(0)
	for _, q := range pulls {
		for _, d := range q.line {
			e.add(d.x)
		}
		if q.topsOut {
			e.add(q.top)
		}
	}
	for _, q := range pulls {
		if q.interval {
			e.add(min(q.high, q.top*(1+widest)))
		}
	}
	return max(e.high*1.06, 1)
}

// byTopOut lists the places of pulls, the earliest top-out first, those that do not top out last.
func byTopOut(pulls []pull) []int {
	order := make([]int, len(pulls))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if pulls[a].topsOut != pulls[b].topsOut {
			if pulls[a].topsOut {
				return -1
			}
			return 1
		}
		return cmp.Compare(pulls[a].top, pulls[b].top)
	})
	return order
}

// pen is the color and the dash of a pull; with its marker no two of the first six look alike without color.
func (s *sheet) pen(place int, width vg.Length) draw.LineStyle {
	switch place % 3 {
	case 0:
		return stroke(s.accent, width)
	case 1:
		return stroke(s.second, width, 13, 7)
	default:
		return stroke(s.muted, width, 3, 6)
	}
}

// pull draws one box from its start to the top, and flat from there on.
func (s *sheet) pull(c draw.Canvas, x, y func(float64) vg.Length, q pull, of int) {
	pen := s.pen(q.place, lineWidth)
	path := make([]vg.Point, len(q.line))
	for i, d := range q.line {
		path[i] = vg.Point{X: x(d.x), Y: y(d.y)}
	}
	if len(path) > 1 {
		c.StrokeLines(pen, path)
	}
	if q.topsOut {
		// Side by side on the top line, where the boxes would hide each other.
		at := y(100) + (vg.Length(q.place)-vg.Length(of-1)/2)*lineWidth
		c.StrokeLine2(pen, x(q.top), at, c.Max.X, at)
	}
	// Markers a quarter of the way apart, and each pull's between those of the others.
	for k := range 4 {
		share := (float64(k) + (float64(q.place)+1)/(float64(of)+1)) / 4
		if at, ok := along(path, share); ok {
			markerFor(q.place).draw(c, pen.Color, at.X, at.Y)
		}
	}
}

// along is the point at a share of the way along the track that a path covers.
func along(path []vg.Point, share float64) (vg.Point, bool) {
	if len(path) < 2 {
		return vg.Point{}, false
	}
	first, last := path[0].X, path[len(path)-1].X
	want := first + (last-first)*vg.Length(share)
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		if b.X > a.X && a.X <= want && want <= b.X {
			return vg.Point{X: want, Y: a.Y + (b.Y-a.Y)*(want-a.X)/(b.X-a.X)}, true
		}
	}
	return vg.Point{}, false
}
