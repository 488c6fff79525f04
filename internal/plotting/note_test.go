package plotting

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
)

// A note stands below everything, in as many lines as it takes, and covers nothing; whoever hears the drawing hears it.
func TestNote_StandsBelowEveryDrawing(t *testing.T) {
	t.Parallel()
	note := "Invented for the demo, never measured: " + strings.Join(grasses[:min(8, len(grasses))], ", ") + "."
	for _, theme := range []Theme{Light, Dark} {
		bare := scenes(Style{Theme: theme})
		for name, svg := range scenes(Style{Theme: theme, Note: note}) {
			was, d := read(t, bare[name]), read(t, svg)
			assert.True(t, strings.HasSuffix(d.desc, note), name)
			assert.NotContains(t, was.desc, note)
			assert.Greater(t, d.height, was.height, name)
			lines := wrap(note, vg.Length(d.width)-16)
			assert.Equal(t, note, strings.Join(lines, " "))
			above := 0.0
			for _, line := range lines {
				at := slices.IndexFunc(d.texts, func(s textSeen) bool { return s.words == line })
				require.GreaterOrEqual(t, at, 0, "%s: %q", name, line)
				own := d.texts[at]
				assert.Greater(t, own.y, above, name)
				above = own.y
				assert.LessOrEqual(t, own.box().right, d.width, name)
				assert.LessOrEqual(t, own.box().bottom, d.height, name)
				for _, other := range d.texts {
					assert.False(t, other != own && other.ground().meets(own.ground()),
						"%s: %q on %q", name, line, other.words)
				}
				for _, p := range d.paths {
					for _, at := range p.points {
						assert.Less(t, at[1], own.box().top+2, name)
					}
				}
			}
		}
	}
}

func TestWrap_BreaksBetweenWords(t *testing.T) {
	t.Parallel()
	assert.Empty(t, wrap(" ", 100))
	assert.Equal(t, []string{"one two"}, wrap("one  two", 200))
	lines := wrap("one two three four "+strings.Repeat("m", 60), 120)
	assert.Greater(t, len(lines), 2)
	for _, line := range lines {
		assert.LessOrEqual(t, textWidth(plainFont(textSize), line), vg.Length(120), line)
	}
}
