package main

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// weighingOf is a weighing of the pan with the box at a mark and so much in it.
func weighingOf(boxAtFt, inBoxLb, panLb float64) map[string]any {
	return map[string]any{"weighed_on": "2025-05-11", "box_at_ft": boxAtFt, "in_box_lb": inBoxLb, "pan_lb": panLb}
}

// weighSmallFleet weighs Bluestem and Fescue empty and loaded, at back and top.
func weighSmallFleet(t *testing.T, p *program) {
	t.Helper()
	for sled, states := range map[string][][3]float64{
		"bluestem": {{0, 0, 10_720}, {34.5, 0, 16_940}, {0, 12_000, 9_540}, {34.5, 12_000, 30_500}},
		"fescue":   {{0, 0, 12_160}, {31, 0, 18_240}, {0, 12_000, 11_700}, {31, 12_000, 29_560}},
	} {
		for _, s := range states {
			into[openapi.Weighing](t, p.do(post("/v1/sleds/"+sled+"/weighings", weighingOf(s[0], s[1], s[2]))), 201)
		}
	}
}

func TestWeighing_HasEverythingThatWasNoted(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	noted := map[string]any{
		"weighed_on": "2025-06-01", "box_at_ft": 17.25, "in_box_lb": 12_000.0, "on_pan_lb": 250.0, "pan_lb": 20_370.0,
		"tandem_lb": 30_300.0, "total_lb": 50_670.0, "scale": "platform scale", "scale_step_lb": 20.0,
		"place": "the yard",
		"by":    "crew", "note": "level",
	}
	got := p.do(post("/v1/sleds/bluestem/weighings", noted))
	weighing := into[map[string]any](t, got, 201)
	for field, value := range noted {
		assert.Equal(t, value, weighing[field], field)
	}
	assert.Nil(t, weighing["set_aside"])
	assert.Equal(t, string(got.body), string(p.do(get(got.Header.Get("Location"))).body))
	sled := into[openapi.Sled](t, p.do(get("/v1/sleds/bluestem")), 200)
	assert.Equal(t, 1, *sled.Weighings)
	assert.Nil(t, into[openapi.Sled](t, p.do(get("/v1/sleds/fescue")), 200).Weighings, "never weighed")
}

func TestWeighing_IsSetAsideAndComesBackAndTheLoadFollows(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	weighSmallFleet(t, p)
	page := into[openapi.WeighingPage](t, p.do(get("/v1/sleds/bluestem/weighings?limit=1")), 200)
	require.Len(t, page.Items, 1)
	require.NotNil(t, page.Next)
	rest := into[openapi.WeighingPage](t, p.do(get("/v1/sleds/bluestem/weighings?after="+*page.Next)), 200)
	assert.Len(t, rest.Items, 3)
	id, question := page.Items[0].Id, get("/v1/sleds/bluestem/pan-load?in_box_lb=12000")
	with := p.do(question)
	aside := into[openapi.Weighing](t,
		p.do(patch("/v1/weighings/"+id, `{"set_aside":{"reason":" the brake dragged "}}`)), 200)
	assert.Equal(t, "the brake dragged", aside.SetAside.Reason)
	assert.NotEqual(t, string(with.body), string(p.do(question).body))
	for _, body := range []string{`{}`, `{"confirmed":true}`} {
		refused := problemOf(t, p.do(patch("/v1/weighings/"+id, body)), 422)
		assert.Contains(t, faultsAt(refused), "set_aside", body)
	}
	assert.NotNil(t, into[openapi.Weighing](t, p.do(get("/v1/weighings/"+id)), 200).SetAside)
	back := into[openapi.Weighing](t, p.do(patch("/v1/weighings/"+id, `{"set_aside":null}`)), 200)
	assert.Nil(t, back.SetAside)
	assert.Equal(t, string(with.body), string(p.do(question).body))
	assert.Equal(t, http.StatusNotFound, p.do(patch("/v1/weighings/none", `{"set_aside":null}`)).StatusCode)
	assert.Equal(t, http.StatusNotFound, p.do(get("/v1/weighings/none")).StatusCode)
	assert.Equal(t, http.StatusNotFound, p.do(get("/v1/sleds/none/weighings")).StatusCode)
}

