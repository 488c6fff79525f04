package plotting

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
)

// document is what a reader of the SVG gets, in the coordinates of its view box: y grows downwards.
type document struct {
	root          map[string]string
	width, height float64
	title, desc   string
	texts         []textSeen
	rise          float64 // of the group being read, rad
	paths         []pathSeen
}

type textSeen struct {
	words  string
	x, y   float64 // of the anchor, on the baseline
	size   float64
	anchor string
	rise   float64 // rad anticlockwise
	bold   bool
	fill   string
}

// box is the ground the text covers: the width a roomy sans-serif needs, from the ascenders to the descenders.
func (t textSeen) box() rect {
	f := plainFont(vg.Length(t.size))
	if t.bold {
		f = boldFont(vg.Length(t.size))
	}
	w := textWidth(f, t.words).Points()
	left := t.x
	switch t.anchor {
	case "middle":
		left -= w / 2
	case "end":
		left -= w
	}
	return rect{left, t.y - 0.76*t.size, left + w, t.y + 0.22*t.size}
}

// corners are those of the ground the text covers, turned with it.
func (t textSeen) corners() [4][2]float64 {
	r := t.box()
	sin, cos := math.Sincos(t.rise)
	turned := func(x, y float64) [2]float64 {
		dx, dy := x-t.x, y-t.y
		return [2]float64{t.x + dx*cos + dy*sin, t.y - dx*sin + dy*cos}
	}
	return [4][2]float64{turned(r.left, r.top), turned(r.right, r.top), turned(r.right, r.bottom),
		turned(r.left, r.bottom)}
}

// ground is what a text covers.
type ground struct {
	words   string
	rise    float64
	corners [4][2]float64
	around  rect // level
}

func (t textSeen) ground() ground {
	g := ground{words: t.words, rise: t.rise, corners: t.corners()}
	g.around.left, g.around.right = g.along(0)
	top, bottom := g.along(math.Pi / 2)
	g.around.top, g.around.bottom = -bottom, -top
	return g
}

// pointAt is the range of the corners in a direction.
func (g ground) along(rise float64) (low, high float64) {
	sin, cos := math.Sincos(rise)
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range g.corners {
		v := p[0]*cos - p[1]*sin
		low, high = min(low, v), max(high, v)
	}
	return low, high
}

// meets says whether two grounds overlap: two rectangles do not where, seen along an edge of one, they lie apart.
func (g ground) meets(o ground) bool {
	if !g.around.overlaps(o.around) {
		return false
	}
	for _, rise := range []float64{g.rise, g.rise + math.Pi/2, o.rise, o.rise + math.Pi/2} {
		low, high := g.along(rise)
		otherLow, otherHigh := o.along(rise)
		if high <= otherLow || otherHigh <= low {
			return false
		}
	}
	return true
}

type rect struct{ left, top, right, bottom float64 }

func (r rect) overlaps(o rect) bool {
	return r.left < o.right && o.left < r.right && r.top < o.bottom && o.top < r.bottom
}

type pathSeen struct {
	points                   [][2]float64 // corners; arcs by their ends
	closed                   bool
	fill, opacity            string
	stroke, strokeWide, dash string
}

// read parses a drawing strictly, and fails on anything a strict Content-Security-Policy or an XML reader would
// not take.
func read(t require.TestingT, svg []byte) document {
	var d document
	dec := xml.NewDecoder(bytes.NewReader(svg))
	var inside []string
	var roots int
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err, "%s", svg)
		switch e := tok.(type) {
		case xml.StartElement:
			name := e.Name.Local
			require.Contains(t, []string{"svg", "title", "desc", "g", "path", "text"}, name)
			require.Equal(t, "http://www.w3.org/2000/svg", e.Name.Space)
			at := map[string]string{}
			for _, a := range e.Attr {
				require.NotContains(t, at, a.Name.Local, "an attribute twice")
				at[a.Name.Local] = a.Value
				require.Contains(t, allowed[name], a.Name.Local, "attribute of <%s>", name)
			}
			if len(inside) == 0 {
				roots++
			}
			inside = append(inside, name)
			d.start(t, name, at)
		case xml.EndElement:
			if inside[len(inside)-1] == "g" {
				d.rise = 0
			}
			inside = inside[:len(inside)-1]
		case xml.CharData:
			d.characters(t, inside, string(e))
		default:
			require.Failf(t, "unexpected token", "%T", tok)
		}
	}
	require.Equal(t, 1, roots)
	return d
}

var allowed = map[string][]string{
	"svg":   {"xmlns", "width", "height", "viewBox", "role", "aria-labelledby", "font-family"},
	"title": {"id"},
	"desc":  {"id"},
	"g":     {"transform"},
	"path":  {"d", "fill", "fill-opacity", "stroke", "stroke-width", "stroke-dasharray"},
	"text":  {"text-anchor", "x", "y", "transform", "font-size", "font-weight", "fill"},
}

