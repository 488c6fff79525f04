package plotting

import (
	"bytes"
	"fmt"

	goqr "github.com/piglig/go-qr"
)

// quietZone is the white margin of a QR code in modules (ISO/IEC 18004, 5.3.8).
const quietZone = 4

// DrawQR draws a link as a QR code (ISO/IEC 18004) that survives a quarter of it being hidden: always dark on white,
// because phones read that best.
func DrawQR(link, title string) ([]byte, error) {
	code, err := goqr.EncodeText(link, goqr.Quartile)
	if err != nil {
		return nil, fmt.Errorf("making a QR code of %s: %w", link, err)
	}
	n := code.Size() + 2*quietZone
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %[1]d %[1]d" width="%[2]d" height="%[2]d"`+
		` role="img" aria-labelledby="title desc" shape-rendering="crispEdges">
<title id="title">%[3]s</title>
<desc id="desc">A QR code that leads to %[4]s</desc>
<rect width="%[1]d" height="%[1]d" fill="#ffffff"/>
<path fill="#000000" d="`, n, 8*n, escape(title), escape(link))
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
	b.WriteString("\"/>\n</svg>\n")
	return b.Bytes(), nil
}
