package main

import (
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// owned is the demo with an owner of its sleds.
func owned(t *testing.T, sleds ...string) *program {
	t.Helper()
	p := demo(t)
	for _, id := range sleds {
		got := p.do(get("/v1/sleds/" + id))
		var doc map[string]any
		require.NoError(t, json.Unmarshal(got.body, &doc))
		for _, field := range []string{"id", "readings", "weighings", "revision", "created_at", "updated_at",
			"invented"} {
			delete(doc, field)
		}
		doc["owner"] = "The Ridge Crew"
		is := p.do(put("/v1/sleds/"+id, doc).with("If-Match", got.Header.Get("ETag")))
		require.Equal(t, http.StatusOK, is.StatusCode, "%s", is.body)
	}
	return p
}

func (p *program) given(sled string) string {
	p.t.Helper()
	got := p.do(get("/v1/sleds/" + sled + "/export").as(testKey))
	require.Equal(p.t, http.StatusOK, got.StatusCode, "%s", got.body)
	return string(got.body)
}

// sameNumbers holds two JSON values together: numbers to 1e-9 of themselves, text but for what says whose a sled is.
func sameNumbers(t *testing.T, at string, want, got any) {
	t.Helper()
	switch w := want.(type) {
	case float64:
		g, is := got.(float64)
		assert.True(t, is && math.Abs(w-g) <= 1e-9*max(1, math.Abs(w)), "%s: %v, %v", at, want, got)
	case map[string]any:
		g, is := got.(map[string]any)
		require.True(t, is, "%s", at)
		delete(g, "guest")
		assert.Len(t, g, len(w), "%s", at)
		for name := range w {
			if name != "in_words" {
				sameNumbers(t, at+"."+name, w[name], g[name])
			}
		}
	case []any:
		g, is := got.([]any)
		require.True(t, is && len(g) == len(w), "%s", at)
		for i := range w {
			sameNumbers(t, at, w[i], g[i])
		}
	default:
		assert.Equal(t, want, got, "%s", at)
	}
}

func (p *program) value(path string) (v any) {
	p.t.Helper()
	got := p.do(get(path))
	require.Equal(p.t, http.StatusOK, got.StatusCode, "%s: %s", path, got.body)
	require.NoError(p.t, json.Unmarshal(got.body, &v))
	return v
}

// Two installations: what is given in one is taken in in the other, and answers the same there.
func TestGuest_AnswersTheSameInBothInstallations(t *testing.T) {
	t.Parallel()
	owner, here := owned(t, "bluestem", "fescue"), start(t)
	smallFleet(t, here) // it has a Bluestem and a Fescue of its own
	for sled, as := range map[string]string{"bluestem": "Ridge Bluestem", "fescue": "Ridge Fescue"} {
		document := owner.given(sled)
		problem := problemOf(t, here.do(post("/v1/sleds/import", document)), http.StatusConflict)
		require.NotNil(t, problem.Codes)
		assert.Equal(t, []openapi.FaultCode{openapi.NameTaken}, problem.Codes)
		path := "/v1/sleds/import?name=" + url.QueryEscape(as)
		dry := into[openapi.TakenIn](t, here.do(post(path+"&dry_run=true", document)), http.StatusOK)
		before := into[openapi.SledPage](t, here.do(get("/v1/sleds")), http.StatusOK)
		in := into[openapi.TakenIn](t, here.do(post(path, document)), http.StatusOK)
		assert.Equal(t, dry.Detail, in.Detail)
		assert.True(t, dry.New)
		after := into[openapi.SledPage](t, here.do(get("/v1/sleds")), http.StatusOK)
		assert.Len(t, after.Items, len(before.Items)+1)
		again := into[openapi.TakenIn](t, here.do(post("/v1/sleds/import", document)), http.StatusOK)
		assert.Contains(t, again.Detail, "Nothing new")
	}
	named := strings.NewReplacer("ridge-bluestem", "bluestem", "ridge-fescue", "fescue", "Ridge Bluestem", "Bluestem",
		"Ridge Fescue", "Fescue")
	for _, c := range [][2]string{
		{"/v1/equivalents?sled=bluestem&gear=C&on=fescue",
			"/v1/equivalents?sled=ridge-bluestem&gear=C&on=ridge-fescue"},
		{"/v1/equivalents?sled=bluestem&gear=B&on=fescue&start_ft=2",
			"/v1/equivalents?sled=ridge-bluestem&gear=B&on=ridge-fescue&start_ft=2"},
		{"/v1/equivalents?top_out_ft=255&on=fescue", "/v1/equivalents?top_out_ft=255&on=ridge-fescue"},
		{"/v1/sleds/fescue/driveline", "/v1/sleds/ridge-fescue/driveline"},
		{"/v1/sleds/bluestem/pan-load?in_box_lb=8000", "/v1/sleds/ridge-bluestem/pan-load?in_box_lb=8000"},
	} {
		got := here.do(get(c[1]))
		require.Equal(t, http.StatusOK, got.StatusCode, "%s: %s", c[1], got.body)
		var v any
		require.NoError(t, json.Unmarshal([]byte(named.Replace(string(got.body))), &v))
		sameNumbers(t, c[0], owner.value(c[0]), v)
	}
}

func TestGuest_SaysWhoseItIsOnEveryAnswer(t *testing.T) {
	t.Parallel()
	owner, here := owned(t, "timothy"), start(t)
	smallFleet(t, here)
	into[openapi.TakenIn](t, here.do(post("/v1/sleds/import", owner.given("timothy"))), http.StatusOK)
	whose := `"owner":"The Ridge Crew"`
	show := map[string]any{"name": "Pull", "date": "2026-12-05", "sled": "timothy", "classes": []string{"farm"}}
	class := map[string]any{"name": "Farm", "setting": map[string]any{"sled": "bluestem", "gear": "B"}}
	require.Equal(t, http.StatusCreated, here.do(post("/v1/classes", class)).StatusCode)
	require.Equal(t, http.StatusCreated, here.do(post("/v1/shows", show)).StatusCode)
	for _, path := range []string{
		"/v1/sleds", "/v1/sleds/timothy", "/v1/sleds/timothy/chart", "/v1/equivalents?sled=bluestem&gear=B",
		"/v1/table?reference=bluestem", "/v1/sleds/timothy/pan-load", "/v1/fleet/how-alike?reference=bluestem",
		"/v1/fleet/ladders",
		"/v1/shows/pull-2026-12-05/sheet", "/v1/shows/pull-2026-12-05/candidates",
	} {
		got := here.do(get(path))
		require.Equal(t, http.StatusOK, got.StatusCode, "%s: %s", path, got.body)
		assert.Contains(t, string(got.body), whose, path)
	}
	assert.Contains(t, string(here.do(get("/v1/equivalents?sled=bluestem&gear=B&on=timothy")).body),
		"Timothy is a guest of The Ridge Crew; its numbers are theirs, of ")
	for _, path := range []string{
		"/v1/sleds/timothy/chart.svg", "/v1/equivalents.svg?sled=bluestem&gear=B&on=timothy",
		"/v1/fleet/ladders.svg", "/v1/sleds/timothy/pan-load.svg",
	} {
		assert.Contains(t, string(here.do(get(path)).body), "a guest of The Ridge Crew", path)
	}
	for _, path := range []string{"/v1/table.csv?reference=bluestem", "/v1/shows/pull-2026-12-05/sheet.csv"} {
		assert.Contains(t, string(here.do(get(path)).body),
			"Timothy is a guest of The Ridge Crew; its numbers are theirs, of ", path)
	}
	home := map[string]any{"name": "Hired", "setting": map[string]any{"sled": "timothy", "gear": "low 2"}}
	require.Equal(t, http.StatusCreated, here.do(post("/v1/classes", home)).StatusCode)
	show = map[string]any{"name": "Away", "date": "2026-12-06", "sled": "bluestem", "classes": []string{"hired"}}
	require.Equal(t, http.StatusCreated, here.do(post("/v1/shows", show)).StatusCode)
	away := into[openapi.Sheet](t, here.do(get("/v1/shows/away-2026-12-06/sheet")), http.StatusOK)
	assert.Nil(t, away.Guest)
	require.NotNil(t, away.Rows[0].HomeGuest)
	assert.Equal(t, "The Ridge Crew", away.Rows[0].HomeGuest.Owner)
	assert.Contains(t, string(here.do(get("/v1/shows/away-2026-12-06/sheet.csv")).body), "a guest of The Ridge Crew")
	chart := into[openapi.Chart](t, here.do(get("/v1/sleds/timothy/chart")), http.StatusOK)
	require.NotNil(t, chart.Repeatability.Of)
	assert.Equal(t, "The Ridge Crew", *chart.Repeatability.Of)
	assert.Nil(t, chart.OwnReadings)
	label := chart.Gears[0].Label
	own := readingOf(label, math.Round(*chart.Gears[0].TopOuts[0].TopOutFt))
	require.Equal(t, http.StatusCreated, here.do(post("/v1/sleds/timothy/readings", own)).StatusCode)
	chart = into[openapi.Chart](t, here.do(get("/v1/sleds/timothy/chart")), http.StatusOK)
	require.NotNil(t, chart.OwnReadings)
	assert.True(t, chart.OwnReadings[0].Fits)
	assert.Contains(t, chart.OwnReadings[0].Detail, "the owner's chart expects")

	alike := here.do(get("/v1/fleet/how-alike?reference=bluestem&guests=leave-out"))
	assert.NotContains(t, string(alike.body), "timothy")
	assert.Equal(t, 1, into[openapi.Season](t, here.do(get("/v1/season?guests=leave-out")), http.StatusOK).Shows)
	assert.Equal(t, 2, into[openapi.Season](t, here.do(get("/v1/season")), http.StatusOK).Shows)
	with, without := here.do(get("/v1/fleet/ladders.svg")), here.do(get("/v1/fleet/ladders.svg?guests=leave-out"))
	assert.Contains(t, string(with.body), "Timothy")
	assert.NotContains(t, string(without.body), "Timothy")
	// The guest that only a pull-off is set on is named as well.
	final := map[string]any{"name": "Final", "setting": map[string]any{"sled": "bluestem", "gear": "B"},
		"pull_off": map[string]any{"sled": "timothy", "gear": "low 2"}}
	require.Equal(t, http.StatusCreated, here.do(post("/v1/classes", final)).StatusCode)
	show = map[string]any{"name": "Finals", "date": "2026-12-07", "sled": "bluestem", "classes": []string{"final"}}
	require.Equal(t, http.StatusCreated, here.do(post("/v1/shows", show)).StatusCode)
	finals := into[openapi.Sheet](t, here.do(get("/v1/shows/finals-2026-12-07/sheet")), http.StatusOK)
	assert.Nil(t, finals.Rows[0].HomeGuest)
	require.NotNil(t, finals.Rows[0].PullOff.HomeGuest)
	assert.Contains(t, finals.Rows[0].PullOff.HomeGuest.Detail, "Timothy is a guest of The Ridge Crew")
	assert.Contains(t, string(here.do(get("/v1/shows/finals-2026-12-07/sheet.csv")).body), "a guest of The Ridge Crew")
}

func TestGuest_SaysInWordsWhatItRefuses(t *testing.T) {
	t.Parallel()
	owner, here := owned(t, "timothy"), start(t)
	document := owner.given("timothy")
	turns := metric(t, here, "evenpull_write_duration_seconds_count")
	for what, c := range map[string]struct {
		request request
		status  int
		says    string
	}{
		"half a document": {post("/v1/sleds/import", document[:len(document)/2]), 400, "breaks off"},
		"a whole fleet":   {post("/v1/sleds/import", owner.export()), 400, "not a sled that another crew gave away"},
		"a newer version": {post("/v1/sleds/import", strings.Replace(document, "sled-1", "sled-2", 1)), 400,
			"newer program"},
		"one's own": {get("/v1/sleds/none/export").as(testKey), 404, "no sled"},
		"a wrong reading": {post("/v1/sleds/import", strings.Replace(document, `"distance_ft":`, `"distance_ft":-`, 1)),
			422, "readings[0].distance_ft"},
		"a name that reads backwards": {post("/v1/sleds/import", strings.Replace(document, `"The Ridge Crew"`,
			`"The \u202eRidge Crew"`, 1)), 422, "U+202E, which changes the direction of the text, as character 5"},
		"without a key": {post("/v1/sleds/import", document).as(""), 401, ""},
	} {
		got := here.do(c.request)
		assert.Equal(t, c.status, got.StatusCode, "%s: %s", what, got.body)
		assert.Contains(t, string(got.body), c.says, what)
	}
	assert.Empty(t, into[openapi.SledPage](t, here.do(get("/v1/sleds")), 200).Items)
	assert.Equal(t, turns, metric(t, here, "evenpull_write_duration_seconds_count"),
		"none of them took a turn to write")
	named := problemOf(t, here.do(post("/v1/sleds/import?name=A%E2%80%AEB", document)), 422)
	assert.Equal(t, []string{"name"}, faultsAt(named))
	assert.Contains(t, named.Errors[0].Detail, "U+202E, which changes the direction of the text, as character 2")
	assert.Equal(t, http.StatusUnauthorized, owner.do(get("/v1/sleds/timothy/export").as("")).StatusCode)
	require.Equal(t, http.StatusCreated, owner.do(post("/v1/sleds", map[string]any{"name": "Nameless",
		"gears": []any{map[string]any{"label": "A"}}})).StatusCode)
	problemOf(t, owner.do(get("/v1/sleds/nameless/export").as(testKey)), http.StatusConflict)
}

// A sled with more readings than anybody could take in is not given, and its owner is told why before it is sent.
func TestGuest_IsNotGivenWhereNobodyCouldTakeItIn(t *testing.T) {
	t.Parallel()
	p := start(t)
	require.Equal(t, http.StatusCreated, p.do(post("/v1/sleds", map[string]any{"name": "Long", "owner": "Us",
		"gears": []any{map[string]any{"label": "A"}}})).StatusCode)
	for range 4 { // under the race detector all at once would take too long for one request
		var rows strings.Builder
		rows.WriteString("sled,gear,start_ft,distance_ft,ended,by,measured_on\n")
		for i := range 5_001 {
			fmt.Fprintf(&rows, "long,A,0,%d,stated,Bo,2026-05-09\n", 280+i%9)
		}
		got := p.do(post("/v1/readings?repeated=keep", rows.String()).with("Content-Type", "text/csv"))
		require.Equal(t, http.StatusCreated, got.StatusCode, "%.300s", got.body)
	}
	problem := problemOf(t, p.do(get("/v1/sleds/long/export").as(testKey)), http.StatusConflict)
	assert.Contains(t, problem.Detail, "Long has 20004 readings")
	assert.Contains(t, problem.Detail, "whole fleet")
}

// A reading is set aside as it was read: not as a newer document of its owner has it.
func TestGuest_ReadingHasAnotherETagAfterANewerDocument(t *testing.T) {
	t.Parallel()
	owner, here := owned(t, "timothy"), start(t)
	document := owner.given("timothy")
	into[openapi.TakenIn](t, here.do(post("/v1/sleds/import", document)), http.StatusOK)
	reading := "/v1/readings/" + readingsOf(t, here, "timothy")[0].Id
	was := here.do(get(reading))
	distance := regexp.MustCompile(`"distance_ft":([0-9.]+)`)
	var r map[string]any
	require.NoError(t, json.Unmarshal(was.body, &r))
	line := regexp.MustCompile(`\{"id":"` + r["id"].(string) + `".*`)
	newer := line.ReplaceAllStringFunc(document, func(of string) string {
		return distance.ReplaceAllString(of, fmt.Sprintf(`"distance_ft":%g`, r["distance_ft"].(float64)+0.5))
	})
	require.NotEqual(t, document, newer)
	assert.Equal(t, 1, into[openapi.TakenIn](t, here.do(post("/v1/sleds/import", newer)), 200).ReadingsChanged)
	aside := patch(reading, map[string]any{"set_aside": map[string]any{"reason": "it slipped"}})
	problemOf(t, here.do(aside.with("If-Match", was.Header.Get("ETag"))), http.StatusPreconditionFailed)
	into[openapi.Reading](t, here.do(aside.with("If-Match", here.do(get(reading)).Header.Get("ETag"))), 200)
}

// A sled may be called as an address is.
func TestSled_MayBeCalledImport(t *testing.T) {
	t.Parallel()
	p := start(t)
	require.Equal(t, http.StatusCreated, p.do(post("/v1/sleds", map[string]any{"name": "Import",
		"gears": []any{map[string]any{"label": "A"}}})).StatusCode)
	assert.Equal(t, http.StatusOK, p.do(get("/v1/sleds/import")).StatusCode)
}
