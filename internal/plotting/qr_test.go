package plotting

import (
	"encoding/xml"
	"fmt"
	"strings"
	"testing"

	goqr "github.com/piglig/go-qr"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drawnQR is what this test reads back of the drawing.
type drawnQR struct {
	ViewBox string `xml:"viewBox,attr"`
	Role    string `xml:"role,attr"`
	Title   string `xml:"title"`
	Desc    string `xml:"desc"`
	Ground  struct {
		Fill string `xml:"fill,attr"`
	} `xml:"rect"`
	Dark struct {
		Fill string `xml:"fill,attr"`
		D    string `xml:"d,attr"`
	} `xml:"path"`
}

// Module for module the drawing is the code of the library, within a margin of four white ones (ISO/IEC 18004).
func TestQR_IsDrawnModuleForModule(t *testing.T) {
	t.Parallel()
	for _, link := range []string{"https://sleds.example/pullers?show=a&b=<c>", "http://192.0.2.7/",
		"https://sleds.example/" + strings.Repeat("%E8%BB%8A", 120)} {
		svg, err := DrawQR(link, `A "show" & <more>`)
		require.NoError(t, err)
		var d drawnQR
		require.NoError(t, xml.Unmarshal(svg, &d))
		assert.Equal(t, `A "show" & <more>`, d.Title)
		assert.Contains(t, d.Desc, link)
		assert.Equal(t, "img", d.Role)
		assert.Equal(t, [2]string{"#ffffff", "#000000"}, [2]string{d.Ground.Fill, d.Dark.Fill},
			"dark on white in every theme")

		code, err := goqr.EncodeText(link, goqr.Quartile)
		require.NoError(t, err)
		size := code.Size() + 2*4
		dark := make([][]bool, size)
		for y := range dark {
			dark[y] = make([]bool, size)
		}
		for dash := range strings.SplitSeq(strings.TrimSuffix(d.Dark.D, "z"), "z") {
			var x, y, wide, back int
			_, err := fmt.Sscanf(dash, "M%d %dh%dv1h-%d", &x, &y, &wide, &back)
			require.NoError(t, err, dash)
			require.Equal(t, wide, back)
			for i := range wide {
				require.False(t, dark[y][x+i], "drawn twice")
				dark[y][x+i] = true
			}
		}
		for y := range size {
			for x := range size {
				in := x >= 4 && y >= 4 && x < size-4 && y < size-4
				assert.Equal(t, in && code.Module(x-4, y-4), dark[y][x], "%d, %d", x, y)
			}
		}
	}
}

func TestQR_RefusesALinkTooLong(t *testing.T) {
	t.Parallel()
	_, err := DrawQR("https://sleds.example/"+strings.Repeat("x", 3000), "too long")
	assert.ErrorContains(t, err, "QR code")
}
