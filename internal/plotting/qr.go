package plotting

import (
	"fmt"
	"strings"

	goqr "github.com/piglig/go-qr"
)

// quietZone is the white margin of a QR code in modules (ISO/IEC 18004, 5.3.8).
const quietZone = 4

// QR is a QR code (ISO/IEC 18004) that survives a quarter of it being hidden: its width in modules, the white margin
// included, and its dark ones as the data of an SVG path, one unit a module.
type QR struct {
	Modules int
	Path    string
}

// NewQR makes the QR code of a link.
func NewQR(link string) (QR, error) {
	code, err := goqr.EncodeText(link, goqr.Quartile)
	if err != nil {
		return QR{}, fmt.Errorf("making a QR code of a link of %d characters: %w", len(link), err)
	}
	var b strings.Builder
	for y := range code.Size() {
		for x := 0; x < code.Size(); x++ {
			first := x
			for x < code.Size() && code.Module(x, y) {
				x++
			}
			if x > first {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", first+quietZone, y+quietZone, x-first, x-first)
			}
		}
	}
	return QR{Modules: code.Size() + 2*quietZone, Path: b.String()}, nil
}

// DrawQR draws the QR code of a link: always dark on white, because phones read that best.
func DrawQR(link, title string) ([]byte, error) {
	code, err := NewQR(link)
	if err != nil {
		return nil, err
	}
	return fmt.Appendf(nil, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %[1]d %[1]d"`+
		` width="%[2]d" height="%[2]d" role="img" aria-labelledby="title desc" shape-rendering="crispEdges">
<title id="title">%[3]s</title>
<desc id="desc">A QR code that leads to %[4]s</desc>
<rect width="%[1]d" height="%[1]d" fill="#ffffff"/>
<path fill="#000000" d="%[5]s"/>
</svg>
`, code.Modules, 8*code.Modules, escape(title), escape(link), code.Path), nil
}
