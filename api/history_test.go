package main

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// historyOf reads the whole history, newest first, in pages.
func historyOf(t *testing.T, p *program, filter string) []openapi.HistoryEntry {
	t.Helper()
	var all []openapi.HistoryEntry
	for next := ""; ; {
		page := into[openapi.HistoryPage](t, p.do(get("/v1/history?limit=3"+filter+next).as(p.key)), 200)
		all = append(all, page.Items...)
		if page.Next == nil {
			return all
		}
		require.Len(t, page.Items, 3, "only the last page may be short")
		next = "&after=" + url.QueryEscape(*page.Next)
	}
}

// Every write is in the history: who, what, from what to what. It is read in pages, by sled and by person.
func TestHistory_SaysWhoChangedWhat(t *testing.T) {
	t.Parallel()
	p := start(t)
	gate := addKey(t, p, "Gate", openapi.Operator)
	office := addKey(t, p, "Office", openapi.Manager)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem()).as(office.Key)), 201)
	into[openapi.Sled](t, p.do(post("/v1/sleds", fescue()).as(office.Key)), 201)
	reading := into[openapi.Reading](t,
		p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280)).signedIn(signIn(t, p, gate.Key))), 201)
	renamed := bluestem()
	renamed["owner"] = "Nonesuch Pullers"
	into[openapi.Sled](t, p.do(put("/v1/sleds/bluestem", renamed).as(office.Key).with("If-Match", "*")), 200)
	problemOf(t, p.do(post("/v1/sleds", bluestem()).as(office.Key)), 409)

	byGate := historyOf(t, p, "&who=Gate")
	require.NotEmpty(t, byGate)
	var noted *openapi.HistoryEntry
	for i, e := range byGate {
		assert.Equal(t, "Gate", e.Who)
		if e.Kind == "reading" {
			noted = &byGate[i]
		}
	}
	require.NotNil(t, noted)
	assert.Equal(t, gate.Id, *noted.Key)
	assert.Equal(t, openapi.Operator, noted.Role)
	assert.Equal(t, reading.Id, noted.Subject)
	assert.Equal(t, []string{"bluestem"}, noted.Sleds)
	assert.Nil(t, noted.Before)
	assert.Equal(t, 280.0, noted.After.(map[string]any)["distance_ft"])

	about := historyOf(t, p, "&sled=bluestem")
	require.Len(t, about, 3, "added, read and corrected; what failed is not in it")
	corrected, added := about[0], about[2]
	assert.Nil(t, added.Before)
	assert.Equal(t, "Bluestem", added.After.(map[string]any)["name"])
	assert.Nil(t, corrected.Before.(map[string]any)["owner"])
	assert.Equal(t, "Nonesuch Pullers", corrected.After.(map[string]any)["owner"])

	all := historyOf(t, p, "")
	assert.GreaterOrEqual(t, len(all), 6)
	for i := 1; i < len(all); i++ {
		assert.False(t, all[i].At.After(all[i-1].At), "newest first")
	}
	assert.Empty(t, historyOf(t, p, "&who=Nobody"))
	problemOf(t, p.do(get("/v1/history?sled=no-such-sled").as(testKey)), 404)
	text := string(p.do(get("/v1/history?limit=500").as(testKey)).body)
	assert.NotContains(t, text, gate.Key[9:], "a key")

	first := p.do(get("/v1/history?limit=2").as(testKey))
	assert.Equal(t, 304, p.do(get("/v1/history?limit=2").as(testKey).with("If-None-Match",
		first.Header.Get("ETag"))).StatusCode)
	into[openapi.Sled](t, p.do(post("/v1/sleds", sledWith("name", "Brome"))), 201)
	assert.Equal(t, 200, p.do(get("/v1/history?limit=2").as(testKey).with("If-None-Match",
		first.Header.Get("ETag"))).StatusCode)
	problemOf(t, p.do(get("/v1/history?after=made-up").as(testKey)), 422)
	problemOf(t, p.do(get("/v1/history?limit=501").as(testKey)), 422)
	problemOf(t, p.do(get("/v1/history?who=").as(testKey)), 422)
}
