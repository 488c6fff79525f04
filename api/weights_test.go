package main

import (
	"encoding/csv"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/words"
	"evenpull/openapi"
)

const askWeights = "/v1/weights?sled=bluestem&gear=A&in_box_lb=12000&on=fescue"

func TestPanLoad_TellsTheLoadAtThreePlaces(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	weighSmallFleet(t, p)
	got := into[openapi.PanLoad](t, p.do(get("/v1/sleds/bluestem/pan-load?in_box_lb=12000&gear=A")), 200)
	require.Len(t, got.Places, 3)
	assert.InDelta(t, 30_500, got.Places[2].Pan.Lb, 1e-6, "as it was weighed")
	assert.InDelta(t, 9_540, got.Places[0].Pan.Lb, 1e-6)
	assert.InDelta(t, (30_500+9_540)/2, got.Places[1].Pan.Lb, 1e-6, "the load is a straight line along the travel")
	assert.Less(t, got.Places[2].Pan.LowLb, got.Places[2].Pan.Lb)
	assert.InDelta(t, *got.TopOutFt, *got.Places[2].AtFt, 1e-9)
	assert.Len(t, got.Coefficients, 4)
	assert.Len(t, got.InWords.Lines, 3)
	assert.Contains(t, got.InWords.Headline, "With 12,000\u00a0lb in the box the pan of Bluestem carries 30,500")
	assert.Len(t, got.Next, 2, "the middle, empty and loaded")
	assert.Contains(t, got.Caution, "wheels chocked")
}

func TestPanLoad_IsRefusedWithTheFieldNamed(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	for question, at := range map[string]string{
		"gear=Z": "gear", "start_ft=34.5": "start_ft", "in_box_lb=-1": "in_box_lb", "on_pan_lb=9e9": "on_pan_lb",
		"in_box_lb=heavy": "in_box_lb",
	} {
		for _, kind := range []string{"", ".svg"} {
			problem := problemOf(t, p.do(get("/v1/sleds/bluestem/pan-load"+kind+"?"+question)), 422)
			assert.Equal(t, at, problem.Errors[0].At, question)
		}
	}
	assert.Equal(t, 404, p.do(get("/v1/sleds/oat/pan-load")).StatusCode)
}

func TestWeights_AreAnsweredInNumbersAndWords(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	weighSmallFleet(t, p)
	bare := into[openapi.Weights](t, p.do(get(askWeights)), 200)
	require.NotNil(t, bare.InBoxLb)
	assert.Nil(t, bare.RoundedInBoxLb, "no blocks on file: nothing is rounded")
	assert.Nil(t, bare.Cannot)
	for _, l := range bare.Limits {
		assert.Nil(t, l.MostLb)
		assert.Contains(t, l.Detail, "no limit on file: ask the maker")
	}
	loading := map[string]any{"blocks": []any{map[string]any{"lb": 1000, "count": 16}}, "most_in_box_lb": 16_000}
	sled := fescue()
	sled["loading"] = loading
	into[openapi.Sled](t, p.do(put("/v1/sleds/fescue", sled).with("If-Match", "*")), 200)
	got := into[openapi.Weights](t, p.do(get(askWeights+"&on_gear=1&finish_ft=300")), 200)
	require.NotNil(t, got.RoundedInBoxLb)
	assert.InDelta(t, *bare.InBoxLb, *got.RoundedInBoxLb, 500, "half a block")
	assert.Equal(t, []openapi.Block{{Lb: 1000, Count: int(*got.RoundedInBoxLb / 1000)}}, got.Blocks)
	assert.Equal(t, "hook", string(got.Remaining[0].Where))
	last := got.Remaining[len(got.Remaining)-1]
	assert.Equal(t, "finish", string(last.Where))
	assert.InDelta(t, 300, last.AtFt, 0)
	assert.Less(t, last.LowLb, last.DifferenceLb)
	assert.NotNil(t, got.InFeet)
	assert.Contains(t, got.InWords.Headline, "in the box of Fescue")
	assert.Len(t, got.InWords.Remaining, len(got.Remaining))
	assert.Equal(t, words.Standing(true), *got.Caution)
	assert.Equal(t, words.LoadCaution, *got.LoadCaution)
	kilograms := into[openapi.Weights](t, p.do(get(askWeights+"&units=m")), 200)
	assert.Contains(t, kilograms.InWords.Headline, "\u00a0kg")
	assert.Equal(t, *got.InBoxLb, *kilograms.InBoxLb, "numbers stay in pounds")
}

func TestWeights_MatchWhereTheyAreAskedTo(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	weighSmallFleet(t, p)
	for _, at := range []string{"finish", "hook", "average", "overall", "hook-and-finish"} {
		got := into[openapi.Weights](t, p.do(get(askWeights+"&match_at="+at)), 200)
		assert.Equal(t, at, string(got.MatchAt))
		if at == "hook" {
			assert.Equal(t, "blocks-do-nothing", string(*got.Cannot))
			assert.NotNil(t, got.Gears, "every gear and start position is tried")
			assert.Contains(t, *got.InWords.Cannot, "hardly change the load")
		}
	}
}

