package driveline

import (
	"maps"
	"math"
)

// Shift is the logarithm by which a gear's way to the top grew for the same move of the box when its parts were changed:
// ln(r before / r after). What did not change cancels, known or not: only the ratios of what was changed have to be known on
// both sides, and missing names those that are not.
func Shift(before Parts, was Gear, after Parts, is Gear) (log float64, missing []Part) {
	slows := func(part Part, old, new float64, known bool) {
		switch {
		case !known || !(old > 0) || !(new > 0):
			missing = append(missing, part)
		default:
			log += math.Log(new) - math.Log(old) // of parts noted in nonsense units the ratio may be no number
		}
	}
	if old, new, changed, known := turn(before, after); changed {
		slows(SprocketAndChain, new, old, known) // more of it moves the box sooner
	}
	if !sameAxle(before, was, after, is) {
		slows(Axle, after.axle(is.Range), before.axle(was.Range), true)
	}
	for _, p := range []struct {
		part     Part
		old, new float64
	}{
		{Final, before.FinalRatio, after.FinalRatio},
		{Other, before.other(), after.other()},
		{TireCircumference, before.TireCircumferenceFt, after.TireCircumferenceFt},
		{GearRatio, was.Ratio, is.Ratio},
	} {
		if p.old != p.new {
			slows(p.part, p.old, p.new, true)
		}
	}
	return log, missing
}

// sameAxle says whether the axle's ratio for a gear is the same, known or not.
func sameAxle(before Parts, was Gear, after Parts, is Gear) bool {
	if a, b := before.axle(was.Range), after.axle(is.Range); a > 0 || b > 0 {
		return a == b
	}
	return before.AxleRatio == after.AxleRatio && maps.Equal(before.AxleRatios, after.AxleRatios) && was.Range == is.Range
}

// turn compares how far the box moves in one turn of the last shaft: as measured before and after, else by teeth and pitch,
// whichever of them changed, else whatever is known of it.
func turn(before, after Parts) (old, new float64, changed, known bool) {
	teeth, pitch := before.SprocketTeeth != after.SprocketTeeth, before.ChainPitchIn != after.ChainPitchIn
	measured := before.BoxFtPerTurn > 0 && after.BoxFtPerTurn > 0
	switch {
	case !teeth && !pitch && before.BoxFtPerTurn == after.BoxFtPerTurn:
		return 0, 0, false, true
	case measured:
		return before.BoxFtPerTurn, after.BoxFtPerTurn, before.BoxFtPerTurn != after.BoxFtPerTurn, true
	}
	if teeth || pitch {
		old, new = 1, 1
		if teeth {
			old, new = float64(before.SprocketTeeth), float64(after.SprocketTeeth)
		}
		if pitch {
			old, new = old*before.ChainPitchIn, new*after.ChainPitchIn
		}
		if old > 0 && new > 0 {
			return old, new, true, true
		}
	}
	old, knownOld := before.FtPerTurn()
	new, knownNew := after.FtPerTurn()
	return old, new, true, knownOld && knownNew
}

// LogSlowness is the logarithm of a gear's way to the top but for what all gears of a sled share: ln(gear ratio / axle ratio of
// its range). The axle of one speed is shared, known or not. NaN when unknown.
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
