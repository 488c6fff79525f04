package main

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// A browser signs in with a key, writes as its holder, and signs out.
func TestSession_BeginsAndEnds(t *testing.T) {
	t.Parallel()
	p := start(t)
	gate := addKey(t, p, "Gate", openapi.Operator)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	assert.Equal(t, openapi.Session{}, into[openapi.Session](t, p.do(get("/v1/session")), 200), "nobody")

	answer := p.do(post("/v1/session", map[string]any{"key": gate.Key}).nobody())
	signedIn := into[openapi.Session](t, answer, 200)
	assert.True(t, signedIn.SignedIn)
	assert.Equal(t, "Gate", *signedIn.Name)
	assert.Equal(t, openapi.Operator, *signedIn.Role)
	assert.WithinDuration(t, time.Now().Add(30*24*time.Hour), *signedIn.ExpiresAt, time.Hour, "as the contract says")
	assert.Equal(t, "no-store", answer.Header.Get("Cache-Control"))
	require.Len(t, answer.Cookies(), 1)
	cookie := answer.Cookies()[0]
	assert.Equal(t, "evenpull-session", cookie.Name)
	assert.True(t, cookie.HttpOnly)
	assert.False(t, cookie.Secure, "over plain HTTP a browser would not keep it")
	assert.Equal(t, http.SameSiteStrictMode, cookie.SameSite)
	assert.Equal(t, "/", cookie.Path)
	assert.Empty(t, cookie.Domain, "this host alone")
	assert.InDelta(t, 30*24*3600, cookie.MaxAge, 3600)
	assert.NotContains(t, cookie.Value, gate.Key)

	who := p.do(get("/v1/session").signedIn(cookie))
	assert.Equal(t, signedIn, into[openapi.Session](t, who, 200))
	assert.Equal(t, "no-store", who.Header.Get("Cache-Control"))
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280)).signedIn(cookie)), 201)
	problemOf(t, p.do(post("/v1/sleds", fescue()).signedIn(cookie)), 403)

	out := p.do(remove("/v1/session").signedIn(cookie))
	assert.Equal(t, http.StatusNoContent, out.StatusCode)
	require.Len(t, out.Cookies(), 1)
	assert.Equal(t, cookie.Name, out.Cookies()[0].Name)
	assert.Negative(t, out.Cookies()[0].MaxAge, "the browser forgets it")
	problemOf(t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280)).signedIn(cookie)), 401)
	assert.False(t, into[openapi.Session](t, p.do(get("/v1/session").signedIn(cookie)), 200).SignedIn)
	assert.Equal(t, http.StatusNoContent, p.do(remove("/v1/session").nobody()).StatusCode, "signing out twice")
}

// Behind HTTPS the cookie never travels without it, and no other host can have set it.
func TestSession_CookieIsSecureBehindHTTPS(t *testing.T) {
	t.Parallel()
	p := serving(t, func(o *serverOptions) { o.Secure = true })
	cookie := signIn(t, p, testKey)
	assert.Equal(t, "__Host-evenpull-session", cookie.Name)
	assert.True(t, cookie.Secure)
	assert.Equal(t, "/", cookie.Path)
	assert.Empty(t, cookie.Domain)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem()).signedIn(cookie)), 201)
	plain := *cookie
	plain.Name = "evenpull-session"
	problemOf(t, p.do(post("/v1/sleds", fescue()).signedIn(&plain)), 401)
	out := p.do(remove("/v1/session").signedIn(cookie))
	assert.True(t, out.Cookies()[0].Secure, "else the browser does not take it back")
	assert.Equal(t, "__Host-evenpull-session", out.Cookies()[0].Name)
}

func TestSession_GivesWayToAKeyInTheHeader(t *testing.T) {
	t.Parallel()
	p := start(t)
	cookie := signIn(t, p, testKey)
	gate := addKey(t, p, "Gate", openapi.Operator)
	with := func(r request, key string) request { return r.signedIn(cookie).with("Authorization", "Bearer "+key) }
	problemOf(t, p.do(with(post("/v1/sleds", bluestem()), gate.Key)), 403)
	problemOf(t, p.do(with(post("/v1/sleds", bluestem()), "a-wrong-key")), 401)
	assert.Equal(t, "Gate", *into[openapi.Session](t, p.do(with(get("/v1/session"), gate.Key)), 200).Name)
	problemOf(t, p.do(with(get("/v1/session"), "a-wrong-key")), 401)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem()).signedIn(cookie)), 201)
}

