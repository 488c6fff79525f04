package plotting

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// luminance is the relative luminance of #RRGGBB. WCAG 2.2, definition of relative luminance.
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	require.Len(t, hex, 7)
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		var v float64
		for _, c := range hex[1+2*i : 3+2*i] {
			v *= 16
			switch {
			case c >= '0' && c <= '9':
				v += float64(c - '0')
			default:
				v += float64(c-'A') + 10
			}
		}
		v /= 255
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		sum += weight * v
	}
	return sum
}

// contrast is the contrast ratio. WCAG 2.2, SC 1.4.3 and the definition of contrast ratio.
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	la, lb := luminance(t, a), luminance(t, b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

func TestContrast_SpansOneToTwentyOne(t *testing.T) {
	t.Parallel()
	// WCAG 2.2: "Contrast ratios can range from 1 to 21"; black on white is the far end.
	assert.InDelta(t, 21, contrast(t, "#000000", "#FFFFFF"), 1e-9)
	assert.InDelta(t, 1, contrast(t, "#7B2460", "#7B2460"), 1e-9)
}

// What is drawn is checked, not what is meant: every color in every scene.
func TestColors_StandOutFromThePage(t *testing.T) {
	t.Parallel()
	for theme, ground := range map[Theme]string{Light: "#FFFFFF", Dark: "#14181C"} {
		quiet := hex(paletteOf(theme).grid)
		for name, svg := range scenes(Style{Theme: theme}) {
			d := read(t, svg)
			for _, x := range d.texts {
				assert.GreaterOrEqual(t, contrast(t, x.fill, ground), 4.5, "%s %s: text %q, SC 1.4.3", theme, name,
					x.words)
			}
			for _, p := range d.paths {
				if p.stroke != "" && p.stroke != quiet {
					assert.GreaterOrEqual(t, contrast(t, p.stroke, ground), 3.0, "%s %s: line, SC 1.4.11", theme, name)
				}
				if p.fill != "none" && p.opacity == "" {
					assert.GreaterOrEqual(t, contrast(t, p.fill, ground), 3.0, "%s %s: marker, SC 1.4.11", theme, name)
				}
			}
		}
	}
}

func TestThemes_DifferInColorAlone(t *testing.T) {
	t.Parallel()
	for name, light := range scenes(Style{Theme: Light}) {
		dark := scenes(Style{Theme: Dark})[name]
		a, b := read(t, light), read(t, dark)
		require.NotEqual(t, light, dark, name)
		for i := range a.texts {
			a.texts[i].fill = b.texts[i].fill
		}
		for i := range a.paths {
			a.paths[i].fill, a.paths[i].stroke = b.paths[i].fill, b.paths[i].stroke
		}
		require.Equal(t, b, a, name)
	}
}

func TestDrawings_HaveATransparentBackground(t *testing.T) {
	t.Parallel()
	for name, svg := range scenes(Style{}) {
		d := read(t, svg)
		for _, p := range d.paths {
			r := rect{left: d.width, top: d.height}
			for _, at := range p.points {
				r = rect{min(r.left, at[0]), min(r.top, at[1]), max(r.right, at[0]), max(r.bottom, at[1])}
			}
			covers := (r.right - r.left) * (r.bottom - r.top) / (d.width * d.height)
			require.False(t, p.fill != "none" && covers > 0.8, "%s: something fills the ground", name)
		}
	}
}

func TestText_IsLargeEnoughOnAPhone(t *testing.T) {
	t.Parallel()
	for name, svg := range scenes(Style{}) {
		d := read(t, svg)
		for _, x := range d.texts {
			// 11 CSS pixels at 330 wide, or at half its own width where a drawing is wider than usual: an aim of our
			// own.
			shown := 330 / d.width
			if d.width > width {
				shown = 0.5
			}
			require.GreaterOrEqual(t, x.size*shown, 11.0, "%s: %q", name, x.words)
		}
	}
}

func TestColors_AreThoseOfTheTheme(t *testing.T) {
	t.Parallel()
	svg := string(scenes(Style{Theme: Light})["two boxes"])
	for _, c := range []string{"#7B2460", "#9A5200", "#1B2126", "#56616A", "#DDE2E5"} {
		assert.Contains(t, svg, c)
	}
	svg = string(scenes(Style{Theme: Dark})["two boxes"])
	for _, c := range []string{"#F0A8D6", "#F2B35E", "#E8ECEF", "#A7B1B9", "#333B42"} {
		assert.Contains(t, svg, c)
	}
}