func (d *document) start(t require.TestingT, name string, at map[string]string) {
	switch name {
	case "svg":
		d.root = at
		d.width, d.height = num(t, at["width"]), num(t, at["height"])
	case "g":
		if degrees, turned := strings.CutPrefix(at["transform"], "rotate("); turned {
			d.rise = num(t, strings.TrimSuffix(degrees, ")")) * math.Pi / 180
			return
		}
		require.Equal(t, fmt.Sprintf("scale(1, -1) translate(0, -%.5g)", d.height), at["transform"])
	case "text":
		require.Equal(t, "scale(1, -1)", at["transform"])
		anchor := at["text-anchor"]
		if anchor == "" {
			anchor = "start"
		}
		x, up := num(t, at["x"]), -num(t, at["y"]) // in the group's own turned axes
		sin, cos := math.Sincos(d.rise)
		d.texts = append(d.texts, textSeen{
			x: x*cos - up*sin, y: d.height - (x*sin + up*cos), size: num(t, at["font-size"]),
			anchor: anchor, rise: d.rise, bold: at["font-weight"] == "bold", fill: at["fill"],
		})
	case "path":
		p := pathSeen{fill: at["fill"], opacity: at["fill-opacity"], stroke: at["stroke"],
			strokeWide: at["stroke-width"],
			dash:       at["stroke-dasharray"]}
		body, closed := strings.CutSuffix(at["d"], "Z")
		p.closed = closed
		for part := range strings.FieldsFuncSeq(body, func(r rune) bool { return r == 'M' || r == 'L' || r == 'A' }) {
			fields := strings.Split(part, ",")
			require.GreaterOrEqual(t, len(fields), 2, part)
			x := fields[len(fields)-2] // an arc has flags before its end
			p.points = append(p.points, [2]float64{num(t, x[strings.LastIndex(x, " ")+1:]),
				d.height - num(t, fields[len(fields)-1])})
		}
		d.paths = append(d.paths, p)
	}
}

func (d *document) characters(t require.TestingT, inside []string, s string) {
	if len(inside) == 0 {
		require.Empty(t, strings.TrimSpace(s))
		return
	}
	switch inside[len(inside)-1] {
	case "title":
		d.title += s
	case "desc":
		d.desc += s
	case "text":
		d.texts[len(d.texts)-1].words += s
	default:
		require.Empty(t, strings.TrimSpace(s))
	}
}

func num(t require.TestingT, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// text lists the texts in the order drawn.
func (d document) words() []string {
	var out []string
	for _, x := range d.texts {
		out = append(out, x.words)
	}
	return out
}

// find returns the one text with these words.
func (d document) find(t require.TestingT, words string) textSeen {
	i := slices.IndexFunc(d.texts, func(x textSeen) bool { return x.words == words })
	require.GreaterOrEqual(t, i, 0, "no text %q among %q", words, d.words())
	return d.texts[i]
}

// requireApart fails where two texts overlap or one leaves the drawing.
func (d document) requireApart(t require.TestingT) {
	grounds := make([]ground, len(d.texts))
	for i, x := range d.texts {
		grounds[i] = x.ground()
	}
	for i, a := range grounds {
		inside := a.around.left >= 0 && a.around.top >= 0 && a.around.right <= d.width && a.around.bottom <= d.height
		require.True(t, inside, "%q leaves the drawing: %+v", a.words, a.around)
		for _, o := range grounds[i+1:] {
			if a.meets(o) {
				require.Failf(t, "texts overlap", "%q %v and %q %v", a.words, a.corners, o.words, o.corners)
			}
		}
	}
}

// requireInside fails where a line leaves the drawing.
func (d document) requireInside(t require.TestingT) {
	for _, p := range d.paths {
		for _, at := range p.points {
			inside := at[0] >= 0 && at[0] <= d.width && at[1] >= 0 && at[1] <= d.height
			require.True(t, inside, "a path leaves the drawing at %v", at)
		}
	}
}

func (d document) requireSound(t require.TestingT) {
	require.Equal(t, "img", d.root["role"])
	require.Equal(t, "title desc", d.root["aria-labelledby"])
	require.Equal(t, fmt.Sprintf("0 0 %g %g", d.width, d.height), d.root["viewBox"])
	require.NotEmpty(t, d.title)
	require.NotEmpty(t, d.desc)
	d.requireApart(t)
	d.requireInside(t)
}

func hex(c interface{ RGBA() (r, g, b, a uint32) }) string {
	r, g, b, _ := c.RGBA()
	return fmt.Sprintf("#%02X%02X%02X", r>>8, g>>8, b>>8)
}
