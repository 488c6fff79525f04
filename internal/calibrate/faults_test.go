package calibrate_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
)

var faultCodes = []fleet.CheckCode{fleet.ReadingOutOfLine, fleet.ReadingFitsAnotherGear, fleet.DayStandsOff,
	fleet.TravelDisagrees}

// Planted faults must be found, and clean notebooks left in peace. Five sleds, five gears, three days, start positions
// 0 and 6 ft of 30, one reading each, reading sd 0.6 %, day sd 0.7 %; 100 notebooks a fault, fixed seeds.
func TestChecks_FindPlantedFaults(t *testing.T) {
	t.Parallel()
	const notebooks = 100
	now := time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name  string
		plant func(*rand.Rand, *calibratetest.Sled) func(fleet.Check) bool
		least int
		most  int
	}{
		{"labels of two neighboring gears swapped on one day", swapLabels, 85, notebooks},
		{"a tape misread by 12 ft", misreadTape, 85, notebooks},
		{"a day 5 % off", offDay, 85, notebooks},
		{"a travel wrong by 2 ft", wrongTravel, 85, notebooks},
		{"nothing wrong: false alarms of any of these kinds", nil, 0, 9},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			found, others := 0, 0
			for seed := range uint64(notebooks) {
				rng := rand.New(rand.NewPCG(seed, 11))
				sleds := calibratetest.Draw(rng, calibratetest.Spec{
					Sleds: 5, Gears: 5, DaySD: 0.007, ReadingSD: 0.006, LeastDays: 3, MostDays: 3, Starts: []float64{6},
					Balanced: true, Travel: 30,
				})
				at, is := 0, func(k fleet.Check) bool { return true }
				if c.plant != nil {
					at = rng.IntN(len(sleds))
					is = c.plant(rng, &sleds[at])
				}
				charts, _ := calibratetest.Charts(sleds, assumed)
				hit, other := false, false
				for i, chart := range charts {
					for _, k := range chart.Checks(now) {
						if !slices.Contains(faultCodes, k.Code) {
							continue
						}
						if (c.plant == nil || i == at) && is(k) {
							hit = true
						} else {
							other = true
						}
					}
				}
				if hit {
					found++
				}
				if other {
					others++
				}
			}
			t.Logf("%s: %d of %d notebooks; something else accused in %d", c.name, found, notebooks, others)
			assert.GreaterOrEqual(t, found, c.least)
			assert.LessOrEqual(t, found, c.most)
		})
	}
}

// swapLabels swaps two neighbors at least 10 ft apart on one day.
func swapLabels(rng *rand.Rand, s *calibratetest.Sled) func(fleet.Check) bool {
	g, day := rng.IntN(4), fmt.Sprintf("2026-05-%02d", 1+rng.IntN(3))
	a, b := s.Sled.Gears[g], s.Sled.Gears[g+1]
	var swapped []string
	for i := range s.Readings {
		r := &s.Readings[i]
		switch {
		case r.Day != day:
		case r.GearID == a.ID:
			r.GearID = b.ID
			swapped = append(swapped, r.ID)
		case r.GearID == b.ID:
			r.GearID = a.ID
			swapped = append(swapped, r.ID)
		}
	}
	return func(k fleet.Check) bool {
		return k.Code == fleet.ReadingFitsAnotherGear && slices.Contains(swapped, k.Reading)
	}
}

func misreadTape(rng *rand.Rand, s *calibratetest.Sled) func(fleet.Check) bool {
	r := &s.Readings[rng.IntN(len(s.Readings))]
	r.DistanceFt += []float64{-12, 12}[rng.IntN(2)]
	id := r.ID
	// neighbors are 10 to 20 ft apart, so it may well fit one
	return func(k fleet.Check) bool { return k.Reading == id }
}

func offDay(rng *rand.Rand, s *calibratetest.Sled) func(fleet.Check) bool {
	day, factor := fmt.Sprintf("2026-05-%02d", 1+rng.IntN(3)), []float64{0.95, 1.05}[rng.IntN(2)]
	for i := range s.Readings {
		if s.Readings[i].Day == day {
			s.Readings[i].DistanceFt *= factor
		}
	}
	return func(k fleet.Check) bool { return k.Code == fleet.DayStandsOff && k.Day == day }
}

func wrongTravel(rng *rand.Rand, s *calibratetest.Sled) func(fleet.Check) bool {
	wrong := *s.Sled.TravelFt + []float64{-2, 2}[rng.IntN(2)]
	s.Sled.TravelFt = &wrong
	return func(k fleet.Check) bool { return k.Code == fleet.TravelDisagrees }
}
