package main

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// changeOf is a change of parts by ratio.
func changeOf(on string, driveline map[string]any) map[string]any {
	c := map[string]any{"made_on": on, "what": "other parts", "effect": "by-ratio"}
	if driveline != nil {
		c["driveline"] = driveline
	}
	return c
}

func finalChange(on string, ratio float64) map[string]any {
	return changeOf(on, map[string]any{"final_ratio": ratio})
}

func addChangeTo(t *testing.T, p *program, sled string, change map[string]any) openapi.Change {
	t.Helper()
	got := p.do(post("/v1/sleds/"+sled+"/changes", change))
	c := into[openapi.Change](t, got, 201)
	assert.Equal(t, "/v1/changes/"+c.Id, got.Header.Get("Location"))
	return c
}

func takeBack(t *testing.T, p *program, id string) {
	t.Helper()
	got := p.do(remove("/v1/changes/" + id))
	require.Equal(t, 204, got.StatusCode, "%s", got.body)
}

// asked is a sled as every question about it shows it, with what it answers for others.
func asked(t *testing.T, p *program, sled string) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, path := range []string{
		"/v1/sleds/" + sled + "/chart", "/v1/sleds/" + sled +
			"/chart?start_ft=0&start_ft=2&start_ft=7.5", "/v1/sleds/" + sled + "/chart.svg",
		"/v1/sleds/" + sled + "/chart?as_of=2025-06-30", "/v1/sleds/" + sled + "/chart?as_of=2025-08-01",
		"/v1/sleds/" + sled + "/driveline", "/v1/sleds/" + sled + "/days", "/v1/sleds/" + sled +
			"/days.svg", "/v1/sleds/" + sled + "/advice",
		"/v1/sleds/" + sled + "/cutoff?ground_speed_mph=15&release_s=0.2&brake_ft_s2=10", "/v1/table?reference=" + sled,
		"/v1/equivalents?sled=" + sled + "&gear=2", "/v1/fleet/how-alike?reference=" + sled, "/v1/fleet/ladders.svg",
	} {
		worked, kept := p.do(get(path)), p.do(get(path))
		require.Equal(t, 200, worked.StatusCode, "%s: %s", path, worked.body)
		assert.Equal(t, string(worked.body), string(kept.body), path)
		all[path] = string(worked.body)
	}
	return all
}

