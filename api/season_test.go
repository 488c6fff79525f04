package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/words"
	"evenpull/openapi"
)

func seasonClass(t *testing.T, s openapi.Season, id string) openapi.SeasonClass {
	t.Helper()
	for _, c := range s.Classes {
		if c.Class == id {
			return c
		}
	}
	require.Fail(t, "not in the season", id)
	return openapi.SeasonClass{}
}

// Planned, set and happened, by class; without dates it is the year of the newest show.
func TestSeason_ShowsWhatWasPlannedAndWhatWasSet(t *testing.T) {
	t.Parallel()
	p := start(t)
	empty := into[openapi.Season](t, p.do(get("/v1/season")), 200)
	assert.Equal(t, openapi.Season{Caution: words.Standing(false), Classes: []openapi.SeasonClass{}}, empty)
	smallFleet(t, p)
	smallSeason(t, p)
	into[openapi.AsRun](t, p.do(post(asRunAt("open-4x4"), lineOf(1, "1"))), 201)
	into[openapi.AsRun](t, p.do(post(asRunAt("open-4x4"), lineOf(8, "2"))), 201)
	into[openapi.Outcome](t, p.do(put(outcomeAt("open-4x4"), `{"felt":"soft","full_pulls":3}`)), 200)

	season := into[openapi.Season](t, p.do(get("/v1/season")), 200)
	assert.Equal(t, "2099-01-01", *season.Since)
	assert.Equal(t, "2099-07-18", *season.Until)
	assert.Equal(t, 1, season.Shows)
	assert.Len(t, season.Classes, 2)
	open := seasonClass(t, season, "open-4x4")
	require.Len(t, open.Lines, 1)
	line := open.Lines[0]
	planned := sheetOf(t, p, harvest).Rows[0].Tonight.Nearest
	assert.Equal(t, planned.Gear, *line.PlannedGear)
	assert.Equal(t, planned.TopOutFt, *line.PlannedFt)
	assert.Equal(t, "1", *line.SetGear, "what seven of its hooks pulled on; three pulled on 2")
	assert.InDelta(t, 0.3*(251-265), *line.MovedFt, 1e-9)
	assert.Equal(t, openapi.OutcomeFelt("soft"), *line.Outcome.Felt)
	assert.False(t, open.MovedOneWay, "one show says nothing")
	assert.Equal(t, "Set 4.2\u00a0ft earlier than planned on average.", open.Detail)
	farm := seasonClass(t, season, "farm-9500-lb").Lines[0]
	assert.Nil(t, farm.SetGear)
	assert.Nil(t, farm.MovedFt)

	both := into[openapi.Season](t, p.do(get("/v1/season?since=2025-01-01")), 200)
	assert.Equal(t, 2, both.Shows)
	assert.Len(t, seasonClass(t, both, "open-4x4").Lines, 2)
	assert.Equal(t, 1, into[openapi.Season](t, p.do(get("/v1/season?since=2025-05-17&until=2025-05-17")), 200).Shows)
	assert.Zero(t, into[openapi.Season](t, p.do(get("/v1/season?since=2025-05-18&until=2099-07-17")), 200).Shows)
}

// Every sled in use is ranked, and each class's last time at this place is told, or else anywhere.
func TestCandidates_AreRankedAndShowTheLastTime(t *testing.T) {
	t.Parallel()
	p := demo(t)
	found := into[openapi.Candidates](t, p.do(get("/v1/shows/"+winterPull+"/candidates")), 200)
	assert.Equal(t, words.Standing(true)+" Invented for the demo, never measured: Bluestem, Brome, Fescue, "+
		"Ryegrass, Sedge, Timothy.", found.Caution, "the demo has weighed sleds")
	sleds := into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200).Items
	require.Len(t, found.Items, len(sleds))
	for i, c := range found.Items {
		assert.Equal(t, c.Sled == "fescue", c.Booked)
		require.NotNil(t, c.MeanFt)
		if i > 0 && c.Known == found.Items[i-1].Known {
			assert.GreaterOrEqual(t, *c.MeanFt, *found.Items[i-1].MeanFt)
		}
		// Worked out again from the sheet on that sled.
		sheet := into[openapi.Sheet](t, p.do(get("/v1/shows/"+winterPull+"/sheet?sled="+c.Sled)), 200)
		sum, known, worst := 0.0, 0, 0.0
		for _, row := range sheet.Rows {
			if n := row.Tonight.Nearest; n != nil {
				miss := max(n.DifferenceFt, -n.DifferenceFt)
				sum, known, worst = sum+miss, known+1, max(worst, miss)
			}
		}
		assert.Equal(t, known, c.Known)
		assert.InDelta(t, sum/float64(known), *c.MeanFt, 1e-9, c.Sled)
		assert.InDelta(t, worst, *c.WorstFt, 1e-9, c.Sled)
	}
	last := map[string]*openapi.LastRun{}
	for _, l := range found.LastTime {
		last[l.Class] = l.Last
	}
	require.NotNil(t, last["farm-9500-lb"])
	assert.Equal(t, "little-whatnot-fair-2026-07-11", last["farm-9500-lb"].Show,
		"at the same place, though it ran elsewhere since")
	assert.True(t, last["farm-9500-lb"].Here)
	assert.Equal(t, 2, *last["farm-9500-lb"].Outcome.FullPulls)
	require.NotNil(t, last["two-wheel-drive"])
	assert.False(t, last["two-wheel-drive"].Here)
	assert.False(t, last["antique-5250-lb"].Noted, "only what the sheet said")
	assert.Nil(t, last["garden-1000-lb"])
}
