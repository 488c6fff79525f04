package fleet

// CheckDistance notes a distance that no top-out can have.
func CheckDistance(f *Faults, at string, distanceFt float64) {
	if !within(distanceFt, MinDistanceFt, MaxDistanceFt) {
		f.Add(at, "the distance must be %s, not %s", BetweenFeet(MinDistanceFt, MaxDistanceFt),
			FeetAndMeters(distanceFt))
	}
}

// CheckStart notes a start position where the box of that sled cannot stand. Without a travel only the limit that holds
// for every sled is checked, and the name is not used.
func CheckStart(f *Faults, at string, startFt float64, sled string, travelFt *float64) {
	switch {
	case !within(startFt, 0, MaxTravelFt):
		f.Add(at, "the start position must be %s, not %s", BetweenFeet(0, MaxTravelFt), FeetAndMeters(startFt))
	case travelFt != nil && startFt >= *travelFt:
		f.Add(at, "the box of %s tops out at %s of travel; it cannot start at %s",
			sled, FeetAndMeters(*travelFt), FeetAndMeters(startFt))
	}
}