// A ring and pinion of 6 for one of 5.6 moves every top-out by 6/5.6, from wherever the box starts; the day before, the
// chart was what it had been; and taken back, every answer is as before to the last byte.
func TestChange_MovesEveryTopOutByItsRatioAndCanBeRemoved(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	addParted(t, p, "Sedge", "sedge", 1.02, 1.2, 1.1, 1)
	into[openapi.Reading](t, p.do(post("/v1/sleds/sedge/readings", map[string]any{
		"gear": "1", "start_ft": 4, "distance_ft": 251.5, "measured_on": "2025-06-14",
	})), 201)
	question := "sedge/chart?start_ft=0&start_ft=2&start_ft=7.5"
	before, was := asked(t, p, "sedge"), chartOf(t, p, question)

	change := addChangeTo(t, p, "sedge", finalChange("2025-07-01", 6))
	assert.InEpsilon(t, 100*(6/5.6-1), *change.MovesPct, 1e-9)
	assert.Equal(t, openapi.ChangeEffectByRatio, change.Effect)
	assert.Equal(t, 6., *change.Driveline.FinalRatio)
	assert.Nil(t, change.Driveline.AxleRatio, "what was not given")
	is := chartOf(t, p, question)
	for g := range was.Gears {
		for i, old := range was.Gears[g].TopOuts {
			assert.InEpsilon(t, 6/5.6, *is.Gears[g].TopOuts[i].TopOutFt / *old.TopOutFt, 1e-9)
			assert.Greater(t, *is.Gears[g].TopOuts[i].HighFt-*is.Gears[g].TopOuts[i].LowFt,
				(*old.HighFt-*old.LowFt)*6/5.6, "what was not measured widens it")
		}
		assert.Equal(t, openapi.BasisCarried, is.Gears[g].TopOuts[0].Basis)
		assert.InEpsilon(t, 5.6/6, *is.Gears[g].BoxSpeed / *was.Gears[g].BoxSpeed, 1e-9)
	}
	assert.Equal(t, was.Gears, chartOf(t, p, question+"&as_of=2025-06-30").Gears, "the day before")
	assert.Equal(t, is.Gears, chartOf(t, p, question+"&as_of=2025-07-01").Gears, "from the day on")
	parts := drivelineOf(t, p, "sedge")
	assert.InEpsilon(t, 288*6/5.6, *parts.Gears[0].GearedTopOutFt, 1e-9)
	assert.InEpsilon(t, 1.02, *parts.Factor, 0.003, "measured over geared does not change with the parts")
	assert.Equal(t, 6., *into[openapi.Sled](t, p.do(get("/v1/sleds/sedge")), 200).Driveline.FinalRatio)
	list := into[openapi.ChangeList](t, p.do(get("/v1/sleds/sedge/changes")), 200)
	assert.Equal(t, []openapi.Change{change}, list.Items)
	for path, body := range asked(t, p, "sedge") {
		if path != "/v1/sleds/sedge/chart?as_of=2025-06-30" && path != "/v1/sleds/sedge/days" {
			assert.NotEqual(t, before[path], body, "%s: from before the change", path)
		}
	}

	takeBack(t, p, change.Id)
	assert.Equal(t, before, asked(t, p, "sedge"))
	assert.Empty(t, into[openapi.ChangeList](t, p.do(get("/v1/sleds/sedge/changes")), 200).Items)
	problemOf(t, p.do(remove("/v1/changes/"+change.Id)), 404)
}

// Noted months late, among readings from before and after it, a change gives what it gives when it was noted in time:
// every answer, to the last byte.
func TestChange_EnteredLateIsAsIfItHadBeenInTime(t *testing.T) {
	t.Parallel()
	first := func(p *program) {
		smallFleet(t, p)
		addParted(t, p, "Sedge", "sedge", 1.02, 1.2, 1.1, 1, 0.9)
	}
	then := func(p *program) { measure(t, p, "sedge", "2025-08-09", 316, 288, 262) } // gear 4 is not measured again
	ring := finalChange("2025-07-01", 6)
	sprocket := changeOf("2025-07-20", map[string]any{"sprocket_teeth": 12, "chain_pitch_in": 1.5})
	sprocket["gears"] = []any{map[string]any{"label": "4", "ratio": 0.92}}
	inTime, late := start(t), start(t)
	first(inTime)
	addChangeTo(t, inTime, "sedge", ring)
	addChangeTo(t, inTime, "sedge", sprocket)
	then(inTime)

	first(late)
	then(late)
	addChangeTo(t, late, "sedge", sprocket)
	addChangeTo(t, late, "sedge", ring)
	assert.Equal(t, asked(t, inTime, "sedge"), asked(t, late, "sedge"))
	chart := chartOf(t, late, "sedge/chart?start_ft=0")
	assert.Equal(t, openapi.BasisMeasured, chart.Gears[0].TopOuts[0].Basis, "new readings take over")
	fourth := chart.Gears[3].TopOuts[0]
	assert.Equal(t, openapi.BasisCarried, fourth.Basis)
	assert.InDelta(t, 1.02*216*6/5.6*1.75/1.5*0.92/0.9, *fourth.TopOutFt, 3,
		"by both, and by its own ratio; the days say a little too")
}

