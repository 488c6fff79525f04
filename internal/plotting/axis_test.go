package plotting

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTicks_AreRoundAndFew(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		low, high float64
		want      string
	}{
		"a ladder":         {187, 283, "200 220 240 260 280"},
		"from full back":   {0, 8.2, "0 2 4 6 8"},
		"in meters":        {0, 2.5, "0.0 0.5 1.0 1.5 2.0 2.5"},
		"thousands":        {0, 4200, "0 1,000 2,000 3,000 4,000"},
		"across zero":      {-11, 11, "−10 −5 0 5 10"},
		"negative decimal": {-0.3, 0.3, "−0.2 0.0 0.2"},
	} {
		var labels []string
		for _, k := range ticks(c.low, c.high, 5) {
			labels = append(labels, k.Label)
		}
		assert.Equal(t, c.want, strings.Join(labels, " "), name)
	}
	for span := 1e-3; span < 1e7; span *= 1.37 {
		n := len(ticks(100, 100+span, 5))
		require.True(t, 2 <= n && n <= 6, "%d ticks over %g", n, span)
	}
}

func TestFormatNumber_SeparatesThousands(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "1,234,567.9", formatNumber(1234567.89, 1))
	assert.Equal(t, "999", formatNumber(999.4, 0))
	assert.Equal(t, "1,000", formatNumber(999.5, 0))
	assert.Equal(t, "−12,345", formatNumber(-12345, 0))
	assert.Equal(t, "0", formatNumber(-0.2, 0), "no negative zero")
}

func TestDrawable_RefusesWhatNoAxisHolds(t *testing.T) {
	t.Parallel()
	assert.True(t, drawable(0, -3, maxFt))
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1.1e7, -1.1e7} {
		assert.False(t, drawable(1, v))
	}
}

func TestExtent_IsPadded(t *testing.T) {
	t.Parallel()
	of := func(vs ...float64) (e extent) {
		for _, v := range vs {
			e.add(v)
		}
		return e
	}
	for name, c := range map[string]struct {
		e         extent
		low, high float64
	}{
		"by its share":                        {of(200, 300), 190, 310},
		"equal values to the least span":      {of(250, 250), 245, 255},
		"not below zero without values there": {of(0, 100), 0, 110},
		"a lone zero":                         {of(0), 0, 10},
		"below zero with values there":        {of(-100, 0), -110, 10},
	} {
		low, high := c.e.padded(0.1, 10)
		assert.InDelta(t, c.low, low, 1e-9, name)
		assert.InDelta(t, c.high, high, 1e-9, name)
	}
}
