package calibrate_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
)

// assumed is what the arithmetic is tested with, worth more than the usual assumption of the program.
var assumed = calibrate.Assumption{DayPct: 1.0, ReadingPct: 0.7, DF: 4}

// 95 % intervals must hold the truth about as often as they say, for tiny fleets too. Simulation with fixed seeds:
// five gears, two to four days a sled, unbalanced, some readings at two more start positions, tapes good to 0.1 ft.
func TestIntervals_CoverWhatTheyClaim(t *testing.T) {
	t.Parallel()
	for _, daySD := range []float64{0.5, 1.0, 1.5, 2.0} {
		for _, sleds := range []int{2, 4, 8, 60} {
			name := fmt.Sprintf("day sd %.1f %%, %d sleds", daySD, sleds)
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				rng := rand.New(rand.NewPCG(uint64(10*daySD), uint64(sleds)))
				spec := calibratetest.Spec{
					Sleds: sleds, Gears: 5, DaySD: daySD / 100, ReadingSD: 0.007, LeastDays: 2, MostDays: 4,
					Starts: []float64{4, 8}, TapeSD: 0.1,
				}
				in, all, width := 0, 0, 0.0
				for range max(600/sleds, 12) {
					fleet := calibratetest.Draw(rng, spec)
					charts, _ := calibratetest.Charts(fleet, assumed)
					for i, s := range fleet {
						for g := range s.FullBack {
							for _, start := range []float64{0, 4, 6} {
								e, truth := charts[i].At(g, start), s.TopOut(g, start)
								all++
								width += e.HighFt - e.LowFt
								if e.LowFt <= truth && truth <= e.HighFt {
									in++
								}
							}
						}
					}
				}
				covered := 100 * float64(in) / float64(all)
				t.Logf("%s: %.1f %% of %d intervals cover, mean ± %.2f ft", name, covered, all, width/float64(all)/2)
				least, most := 90.0, 100.0
				switch {
				case daySD == 1:
					least, most = 92, 98
				case daySD == 2 && sleds >= 30:
					least = 92
				case daySD == 2:
					least = 83
				}
				assert.GreaterOrEqual(t, covered, least)
				assert.LessOrEqual(t, covered, most)
			})
		}
	}
}
