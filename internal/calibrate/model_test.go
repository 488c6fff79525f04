package calibrate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestModel_RefusesAnEstimateThatIsNoNumber(t *testing.T) {
	t.Parallel()
	for _, y := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		m := &model{o: &observations{gears: []int{0, 1, 2, 3}}, d: designOf(ergoStool(), 4, 9)}
		m.v = Variances{Day: 1, Reading: 1}
		require.NoError(t, m.solve())
		m.d.y[0] = y
		require.ErrorIs(t, m.solve(), errSingular)
	}
}
