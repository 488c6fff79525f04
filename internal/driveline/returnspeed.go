package driveline

// ReturnSpeed is by what the box's return speed is multiplied when parts are changed, at the least and at the most. What drives
// the box back does not pass through the tires, the axle or the gears; whether it turns the last shaft itself, where only the
// box's way in one turn counts, or comes in ahead of the final ratio, differs from sled to sled and is not noted: the two bound
// it. Common practice, no source. It is false where a part that it takes is unknown.
func ReturnSpeed(was, is Parts) (low, high float64, ok bool) {
	before, known := was.FtPerTurn()
	after, alsoKnown := is.FtPerTurn()
	if !known || !alsoKnown || was.FinalRatio <= 0 || is.FinalRatio <= 0 {
		return 0, 0, false
	}
	atTheShaft := after / before
	aheadOfFinal := atTheShaft * was.FinalRatio / is.FinalRatio
	return min(atTheShaft, aheadOfFinal), max(atTheShaft, aheadOfFinal), true
}
