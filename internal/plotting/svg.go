package plotting

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// anchoredText draws one line of text whose alignment is left to the reader's program. vgsvg would place the start of
// the text by the widths of a font that the reader may not have; a text-anchor holds with any font.
type anchoredText struct {
	text.Plain
	on *canvas
}

// Draw implements text.Handler.
func (a anchoredText) Draw(c vg.Canvas, txt string, sty text.Style, at vg.Point) {
	if txt == "" {
		return
	}
	anchor := ""
	switch sty.XAlign {
	case text.XCenter:
		anchor = ` text-anchor="middle"`
	case text.XRight:
		anchor = ` text-anchor="end"`
	}
	a.on.anchors = append(a.on.anchors, anchor)
	sty.XAlign = text.XLeft
	a.Plain.Draw(c, txt, sty, at)
}

// encode returns the finished SVG. vgsvg writes style attributes, which a strict Content-Security-Policy forbids: they
// become presentation attributes. Its root element is replaced by one with a title and a description.
func (c *canvas) encode(title, desc string) []byte {
	var raw bytes.Buffer
	_, _ = c.svg.WriteTo(&raw) // a bytes.Buffer takes everything
	var out bytes.Buffer
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" width="%[1]g" height="%[2]g" viewBox="0 0 %[1]g %[2]g"`+
		` role="img" aria-labelledby="title desc" font-family="sans-serif">`+"\n", c.Max.X.Points(), c.Max.Y.Points())
	fmt.Fprintf(&out, "<title id=\"title\">%s</title>\n<desc id=\"desc\">%s</desc>\n", escape(title), escape(desc))
	_, elements, _ := strings.Cut(raw.String(), "<g ")
	for element := range strings.SplitSeq("g "+elements, "<") { // in text, < and " are escaped
		out.WriteByte('<')
		head, rest, styled := strings.Cut(element, `style="`)
		if !styled {
			out.WriteString(element)
			continue
		}
		if attributes, is := strings.CutPrefix(head, "text "); is {
			head, c.anchors = "text"+c.anchors[0]+" "+attributes, c.anchors[1:]
		}
		style, tail, _ := strings.Cut(rest, `"`)
		out.WriteString(strings.TrimSpace(head))
		writePresentation(&out, style)
		out.WriteString(strings.TrimPrefix(tail, " "))
	}
	return out.Bytes()
}

// writePresentation writes the declarations of a style attribute as attributes, less those that the root element and
// the defaults of SVG say.
func writePresentation(out *bytes.Buffer, style string) {
	for declaration := range strings.SplitSeq(style, ";") {
		key, value, _ := strings.Cut(declaration, ":")
		switch key {
		case "font-family", "font-variant", "font-style":
			continue
		case "font-weight":
			if value == "normal" {
				continue
			}
		case "font-size":
			value = strings.TrimSuffix(value, "px")
		}
		fmt.Fprintf(out, ` %s="%s"`, key, value)
	}
}

// escape makes text safe in XML content and attributes.
func escape(s string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(s)) // a bytes.Buffer takes everything
	return b.String()
}
