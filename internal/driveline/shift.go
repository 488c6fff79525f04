package driveline

import (
	"maps"
	"math"
)

// Shift is the logarithm by which a gear's way to the top grew when parts were changed: ln(r before / r after). What
// did not change cancels, known or not. Only what was changed has to be known before and after; missing names what is
// not.
func Shift(before Parts, was Gear, after Parts, is Gear) (log float64, missing []Part) {
	oldFt, newFt, turnChanged := feetPerTurn(before, after)
	for _, p := range [...]struct {
		part     Part
		changed  bool
		old, new float64 // ratios that lengthen the way
	}{
		{SprocketAndChain, turnChanged, newFt, oldFt}, // more of these two shortens it
		{Axle, !sameAxle(before, was, after, is), after.axle(is.Range), before.axle(was.Range)},
		{Final, before.FinalRatio != after.FinalRatio, before.FinalRatio, after.FinalRatio},
		{Other, before.other() != after.other(), before.other(), after.other()},
		{TireCircumference, before.TireCircumferenceFt != after.TireCircumferenceFt,
			before.TireCircumferenceFt, after.TireCircumferenceFt},
		{GearRatio, was.Ratio != is.Ratio, was.Ratio, is.Ratio},
	} {
		switch {
		case !p.changed:
		case !(p.old > 0) || !(p.new > 0):
			missing = append(missing, p.part)
		default:
			log += math.Log(p.new) - math.Log(p.old) // of parts noted in nonsense units the ratio may be no number
		}
	}
	return log, missing
}

// sameAxle says whether the axle's ratio for a gear is the same, known or not.
func sameAxle(before Parts, was Gear, after Parts, is Gear) bool {
	if a, b := before.axle(was.Range), after.axle(is.Range); a > 0 || b > 0 {
		return a == b
	}
	return before.AxleRatio == after.AxleRatio && maps.Equal(before.AxleRatios, after.AxleRatios) &&
		was.Range == is.Range
}

// feetPerTurn compares how far the box moves in one turn of the last shaft: as measured before and after, else by teeth
// and pitch, whichever of them changed, else whatever is known of it. What is not known is not above 0.
func feetPerTurn(before, after Parts) (old, new float64, changed bool) {
	teeth, pitch := before.SprocketTeeth != after.SprocketTeeth, before.ChainPitchIn != after.ChainPitchIn
	measuredAnew := before.BoxFtPerTurn != after.BoxFtPerTurn
	switch {
	case !teeth && !pitch && !measuredAnew:
		return 0, 0, false
	case before.BoxFtPerTurn > 0 && after.BoxFtPerTurn > 0:
		return before.BoxFtPerTurn, after.BoxFtPerTurn, measuredAnew
	}
	old, new = 1, 1
	if teeth {
		old, new = float64(before.SprocketTeeth), float64(after.SprocketTeeth)
	}
	if pitch {
		old, new = old*before.ChainPitchIn, new*after.ChainPitchIn
	}
	if (teeth || pitch) && old > 0 && new > 0 {
		return old, new, true
	}
	old, _ = before.FtPerTurn()
	new, _ = after.FtPerTurn()
	return old, new, true
}

// LogSlowness is the logarithm of a gear's way to the top but for what all gears of a sled share: ln(gear ratio / axle
// ratio of its range). The axle of one speed is shared, known or not. NaN when unknown.
func (p Parts) LogSlowness(g Gear) float64 {
	slow := g.Ratio
	if len(p.AxleRatios) > 0 {
		slow /= p.AxleRatios[g.Range]
	}
	if !(slow > 0) || math.IsInf(slow, 1) {
		return math.NaN()
	}
	return math.Log(slow)
}