func TestWeighing_IsSentOnceWithAnIdempotencyKey(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	send := post("/v1/sleds/bluestem/weighings", weighingOf(0, 0, 10_720)).with("Idempotency-Key", "w-1")
	first, again := p.do(send), p.do(send)
	assert.Equal(t, 201, again.StatusCode)
	assert.Equal(t, string(first.body), string(again.body))
	assert.Len(t, into[openapi.WeighingPage](t, p.do(get("/v1/sleds/bluestem/weighings")), 200).Items, 1)
}

func TestWeighing_IsRefusedWithTheFieldNamed(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	for name, c := range map[string]struct {
		change func(w map[string]any)
		at     string
	}{
		"no pan load":         {func(w map[string]any) { delete(w, "pan_lb") }, "pan_lb"},
		"a pan load of 0":     {func(w map[string]any) { w["pan_lb"] = 0 }, "pan_lb"},
		"a box past the top":  {func(w map[string]any) { w["box_at_ft"] = 40 }, "box_at_ft"},
		"less than no blocks": {func(w map[string]any) { w["in_box_lb"] = -1 }, "in_box_lb"},
		"more laid than read": {func(w map[string]any) { w["on_pan_lb"] = 20_000 }, "on_pan_lb"},
		"a date to come":      {func(w map[string]any) { w["weighed_on"] = "2199-01-01" }, "weighed_on"},
		"a field of nothing":  {func(w map[string]any) { w["gear"] = "A" }, "gear"},
	} {
		w := weighingOf(0, 0, 10_720)
		c.change(w)
		problem := problemOf(t, p.do(post("/v1/sleds/bluestem/weighings", w)), 422)
		require.Len(t, problem.Errors, 1, name)
		assert.Equal(t, c.at, problem.Errors[0].At, name)
	}
	assert.Empty(t, into[openapi.WeighingPage](t, p.do(get("/v1/sleds/bluestem/weighings")), 200).Items)
}

func TestWeighings_GoOutAndComeInAsASpreadsheet(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	weighSmallFleet(t, p)
	out := p.do(get("/v1/sleds/bluestem/weighings.csv"))
	require.Equal(t, 200, out.StatusCode)
	assert.True(t, strings.HasPrefix(string(out.body), "sled,weighed_on,box_at_ft,in_box_lb,on_pan_lb,pan_lb,"), "%s",
		out.body)
	assert.Equal(t, 5, strings.Count(string(out.body), "\r\n"))
	other := start(t)
	smallFleet(t, other)
	csv := func(address, text string) request { return post(address, text).with("Content-Type", "text/csv") }
	assert.Equal(t, 4, into[openapi.Accepted](t, other.do(csv("/v1/weighings", string(out.body))), 201).Accepted)
	assert.Equal(t, string(out.body), string(other.do(get("/v1/sleds/bluestem/weighings.csv")).body))
	load := get("/v1/sleds/bluestem/pan-load?in_box_lb=12000&gear=A")
	here, there := into[openapi.PanLoad](t, p.do(load), 200), into[openapi.PanLoad](t, other.do(load), 200)
	assert.InDelta(t, here.Places[2].Pan.Lb, there.Places[2].Pan.Lb, 1e-6)
}

