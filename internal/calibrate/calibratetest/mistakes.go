package calibratetest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"evenpull/internal/fleet"
)

// Mistake spoils a notebook in one way and says which readings are wrong now. It returns nil where the notebook offers
// no place for it.
type Mistake func(rng *rand.Rand, s *Sled) (wrong []string)

// MisreadTape notes one distance that many feet too short or too long.
func MisreadTape(ft float64) Mistake {
	return func(rng *rand.Rand, s *Sled) []string {
		r := s.any(rng)
		r.DistanceFt += []float64{-ft, ft}[rng.IntN(2)]
		return []string{r.ID}
	}
}

// SwapDigits notes one distance, in whole feet, with its last two digits in the wrong order.
func SwapDigits(rng *rand.Rand, s *Sled) []string {
	for range 100 {
		r := s.any(rng)
		whole := int(math.Round(r.DistanceFt))
		tens, units := whole/10%10, whole%10
		if tens == units {
			continue
		}
		r.DistanceFt = float64(whole/100*100 + units*10 + tens)
		return []string{r.ID}
	}
	return nil
}

// AnotherGear notes one reading under a neighboring gear's label.
func AnotherGear(rng *rand.Rand, s *Sled) []string {
	r := s.any(rng)
	at := s.Sled.GearPlace(r.GearID)
	other := at + []int{-1, 1}[rng.IntN(2)]
	if other < 0 || other >= len(s.Sled.Gears) {
		other = 2*at - other
	}
	r.GearID = s.Sled.Gears[other].ID
	return []string{r.ID}
}

// Meters notes one distance in meters where feet were meant.
func Meters(rng *rand.Rand, s *Sled) []string {
	r := s.any(rng)
	r.DistanceFt = fleet.InMeters.From(r.DistanceFt)
	return []string{r.ID}
}

// LostPoint notes one distance ten times too short or too long.
func LostPoint(rng *rand.Rand, s *Sled) []string {
	r := s.any(rng)
	r.DistanceFt *= []float64{0.1, 10}[rng.IntN(2)]
	return []string{r.ID}
}

// SwapLabels swaps two neighboring gears on one day on which both were measured.
func SwapLabels(rng *rand.Rand, s *Sled) []string {
	type place struct {
		day  string
		gear int
	}
	var places []place
	has := func(day string, gear int) bool {
		return slices.ContainsFunc(s.Readings,
			func(r fleet.Figure) bool { return r.Day == day && r.GearID == s.Sled.Gears[gear].ID })
	}
	for d := range s.days {
		day := fmt.Sprintf("2026-05-%02d", d+1)
		for a := range s.Sled.Gears {
			for b := range a {
				if has(day, a) && has(day, b) {
					places = append(places, place{day, b*len(s.Sled.Gears) + a})
				}
			}
		}
	}
	if len(places) == 0 {
		return nil
	}
	at := places[rng.IntN(len(places))]
	a, b := s.Sled.Gears[at.gear/len(s.Sled.Gears)], s.Sled.Gears[at.gear%len(s.Sled.Gears)]
	var wrong []string
	for i := range s.Readings {
		r := &s.Readings[i]
		switch {
		case r.Day != at.day:
			continue
		case r.GearID == a.ID:
			r.GearID = b.ID
		case r.GearID == b.ID:
			r.GearID = a.ID
		default:
			continue
		}
		wrong = append(wrong, r.ID)
	}
	return wrong
}

// OffDay makes every distance of one day that share longer or shorter.
func OffDay(share float64) Mistake {
	return func(rng *rand.Rand, s *Sled) []string {
		day, factor := fmt.Sprintf("2026-05-%02d", 1+rng.IntN(len(s.days))), []float64{1 - share,
			1 + share}[rng.IntN(2)]
		var wrong []string
		for i := range s.Readings {
			if r := &s.Readings[i]; r.Day == day {
				r.DistanceFt *= factor
				wrong = append(wrong, r.ID)
			}
		}
		return wrong
	}
}

func (s *Sled) any(rng *rand.Rand) *fleet.Figure { return &s.Readings[rng.IntN(len(s.Readings))] }
