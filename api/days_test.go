package main

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/words"
	"evenpull/openapi"
)

func daysOf(t *testing.T, p *program, question string) openapi.Days {
	t.Helper()
	return into[openapi.Days](t, p.do(get("/v1/sleds/"+question)), 200)
}

// Two days of the same gears, one 2 % further: each lies 2 % from what the other says, later and earlier, in percent
// and in feet of the gear that is asked for.
func TestDays_AreComparedWithEachOther(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", parted("Sedge", 1.2, 1.1, 1))), 201)
	empty := daysOf(t, p, "sedge/days")
	assert.Empty(t, empty.Items)
	assert.NotNil(t, empty.Items, "a list, though an empty one")
	assert.Nil(t, empty.Gear)
	assert.Nil(t, empty.Drift)
	assert.Equal(t, words.Standing(false), empty.Caution)

	measure(t, p, "sedge", "2025-06-14", 293.76, 269.28, 244.8)
	alone := daysOf(t, p, "sedge/days")
	require.Len(t, alone.Items, 1)
	assert.Equal(t, openapi.Alone, alone.Items[0].Verdict)
	assert.Nil(t, alone.Items[0].LimitPct)
	assert.Nil(t, alone.Items[0].LimitFt)

	measure(t, p, "sedge", "2025-05-10", 288, 264, 240)
	days := daysOf(t, p, "sedge/days")
	require.Len(t, days.Items, 2)
	assert.Equal(t, "2", *days.Gear, "the middle one of the ladder")
	earlier, later := days.Items[0], days.Items[1]
	assert.Equal(t, []string{"2025-05-10", "2025-06-14"}, []string{earlier.MeasuredOn, later.MeasuredOn})
	assert.Equal(t, 3, earlier.Readings)
	for _, c := range []struct {
		day  openapi.Day
		sign float64
	}{{earlier, -1}, {later, 1}} {
		assert.InDelta(t, c.sign*1.980, c.day.OffsetPct, 0.001, "100·ln 1.02")
		assert.InDelta(t, c.sign*0.0198*266.6, *c.day.OffsetFt, 0.01, "of the 266.6 ft that lie between 264 and 269.28")
		assert.Equal(t, openapi.AsUsual, c.day.Verdict)
		assert.Greater(t, *c.day.LimitPct, 2.)
		assert.InDelta(t, c.day.OffsetPct / *c.day.LimitPct, *c.day.OffsetFt / *c.day.LimitFt, 1e-9)
	}
	slow := daysOf(t, p, "sedge/days?gear=1")
	assert.Equal(t, "1", *slow.Gear)
	assert.Equal(t, later.OffsetPct, slow.Items[1].OffsetPct)
	assert.InEpsilon(t, 1.2/1.1, *slow.Items[1].OffsetFt / *later.OffsetFt, 1e-9)
}

// Eight days, one of them 8 % off: it stands off, and no other does.
func TestDays_NameAnOutlier(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", parted("Sedge", 1.2, 1))), 201)
	for i, off := range []float64{1, 1.004, 0.997, 1.08, 1.002, 0.999, 1.003, 0.996} {
		measure(t, p, "sedge", fmt.Sprintf("2025-05-%02d", i+1), 288*off, 240*off)
	}
	days := daysOf(t, p, "sedge/days")
	require.Len(t, days.Items, 8)
	for i, day := range days.Items {
		want := openapi.AsUsual
		if i == 3 {
			want = openapi.StandsOff
		}
		assert.Equal(t, want, day.Verdict, day.Day)
	}
	assert.Contains(t, codesOf(chartOf(t, p, "sedge/chart")), "day-stands-off")
}

// In a fleet whose other days differ by about 1 %, a sled that tops out 5 % later from its fourth day on has jumped
// there, one that tops out 1.2 % earlier from each day to the next has a trend, and a steady one has neither. That this
// holds for most days as chance draws them is simulated where it is worked out.
func TestDays_NameAJumpAndATrend(t *testing.T) {
	t.Parallel()
	noise := []float64{0.011, -0.008, 0.004, -0.013, 0.009, -0.003, 0.012, -0.009}
	p := start(t)
	sheet := heading
	for i := range 8 {
		into[openapi.Sled](t, p.do(post("/v1/sleds", parted(fmt.Sprint("Other ", i), 1.2, 1))), 201)
		for day := range 6 {
			off := 1 + noise[(3*i+day)%len(noise)]
			sheet += fmt.Sprintf("other-%d,1,0,%.2f,2025-04-%02d\nother-%d,2,0,%.2f,2025-04-%02d\n", i, 288*off, day+1,
				i, 240*off, day+1)
		}
	}
	into[openapi.Accepted](t, p.do(csvPost("/v1/readings", sheet)), 201)
	for name, off := range map[string]func(day int) float64{
		"jump": func(day int) float64 {
			if day < 3 {
				return 1
			}
			return 1.05
		},
		"trend":  func(day int) float64 { return 1 - 0.012*float64(day) },
		"steady": func(int) float64 { return 1 },
	} {
		into[openapi.Sled](t, p.do(post("/v1/sleds", parted(name, 1.2, 1))), 201)
		for day := range 6 {
			of := off(day) + noise[day]/4
			measure(t, p, name, fmt.Sprintf("2025-05-%02d", day+1), 288*of, 240*of)
		}
	}
	jump := daysOf(t, p, "jump/days").Drift
	require.NotNil(t, jump)
	assert.Equal(t, openapi.Jump, jump.Kind)
	assert.Equal(t, "2025-05-04", jump.From)
	assert.InDelta(t, 4.9, jump.Pct, 0.5, "100·ln 1.05")
	assert.Contains(t, jump.Detail, "Since May\u00a04,\u00a02025, ")
	trend := daysOf(t, p, "trend/days").Drift
	require.NotNil(t, trend)
	assert.Equal(t, openapi.Trend, trend.Kind)
	assert.Equal(t, "2025-05-01", trend.From)
	assert.InDelta(t, -1.2, trend.Pct, 0.2)
	assert.Nil(t, daysOf(t, p, "steady/days").Drift)
}

func TestDays_AreDrawn(t *testing.T) {
	t.Parallel()
	p := demo(t)
	seen := map[string]bool{}
	for _, question := range []string{"", "?theme=dark", "?units=m"} {
		got := p.do(get("/v1/sleds/bluestem/days.svg" + question))
		require.Equal(t, 200, got.StatusCode, "%s", got.body)
		assert.Equal(t, "image/svg+xml", got.Header.Get("Content-Type"))
		assert.Contains(t, string(got.body), "The test days of Bluestem")
		assert.False(t, seen[string(got.body)], question)
		seen[string(got.body)] = true
	}
	into[openapi.Sled](t, p.do(post("/v1/sleds", parted("Foxtail", 1))), 201)
	assert.Contains(t, string(p.do(get("/v1/sleds/foxtail/days.svg")).body), "No test day of Foxtail is known yet.")
}
