package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

func advise(t *testing.T, p *program, query string) []openapi.Advice {
	t.Helper()
	return into[openapi.AdviceList](t, p.do(get("/v1/sleds/bluestem/advice"+query)), 200).Items
}

// Each reading is the best one left once those before it are taken, so that the mean falls from one to the next; taken,
// it does what was promised.
func TestAdvice_NamesTheReadingThatHelpsMostFirst(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	items := advise(t, p, "")
	require.Len(t, items, 3, "each gear once more: then another reading tells less than a hundredth more")
	for i, a := range items {
		require.NotNil(t, a.PlusMinusFt)
		assert.Less(t, a.ThenFt, *a.PlusMinusFt)
		assert.Less(t, a.MeanThenFt, a.MeanFt)
		assert.Contains(t, a.Detail, "Gear "+a.Gear+" from full back")
		if i > 0 {
			assert.InDelta(t, items[i-1].MeanThenFt, a.MeanFt, 1e-9)
		}
	}
	assert.Equal(t, items[:2], advise(t, p, "?most=2"))
}

// For a show it asks only for what its classes and their pull-offs would be set to on that sled.
func TestAdvice_ForAShowIsForItsClasses(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	asked := map[string]bool{}
	for _, row := range into[openapi.Sheet](t, p.do(get("/v1/shows/"+harvest+"/sheet?sled=bluestem")), 200).Rows {
		asked[row.Tonight.Nearest.Gear] = true
		if row.PullOff != nil {
			asked[row.PullOff.Tonight.Nearest.Gear] = true
		}
	}
	items := advise(t, p, "?show="+harvest)
	require.NotEmpty(t, items)
	for _, a := range items {
		assert.True(t, asked[a.Gear], "gear %s is in none of its classes", a.Gear)
	}
	assert.False(t, asked["C"], "or this test would show nothing")
}

// Gears of which nothing is known come first, and it is said in words; once they are taken, the next are known.
func TestAdvice_OnASledOfWhichNothingIsKnown(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	items := advise(t, p, "")
	require.Len(t, items, 3, "each gear once: more pulls on that day tell little more")
	gears := map[string]bool{}
	for _, a := range items[:3] {
		gears[a.Gear] = true
		assert.Nil(t, a.PlusMinusFt)
		assert.Contains(t, a.Detail, "nothing is known about it yet")
	}
	assert.Len(t, gears, 3, "each of its gears")
}
