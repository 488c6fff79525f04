package main

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// Two programs on one database answer alike: whatever was acknowledged by one holds for the next request to the other.
func TestInstances_OnOneDatabaseAnswerAlike(t *testing.T) {
	t.Parallel()
	db := storetest.URL(t)
	one, other := spawn(t, db), spawn(t, db)
	smallFleet(t, one.program)
	alike := func() {
		t.Helper()
		for _, path := range []string{
			"/v1/sleds", "/v1/sleds/bluestem/chart", "/v1/table?reference=bluestem",
			"/v1/equivalents?sled=bluestem&gear=B", "/v1/sleds/fescue/readings",
		} {
			here, there := one.do(get(path)), other.do(get(path))
			require.Equal(t, 200, here.StatusCode, "%s: %s", path, here.body)
			assert.Equal(t, string(here.body), string(there.body), path)
			assert.Equal(t, here.Header.Get("ETag"), there.Header.Get("ETag"), path)
		}
	}
	alike()
	before := other.do(get("/v1/sleds/bluestem/chart"))
	into[openapi.Reading](t, one.do(post("/v1/sleds/bluestem/readings", readingOf("A", 290))), 201)
	after := other.do(get("/v1/sleds/bluestem/chart").with("If-None-Match", before.Header.Get("ETag")))
	require.Equal(t, 200, after.StatusCode, "what the other kept is no longer the answer")
	alike()

	// A request that is sent again to the other instance is carried out once.
	again := post("/v1/sleds/bluestem/readings", readingOf("B", 263)).with("Idempotency-Key", "one-and-the-same")
	first, second := one.do(again), other.do(again)
	assert.Equal(t, into[openapi.Reading](t, first, 201).Id, into[openapi.Reading](t, second, 201).Id)

	// A key and a browser that signed in with it are known to both, and to neither once the key has ended.
	key := addKey(t, one.program, "the operator", openapi.Role("operator"))
	into[openapi.Reading](t, other.do(post("/v1/sleds/fescue/readings", readingOf("1", 266)).as(key.Key)), 201)
	cookie := signIn(t, other.program, key.Key)
	assert.Equal(t, 200, one.do(get("/v1/session").signedIn(cookie)).StatusCode)
	require.Equal(t, 204, other.do(remove("/v1/keys/"+key.Id)).StatusCode)
	assert.Equal(t, 401, one.do(post("/v1/sleds/fescue/readings", readingOf("1", 266)).as(key.Key)).StatusCode)

	// Of two that would change the same thing at once, one is told that it has been changed.
	sled := one.do(get("/v1/sleds/fescue"))
	answers := make([]int, 2)
	var both sync.WaitGroup
	for i, p := range []*process{one, other} {
		both.Go(func() {
			changed := fescue()
			changed["notes"] = []string{"north", "south"}[i]
			got, err := p.try(put("/v1/sleds/fescue", changed).with("If-Match", sled.Header.Get("ETag")))
			assert.NoError(t, err)
			answers[i] = got.StatusCode
		})
	}
	both.Wait()
	assert.ElementsMatch(t, []int{200, 412}, answers)
	alike()
	for _, p := range []*process{one, other} {
		require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
	}
}
