package calibratetest

// Pull is one topped-out reading to take: a gear, numbered from the fastest, and a start position in ft.
type Pull struct {
	Gear    int
	StartFt float64
}

// Plan is which readings are taken on each test day.
type Plan [][]Pull

// Advised is what the page "How to measure" leads to on a sled with five gears: every gear twice from full back, the
// slowest and the fastest once from a start a few feet forward, and on each of two more days three gears once more.
// 18 readings.
func Advised() Plan {
	first := Plan{nil}
	for gear := range 5 {
		first[0] = append(first[0], Pull{Gear: gear}, Pull{Gear: gear})
	}
	first[0] = append(first[0], Pull{0, 6}, Pull{4, 6})
	return append(first, []Pull{{Gear: 4}, {Gear: 2}, {Gear: 0}}, []Pull{{Gear: 3}, {Gear: 1}, {Gear: 2}})
}

// Sparse is every gear once from full back and four of the five once more on another day. 9 readings.
func Sparse() Plan {
	return Plan{
		{{Gear: 0}, {Gear: 1}, {Gear: 2}, {Gear: 3}, {Gear: 4}},
		{{Gear: 4}, {Gear: 3}, {Gear: 1}, {Gear: 0}},
	}
}