// The browsers of a key end with it, on the next request; the others go on.
func TestSession_EndsAtOnceWithItsKey(t *testing.T) {
	t.Parallel()
	p := start(t)
	gate, office := addKey(t, p, "Gate", openapi.Manager), addKey(t, p, "Office", openapi.Manager)
	gates, offices := signIn(t, p, gate.Key), signIn(t, p, office.Key)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem()).signedIn(gates)), 201)
	assert.Equal(t, http.StatusNoContent, p.do(remove("/v1/keys/"+gate.Id).signedIn(offices)).StatusCode)
	problemOf(t, p.do(post("/v1/sleds", fescue()).signedIn(gates)), 401)
	problemOf(t, p.do(post("/v1/sleds", fescue()).as(gate.Key)), 401)
	problemOf(t, p.do(post("/v1/session", map[string]any{"key": gate.Key}).nobody()), 401)
	assert.False(t, into[openapi.Session](t, p.do(get("/v1/session").signedIn(gates)), 200).SignedIn)
	into[openapi.Sled](t, p.do(post("/v1/sleds", fescue()).signedIn(offices)), 201)
}

// Another key from outside ends the browsers that the one before had signed in, and a browser with a key of the
// database goes on.
func TestSession_EndsWhenTheKeyFromOutsideIsAnother(t *testing.T) {
	t.Parallel()
	p := start(t)
	db := p.db
	office := addKey(t, p, "Office", openapi.Manager)
	set, stored := signIn(t, p, testKey), signIn(t, p, office.Key)
	p.stop()

	same := startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
	into[openapi.Sled](t, same.do(post("/v1/sleds", bluestem()).signedIn(set)), 201)
	same.stop()
	other := startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": "another-manager-key-for-tests"})
	problemOf(t, other.do(post("/v1/sleds", fescue()).signedIn(set)), 401)
	into[openapi.Sled](t, other.do(post("/v1/sleds", fescue()).signedIn(stored)), 201)
	other.stop()
	none := startOn(t, db, nil)
	problemOf(t, none.do(remove("/v1/sleds/fescue").signedIn(set)), 401)
}

// Who signs in again leaves no earlier session behind.
func TestSession_EndsWhenAnotherBegins(t *testing.T) {
	t.Parallel()
	p := start(t)
	first := signIn(t, p, testKey)
	again := p.do(post("/v1/session", map[string]any{"key": testKey}).signedIn(first))
	require.Equal(t, 200, again.StatusCode, "%s", again.body)
	second := again.Cookies()[0]
	assert.NotEqual(t, first.Value, second.Value)
	assert.False(t, into[openapi.Session](t, p.do(get("/v1/session").signedIn(first)), 200).SignedIn)
	assert.True(t, into[openapi.Session](t, p.do(get("/v1/session").signedIn(second)), 200).SignedIn)
}

// Wrong keys are slowed where browsers sign in as they are in the header, and a valid one gets in all the same.
func TestSession_WithWrongKeysIsSlowed(t *testing.T) {
	t.Parallel()
	p := start(t)
	try := func(key string) response { return p.do(post("/v1/session", map[string]any{"key": key}).nobody()) }
	for i := range 20 {
		problemOf(t, try(fmt.Sprintf("guess-number-%d", i)), 401)
	}
	slowed := try("one-guess-too-many")
	problemOf(t, slowed, 429)
	assert.Regexp(t, `^([1-9]|[1-5][0-9]|60)$`, slowed.Header.Get("Retry-After"))
	assert.Empty(t, slowed.Cookies())
	problemOf(t, p.do(post("/v1/sleds", bluestem()).as("another-guess")), 429)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem()).signedIn(signIn(t, p, testKey))), 201)
	assert.NotContains(t, p.stderr.String(), "guess")
}

func TestSession_RefusesAnotherCookieAndCountsNoWrongKey(t *testing.T) {
	t.Parallel()
	p := start(t)
	for i := range 2 * 20 {
		for _, value := range []string{fmt.Sprint("made-up-", i), strings.Repeat("x", 3000), "%00"} {
			got := p.do(post("/v1/sleds", bluestem()).signedIn(&http.Cookie{Name: "evenpull-session", Value: value}))
			problemOf(t, got, 401)
		}
	}
	problemOf(t, p.do(post("/v1/sleds", bluestem()).as("a-wrong-key")), 401)
}

func TestSession_NamesTheFaultsOfARequest(t *testing.T) {
	t.Parallel()
	p := start(t)
	for body, status := range map[string]int{`{`: 400, `{}`: 422, `{"key":7}`: 422, `{"key":""}`: 422,
		`{"key":"k","name":"n"}`: 422, `[]`: 422} {
		got := p.do(post("/v1/session", body).nobody())
		problemOf(t, got, status)
		assert.Empty(t, got.Cookies())
	}
}

// What a browser keeps of the answers of a private installation goes with the sign-out.
func TestSession_TakesWhatABrowserKeepsAlong(t *testing.T) {
	t.Parallel()
	for _, private := range []bool{false, true} {
		p := serving(t, func(o *serverOptions) { o.Private = private })
		signedIn := p.do(post("/v1/session", map[string]any{"key": testKey}).nobody())
		require.Len(t, signedIn.Cookies(), 1)
		want := ""
		if private {
			want = `"cache"` // W3C Clear Site Data, section 3.1
		}
		assert.Equal(t, want, p.do(remove("/v1/session").signedIn(signedIn.Cookies()[0])).Header.Get("Clear-Site-Data"))
	}
}
