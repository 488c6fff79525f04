package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
)

// Simulation with fixed seeds: in a fleet with at least 30 other day degrees of freedom at a day sd of 1 %, a trend of
// 0.8 % a day over six days, and a jump of 4 % at the fourth, are found and named; steady sleds are left in peace.
func TestDrift_FindsAndNamesTrendAndJump(t *testing.T) {
	t.Parallel()
	const simulations = 100
	found, named := map[string]int{}, map[string]int{}
	for seed := range uint64(simulations) {
		for _, kind := range []string{"steady", "trend", "jump"} {
			rng := rand.New(rand.NewPCG(seed, 21))
			spec := calibratetest.Spec{Sleds: 11, Gears: 5, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 4, MostDays: 4,
				Balanced: true}
			sleds := calibratetest.Draw(rng, spec)
			spec.Sleds, spec.LeastDays, spec.MostDays = 1, 6, 6
			one := calibratetest.Draw(rng, spec)[0]
			for i := range one.Readings {
				r := &one.Readings[i]
				var day int
				_, err := fmt.Sscanf(r.Day, "2026-05-%d", &day)
				require.NoError(t, err)
				switch {
				case kind == "trend":
					r.DistanceFt *= math.Exp(0.008 * float64(day))
				case kind == "jump" && day >= 4:
					r.DistanceFt *= 1.04
				}
			}
			charts, _ := calibratetest.Charts(append(sleds, one), assumed)
			d := charts[len(sleds)].Drift()
			if d == nil {
				continue
			}
			found[kind]++
			if d.Kind == kind {
				named[kind]++
			}
		}
	}
	t.Logf("of %d: trends found %d, named %d; jumps found %d, named %d; steady sleds accused %d", simulations,
		found["trend"], named["trend"], found["jump"], named["jump"], found["steady"])
	for _, kind := range []string{"trend", "jump"} {
		assert.GreaterOrEqual(t, found[kind], 70, kind)
		assert.GreaterOrEqual(t, named[kind]*100, found[kind]*70, kind)
	}
	assert.Less(t, found["steady"], 5)
}

// One sled alone, whose own pattern is most of what is known of its days: it is named all the same.
func TestDrift_OfASledAlone(t *testing.T) {
	t.Parallel()
	build := func(factor func(day int) float64) *calibrate.Drift {
		n := sled(30, "A", "B")
		for day := 1; day <= 20; day++ {
			name := fmt.Sprintf("2026-05-%02d", day)
			wobble := 1 + 0.002*float64(day*7%5-2)
			note(n, "A", 0, 240*factor(day)*wobble, on(name))
			note(n, "B", 0, 220*factor(day)*wobble, on(name))
		}
		return fit(n).Drift()
	}
	jump := build(func(day int) float64 { return map[bool]float64{true: 1.05, false: 1}[day >= 11] })
	require.NotNil(t, jump)
	assert.Equal(t, "jump", jump.Kind)
	assert.Equal(t, "2026-05-11", jump.From)
	assert.InDelta(t, math.Log(1.05), jump.Log, 0.01)
	trend := build(func(day int) float64 { return math.Exp(-0.004 * float64(day)) })
	require.NotNil(t, trend)
	assert.Equal(t, "trend", trend.Kind)
	assert.InDelta(t, -0.004, trend.Log, 0.0005)
	assert.Nil(t, build(func(int) float64 { return 1 }))
}

func TestDays_HaveTheirLimits(t *testing.T) {
	t.Parallel()
	n := season()
	c := fit(n)
	days := c.Days()
	require.Len(t, days, 4)
	for _, d := range days {
		assert.Equal(t, 4, d.Readings)
		assert.False(t, d.Off)
		assert.Greater(t, d.Limit, math.Abs(d.Offset))
	}
	for range 3 {
		note(n, "A", 0, 240*1.08, on("2026-05-30"))
		note(n, "B", 0, 224*1.08, on("2026-05-30"))
	}
	days = fit(n).Days()
	assert.True(t, days[4].Off)
	assert.InDelta(t, math.Log(1.08), days[4].Offset, 0.01)
	assert.Equal(t, "2026-05-30", days[4].On)
	assert.Nil(t, calibrate.Fit(*sled(30, "A"),
		calibrate.Variances{Day: 1e-4, Reading: 1e-4, DayDF: 4, ReadingDF: 4, AssumedReading: 1e-4}).Drift())
}

// A day may have a name of its own. Days follow one another by date whatever they are called: a drift would be lost, or
// read where there is none, if their names ordered them.
func TestDays_StandWhereTheirDatesPutThem(t *testing.T) {
	t.Parallel()
	names := []string{"Zeroing the marks", "2026-05-02", "Morning at the lower field", "2026-05-04", "A second try",
		"2026-05-06"}
	n := sled(30, "A", "B")
	for i := len(names) - 1; i >= 0; i-- { // written down in the wrong order, too
		date := fmt.Sprintf("2026-05-%02d", i+1)
		first := len(n.Readings)
		for range 3 {
			note(n, "A", 0, 240*math.Exp(0.012*float64(i)), on(date))
			note(n, "B", 0, 220*math.Exp(0.012*float64(i)), on(date))
		}
		for j := range n.Readings[first:] {
			n.Readings[first+j].Day = names[i]
		}
	}
	c := calibrate.Fit(*n, calibrate.Variances{Day: 1e-5, Reading: 1e-5, DayDF: 60, ReadingDF: 300,
		AssumedReading: 1e-5})
	var order []string
	for _, d := range c.Days() {
		order = append(order, d.Day)
	}
	assert.Equal(t, names, order)
	drift := c.Drift()
	require.NotNil(t, drift)
	assert.Equal(t, "trend", drift.Kind)
	assert.Equal(t, names[0], drift.From)
	assert.InDelta(t, 0.012, drift.Log, 1e-6)
}