// As a crew writes it: other words for the columns, kilograms and meters, a name in place of the id.
func TestWeighings_AreReadInKilogramsAndMeters(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	const text = "Sled;Date;Box mark (m);Blocks in the box (kg);Scale reads;Note\n" +
		"Blue Stem;2025-05-11;0;0;4862,5 kg;level\nBluestem;2025-05-11;10,5156;5443,10844;30500 lb;\n"
	csv := func(address string) request { return post(address, text).with("Content-Type", "text/csv") }
	checked := into[openapi.Accepted](t, p.do(csv("/v1/weighings?dry_run=true")), 200)
	require.NotNil(t, checked.Upload)
	names := mapSlice(checked.Upload.Columns, func(c openapi.UploadColumn) string { return valueOr(c.Name, "") })
	assert.Equal(t, []string{"sled", "weighed_on", "box_at_m", "in_box_kg", "pan_lb", "note"}, names)
	assert.Empty(t, into[openapi.WeighingPage](t, p.do(get("/v1/sleds/bluestem/weighings")), 200).Items, "only checked")
	into[openapi.Accepted](t, p.do(csv("/v1/weighings")), 201)
	items := into[openapi.WeighingPage](t, p.do(get("/v1/sleds/bluestem/weighings")), 200).Items
	require.Len(t, items, 2)
	// NIST Special Publication 811, Appendix B: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m, exactly.
	assert.InDelta(t, 4862.5/0.45359237, items[1].PanLb, 1e-6)
	assert.InDelta(t, 12_000, items[0].InBoxLb, 1e-6)
	assert.InDelta(t, 34.5, items[0].BoxAtFt, 1e-9)
	assert.InDelta(t, 30_500, items[0].PanLb, 0)
}

func TestWeighings_AreAllOrNothingWithEveryRowNamed(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	good, bad := weighingOf(0, 0, 10_720), weighingOf(60, 0, 10_720)
	good["sled"], bad["sled"] = "bluestem", "bluestem"
	lost := weighingOf(0, 0, 10_720)
	lost["sled"] = "oat"
	problem := problemOf(t, p.do(post("/v1/weighings", []any{good, bad, lost})), 422)
	require.Len(t, problem.Errors, 2)
	assert.Equal(t, []any{2, "box_at_ft", 3, "sled"}, []any{*problem.Errors[0].Row, problem.Errors[0].At,
		*problem.Errors[1].Row, problem.Errors[1].At})
	assert.Empty(t, into[openapi.WeighingPage](t, p.do(get("/v1/sleds/bluestem/weighings")), 200).Items)
	text := "sled,weighed_on,box_at_ft,pan_lb\nbluestem,2025-05-11,0,heavy\n"
	problem = problemOf(t, p.do(post("/v1/weighings", text).with("Content-Type", "text/csv")), 422)
	assert.Equal(t, "pan_lb", problem.Errors[0].At)
}

func TestSled_KeepsItsLoading(t *testing.T) {
	t.Parallel()
	p := start(t)
	loading := map[string]any{
		"tandem_to_pan_ft": 28.0, "tandem_to_pan_plus_minus_ft": 0.1, "empty_box_lb": 5000.0,
		"empty_box_plus_minus_lb": 60.0,
		"box_ahead_of_tandem_ft":  -2.75, "box_ahead_of_tandem_plus_minus_ft": 0.1,
		"blocks":         []any{map[string]any{"lb": 2000.0, "count": 8.0}},
		"most_in_box_lb": 16_000.0, "most_on_pan_lb": 32_000.0, "most_on_tandem_lb": 40_000.0,
	}
	sled := into[map[string]any](t, p.do(post("/v1/sleds", sledWith("loading", loading))), 201)
	assert.Equal(t, loading, sled["loading"])
	address := "/v1/sleds/" + sled["id"].(string)
	without := into[map[string]any](t, p.do(put(address, sledWith("owner", "crew")).with("If-Match", "*")), 200)
	assert.NotContains(t, without, "loading", "what is left out is no longer known")
	for at, wrong := range map[string]map[string]any{
		"loading.empty_box_plus_minus_lb": {"empty_box_plus_minus_lb": 60},
		"loading.blocks[1].lb": {"blocks": []any{map[string]any{"lb": 1, "count": 1},
			map[string]any{"lb": 1, "count": 2}}},
		"loading.most_in_box_lb": {"most_in_box_lb": 0},
	} {
		problem := problemOf(t, p.do(put(address, sledWith("loading", wrong)).with("If-Match", "*")), 422)
		assert.Equal(t, at, problem.Errors[0].At)
	}
}
