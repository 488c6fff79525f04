package calibrate_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
)

func TestScratchTable(t *testing.T) {
	if os.Getenv("SCRATCH") == "" {
		t.Skip()
	}
	now := time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	const N = 2000
	for _, plan := range []struct {
		name string
		p    calibratetest.Plan
	}{{"advised", calibratetest.Advised()}, {"sparse", calibratetest.Sparse()}} {
		for _, sleds := range []int{1, 5} {
			for _, m := range []struct {
				name  string
				plant calibratetest.Mistake
				day   bool
			}{
				{"clean", nil, false},
				{"12 ft", calibratetest.MisreadTape(12), false},
				{"digits", calibratetest.SwapDigits, false},
				{"gear", calibratetest.AnotherGear, false},
				{"meters", calibratetest.Meters, false},
				{"point", calibratetest.LostPoint, false},
				{"labels", calibratetest.SwapLabels, false},
				{"day 5%", calibratetest.OffDay(0.05), true},
			} {
				found, all, other, any, planted, pair := 0, 0, 0, 0, 0, 0
				kinds := map[string]int{}
				for seed := range uint64(N) {
					rng := rand.New(rand.NewPCG(seed, 31))
					fl := calibratetest.Draw(rng, calibratetest.Spec{Sleds: sleds, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, TapeSD: 0.1, Plan: plan.p})
					at := rng.IntN(sleds)
					var wrong []string
					if m.plant != nil {
						if wrong = m.plant(rng, &fl[at]); wrong == nil {
							continue
						}
					}
					planted++
					assumed2 := calibrate.Assumption{DayPct: 1, ReadingPct: 0.7, DF: 2}
					charts, _ := calibratetest.Charts(fl, assumed2)
					named := map[string]bool{}
					hitDay, bad := false, false
					for i, c := range charts {
						for _, k := range c.Checks(now) {
							if !slices.Contains([]string{"reading-out-of-line", "reading-fits-another-gear", "day-stands-off", "travel-disagrees", "labels-swapped", "readings-disagree"}, k.Code) {
								continue
							}
							kinds[k.Code]++
							if k.Code == "readings-disagree" {
								pair++
								continue
							}
							if k.Code == "day-stands-off" {
								in := func(r fleet.Reading) bool { return slices.Contains(wrong, r.ID) && r.Day == k.Day }
								if i == at && m.day && slices.ContainsFunc(fl[at].Readings, in) {
									hitDay = true
									continue
								}
							}
							if i == at && slices.Contains(wrong, k.Reading) {
								named[k.Reading] = true
								continue
							}
							bad = true
						}
					}
					if len(named) > 0 || hitDay {
						found++
					}
					if len(named) == len(wrong) || hitDay {
						all++
					}
					if bad {
						other++
					}
					if bad || len(named) > 0 || hitDay {
						any++
					}
				}
				fmt.Printf("%-8s %d sleds %-7s found %5.1f%% all %5.1f%% other %5.1f%% any %5.1f%% (%d) pair %d %v\n", plan.name, sleds, m.name, 100*float64(found)/float64(planted), 100*float64(all)/float64(planted), 100*float64(other)/float64(planted), 100*float64(any)/float64(planted), planted, pair, kinds)
			}
		}
	}
}
