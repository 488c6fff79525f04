package plotting

import (
	"cmp"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenpull/internal/fleet"
)

// DrawBoxes draws boxes along the pull: the share of its travel that each has gone, by distance down the track, with
// an annotation where it tops out: the sled, the gear and the interval. Where the annotations leave no room for their
// text, as they do of many pulls, it stands in a list above them.
func DrawBoxes(b Boxes, s Style) []byte {
	lay := layout{
		title:  sanitize(b.Title, "Both boxes along the pull"),
		desc:   sanitize(b.Description, "How far each box has moved, by distance down the track."),
		xTitle: "Distance down the track, " + unitName(s.Units),
		right:  20, below: textPitch,
	}
	pulls := pullsOf(b.Pulls, s.Units)
	if len(pulls) == 0 {
		return emptyDrawing(s, lay, "Where the boxes are along the pull is not known.")
	}
	end, n := xMax(pulls), vg.Length(len(pulls))
	list := vg.Length(0) // height
	if !annotationsFit(pulls, end, 8+textWidth(plainFont(textSize), "100"), width-lay.right) {
		list = textPitch * n
	}
	rows := annotationHeight*n + 10
	lay.above = rows + list
	lay.footer = newFooter(s.Note, width, nil, nil)
	const usual = 2 // annotations in a drawing of the usual height
	c := newCanvas(s.Theme, width, baseHeight+lay.footer.extraHeight()+annotationHeight*max(0, n-usual)+list,
		"Box, % of its travel")
	p := c.plot
	p.X.Min, p.X.Max = 0, end
	p.Y.Min, p.Y.Max = 0, 100
	p.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: 25, Label: "25"}, {Value: 50, Label: "50"},
		{Value: 75, Label: "75"}, {Value: 100, Label: "100"}}
	c.setXTicks(0, 8+c.yTickWidth()+lay.right)
	c.drawData = func() {
		// The later box stands in the higher row, so that its leader line does not cross the rows below it.
		byTopOut := slices.SortedStableFunc(slices.Values(pulls),
			func(a, b pull) int { return cmp.Compare(a.top, b.top) })
		for i, q := range byTopOut {
			y := c.data.Max.Y + 10 + annotationHeight*(vg.Length(i)+0.5)
			c.drawAnnotation(q, y, list > 0)
			if list == 0 {
				from, to, before := spaceBeside(q, pulls, c.x, c.data.Min.X, c.data.Max.X)
				c.drawAnnotationText(q, from, to, y, before)
			} else {
				y = c.data.Max.Y + rows + list - textPitch*(vg.Length(q.place)+0.5)
				c.drawAnnotationText(q, c.data.Min.X, c.data.Max.X, y, false)
			}
		}
		for _, q := range pulls {
			c.drawPull(q, len(pulls))
		}
	}
	p.Add(&plotter.Grid{Horizontal: c.gridStyle()}, c)
	return c.finish(lay)
}

const (
	annotationHeight = 44
	annotationGap    = 12
	maxWhisker       = 0.25 // of an interval on each side, as a share of the top-out: a longer one leaves no room
	markerSpace      = 2*markerSize + 8
)

// pull is one box as drawn, in the units of the axes (share in percent).
type pull struct {
	place        int // among those drawn
	label        string
	distance     string // ": 276 ft", "" where it does not top out
	withInterval string // ": 276 ft (273 to 280)"; distance where there is no interval
	line         []point
	top          float64 // infinite where it does not top out
	low, high    float64 // top where there is no interval
}

func (q pull) topsOut() bool { return !math.IsInf(q.top, 1) }

// pullsOf leaves out what cannot be drawn.
func pullsOf(in []BoxPull, u fleet.Units) (out []pull) {
	for _, b := range in {
		q := pull{place: len(out), label: sanitize(b.Label, "no label"), top: math.Inf(1)}
		for _, p := range b.Line {
			if drawable(p.DistanceFt, p.Share) && p.DistanceFt >= 0 {
				q.line = append(q.line, point{x: u.From(p.DistanceFt), y: 100 * min(max(p.Share, 0), 1)})
			}
		}
		slices.SortStableFunc(q.line, byX)
		if drawable(b.TopOutFt) && b.TopOutFt > 0 {
			p := newPoint(0, b.TopOutFt, b.LowFt, b.HighFt, u.From)
			q.top, q.low, q.high = p.y, p.y, p.y
			q.distance = ": " + formatDistance(p.y, u) + " " + unitSymbol(u)
			q.withInterval = q.distance
			if p.interval {
				q.low, q.high = max(p.low, 0), p.high
				q.withInterval += " (" + formatDistance(q.low, u) + " to " + formatDistance(q.high, u) + ")"
			}
		}
		if len(q.line) > 1 || q.topsOut() {
			out = append(out, q)
		}
	}
	return out
}

// xMax is how far down the track the drawing goes: past the last top-out and its whisker.
func xMax(pulls []pull) float64 {
	end := 0.0
	for _, q := range pulls {
		for _, p := range q.line {
			end = max(end, p.x)
		}
		if q.topsOut() {
			end = max(end, q.top, min(q.high, q.top*(1+maxWhisker)))
		}
	}
	return max(end*1.06, 1)
}

