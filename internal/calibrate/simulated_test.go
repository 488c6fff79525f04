package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
)

// The simulations behind the tables of the method page. With CI=true they run in full, with fixed seeds, and must give
// the tables in testdata/simulated to the letter, which a test of the pages holds the page to; EVENPULL_UPDATE=true
// writes them anew. Else a part of them runs, and is held to the same goals with room for chance.

// sims is how many notebooks a row of a table is made from.
func sims() int { return calibratetest.Rounds(2000, 60) }

// share is a count in percent, and goal says whether it is as large as meant, but for chance in the short run.
type share struct{ hits, of int }

func (s *share) note(hit bool) {
	s.of++
	if hit {
		s.hits++
	}
}

func (s share) pct() float64 { return 100 * float64(s.hits) / float64(max(s.of, 1)) }

func (s share) String() string { return strconv.FormatFloat(s.pct(), 'f', 1, 64) }

// slack is three standard deviations of a share in percent.
func (s share) slack() float64 {
	if os.Getenv("CI") == "true" {
		return 0
	}
	p := s.pct() / 100
	return 300 * math.Sqrt(max(p*(1-p), 0.01)/float64(max(s.of, 1)))
}

func (s share) atLeast(t *testing.T, goal float64, what string) {
	t.Helper()
	assert.GreaterOrEqual(t, s.pct()+s.slack(), goal, what)
}

func (s share) under(t *testing.T, goal float64, what string) {
	t.Helper()
	assert.Less(t, s.pct()-s.slack(), goal, what)
}

// usual is the assumption that the program starts with.
var usual = calibrate.Assumption{DayPct: 1.0, ReadingPct: 0.7, DF: 2}

var plans = []struct {
	name string
	plan calibratetest.Plan
}{{"18 readings on three days", calibratetest.Advised()}, {"9 readings on two days", calibratetest.Sparse()}}

var mistakes = []struct {
	name  string
	plant calibratetest.Mistake
	day   bool // the day is named, not a reading
	goal  float64
}{
	{"a tape misread by 12 ft", calibratetest.MisreadTape(12), false, 0},
	{"the last two digits swapped", calibratetest.SwapDigits, false, 90},
	{"noted under another gear's label", calibratetest.AnotherGear, false, 95},
	{"meters noted as feet", calibratetest.Meters, false, 98},
	{"a decimal point in the wrong place", calibratetest.LostPoint, false, 98},
	{"two labels swapped for a day", calibratetest.SwapLabels, false, 60},
	{"a day 5 % off", calibratetest.OffDay(0.05), true, 55},
}

// accusing are the checks that say that something was noted wrongly.
var accusing = []fleet.CheckCode{
	fleet.ReadingOutOfLine, fleet.ReadingFitsAnotherGear, fleet.ReadingsDisagree, fleet.DayStandsOff,
	fleet.TravelDisagrees,
}

// One mistake planted in one notebook of a fleet: named, and nothing else accused. Five gears, tapes of 0.1 ft, days of
// 1.0 %, readings of 0.7 %. The goals are for five sleds with 18 readings each.
func TestSimulated_MistakesAreNamed(t *testing.T) {
	t.Parallel()
	rows := [][]string{{"readings", "sleds", "mistake", "named", "one of two", "something else accused"}}
	for _, plan := range plans {
		for _, sleds := range []int{1, 5} {
			for _, m := range mistakes {
				named, ofTwo, other := plantAndLook(plan.plan, sleds, m.plant, m.day)
				rows = append(rows, []string{plan.name, strconv.Itoa(sleds), m.name, named.String(), ofTwo.String(),
					other.String()})
				if sleds == 5 && len(plan.plan) == 3 {
					named.atLeast(t, m.goal, m.name)
				}
			}
			_, _, clean := plantAndLook(plan.plan, sleds, nil, false)
			rows = append(rows, []string{plan.name, strconv.Itoa(sleds), "nothing", "", "", clean.String()})
			clean.under(t, 10, "clean notebooks with any accusation")
		}
	}
	calibratetest.HoldTable(t, "mistakes", rows)
}

