package fleet

// CheckDistance notes a distance that no top-out can have.
func CheckDistance(f *Faults, at string, distanceFt float64) {
	checkBetween(f, at, "the distance", distanceFt, MinDistanceFt, MaxDistanceFt)
}

// CheckStart notes a start position where the box of that sled cannot stand. Without a travel only the limit that holds
// for every sled is checked, and the name is not used.
func CheckStart(f *Faults, at string, startFt float64, sled string, travelFt *float64) {
	if checkBetween(f, at, "the start position", startFt, 0, MaxTravelFt) && travelFt != nil && startFt >= *travelFt {
		f.Add(at, "the box of %s tops out at %s of travel; it cannot start at %s",
			sled, FeetAndMeters(*travelFt), FeetAndMeters(startFt))
	}
}