// Where nobody knows what a change did, earlier readings no longer count, and the chart says so.
func TestChange_OfUnknownEffectOutdatesEarlierReadings(t *testing.T) {
	t.Parallel()
	p := start(t)
	addParted(t, p, "Sedge", "sedge", 1.02, 1.2, 1.1)
	before := chartOf(t, p, "sedge/chart")
	change := addChangeTo(t, p, "sedge",
		map[string]any{"made_on": "2025-07-01", "what": "another gearbox of unknown ratios", "effect": "unknown"})
	assert.Nil(t, change.MovesPct)
	chart := chartOf(t, p, "sedge/chart?start_ft=0")
	assert.Equal(t, openapi.BasisNone, chart.Gears[0].TopOuts[0].Basis)
	assert.Contains(t, codesOf(chart), "readings-outdated")
	measure(t, p, "sedge", "2025-07-01", 300, 275) // those of the day itself were made after it
	chart = chartOf(t, p, "sedge/chart?start_ft=0")
	assert.InDelta(t, 300, *chart.Gears[0].TopOuts[0].TopOutFt, 1e-6)
	assert.Equal(t, openapi.BasisMeasured, chart.Gears[0].TopOuts[0].Basis)
	assert.Equal(t, 1, chart.Gears[0].TopOuts[0].Readings)
	// with today's variances, to which those readings no longer add
	then := chartOf(t, p, "sedge/chart?start_ft=0&as_of=2025-06-30")
	for g, was := range before.Gears {
		assert.InEpsilon(t, *was.TopOuts[0].TopOutFt, *then.Gears[g].TopOuts[0].TopOutFt, 1e-9)
		assert.Equal(t, openapi.BasisMeasured, then.Gears[g].TopOuts[0].Basis)
	}
}

func codesOf(c openapi.Chart) (codes []string) {
	for _, k := range c.Checks {
		codes = append(codes, k.Code)
	}
	return codes
}

// Readings since a change that do not go with what was carried over it are told of.
func TestChange_IsCheckedAgainstReadings(t *testing.T) {
	t.Parallel()
	p := start(t)
	addParted(t, p, "Sedge", "sedge", 1.02, 1.2, 1.1, 1)
	addChangeTo(t, p, "sedge", finalChange("2025-07-01", 6))
	as := func(factor float64) []float64 { return []float64{factor * 288, factor * 264, factor * 240} }
	measure(t, p, "sedge", "2025-08-09", as(1.02*6/5.6)...)
	measure(t, p, "sedge", "2025-08-16", as(1.02*6/5.6)...)
	assert.NotContains(t, codesOf(chartOf(t, p, "sedge/chart")), "change-disagrees")
	wrong := start(t)
	addParted(t, wrong, "Sedge", "sedge", 1.02, 1.2, 1.1, 1)
	addChangeTo(t, wrong, "sedge", finalChange("2025-07-01", 6))
	measure(t, wrong, "sedge", "2025-08-09", as(1.02)...) // the parts never went in
	measure(t, wrong, "sedge", "2025-08-16", as(1.02)...)
	assert.Contains(t, codesOf(chartOf(t, wrong, "sedge/chart")), "change-disagrees")
}

