package calibrate

import "math"

// Steps of the lattice that variances and degrees of freedom are rounded to, so that a chart is a function of its
// own notebook and of one lattice point, and stays as it is while other sleds' readings move the pool a little.
const (
	varianceStep = 1.02
	dfStep       = 1.1
	leastSD      = 1e-5 // 0.001 %: repeats that agree exactly do not prove that measuring is perfect
	exactDF      = 12   // up to here degrees of freedom are whole numbers
)

// onLattice rounds a variance to the nearest step.
func onLattice(variance float64) float64 {
	variance = max(variance, leastSD*leastSD)
	return math.Pow(varianceStep, math.Round(math.Log(variance)/math.Log(varianceStep)))
}

// dfOnLattice rounds degrees of freedom down to a step; infinite ones stay.
func dfOnLattice(df float64) float64 {
	switch {
	case math.IsInf(df, 1):
		return df
	case df <= exactDF:
		return max(1, math.Floor(df))
	}
	return math.Pow(dfStep, math.Floor(math.Log(df)/math.Log(dfStep)+1e-9))
}
