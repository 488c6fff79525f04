package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
)

func TestScratchDrift(t *testing.T) {
	if os.Getenv("SCRATCH") == "" {
		t.Skip()
	}
	for _, alarm := range []float64{0} {
		once := 0
		const N = 1000
		first := map[int]int{}
		for seed := range uint64(N) {
			rng := rand.New(rand.NewPCG(seed, 77))
			spec := calibratetest.Spec{Sleds: 10, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 4, MostDays: 4, Balanced: true}
			sleds := calibratetest.Draw(rng, spec)
			spec.Sleds, spec.LeastDays, spec.MostDays = 1, 16, 16
			one := calibratetest.Draw(rng, spec)[0]
			all := one.Readings
			for d := 4; d <= 16; d++ {
				one.Readings = all[:5*d]
				charts, _ := calibratetest.Charts(append(sleds[:10:10], one), calibrate.Assumption{DayPct: 1, ReadingPct: 0.7, DF: 2})
				if charts[10].Drift() != nil {
					once++
					first[d]++
					break
				}
			}
		}
		f6, j6 := 0, 0
		for seed := range uint64(300) {
			for _, kind := range []string{"trend", "jump"} {
				rng := rand.New(rand.NewPCG(seed, 21))
				spec := calibratetest.Spec{Sleds: 11, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 4, MostDays: 4, Balanced: true}
				sleds := calibratetest.Draw(rng, spec)
				spec.Sleds, spec.LeastDays, spec.MostDays = 1, 6, 6
				one := calibratetest.Draw(rng, spec)[0]
				for i := range one.Readings {
					r := &one.Readings[i]
					day := 0
					fmt.Sscanf(r.Day, "2026-05-%d", &day)
					switch {
					case kind == "trend":
						r.DistanceFt *= math.Exp(0.008 * float64(day))
					case kind == "jump" && day >= 4:
						r.DistanceFt *= 1.04
					}
				}
				charts, _ := calibratetest.Charts(append(sleds, one), calibrate.Assumption{DayPct: 1, ReadingPct: 0.7, DF: 4})
				if charts[11].Drift() != nil {
					if kind == "trend" {
						f6++
					} else {
						j6++
					}
				}
			}
		}
		fmt.Printf("alarm %.3f: season %.1f%%  trend6 %d/300 jump6 %d/300 first %v\n", alarm, 100*float64(once)/N, f6, j6, first)
	}
}