func plantAndLook(plan calibratetest.Plan, sleds int, plant calibratetest.Mistake, day bool) (named, ofTwo,
	other share) {
	for seed := range uint64(sims()) {
		rng := rand.New(rand.NewPCG(seed, 31))
		all := calibratetest.Draw(rng, calibratetest.Spec{Sleds: sleds, Gears: 5, DaySD: 0.01, ReadingSD: 0.007,
			TapeSD: 0.1, Plan: plan})
		at := rng.IntN(sleds)
		var wrong []string
		if plant != nil {
			if wrong = plant(rng, &all[at]); wrong == nil {
				continue
			}
		}
		charts, _ := calibratetest.Charts(all, usual)
		hit, pair, elsewhere := false, false, false
		for i, chart := range charts {
			for _, k := range chart.Checks(june) {
				switch {
				case !slices.Contains(accusing, k.Code):
				case i == at && day && k.Code == fleet.DayStandsOff &&
					slices.Contains(all[at].DayReadings(k.Day), wrong[0]):
					hit = true
				case i == at && k.Code == fleet.ReadingsDisagree &&
					(slices.Contains(wrong, k.Reading) || slices.Contains(wrong, k.OtherReading)):
					pair = true
				case i == at && k.Code != fleet.ReadingsDisagree && slices.Contains(wrong, k.Reading):
					hit = true
				default:
					elsewhere = true
				}
			}
		}
		named.note(hit)
		ofTwo.note(pair && !hit)
		other.note(elsewhere)
	}
	return named, ofTwo, other
}

// A steady sled is looked at after each of 16 days, in a fleet of eleven; a trend and a jump are looked for after six.
func TestSimulated_DriftOfASeason(t *testing.T) {
	t.Parallel()
	var accused share
	found := map[string]*share{"trend": {}, "jump": {}}
	spec := calibratetest.Spec{Gears: 5, DaySD: 0.01, ReadingSD: 0.007, Balanced: true}
	fleetOf := func(rng *rand.Rand, days int) []calibratetest.Sled {
		others, one := spec, spec
		others.Sleds, others.LeastDays, others.MostDays = 10, 4, 4
		one.Sleds, one.LeastDays, one.MostDays = 1, days, days
		return append(calibratetest.Draw(rng, others), calibratetest.Draw(rng, one)...)
	}
	for seed := range uint64(sims() / 2) {
		sleds := fleetOf(rand.New(rand.NewPCG(seed, 77)), 16)
		all, once := sleds[10].Readings, false
		for days := 4; days <= 16 && !once; days++ {
			sleds[10].Readings = all[:5*days]
			charts, _ := calibratetest.Charts(sleds, usual)
			once = charts[10].Drift() != nil
		}
		accused.note(once)
		for kind, s := range found {
			sleds := fleetOf(rand.New(rand.NewPCG(seed, 78)), 6)
			for i := range sleds[10].Readings {
				switch day := i / 5; {
				case kind == "trend":
					sleds[10].Readings[i].DistanceFt *= math.Exp(0.008 * float64(day))
				case day >= 3:
					sleds[10].Readings[i].DistanceFt *= 1.04
				}
			}
			charts, _ := calibratetest.Charts(sleds, usual)
			s.note(charts[10].Drift() != nil)
		}
	}
	accused.under(t, 5, "steady sleds accused at least once in a season of 16 days")
	calibratetest.HoldTable(t, "drift", [][]string{
		{"sled", "said to drift"},
		{"steady, looked at after each of 16 days", accused.String()},
		{"a trend of 0.8 % a day, after six days", found["trend"].String()},
		{"a jump of 4 % at the fourth of six days", found["jump"].String()},
	})
}