// A change that moves one gear, or the travel, says so of all gears or of none.
func TestChange_SaysWhatItMoves(t *testing.T) {
	t.Parallel()
	p := start(t)
	addParted(t, p, "Sedge", "sedge", 1, 1.2, 1.1)
	gear := changeOf("2025-07-01", nil)
	gear["gears"] = []any{map[string]any{"label": "2", "ratio": 1.15}}
	one := addChangeTo(t, p, "sedge", gear)
	assert.Nil(t, one.MovesPct)
	chart := chartOf(t, p, "sedge/chart?start_ft=0")
	assert.InDelta(t, 288, *chart.Gears[0].TopOuts[0].TopOutFt, 1e-6)
	assert.InDelta(t, 240*1.15, *chart.Gears[1].TopOuts[0].TopOutFt, 1e-6)
	travel := changeOf("2025-07-02", nil)
	travel["travel_ft"] = 27
	assert.InDelta(t, -10, *addChangeTo(t, p, "sedge", travel).MovesPct, 1e-9)
	chart = chartOf(t, p, "sedge/chart?start_ft=0")
	assert.Equal(t, 27., *chart.TravelFt)
	assert.InDelta(t, 0.9*288, *chart.Gears[0].TopOuts[0].TopOutFt, 1e-6)
	assert.Equal(t, 30., *chartOf(t, p, "sedge/chart?as_of=2025-07-01").TravelFt)
	tooth := addChangeTo(t, p, "sedge", changeOf("2025-07-03", map[string]any{"sprocket_teeth": 13}))
	assert.InEpsilon(t, 100*(12./13-1), *tooth.MovesPct, 1e-9, "one tooth in thirteen")
	items := into[openapi.ChangeList](t, p.do(get("/v1/sleds/sedge/changes")), 200).Items
	require.Len(t, items, 3)
	assert.Equal(t, []string{tooth.Id, one.Id}, []string{items[0].Id, items[2].Id}, "newest first")
}

// A part that was noted wrongly is corrected by PUT: the readings stay where they are.
func TestChange_ByACorrectionMovesNothing(t *testing.T) {
	t.Parallel()
	p := start(t)
	addParted(t, p, "Sedge", "sedge", 1.02, 1.2, 1.1)
	before := p.do(get("/v1/sleds/sedge/chart"))
	sled := parted("Sedge", 1.2, 1.1)
	sled["driveline"].(map[string]any)["final_ratio"] = 6
	into[openapi.Sled](t, p.do(put("/v1/sleds/sedge", sled).with("If-Match", "*")), 200)
	assert.Equal(t, string(before.body), string(p.do(get("/v1/sleds/sedge/chart")).body))
	assert.InEpsilon(t, 1.02*5.6/6, *drivelineOf(t, p, "sedge").Factor, 1e-9)
}

// A value that came with a change is put right in the change, and the readings from before it are carried by the right
// ratio.
func TestChange_TakesACorrectionOfWhatCameWithIt(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	addParted(t, p, "Sedge", "sedge", 1.02, 1.2, 1.1)
	addChangeTo(t, p, "sedge", finalChange("2025-07-01", 6.5))
	sled := parted("Sedge", 1.2, 1.1)
	line := sled["driveline"].(map[string]any)
	line["final_ratio"] = 6
	into[openapi.Sled](t, p.do(put("/v1/sleds/sedge", sled).with("If-Match", "*")), 200)
	assert.InEpsilon(t, 1.02*288*6/5.6, *chartOf(t, p, "sedge/chart").Gears[0].TopOuts[0].TopOutFt, 1e-9)
	assert.Equal(t, 6., *into[openapi.ChangeList](t, p.do(get("/v1/sleds/sedge/changes")),
		200).Items[0].Driveline.FinalRatio)
	before := everything(t, p)
	delete(line, "final_ratio")
	problem := problemOf(t, p.do(put("/v1/sleds/sedge", sled).with("If-Match", "*")), 422)
	assert.Equal(t, []string{"driveline.final_ratio"}, faultsAt(problem), "another was known before it")
	assert.Equal(t, before, everything(t, p))
}

// A change that a later one rests on is not taken back from under it.
func TestChange_ThatAnotherDependsOnStays(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	sled := parted("Sedge", 1.2, 1.1)
	delete(sled["driveline"].(map[string]any), "final_ratio")
	into[openapi.Sled](t, p.do(post("/v1/sleds", sled)), 201)
	measure(t, p, "sedge", "2025-05-10", 290, 266)
	first := finalChange("2025-07-01", 6)
	first["effect"] = "unknown"
	known := addChangeTo(t, p, "sedge", first)
	later := addChangeTo(t, p, "sedge", finalChange("2025-07-02", 6.2))
	before := everything(t, p)
	problemOf(t, p.do(remove("/v1/changes/"+known.Id)), 409)
	assert.Equal(t, before, everything(t, p))
	takeBack(t, p, later.Id)
	takeBack(t, p, known.Id)
}

