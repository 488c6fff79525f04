package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Characters that nobody sees are refused wherever a line of text is taken, and the words say which it is.
func TestHiddenCharacters_AreRefusedInEveryLineOfText(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	const bad = "4\u202eft"
	before := everything(t, p)
	with := func(body map[string]any, field string, value any) map[string]any {
		body[field] = value
		return body
	}
	reading := func(field string) request {
		return post("/v1/sleds/bluestem/readings", with(readingOf("A", 280), field, bad))
	}
	for at, r := range map[string]request{
		"name":           post("/v1/sleds", sledWith("name", bad)),
		"owner":          post("/v1/sleds", with(sledWith("name", "Sedge"), "owner", bad)),
		"gears[0].label": post("/v1/sleds", sledWith("gears", []any{map[string]any{"label": bad}})),
		"used_by":        post("/v1/classes", with(classOn("New", "bluestem", "B"), "used_by", bad)),
		"promoter":       post("/v1/shows", with(showOn("New", "2099-07-18", "fescue", "open-4x4"), "promoter", bad)),
		"weights":        post(asRunAt("open-4x4"), with(lineOf(1, "1"), "weights", bad)),
		"what": post("/v1/sleds/bluestem/changes",
			map[string]any{"made_on": "2025-06-01", "what": bad, "effect": "unknown"}),
		"day":          reading("day"),
		"place":        reading("place"),
		"by":           reading("by"),
		"taken_with":   reading("taken_with"),
		"surface":      reading("surface"),
		"marked_by":    reading("marked_by"),
		"(key) name":   post("/v1/keys", map[string]any{"name": bad, "role": "operator"}),
		"(class) name": post("/v1/classes", classOn(bad, "bluestem", "B")),
		"(show) name":  post("/v1/shows", showOn(bad, "2099-07-18", "fescue", "open-4x4")),
		"(upload) surface": csvPost("/v1/readings",
			"sled,gear,start_ft,distance_ft,measured_on,surface\nbluestem,A,0,280,2025-05-10,"+bad+"\n"),
	} {
		got := problemOf(t, p.do(r), 422)
		_, field, found := strings.Cut(at, ") ")
		if !found {
			field = at
		}
		assert.Equal(t, []string{field}, faultsAt(got), at)
		assert.Contains(t, got.Errors[0].Detail,
			"U+202E, which changes the direction of the text, as character 2", at)
	}
	half := problemOf(t, p.do(post("/v1/sleds",
		`{"name":"Sedge","gears":[{"label":"A\ud800"}],"notes":"\udc00"}`)), 422)
	assert.ElementsMatch(t, []string{"gears[0].label", "notes"}, faultsAt(half))
	assert.Contains(t, half.Errors[0].Detail, "holds half a character")
	assert.Equal(t, before, everything(t, p))
}
