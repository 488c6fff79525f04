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
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d" role="img" aria-labelledby="title desc" shape-rendering="crispEdges">`, n, n, 8*n, 8*n)
	fmt.Fprintf(&b, "\n<title id=\"title\">%s</title>\n<desc id=\"desc\">%s", escape(title), escape("A QR code that leads to "+link))
	fmt.Fprintf(&b, "</desc>\n<rect width=\"%d\" height=\"%d\" fill=\"#ffffff\"/>\n<path fill=\"#000000\" d=\"", n, n)
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