// Intervals hold what they claim to: the average, one more pull on a new day, and one more pull after three of that
// day.
func TestSimulated_TonightIsCovered(t *testing.T) {
	t.Parallel()
	rows := [][]string{{"readings", "day sd", "sleds", "average", "± ft", "tonight", "± ft", "after three pulls",
		"± ft"}}
	for _, plan := range plans {
		for _, daySD := range []float64{0.5, 1, 2, 3} {
			for _, sleds := range []int{1, 5} {
				rng := rand.New(rand.NewPCG(uint64(10*daySD), uint64(sleds)))
				spec := calibratetest.Spec{Sleds: sleds, Gears: 5, DaySD: daySD / 100, ReadingSD: 0.007, TapeSD: 0.1,
					Plan: plan.plan}
				var average, tonight, later share
				var wide, wideTonight, wideLater float64
				for range sims() / sleds {
					coverOnce(rng, spec, func(e calibrate.Estimate, truth, next float64) {
						average.note(e.LowFt <= truth && truth <= e.HighFt)
						tonight.note(e.TonightLowFt <= next && next <= e.TonightHighFt)
						wide += (e.HighFt - e.LowFt) / 2
						wideTonight += (e.TonightHighFt - e.TonightLowFt) / 2
					}, func(e calibrate.Estimate, next float64) {
						later.note(e.TonightLowFt <= next && next <= e.TonightHighFt)
						wideLater += (e.TonightHighFt - e.TonightLowFt) / 2
					})
				}
				n := float64(tonight.of)
				rows = append(rows, []string{
					plan.name, fmt.Sprintf("%.1f", daySD), strconv.Itoa(sleds), average.String(), fmt.Sprintf("%.1f",
						wide/n),
					tonight.String(), fmt.Sprintf("%.1f", wideTonight/n), later.String(), fmt.Sprintf("%.1f",
						wideLater/n),
				})
				what := fmt.Sprintf("%s, days of %.1f %%, %d sleds", plan.name, daySD, sleds)
				switch {
				case daySD == 1:
					tonight.atLeast(t, 93, what)
					tonight.under(t, 98, what)
				case daySD == 2:
					tonight.atLeast(t, 87.5, what)
				}
			}
		}
	}
	calibratetest.HoldTable(t, "tonight", rows)
}

// coverOnce draws a fleet and a night, looks at every gear from full back, and again after three pulls of that night.
func coverOnce(rng *rand.Rand, spec calibratetest.Spec, before func(e calibrate.Estimate, truth, next float64),
	after func(calibrate.Estimate, float64)) {
	const night = "2026-05-21"
	sleds := calibratetest.Draw(rng, spec)
	effect := make([]float64, len(sleds))
	pull := func(i, gear int) float64 {
		return sleds[i].TopOut(gear, 0) * math.Exp(effect[i]+spec.ReadingSD*rng.NormFloat64())
	}
	charts, _ := calibratetest.Charts(sleds, usual)
	for i := range sleds {
		effect[i] = spec.DaySD * rng.NormFloat64()
		for g := range sleds[i].FullBack {
			before(charts[i].At(g, 0), sleds[i].TopOut(g, 0), pull(i, g))
		}
		for g := 1; g <= 3; g++ {
			sleds[i].Add(rng, spec.ReadingSD, effect[i], 20, g, 0)
		}
	}
	charts, _ = calibratetest.Charts(sleds, usual)
	for i := range sleds {
		on := charts[i].On(night)
		for g := range sleds[i].FullBack {
			after(on.At(g, 0), pull(i, g))
		}
	}
}

// Starts that were never measured forward, on sleds whose slip grows by a tenth along the pull: φ = 1 − (x + 0.05
// x²)/1.05.
func TestSimulated_UntriedStartsAreCovered(t *testing.T) {
	t.Parallel()
	rows := [][]string{{"start, ft", "average"}}
	for _, start := range []float64{4, 8, 12} {
		var covered share
		rng := rand.New(rand.NewPCG(5, uint64(start)))
		for range sims() / 4 {
			sleds := calibratetest.Draw(rng, calibratetest.Spec{
				Sleds: 4, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 2, MostDays: 4, TapeSD: 0.1,
				Bend: func(x float64) float64 { return 1 - (x+0.05*x*x)/1.05 },
			})
			charts, _ := calibratetest.Charts(sleds, usual)
			for i, s := range sleds {
				for g := range s.FullBack {
					e, truth := charts[i].At(g, start), s.TopOut(g, start)
					covered.note(e.LowFt <= truth && truth <= e.HighFt)
				}
			}
		}
		if start == 4 {
			covered.atLeast(t, 93, "starts at 4 ft")
		}
		rows = append(rows, []string{fmt.Sprint(start), covered.String()})
	}
	calibratetest.HoldTable(t, "untried-starts", rows)
}
