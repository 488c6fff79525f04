package main

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

func (p *program) export() string {
	p.t.Helper()
	got := p.do(get("/v1/export").as(testKey))
	require.Equal(p.t, http.StatusOK, got.StatusCode, "%s", got.body)
	return string(got.body)
}

// The demo fleet goes from one installation to another and is the same there, to the last byte of every answer.
func TestArchive_MovesAFleetToAnotherInstallation(t *testing.T) {
	t.Parallel()
	p, other := demo(t), start(t, "--public-url", publicURL)
	first := p.do(get("/v1/export").as(testKey))
	require.Equal(t, http.StatusOK, first.StatusCode)
	assert.Equal(t, "application/json", first.Header.Get("Content-Type"))
	assert.Regexp(t, `^attachment; filename="evenpull-\d{4}-\d\d-\d\d\.json"$`, first.Header.Get("Content-Disposition"))
	assert.Equal(t, "no-store", first.Header.Get("Cache-Control"))
	document := string(first.body)
	zipped := p.do(get("/v1/export").as(testKey).with("Accept-Encoding", "gzip"))
	require.Equal(t, "gzip", zipped.Header.Get("Content-Encoding"))
	unzip, err := gzip.NewReader(bytes.NewReader(zipped.body))
	require.NoError(t, err)
	text, err := io.ReadAll(unzip)
	require.NoError(t, err)
	assert.Equal(t, document, string(text))

	got := into[openapi.Imported](t, other.do(post("/v1/import", document)), http.StatusOK)
	assert.Equal(t, 6, got.Sleds)
	assert.Greater(t, got.Readings, 100)
	assert.Equal(t, document, other.export())
	for _, path := range []string{
		"/v1/sleds/bluestem", "/v1/sleds/bluestem/chart", "/v1/sleds/brome/chart.svg",
		"/v1/sleds/fescue/readings?limit=500", "/v1/sleds/brome/changes",
		"/v1/sleds/fescue/days", "/v1/sleds/fescue/driveline", "/v1/equivalents?sled=bluestem&gear=C",
		"/v1/table?reference=timothy", "/v1/classes",
		"/v1/shows", "/v1/shows/" + winterPull + "/sheet", "/v1/shows/" + winterPull +
			"/candidates", "/v1/season", "/v1/fleet/how-alike?reference=bluestem",
	} {
		want, is := p.do(get(path)), other.do(get(path))
		require.Equal(t, http.StatusOK, want.StatusCode, path)
		assert.Equal(t, string(want.body), string(is.body), path)
		assert.Equal(t, want.Header.Get("ETag"), is.Header.Get("ETag"), path)
	}
	assert.Equal(t, http.StatusConflict, other.do(post("/v1/import", document)).StatusCode,
		"only into an empty database")
	entry := into[openapi.HistoryPage](t, other.do(get("/v1/history?limit=1").as(testKey)), http.StatusOK).Items[0]
	assert.Equal(t, []string{"imported", "fleet"}, []string{entry.Act, entry.Kind})
}

func TestArchive_SaysInWordsWhatItRefuses(t *testing.T) {
	t.Parallel()
	p, full := start(t), demo(t)
	document := full.export()
	for what, c := range map[string]struct {
		request request
		status  int
		says    string
	}{
		"no body": {post("/v1/import", "").with("Content-Type", "application/json"), 400, ""},
		"another type": {post("/v1/import", document).with("Content-Type", "text/csv"), 415,
			"application/json"},
		"half a document": {post("/v1/import", document[:len(document)/2]), 400, "breaks off"},
		"another format": {post("/v1/import", `{"format": "evenpull-fleet-7"}`), 400,
			"a newer program wrote it"},
		"a sled without a travel": {post("/v1/import",
			strings.Replace(document, `"travel_ft":34.5`, `"travel_ft":-1`, 1)), 422, "sleds[0].travel_ft"},
	} {
		got := p.do(c.request)
		assert.Equal(t, c.status, got.StatusCode, "%s: %s", what, got.body)
		assert.Contains(t, string(got.body), c.says, what)
	}
	assert.Empty(t, into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200).Items)
}
