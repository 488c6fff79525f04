package main

import (
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

func TestIdempotency_GivesTheFirstAnswerAgain(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem()).with("Idempotency-Key", "bluestem")), 201)
	chains := inspectedFor(t, p, "bluestem", "Chains").Items[0].Id
	for _, r := range []request{
		post("/v1/sleds", bluestem()).with("Idempotency-Key", "bluestem"),
		post("/v1/sleds/bluestem/readings", readingOf("A", 280)).with("Idempotency-Key", "one reading"),
		csvPost("/v1/readings", heading+"bluestem,B,0,262,2025-05-10\n").with("Idempotency-Key", "a sheet"),
		post("/v1/readings", `[{"sled":"bluestem","gear":"C","distance_ft":250,
			"measured_on":"2025-05-10"}]`).with("Idempotency-Key", "a batch"),
		post("/v1/classes", classOn("Open 4x4", "bluestem", "B")).with("Idempotency-Key", "a class"),
		post("/v1/shows", showOn("Harvest Pull", "2099-07-18", "bluestem", "open-4x4")).with("Idempotency-Key",
			"a show"),
		post(asRunAt("open-4x4"), lineOf(1, "B")).with("Idempotency-Key", "a line"),
		post("/v1/sleds/bluestem/changes",
			map[string]any{"made_on": "2025-06-01", "what": "other tires",
				"effect": "unknown"}).with("Idempotency-Key", "a change"),
		post("/v1/sleds/bluestem/inspections", signedOn("2025-06-01", chains, true)).with("Idempotency-Key", "a look"),
	} {
		first, again := p.do(r), p.do(r)
		require.Equal(t, 201, first.StatusCode, "%s", first.body)
		assert.Equal(t, 201, again.StatusCode)
		assert.Equal(t, string(first.body), string(again.body))
		for _, name := range []string{"ETag", "Location", "Content-Type"} {
			assert.Equal(t, first.Header.Get(name), again.Header.Get(name), name)
		}
	}
	assert.Len(t, readingsOf(t, p, "bluestem"), 3)
	looked := p.do(get("/v1/sleds/bluestem/inspections").as(testKey))
	assert.Len(t, into[openapi.InspectionPage](t, looked, 200).Items, 1)
	assert.Len(t, sheetOf(t, p, harvest).Rows[0].AsRun, 1)
	assert.Len(t, into[openapi.ChangeList](t, p.do(get("/v1/sleds/bluestem/changes")), 200).Items, 1)
}

func TestIdempotency_KeyGoesWithOneRequestOnly(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	first := post("/v1/sleds/bluestem/readings", readingOf("A", 280)).with("Idempotency-Key", "mine")
	into[openapi.Reading](t, p.do(first), 201)
	before := everything(t, p)
	for what, r := range map[string]request{
		"another body":    post("/v1/sleds/bluestem/readings", readingOf("A", 281)),
		"another address": post("/v1/sleds/fescue/readings", readingOf("1", 280)),
		"another kind":    post("/v1/sleds", sledWith("name", "Sedge")),
	} {
		got := problemOf(t, p.do(r.with("Idempotency-Key", "mine")), 422)
		assert.Equal(t, []string{"Idempotency-Key"}, faultsAt(got), what)
	}
	assert.Equal(t, before, everything(t, p))
}

// Another sender with the same key and body, such as the next to use a phone whose answer was lost, learns that it is
// stored, and nothing more.
func TestIdempotency_TellsAnotherSenderThatItWasSent(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	ann, bo := addKey(t, p, "Ann", openapi.Operator).Key, addKey(t, p, "Bo", openapi.Operator).Key
	reading := post("/v1/sleds/bluestem/readings", readingOf("A", 280)).with("Idempotency-Key", "lost on the way")
	first := into[openapi.Reading](t, p.do(reading.as(ann)), 201)
	before := everything(t, p)
	for _, r := range []request{reading.as(bo), reading.signedIn(signIn(t, p, bo)), reading.as(testKey)} {
		got := p.do(r)
		problem := problemOf(t, got, 409)
		assert.Equal(t, []openapi.FaultCode{openapi.AlreadySent}, problem.Codes)
		assert.NotContains(t, string(got.body), first.Id, "not the first answer")
	}
	assert.Equal(t, []string{"Idempotency-Key"},
		faultsAt(problemOf(t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 281)).
			with("Idempotency-Key", "lost on the way").as(bo)), 422)), "another request")
	assert.Equal(t, before, everything(t, p))
	for _, r := range []request{reading.as(ann), reading.signedIn(signIn(t, p, ann))} {
		assert.Equal(t, first, into[openapi.Reading](t, p.do(r), 201))
	}
}

// A repeated request for a key gets the same id. The key itself is stored nowhere.
func TestIdempotency_NeverShowsAKeyTwice(t *testing.T) {
	t.Parallel()
	p := start(t)
	r := post("/v1/keys", map[string]any{"name": "Crew", "role": "operator"}).with("Idempotency-Key", "a key")
	first := p.do(r)
	made := into[openapi.NewKey](t, first, 201)
	require.NotNil(t, made.Key)
	for range 2 {
		got := p.do(r)
		again := into[openapi.NewKey](t, got, 201)
		assert.Equal(t, openapi.NewKey{Id: made.Id, Name: "Crew", Role: openapi.Operator}, again)
		assert.Equal(t, first.Header.Get("Location"), got.Header.Get("Location"))
		assert.Equal(t, "no-store", got.Header.Get("Cache-Control"))
	}
	assert.Len(t, into[openapi.KeyList](t, p.do(get("/v1/keys").as(testKey)), 200).Items, 1)
	if !storetest.OnServer() {
		require.Equal(t, exitWell, p.stop())
		file, err := os.ReadFile(p.db)
		require.NoError(t, err)
		assert.NotContains(t, string(file), strings.TrimPrefix(*made.Key, "evenpull-"))
	}
}

func TestIdempotency_DoesNotRecordAFailure(t *testing.T) {
	t.Parallel()
	p := start(t)
	reading := post("/v1/sleds/bluestem/readings", readingOf("A", 280)).with("Idempotency-Key", "early")
	problemOf(t, p.do(reading), 404)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	into[openapi.Reading](t, p.do(reading), 201)
}

func TestIdempotency_CarriesOutManyAtOnceUnderOneKeyOnce(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	const senders = 20
	answers := make([]string, senders)
	var all sync.WaitGroup
	for i := range senders {
		all.Go(func() {
			got := p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280)).with("Idempotency-Key", "at once"))
			answers[i] = string(got.body)
		})
	}
	all.Wait()
	for _, a := range answers {
		assert.Equal(t, answers[0], a)
	}
	assert.Len(t, readingsOf(t, p, "bluestem"), 4)
}

func TestIdempotency_RecordOutlivesTheProgram(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	reading := post("/v1/sleds/bluestem/readings", readingOf("A", 280)).with("Idempotency-Key", "before the restart")
	first := p.do(reading)
	require.Equal(t, exitWell, p.stop())
	again := startOn(t, p.db, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
	assert.Equal(t, string(first.body), string(again.do(reading).body))
	assert.Len(t, readingsOf(t, again, "bluestem"), 4)
}
