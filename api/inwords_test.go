package main

import (
	"maps"
	"regexp"
	"slices"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// said are the properties of the contract that hold sentences with numbers in them.
var said = []string{"action", "detail", "in_words"}

// whose is the schema of a sentence that has no figure in it but a date: it is the same in all units.
const whose = "#/components/schemas/Guest"

// saysSentences says whether a schema has such a property, however deep.
func saysSentences(s *openapi3.SchemaRef, seen map[*openapi3.Schema]bool) bool {
	if s == nil || s.Value == nil || seen[s.Value] || s.Ref == whose {
		return false
	}
	seen[s.Value] = true
	v := s.Value
	for name, of := range v.Properties {
		if slices.Contains(said, name) || saysSentences(of, seen) {
			return true
		}
	}
	for _, of := range slices.Concat(v.AllOf, v.AnyOf, v.OneOf) {
		if saysSentences(of, seen) {
			return true
		}
	}
	return saysSentences(v.Items, seen) || saysSentences(v.AdditionalProperties.Schema, seen)
}

// Every read that answers in sentences says them in feet or in meters, as asked; its numbers are the same whatever is
// asked.
func TestInWords_EverySentenceIsInTheUnitsAskedFor(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	weighSmallFleet(t, p)
	untaped := map[string]any{"name": "Brome", "gears": []any{map[string]any{"label": "X"}}}
	into[openapi.Sled](t, p.do(post("/v1/sleds", untaped)), 201)
	into[openapi.Reading](t, p.do(post("/v1/sleds/brome/readings", readingOf("X", 270))), 201)
	// no longer apart from B
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("C", 262.5))), 201)
	forward := classOn("Stock 6200 lb", "bluestem", "A")
	forward["setting"].(map[string]any)["start_ft"] = 4
	into[openapi.Class](t, p.do(post("/v1/classes", forward)), 201)
	show := into[openapi.Show](t, p.do(post("/v1/shows", showOn("Fall Pull", "2099-09-18", "brome", "stock-6200-lb"))),
		201)
	into[openapi.AsRun](t, p.do(post(asRunAt("open-4x4"), lineOf(1, "2"))), 201)

	const noDistance = true
	reads := map[string]struct {
		address string
		none    bool // what it says has no distance in it
	}{
		"getEquivalents": {address: "/v1/equivalents?sled=bluestem&gear=A&start_ft=4"},
		"getChart":       {address: "/v1/sleds/bluestem/chart?start_ft=0"},
		"getAdvice":      {address: "/v1/sleds/bluestem/advice?most=3"},
		"getSheet":       {address: "/v1/shows/" + show.Id + "/sheet?sled=brome"},
		"getTable":       {"/v1/table?reference=fescue&day=2025-05-10", noDistance},
		"getSeason":      {address: "/v1/season?since=2025-01-01"},
		"getPanLoad":     {address: "/v1/sleds/bluestem/pan-load?in_box_lb=12000&gear=A"},
		"getWeights":     {address: "/v1/weights?sled=bluestem&gear=A&in_box_lb=12000&on=fescue"},
		"getCandidates":  {address: "/v1/shows/" + show.Id + "/candidates?"},
		"getDriveline":   {"/v1/sleds/bluestem/driveline?", noDistance},
		"getDays":        {"/v1/sleds/bluestem/days?", noDistance},
	}
	doc := theContract(t)
	asked := map[string]bool{}
	for path, item := range doc.Paths.Map() {
		if item.Get == nil {
			continue
		}
		answer := item.Get.Responses.Status(200)
		if answer == nil || answer.Value.Content["application/json"] == nil {
			continue
		}
		if !saysSentences(answer.Value.Content["application/json"].Schema, map[*openapi3.Schema]bool{}) {
			continue
		}
		id := item.Get.OperationID
		asked[id] = true
		require.NotNil(t, item.Get.Parameters.GetByInAndName("query", "units"), "%s answers in sentences", path)
		read, known := reads[id]
		require.True(t, known, "say in this test how to ask for %s", id)
		inFeet, inMeters := p.do(get(read.address+"&units=ft")), p.do(get(read.address+"&units=m"))
		require.Equal(t, 200, inFeet.StatusCode, "%s", inFeet.body)
		assert.Equal(t, string(inFeet.body), string(p.do(get(read.address)).body), "%s: feet where nobody says", path)
		numbers, ft := apart(into[any](t, inFeet, 200), false)
		same, m := apart(into[any](t, inMeters, 200), false)
		assert.Equal(t, numbers, same, "%s: numbers are in feet under their names", path)
		require.Len(t, m, len(ft), path)
		differ := false
		for i := range ft {
			assert.NotRegexp(t, meters, ft[i], path)
			assert.NotRegexp(t, feet, m[i], path)
			differ = differ || ft[i] != m[i] && feet.MatchString(ft[i]) && meters.MatchString(m[i])
		}
		assert.Equal(t, !read.none, differ, "%s: %q", path, ft)
	}
	assert.ElementsMatch(t, slices.Collect(maps.Keys(reads)), slices.Collect(maps.Keys(asked)))
}

var (
	feet   = regexp.MustCompile(`[0-9]\x{a0}ft\b`)
	meters = regexp.MustCompile(`[0-9]\x{a0}m\b`)
)

// apart takes the sentences out of a JSON value, in a fixed order, and leaves the rest.
func apart(v any, sentence bool) (rest any, sentences []string) {
	switch v := v.(type) {
	case string:
		if sentence {
			return nil, []string{v}
		}
	case []any:
		list := make([]any, len(v))
		for i, one := range v {
			var found []string
			list[i], found = apart(one, sentence)
			sentences = append(sentences, found...)
		}
		return list, sentences
	case map[string]any:
		fields := map[string]any{}
		for _, name := range slices.Sorted(maps.Keys(v)) {
			var found []string
			fields[name], found = apart(v[name], sentence || slices.Contains(said, name))
			sentences = append(sentences, found...)
		}
		return fields, sentences
	}
	return v, nil
}
