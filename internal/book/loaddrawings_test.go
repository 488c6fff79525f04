package book

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/plotting"
)

// A sled may be weighed, and its load along a pull still not be known.
func TestDrawPanLoad_SaysWhyNoLoadAlongAPullIsKnown(t *testing.T) {
	t.Parallel()
	b := openFuture(t)
	loads := [][3]float64{{0, 0, 10_720}, {15, 0, 13_360}, {30, 0, 16_140}, {0, 12_000, 9_540}, {15, 12_000, 18_700},
		{30, 12_000, 27_740}}
	addSled(t, b, sledOf("Bluestem", ft(30), "A", "B"))
	addSled(t, b, sledOf("Fescue", nil, "A"))
	addReading(t, b, "bluestem", readingOf("A", 0, 230))
	addReading(t, b, "fescue", readingOf("A", 0, 230))
	weigh(t, b, "bluestem", loads...)
	weigh(t, b, "fescue", loads...)
	addSled(t, b, sledOf("Brome", ft(30), "A"))
	addReading(t, b, "brome", readingOf("A", 0, 230))
	for _, c := range []struct{ sled, gear, why string }{
		{"bluestem", "B", "Where the sled asked about tops out is not known."},
		{"fescue", "A", "The travel of the sled asked about is not known."},
		{"brome", "A", "The weighings do not tell what lies on the pan."},
	} {
		svg, _, err := b.DrawPanLoad(context.Background(), PanQuestion{Sled: c.sled, Gear: c.gear}, plotting.Style{})
		require.NoError(t, err, c.sled)
		assert.Equal(t, 2, strings.Count(string(svg), c.why), "%s: drawn and described", c.sled)
		svg, _, err = b.DrawWeights(context.Background(),
			WeightQuestion{Sled: c.sled, Gear: c.gear, On: "bluestem", OnGear: "A"}, plotting.Style{})
		require.NoError(t, err, c.sled)
		assert.Equal(t, 2, strings.Count(string(svg), c.why), "%s: of two pans", c.sled)
	}
}