func TestWeights_AreRefusedWithTheFieldNamed(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	for question, at := range map[string]string{
		"sled=bluestem&gear=Z&in_box_lb=1&on=fescue": "gear", "sled=bluestem&gear=A&in_box_lb=1&on=oat": "on",
		"sled=bluestem&gear=A&on=fescue": "in_box_lb", "sled=bluestem&gear=A&in_box_lb=1": "on",
		"sled=bluestem&gear=A&in_box_lb=1&on=fescue&on_gear=9":      "on_gear",
		"sled=bluestem&gear=A&in_box_lb=1&on=fescue&finish_ft=0":    "finish_ft",
		"sled=bluestem&gear=A&in_box_lb=1&on=fescue&match_at=home":  "match_at",
		"sled=bluestem&gear=A&in_box_lb=1&on=fescue&on_start_ft=31": "on_start_ft",
	} {
		for _, kind := range []string{"", ".svg"} {
			problem := problemOf(t, p.do(get("/v1/weights"+kind+"?"+question)), 422)
			assert.Equal(t, at, problem.Errors[0].At, question)
		}
	}
	assert.Equal(t, 404, p.do(get("/v1/weights?sled=oat&gear=A&in_box_lb=1&on=fescue")).StatusCode)
}

func TestWeights_AreDrawn(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	empty := p.do(get("/v1/sleds/bluestem/pan-load.svg"))
	assert.Contains(t, string(empty.body), "There is nothing to draw yet")
	weighSmallFleet(t, p)
	for _, path := range []string{
		strings.Replace(askWeights, "weights?", "weights.svg?", 1) + "&finish_ft=300",
		"/v1/sleds/bluestem/pan-load.svg?in_box_lb=12000",
		"/v1/sleds/bluestem/pan-load.svg?in_box_lb=12000&gear=A&units=m",
	} {
		got := p.do(get(path))
		require.Equal(t, 200, got.StatusCode, "%s", got.body)
		assert.Regexp(t, `12,000.lb in the box|5,443.kg in the box`, string(got.body), path)
	}
}

// A class with a weight on a weighed sled gets the weight for tonight; nothing of weights is told to a crew that never
// weighed.
func TestSheet_HasTheWeightForTonight(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	class := classOn("Super Stock", "bluestem", "A")
	class["setting"].(map[string]any)["in_box_lb"] = 12_000
	class["ends_ft"] = 290
	stored := into[openapi.Class](t, p.do(post("/v1/classes", class)), 201)
	assert.InDelta(t, 12_000, *stored.Setting.InBoxLb, 0)
	assert.InDelta(t, 290, *stored.EndsFt, 0)
	show := showOn("Fall Pull", "2099-09-18", "fescue", "super-stock")
	id := into[openapi.Show](t, p.do(post("/v1/shows", show)), 201).Id
	for _, path := range []string{"/sheet", "/candidates", "/sheet.csv"} {
		never := p.do(get("/v1/shows/" + id + path))
		assert.NotRegexp(t, `"weight":|"weights":\{|_lb":[^1]|tonight_in_box|lies on the pan`, string(never.body), path)
	}
	weighSmallFleet(t, p)
	show["full_pull_ft"] = 300
	into[openapi.Show](t, p.do(put("/v1/shows/"+id, show).with("If-Match", "*")), 200)
	sheet := into[openapi.Sheet](t, p.do(get("/v1/shows/"+id+"/sheet")), 200)
	row := sheet.Rows[0]
	require.NotNil(t, row.Weight)
	assert.InDelta(t, 290, row.Weight.FinishFt, 0, "where the class usually ends")
	assert.Equal(t, row.Tonight.Nearest.Gear, *row.Weight.On.Gear)
	require.NotNil(t, row.FullPull)
	assert.Equal(t, "before", string(row.FullPull.TopsOut))
	assert.Equal(t, words.Standing(true), sheet.Caution)
	assert.Equal(t, words.LoadCaution, *sheet.LoadCaution)
	csv := string(p.do(get("/v1/shows/" + id + "/sheet.csv")).body)
	assert.Contains(t, csv, "tonight_in_box_lb,pull_off_in_box_lb,remains_at_hook_lb,remains_at_finish_lb")
	assert.Contains(t, csv, words.LoadCaution)
	candidates := into[openapi.Candidates](t, p.do(get("/v1/shows/"+id+"/candidates")), 200)
	for _, k := range candidates.Items {
		require.NotNil(t, k.Weights, k.Sled)
		assert.True(t, k.Weights.Weighed)
	}
	line := lineOf(1, row.Tonight.Nearest.Gear)
	line["in_box_lb"], line["on_pan_lb"] = 11_000, 0
	ran := into[openapi.AsRun](t, p.do(post("/v1/shows/"+id+"/classes/super-stock/as-run", line)), 201)
	assert.InDelta(t, 11_000, *ran.InBoxLb, 0)
	line["in_box_lb"] = -1
	problem := problemOf(t, p.do(post("/v1/shows/"+id+"/classes/super-stock/as-run", line)), 422)
	assert.Equal(t, "in_box_lb", problem.Errors[0].At)
}