// A sheet of a show that is over stays as it stood; one of a show to come moves.
func TestChange_LeavesClosedSheetsAlone(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p) // Spring Pull of 2025 on Bluestem is over, Harvest Pull of 2099 on Fescue is not
	past := p.do(get("/v1/shows/spring-pull-2025-05-17/sheet"))
	require.True(t, into[openapi.Sheet](t, past, 200).Over)
	open := sheetOf(t, p, harvest)
	for _, sled := range []string{"bluestem", "fescue"} {
		travel := changeOf("2025-05-11", nil)
		travel["travel_ft"] = 28
		addChangeTo(t, p, sled, travel)
	}
	assert.Equal(t, string(past.body), string(p.do(get("/v1/shows/spring-pull-2025-05-17/sheet")).body))
	moved := sheetOf(t, p, harvest)
	assert.InEpsilon(t, 28./31, moved.Rows[0].Tonight.Gears[0].TopOutFt/open.Rows[0].Tonight.Gears[0].TopOutFt, 1e-9)
	for _, c := range into[openapi.ClassPage](t, p.do(get("/v1/classes")), 200).Items {
		assert.NotEqual(t, c.Setting.StoodForFt, c.Setting.TodayFt, "a class goes on meaning what it stood for")
	}
}

func TestChange_OutlivesARestart(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	p := spawn(t, db, "--demo")
	addParted(t, p.program, "Foxtail", "foxtail", 1.02, 1.2, 1.1)
	addChangeTo(t, p.program, "foxtail", finalChange("2025-07-01", 6))
	everywhere := func(p *program) map[string]string {
		all := asked(t, p, "foxtail")
		for _, path := range []string{
			"/v1/sleds", "/v1/sleds/foxtail/changes", "/v1/sleds/brome/changes", "/v1/sleds/brome/chart",
			"/v1/sleds/brome/days",
			"/v1/sleds/timothy/driveline", "/v1/part-options?sled=timothy&reference=bluestem&final_ratio=5.57",
		} {
			all[path] = string(p.do(get(path)).body)
		}
		return all
	}
	before := everywhere(p.program)
	p.kill()
	assert.Equal(t, before, everywhere(spawn(t, db).program))
}

// No answer is older than the last change, whoever asks when.
func TestChange_IsInTheNextAnswer(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	addParted(t, p, "Sedge", "sedge", 1.02, 1.2, 1.1)
	measure(t, p, "sedge", "2025-06-21", 297, 272) // a day that differs a little
	questions := []string{
		"/v1/sleds/sedge/changes", "/v1/sleds/sedge/driveline",
		"/v1/sleds/sedge/cutoff?ground_speed_mph=12&release_s=0.1", "/v1/sleds/sedge/chart",
		"/v1/part-options?sled=sedge&reference=bluestem&final_ratio=5.2", "/v1/fleet/how-alike?reference=bluestem",
		"/v1/fleet/ladders.svg",
		"/v1/equivalents?sled=bluestem&gear=B&on=sedge", "/v1/sleds/sedge/days?gear=1",
	}
	seen := map[string]bool{}
	for round := range 5 {
		for _, q := range questions {
			first, kept := p.do(get(q)), p.do(get(q))
			require.Equal(t, 200, first.StatusCode, "%s: %s", q, first.body)
			assert.Equal(t, string(first.body), string(kept.body))
			assert.False(t, seen[q+string(first.body)], "%s: an answer from before the last change", q)
			seen[q+string(first.body)] = true
		}
		addChangeTo(t, p, "sedge", finalChange(fmt.Sprintf("2025-07-%02d", round+1), 5.7+float64(round)/10))
	}
}
