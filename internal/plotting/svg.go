package plotting

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// svgCanvas is the vgsvg canvas and, for each text in the order drawn, which end of it was placed. vgsvg places
// the start of a text by the widths of a font that the reader may not have; an anchor holds with any font.
type svgCanvas struct {
	*vgsvg.Canvas
	anchor  string
	anchors []string
}

func newSVGCanvas(wide, height vg.Length) *svgCanvas {
	return &svgCanvas{Canvas: vgsvg.New(wide, height)}
}

// roundedUp rounds a size of a drawing up.
func roundedUp(v vg.Length) vg.Length { return vg.Length(math.Ceil(float64(v))) }

// FillString implements vg.Canvas.
func (c *svgCanvas) FillString(f font.Face, at vg.Point, s string) {
	c.anchors = append(c.anchors, c.anchor)
	c.Canvas.FillString(f, at, s)
}

// anchoredText draws plain text on its canvas and leaves the alignment along the line to the reader's program.
type anchoredText struct {
	text.Plain
	canvas *svgCanvas
}

// Draw implements text.Handler.
func (a anchoredText) Draw(c vg.Canvas, txt string, sty text.Style, at vg.Point) {
	switch sty.XAlign {
	case text.XCenter:
		a.canvas.anchor = "middle"
	case text.XRight:
		a.canvas.anchor = "end"
	default:
		a.canvas.anchor = "start"
	}
	sty.XAlign = text.XLeft
	a.Plain.Draw(c, txt, sty, at)
}

// finish makes the document: a root of our own with the title and the description, and what was drawn with its
// textStyle attributes, which a strict Content-Security-Policy forbids, turned into presentation attributes.
// It errs only where vgsvg writes something that is not expected of it.
func (c *svgCanvas) finish(title, desc string) ([]byte, error) {
	var raw bytes.Buffer
	if _, err := c.WriteTo(&raw); err != nil {
		return nil, fmt.Errorf("write the drawing: %w", err)
	}
	w, h := c.Size()
	var out bytes.Buffer
	out.Grow(raw.Len())
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" width="%[1]g" height="%[2]g" viewBox="0 0 %[1]g %[2]g"`+
		` role="img" aria-labelledby="title desc" font-family="sans-serif">`+"\n", w.Points(), h.Points())
	fmt.Fprintf(&out, "<title id=\"title\">%s</title>\n<desc id=\"desc\">%s</desc>\n", escape(title), escape(desc))
	p := restyler{out: &out, anchors: c.anchors}
	if err := p.copy(xml.NewDecoder(&raw)); err != nil {
		return nil, fmt.Errorf("restyle the drawing: %w", err)
	}
	return out.Bytes(), nil
}

// restyler copies the elements below the root, and the end of the root.
type restyler struct {
	out     *bytes.Buffer
	anchors []string // of the texts still to come
	depth   int
	inText  bool // elsewhere there is only white space
}

func (p *restyler) copy(in *xml.Decoder) error {
	for {
		tok, err := in.RawToken()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return err
		}
		switch t := tok.(type) {
		case xml.StartElement:
			if p.depth > 0 {
				if err := p.start(t); err != nil {
					return err
				}
			}
			p.depth++
		case xml.EndElement:
			p.depth--
			p.end(t.Name.Local)
		case xml.CharData:
			if p.inText {
				p.out.WriteString(escape(string(t)))
			}
		}
	}
}

func (p *restyler) start(e xml.StartElement) error {
	name := e.Name.Local
	p.out.WriteString("<" + name)
	switch name {
	case "g", "path":
	case "text":
		if len(p.anchors) == 0 {
			return errors.New("a text that was not drawn through the canvas")
		}
		if a := p.anchors[0]; a != "start" {
			p.attribute("text-anchor", a)
		}
		p.anchors = p.anchors[1:]
		p.inText = true
	default:
		return fmt.Errorf("unexpected element %q", name)
	}
	for _, a := range e.Attr {
		if a.Name.Local != "style" {
			p.attribute(a.Name.Local, a.Value)
			continue
		}
		if err := p.style(a.Value); err != nil {
			return err
		}
	}
	switch name {
	case "path":
		p.out.WriteString("/>")
	case "g":
		p.out.WriteString(">\n")
	default:
		p.out.WriteString(">")
	}
	return nil
}

func (p *restyler) end(name string) {
	p.inText = false
	if name != "path" {
		p.out.WriteString("</" + name + ">")
	}
	p.out.WriteString("\n")
}

// textStyle writes the declarations of one style attribute as attributes, less those that say what holds anyway.
func (p *restyler) style(declarations string) error {
	for d := range strings.SplitSeq(declarations, ";") {
		key, value, _ := strings.Cut(d, ":")
		switch key {
		case "font-family": // the root says it
		case "font-variant", "font-style":
			if value != "none" && value != "normal" {
				return fmt.Errorf("unexpected %s %q", key, value)
			}
		case "font-weight":
			if value != "normal" {
				p.attribute(key, value)
			}
		case "font-size":
			p.attribute(key, strings.TrimSuffix(value, "px"))
		case "fill", "fill-opacity", "stroke", "stroke-opacity", "stroke-width", "stroke-dasharray", "stroke-dashoffset":
			p.attribute(key, value)
		default:
			return fmt.Errorf("unexpected style %q", key)
		}
	}
	return nil
}

func (p *restyler) attribute(key, value string) {
	fmt.Fprintf(p.out, ` %s="%s"`, key, escape(value))
}

// escape makes text safe in XML content and attributes.
func escape(s string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(s)) // a bytes.Buffer takes everything
	return b.String()
}