// The weight goes with what lies on the pan: the sheet, its CSV and the question say so, of a pull-off as well.
func TestSheet_SaysWhatGoesOnThePan(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	weighSmallFleet(t, p)
	class := classOn("Super Stock", "bluestem", "A")
	setting := class["setting"].(map[string]any)
	setting["in_box_lb"], setting["on_pan_lb"] = 10_000, 2_000
	pullOff := maps.Clone(setting)
	pullOff["on_pan_lb"] = 500
	class["pull_off"] = pullOff
	into[openapi.Class](t, p.do(post("/v1/classes", class)), 201)
	show := showOn("Fall Pull", "2099-09-18", "fescue", "super-stock")
	id := into[openapi.Show](t, p.do(post("/v1/shows", show)), 201).Id
	row := into[openapi.Sheet](t, p.do(get("/v1/shows/"+id+"/sheet")), 200).Rows[0]
	require.Nil(t, row.Weight.Cannot)
	assert.InDelta(t, 2000, *row.Weight.OnPanLb, 0)
	assert.Contains(t, row.Weight.InWords.Headline, "And 2,000\u00a0lb on its pan.")
	text := string(p.do(get("/v1/shows/" + id + "/sheet.csv")).body)
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(t, err)
	for heading, want := range map[string]string{"tonight_on_pan_lb": "2000", "pull_off_on_pan_lb": "500"} {
		require.Contains(t, rows[0], heading)
		assert.Equal(t, want, rows[1][slices.Index(rows[0], heading)])
	}
	question := strings.Replace(askWeights, "12000", "10000", 1) + "&on_pan_lb=2000"
	as := into[openapi.Weights](t, p.do(get(question)), 200)
	assert.InDelta(t, 2000, as.On.OnPanLb, 0)
	assert.Contains(t, as.InWords.Headline, "And 2,000\u00a0lb on its pan.")
	none := into[openapi.Weights](t, p.do(get(question+"&on_on_pan_lb=0")), 200)
	assert.InDelta(t, 0, none.On.OnPanLb, 0, "0 is 0")
	assert.Greater(t, *none.InBoxLb, *as.InBoxLb)
}

// What an answer compares is said as it is in this fleet: what lies on the pan as well, once a sled was weighed.
func TestCaution_NamesThePanOnceASledWasWeighed(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	paths := []string{
		"/v1/equivalents?sled=bluestem&gear=A", "/v1/table?reference=bluestem", "/v1/sleds/bluestem/days",
		"/v1/fleet/how-alike?reference=bluestem",
	}
	for weighed := range 2 {
		for _, path := range paths {
			said := into[struct{ Caution string }](t, p.do(get(path)), 200)
			assert.Equal(t, words.Standing(weighed == 1), said.Caution, path)
		}
		if weighed == 0 {
			weighSmallFleet(t, p)
		}
	}
}

// Of a sled that was weighed at the top alone nothing is answered of the hook: null, an empty cell, no sentence.
func TestWeights_LeaveOutWhatTheWeighingsDoNotTell(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	for sled, states := range map[string][][3]float64{
		"bluestem": {{0, 0, 10_720}, {34.5, 0, 16_940}, {0, 12_000, 9_540}, {34.5, 12_000, 30_500}},
		"fescue":   {{31, 0, 18_240}, {31, 12_000, 29_560}},
	} {
		for _, s := range states {
			into[openapi.Weighing](t, p.do(post("/v1/sleds/"+sled+"/weighings", weighingOf(s[0], s[1], s[2]))), 201)
		}
	}
	got := into[openapi.Weights](t, p.do(get(askWeights+"&finish_ft=400")), 200)
	require.NotNil(t, got.InBoxLb)
	for _, left := range got.Remaining {
		assert.NotEqual(t, "hook", string(left.Where))
	}
	assert.Nil(t, got.MeanDifferenceLb)
	assert.NotContains(t, strings.Join(got.InWords.Remaining, " "), "hook")
	class := classOn("Super Stock", "bluestem", "A")
	class["setting"].(map[string]any)["in_box_lb"] = 12_000
	class["ends_ft"] = 400
	into[openapi.Class](t, p.do(post("/v1/classes", class)), 201)
	show := showOn("Fall Pull", "2099-09-18", "fescue", "super-stock")
	id := into[openapi.Show](t, p.do(post("/v1/shows", show)), 201).Id
	text := string(p.do(get("/v1/shows/" + id + "/sheet.csv")).body)
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(t, err)
	cell := func(heading string) string { return rows[1][slices.Index(rows[0], heading)] }
	assert.NotEmpty(t, cell("tonight_in_box_lb"))
	assert.Empty(t, cell("remains_at_hook_lb"))
	assert.NotEmpty(t, cell("remains_at_finish_lb"))
	candidates := into[openapi.Candidates](t, p.do(get("/v1/shows/"+id+"/candidates")), 200)
	for _, k := range candidates.Items {
		if k.Sled == "fescue" {
			assert.Nil(t, k.Weights.HookMeanLb)
			assert.NotNil(t, k.Weights.FinishMeanLb)
		}
	}
}