// lineStyle is the color and the dashes of a pull; with its marker no two of the first six look alike without color.
func (p palette) lineStyle(place int) draw.LineStyle {
	return stroke(p.lineColor(place), lineWidth, [3][]vg.Length{nil, {13, 7}, {3, 6}}[place%3]...)
}

func (p palette) lineColor(place int) color.NRGBA {
	return [3]color.NRGBA{p.accent, p.second, p.muted}[place%3]
}

// drawPull draws one box from its start to the top, and flat from there on.
func (c *canvas) drawPull(q pull, of int) {
	style, path := c.lineStyle(q.place), c.path(q.line)
	if len(path) > 1 {
		c.StrokeLines(style, path)
	}
	if q.topsOut() && len(path) > 1 {
		// Beside each other on the top line, where they would coincide.
		y := c.y(100) + (vg.Length(q.place)-vg.Length(of-1)/2)*lineWidth
		c.StrokeLine2(style, c.x(q.top), y, c.data.Max.X, y)
	}
	// Markers a quarter of the way apart, and each pull's between those of the others.
	for k := range 4 {
		share := (float64(k) + (float64(q.place)+1)/(float64(of)+1)) / 4
		if at, ok := pointAt(path, share); ok {
			markerFor(q.place).draw(c, style.Color, at.X, at.Y)
		}
	}
}

// pointAt is the point at a share of the way along the track that a path covers.
func pointAt(path []vg.Point, share float64) (vg.Point, bool) {
	for i := 1; i < len(path); i++ {
		first, last, a, b := path[0].X, path[len(path)-1].X, path[i-1], path[i]
		x := first + (last-first)*vg.Length(share)
		if b.X > a.X && a.X <= x && x <= b.X {
			return xy(x, a.Y+(b.Y-a.Y)*(x-a.X)/(b.X-a.X)), true
		}
	}
	return vg.Point{}, false
}

// drawAnnotation draws, above the top line, where a box tops out: a leader line, the interval as a whisker and, where
// the text stands elsewhere, the pull's marker.
func (c *canvas) drawAnnotation(q pull, y vg.Length, marked bool) {
	if !q.topsOut() {
		return
	}
	style, x := c.lineStyle(q.place), c.x(q.top)
	c.StrokeLine2(stroke(style.Color, thinWidth), x, c.data.Max.Y, x, y+9)
	if q.withInterval != q.distance {
		left, right := q.whiskerEnds(c.x)
		c.drawWhisker(stroke(style.Color, lineWidth), xy(c.x(q.low), y), xy(c.x(q.high), y), left, right)
	}
	if marked {
		markerFor(q.place).draw(c, style.Color, x, y+9+markerSize)
	}
}

func (q pull) whiskerEnds(x func(float64) vg.Length) (left, right vg.Length) {
	return max(x(q.low), x(q.top*(1-maxWhisker))), min(x(q.high), x(q.top*(1+maxWhisker)))
}

// spaceBeside is the wider of the two sides of an annotation, from left to right, and whether that is its left side.
// The leader lines of later boxes pass through its row.
func spaceBeside(
	q pull, pulls []pull, x func(float64) vg.Length, start, end vg.Length,
) (left, right vg.Length, before bool) {
	if !q.topsOut() {
		return start, end, false
	}
	low, high := q.whiskerEnds(x)
	for _, other := range pulls {
		if other.topsOut() && other.top > q.top {
			end = min(end, x(other.top)-annotationGap)
		}
	}
	if low-start >= end-high {
		return start, low - annotationGap, true
	}
	return high + annotationGap, end, false
}

// annotationsFit says whether there is room beside every annotation for the gear, the distance and some of the sled's
// name. The answer is needed before the axes are laid out: start and end are where the data is about to lie.
func annotationsFit(pulls []pull, xMax float64, start, end vg.Length) bool {
	const some, slack = 240, 20
	x := func(v float64) vg.Length { return start + (end-start)*vg.Length(v/xMax) }
	for _, q := range pulls {
		left, right, _ := spaceBeside(q, pulls, x, start, end)
		need := textWidth(plainFont(labelSize), q.label+q.distance)
		if right-left-markerSpace < min(need, some)+slack {
			return false
		}
	}
	return true
}

// drawAnnotationText writes whose box it is and where it tops out between left and right, with the pull's marker: at
// the right end before a whisker, else at the left end.
func (c *canvas) drawAnnotationText(q pull, left, right, y vg.Length, before bool) {
	f := plainFont(labelSize)
	txt := q.text(f, right-left-markerSpace)
	align, markerX, textX := text.XAlignment(text.XLeft), left+markerSize, left+markerSpace
	if before {
		align, markerX, textX = text.XRight, right-markerSize, right-markerSpace
	}
	markerFor(q.place).draw(c, c.lineStyle(q.place).Color, markerX, y)
	c.drawText(f, c.text, align, textX, y, txt)
}

// text says whose box it is and where it tops out, in the room there is. The interval, which the whisker shows as well,
// is left out first, then the middle of the name, and last the gear and the distance.
func (q pull) text(f font.Font, room vg.Length) string {
	if textWidth(f, q.label+q.withInterval) <= room {
		return q.label + q.withInterval
	}
	return truncateName(f, q.label, q.distance, room)
}
