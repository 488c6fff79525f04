package match_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/match"
)

// assumed is what the arithmetic is tested with, worth more than the usual assumption of the program.
var assumed = calibrate.Assumption{DayPct: 1.0, ReadingPct: 0.7, DF: 4}

// usual is the assumption that the program starts with.
var usual = calibrate.Assumption{DayPct: 1.0, ReadingPct: 0.7, DF: 2}

func sides(sleds []calibratetest.Sled) []match.Side {
	charts, _ := calibratetest.Charts(sleds, usual)
	out := make([]match.Side, len(sleds))
	for i, s := range sleds {
		out[i] = match.Side{Sled: s.Sled, Chart: charts[i]}
	}
	return out
}

// nearestTruly is the gear (its place) whose true top-out is nearest.
func nearestTruly(s calibratetest.Sled, start, want float64) int {
	best := 0
	for g := range s.FullBack {
		if math.Abs(s.TopOut(g, start)-want) < math.Abs(s.TopOut(best, start)-want) {
			best = g
		}
	}
	return best
}

// When the program says 0.8, it must be right about eight times in ten. Simulation with fixed seeds, five bins, a true
// day sd of 1 %. The tables are those of the method page.
func TestChanceNearest_IsRightAsOftenAsItSays(t *testing.T) {
	t.Parallel()
	type bin struct {
		n           int
		said, right float64
	}
	bins, onAverage := make([]bin, 5), make([]bin, 5)
	note := func(bins []bin, said float64, right bool) {
		b := &bins[min(int(said*5), 4)]
		b.n++
		b.said += said
		if right {
			b.right++
		}
	}
	diffIn, nextIn, diffAll := 0, 0, 0
	for _, sleds := range []int{2, 4, 8, 60} {
		rng := rand.New(rand.NewPCG(7, uint64(sleds)))
		spec := calibratetest.Spec{
			Sleds: sleds, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 2, MostDays: 4, Starts: []float64{4,
				8}, TapeSD: 0.1,
		}
		for range max(calibratetest.Rounds(640, 320)/sleds, calibratetest.Rounds(11, 6)) {
			fleet := calibratetest.Draw(rng, spec)
			all := sides(fleet)
			for i := range all {
				j := (i + 1) % len(all)
				for g := range fleet[i].FullBack {
					start := []float64{0, 4}[rng.IntN(2)]
					want := fleet[i].TopOut(g, start)
					night := math.Exp(spec.DaySD * rng.NormFloat64())
					a := match.Compare(match.Setting{Side: all[i], Gear: g, StartFt: start}, all[j], nil)
					is := func(night float64) bool {
						return a.Nearest.Gear == fleet[j].Sled.Gears[nearestTruly(fleet[j], start, want/night)].Label
					}
					note(bins, a.Nearest.ChanceNearest, is(night))
					note(onAverage, a.Nearest.ChanceNearestOnAverage, is(1))
					_, k, _ := all[j].Sled.GearByLabel(a.Nearest.Gear)
					d := fleet[j].TopOut(k, start) - want
					next := fleet[j].TopOut(k, start)*night*math.Exp(spec.ReadingSD*rng.NormFloat64()) - want
					if a.Nearest.DifferenceTonightLowFt <= next && next <= a.Nearest.DifferenceTonightHighFt {
						nextIn++
					}
					diffAll++
					if a.Nearest.DifferenceLowFt <= d && d <= a.Nearest.DifferenceHighFt {
						diffIn++
					}
				}
			}
		}
	}
	judge := func(name string, bins []bin) {
		judged := 0
		rows := [][]string{{"chance said", "questions", "said on average", "right"}}
		for i, b := range bins {
			if b.n == 0 {
				continue
			}
			said, right := b.said/float64(b.n), b.right/float64(b.n)
			rows = append(rows, []string{
				fmt.Sprintf("%.1f to %.1f", float64(i)/5, float64(i+1)/5), strconv.Itoa(b.n), fmt.Sprintf("%.3f", said),
				fmt.Sprintf("%.3f", right),
			})
			if b.n >= 500 {
				judged++
				assert.InDelta(t, said, right, 0.05, fmt.Sprint(name, " bin ", i))
			}
		}
		assert.GreaterOrEqual(t, judged, 2, "bins with enough questions")
		calibratetest.HoldTable(t, name, rows)
	}
	judge("chances-tonight", bins)
	judge("chances-on-average", onAverage)
	rows := [][]string{{"interval of the difference", "questions", "it held"}}
	for _, one := range []struct {
		name string
		in   int
	}{{"on average", diffIn}, {"of one more pull tonight", nextIn}} {
		covered := 100 * float64(one.in) / float64(diffAll)
		assert.InDelta(t, 95, covered, 3, one.name)
		rows = append(rows, []string{one.name, strconv.Itoa(diffAll), fmt.Sprintf("%.1f", covered)})
	}
	calibratetest.HoldTable(t, "differences", rows)
}
