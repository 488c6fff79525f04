package calibrate

import "math"

// leastForOwnLimits values are needed for limits of their own to say much. An assumption of our own.
const leastForOwnLimits = 8

// OwnLimits are control limits for individual values from their own moving range: mean ± 3 MR/d₂ with d₂ = 1.128 for
// ranges of two (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2). False with too few values. They need no
// other sled, and so are a second opinion beside limits from pooled variances.
func OwnLimits(values []float64) (low, high float64, ok bool) {
	if len(values) < leastForOwnLimits {
		return 0, 0, false
	}
	const d2 = 1.128
	mean, moving := 0.0, 0.0
	for i, v := range values {
		mean += v / float64(len(values))
		if i > 0 {
			moving += math.Abs(v-values[i-1]) / float64(len(values)-1)
		}
	}
	half := 3 * moving / d2
	return mean - half, mean + half, true
}
