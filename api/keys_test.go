package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// A key is shown once and never again; the list says whose it is, when it was used and when it ended.
func TestKeys_AreMadeListedAndEnded(t *testing.T) {
	t.Parallel()
	p := start(t)
	keys := func() []openapi.Key { return into[openapi.KeyList](t, p.do(get("/v1/keys").as(testKey)), 200).Items }
	assert.Empty(t, keys(), "the one that is set at the start is none of the database")
	answer := p.do(post("/v1/keys", map[string]any{"name": " Gate ", "role": "operator"}).as(testKey))
	gate := into[newKey](t, answer, 201)
	assert.Equal(t, "no-store", answer.Header.Get("Cache-Control"))
	assert.Empty(t, answer.Header.Get("ETag"))
	assert.Equal(t, "/v1/keys/"+gate.Id, answer.Header.Get("Location"))
	assert.Equal(t, "Gate", gate.Name)
	assert.Equal(t, openapi.Operator, gate.Role)
	assert.GreaterOrEqual(t, len(gate.Key), 52, "256 random bits, five to a letter")
	office := addKey(t, p, "Office", openapi.Manager)
	assert.NotEqual(t, gate.Key, office.Key)

	list := p.do(get("/v1/keys").as(testKey))
	assert.NotContains(t, string(list.body), gate.Key)
	assert.NotContains(t, string(list.body), gate.Key[9:])
	assert.Equal(t, 304, p.do(get("/v1/keys").as(testKey).with("If-None-Match", list.Header.Get("ETag"))).StatusCode)
	assert.Equal(t, "private, no-cache", list.Header.Get("Cache-Control"))
	all := keys()
	require.Len(t, all, 2)
	assert.Equal(t, []string{gate.Id, office.Id}, []string{all[0].Id, all[1].Id}, "oldest first")
	assert.WithinDuration(t, time.Now(), all[0].CreatedAt, time.Minute)
	assert.Nil(t, all[0].LastUsedAt)
	assert.Nil(t, all[0].EndedAt)

	problemOf(t, p.do(post("/v1/sleds", bluestem()).as(gate.Key)), 403)
	assert.NotNil(t, keys()[0].LastUsedAt)
	assert.Equal(t, 204, p.do(remove("/v1/keys/"+gate.Id).as(testKey)).StatusCode)
	problemOf(t, p.do(post("/v1/sleds", bluestem()).as(gate.Key)), 401)
	assert.NotNil(t, keys()[0].EndedAt, "it stays in the list")
	problemOf(t, p.do(remove("/v1/keys/no-such-key").as(testKey)), 404)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem()).as(office.Key)), 201)
}

// The last manager key cannot be ended, unless another one is set from outside.
func TestKeys_OfTheLastManagerStay(t *testing.T) {
	t.Parallel()
	p := start(t)
	office := addKey(t, p, "Office", openapi.Manager)
	db := p.db
	p.stop()
	unset := startOn(t, db, nil)
	unset.key = office.Key
	problemOf(t, unset.do(remove("/v1/keys/"+office.Id)), 409)
	second := addKey(t, unset, "Second", openapi.Manager)
	assert.Equal(t, 204, unset.do(remove("/v1/keys/"+second.Id)).StatusCode)
	problemOf(t, unset.do(remove("/v1/keys/"+office.Id)), 409)
	unset.stop()
	set := startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
	assert.Equal(t, 204, set.do(remove("/v1/keys/"+office.Id)).StatusCode)
}

func TestKeys_NeedANameAndARole(t *testing.T) {
	t.Parallel()
	p := start(t)
	for _, c := range []struct {
		body   string
		status int
		at     []string
	}{
		{`{}`, 422, []string{"name", "role"}},
		{`{"name":"","role":"driver"}`, 422, []string{"name", "role"}},
		{`{"name":"   ","role":"operator"}`, 422, []string{"name"}},
		{`{"name":"a\nb","role":"operator"}`, 422, []string{"name"}},
		{`{"name":"Gate","role":"operator","key":"one-of-my-own"}`, 422, []string{"key"}},
		{`{"name":`, 400, nil},
	} {
		assert.ElementsMatch(t, c.at, faultsAt(problemOf(t, p.do(post("/v1/keys", c.body)), c.status)), c.body)
	}
	assert.Empty(t, into[openapi.KeyList](t, p.do(get("/v1/keys").as(testKey)), 200).Items)
}
