package calibrate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
)

// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, from memory: mean 50.81, mean moving range 1.8778, limits
// 45.8159 and 55.8041.
func TestOwnLimits_AgainstTheEHandbook(t *testing.T) {
	t.Parallel()
	low, high, ok := calibrate.OwnLimits([]float64{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1})
	require.True(t, ok)
	assert.InDelta(t, 45.8159, low, 0.0005)
	assert.InDelta(t, 55.8041, high, 0.0005)
	_, _, ok = calibrate.OwnLimits([]float64{1, 2, 3})
	assert.False(t, ok)
}
