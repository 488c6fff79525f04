package frontend_test

import (
	"bytes"
	"flag"
	"image/png"
	"os"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var keepScreenshots = flag.Bool("screenshots", false, "write the README's pictures to testdata/screenshots")

// The pictures of the README, taken from the demo as its readers see it: go test ./frontend -run Readme -screenshots
func TestTheReadmesPictures(t *testing.T) {
	s := serve(t, "--demo")
	for name, page := range map[string]struct{ path, ready string }{
		"answer": {"/?sled=bluestem&gear=C&start=0&on=fescue", `document.querySelector('#details img')?.naturalWidth > 0`},
		"sheet":  {"/sheet?show=winter-pull-2026-12-12", `document.querySelectorAll('.paper tbody tr').length === 8`},
	} {
		b := s.open(desk, page.path)
		b.until(page.ready)
		picture, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
		require.NoError(t, err)
		decoded, err := png.Decode(bytes.NewReader(picture))
		require.NoError(t, err)
		assert.Equal(t, 1280, decoded.Bounds().Dx())
		file := "../testdata/screenshots/" + name + ".png"
		if *keepScreenshots {
			require.NoError(t, os.WriteFile(file, picture, 0o644))
		}
		_, err = os.Stat(file)
		assert.NoError(t, err, "the README shows it")
	}
}
