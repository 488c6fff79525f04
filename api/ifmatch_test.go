package main

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// Whatever changes something that is there keeps to If-Match, whether it has to be sent or not.
func TestIfMatch_IsHonoredByEveryChange(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	stored := p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 279)))
	reading := stored.Header.Get("Location")
	change := p.do(post("/v1/sleds/bluestem/changes",
		map[string]any{"made_on": "2025-06-01", "what": "other tires", "effect": "unknown"}))
	line := p.do(post(asRunAt("open-4x4"), lineOf(1, "1")))
	lineAt := asRunAt("open-4x4") + "/" + into[openapi.AsRun](t, line, 201).Id
	outcomeAt := "/v1/shows/" + harvest + "/classes/open-4x4/outcome"
	outcome := p.do(put(outcomeAt, map[string]any{"felt": "soft"}))
	batch := "/v1/batches/" + *into[openapi.Accepted](t, p.do(post("/v1/readings", `[{"sled":"bluestem","gear":"C",
		"distance_ft":250,"measured_on":"2025-05-10"},{"sled":"bluestem","gear":"C","distance_ft":251,
		"measured_on":"2025-05-10"}]`)), 201).Batch

	weighing := p.do(post("/v1/sleds/bluestem/weighings", weighingOf(0, 0, 10_720)))

	aside := map[string]any{"set_aside": map[string]any{"reason": "the flag had blown over"}}
	for _, c := range []struct {
		what string
		etag string
		do   request
		ok   int
	}{
		{"a reading", stored.Header.Get("ETag"), patch(reading, aside), 200},
		{"a batch", p.do(get(batch)).Header.Get("ETag"), patch(batch, aside), 200},
		{"a weighing", weighing.Header.Get("ETag"), patch(weighing.Header.Get("Location"), aside), 200},
		{"an outcome", outcome.Header.Get("ETag"), put(outcomeAt, map[string]any{"felt": "hard"}), 200},
		{"a line", line.Header.Get("ETag"), remove(lineAt), 204},
		{"a change of parts", change.Header.Get("ETag"), remove(change.Header.Get("Location")), 204},
	} {
		require.Regexp(t, `^"[^"]+"$`, c.etag, "%s: a strong ETag", c.what)
		before := everything(t, p)
		problem := problemOf(t, p.do(c.do.with("If-Match", `"stale"`)), http.StatusPreconditionFailed)
		assert.Contains(t, problem.Detail, "somebody changed the", c.what)
		problemOf(t, p.do(c.do.with("If-Match", "W/"+c.etag)), http.StatusPreconditionFailed)
		problemOf(t, p.do(c.do.with("If-Match", "stale")), http.StatusUnprocessableEntity)
		assert.Equal(t, before, everything(t, p), c.what)
		done := p.do(c.do.with("If-Match", `"stale", `+c.etag))
		require.Equal(t, c.ok, done.StatusCode, "%s: %s", c.what, done.body)
		if c.ok == 204 {
			continue
		}
		problemOf(t, p.do(c.do.with("If-Match", c.etag)), http.StatusPreconditionFailed)
		assert.Equal(t, c.ok, p.do(c.do.with("If-Match", "*")).StatusCode, c.what)
		assert.Equal(t, c.ok, p.do(c.do).StatusCode, c.what)
	}
	for _, at := range []string{reading, batch, weighing.Header.Get("Location")} {
		read := p.do(get(at))
		assert.Equal(t, 304, p.do(get(at).with("If-None-Match", read.Header.Get("ETag"))).StatusCode)
		into[map[string]any](t, p.do(patch(at, map[string]any{"set_aside": nil}).with("If-Match",
			read.Header.Get("ETag"))), 200)
	}
}

// What only adds something, or ends it, has no ETag that a condition could name.
func TestIfMatch_ThatCannotHoldIsRefused(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	before := everything(t, p)
	for what, r := range map[string]request{
		"a reading more": post("/v1/sleds/bluestem/readings", readingOf("A", 281)),
		"many readings":  csvPost("/v1/readings", heading+"bluestem,B,0,262,2025-05-10\n"),
		"a sled more":    post("/v1/sleds", sledWith("name", "Sedge")),
		"a key":          remove("/v1/keys/none"),
	} {
		problem := problemOf(t, p.do(r.with("If-Match", `"1"`)), http.StatusPreconditionFailed)
		assert.Contains(t, problem.Detail, "leave the header out", what)
	}
	assert.Equal(t, before, everything(t, p))
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 281)).with("If-Match", "*")), 201)
}
