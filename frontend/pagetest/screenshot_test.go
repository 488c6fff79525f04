package pagetest

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var keepScreenshots = flag.Bool("screenshots", false, "write the pictures in testdata/screenshots anew")

// The pictures of the README, taken from the demo as its readers see it: go test ./frontend/pagetest -run Pictures
// -screenshots
func TestReadmePictures_ShowThePagesAsTheyAre(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	var shows struct{ Items []map[string]any }
	s.call("GET", "/v1/shows?limit=1", nil, &shows)
	show := shows.Items[0] // the demo's coming one, but on a day that does not go by
	var ahead struct{ ID string }
	s.call("POST", "/v1/shows", map[string]any{"name": show["name"], "place": show["place"], "date": "2099-12-12",
		"sled": show["sled"], "classes": show["classes"]}, &ahead)
	for name, page := range map[string]struct{ path, ready string }{
		"answer": {"/?sled=bluestem&gear=C&start=0&on=fescue",
			`document.querySelector('#details img')?.naturalWidth > 0`},
		"sheet": {"/sheet?show=" + ahead.ID, `document.querySelectorAll('.paper tbody tr').length === 8`},
	} {
		b := s.open(desk, page.path)
		b.until(page.ready)
		b.shown(name + ".png")
	}
}

// shown holds what is on the screen against a picture in testdata/screenshots, or makes that anew with -screenshots. It
// fails where CI=true and only says so elsewhere. Where letters are of another width, as with other fonts, every line
// breaks elsewhere and nothing can be said.
func (b *tab) shown(name string) {
	b.t.Helper()
	b.quiet() // all of it is there
	file := filepath.Join("..", "..", "testdata", "screenshots", name)
	picture, err := chromedp.Run(b.window.ctx, chromedp.CaptureScreenshot())
	require.NoError(b.t, err)
	if *keepScreenshots {
		require.NoError(b.t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(b.t, os.WriteFile(file, picture, 0o644))
	}
	letters := filepath.Join("..", "..", "testdata", "screenshots", "letters.txt")
	width := []byte(eval[string](b, `(() => {
		const pen = document.createElement('canvas').getContext('2d');
		pen.font = '100px ' + getComputedStyle(document.body).fontFamily;
		return pen.measureText('Tops out 254 ± 3 ft later than the other readings say').width.toFixed(0);
	})()`))
	if *keepScreenshots {
		require.NoError(b.t, os.WriteFile(letters, width, 0o644))
	}
	usual, err := os.ReadFile(letters)
	require.NoError(b.t, err)
	if !bytes.Equal(width, usual) {
		b.t.Logf("%s is not compared: letters are %s wide here, and %s in the picture", name, width, usual)
		return
	}
	now, err := png.Decode(bytes.NewReader(picture))
	require.NoError(b.t, err)
	stored, err := os.Open(file)
	require.NoError(b.t, err)
	defer stored.Close()
	then, err := png.Decode(stored)
	require.NoError(b.t, err)
	changed := changedShare(then, now)
	b.t.Logf("%s: %.1f %% of the picture is not as it was kept", name, 100*changed)
	if os.Getenv("CI") == "true" {
		assert.Less(b.t, changed, 0.02,
			"%s shows another page than there is; go test ./frontend/pagetest -run 'Pictures|Walk' -screenshots "+
				"makes the pictures anew", name)
	}
}

// changedShare is the share of the squares of 40 px that are plainly lighter or darker in one picture than in the
// other. Another date or smoothing of letters stays below that; a thing that moved, came or went does not.
func changedShare(a, b image.Image) float64 {
	if a.Bounds() != b.Bounds() {
		return 1
	}
	const side, plainly = 40, 12.0 // of 255
	changed, all := 0, 0
	for y := a.Bounds().Min.Y; y+side <= a.Bounds().Max.Y; y += side {
		for x := a.Bounds().Min.X; x+side <= a.Bounds().Max.X; x += side {
			square := image.Rect(x, y, x+side, y+side)
			all++
			if math.Abs(lightness(a, square)-lightness(b, square)) > plainly {
				changed++
			}
		}
	}
	return float64(changed) / float64(all)
}

// lightness is the mean of a square, 0 to 255.
func lightness(of image.Image, square image.Rectangle) float64 {
	sum := 0.0
	for y := square.Min.Y; y < square.Max.Y; y++ {
		for x := square.Min.X; x < square.Max.X; x++ {
			sum += float64(color.GrayModel.Convert(of.At(x, y)).(color.Gray).Y)
		}
	}
	return sum / float64(square.Dx()*square.Dy())
}
