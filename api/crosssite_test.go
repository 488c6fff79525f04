package main

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// What another site makes a signed-in browser send changes nothing. The headers are those that browsers send, and no
// page can set: Sec-Fetch-Site (Fetch Metadata, W3C), before it Origin (RFC 6454, Fetch).
func TestCrossSite_WritesThroughASignedInBrowserAreRefused(t *testing.T) {
	t.Parallel()
	p := serving(t, func(o *serverOptions) { o.PublicURL = "https://Sleds.Example:443/crew" })
	cookie := signIn(t, p, testKey)
	form := func(r request) request { return r.with("Content-Type", "application/x-www-form-urlencoded") }
	for _, c := range []struct {
		what    string
		headers map[string]string
		let     bool
	}{
		{"a form of another site", map[string]string{"Sec-Fetch-Site": "cross-site",
			"Origin": "https://elsewhere.example"}, false},
		{"a form of another site that hides where it is",
			map[string]string{"Sec-Fetch-Site": "cross-site", "Origin": "null"}, false},
		{"another program on another port or host of the same site",
			map[string]string{"Sec-Fetch-Site": "same-site", "Origin": "http://127.0.0.1:1"}, false},
		{"an older browser on another site", map[string]string{"Origin": "https://elsewhere.example"}, false},
		{"an older browser that hides where it is", map[string]string{"Origin": "null"}, false},
		{"an older browser on a name that begins as ours does",
			map[string]string{"Origin": p.address + ".elsewhere.example"}, false},
		{"our own page", map[string]string{"Sec-Fetch-Site": "same-origin", "Origin": p.address}, true},
		{"an address typed by the user", map[string]string{"Sec-Fetch-Site": "none"}, true},
		{"our own page in an older browser", map[string]string{"Origin": p.address}, true},
		{"our own page by its public address, behind a proxy with another name",
			map[string]string{"Origin": "https://sleds.example"}, true},
		{"no browser at all", nil, true},
	} {
		with := func(r request) request {
			r = r.signedIn(cookie)
			for name, value := range c.headers {
				r = r.with(name, value)
			}
			return r
		}
		before := everyWord(t, p)
		for _, r := range writes() {
			got := p.do(with(r))
			assert.Equal(t, c.let, got.StatusCode != http.StatusForbidden, "%s: %s %s: %s", c.what, r.method, r.path,
				got.body)
			if !c.let {
				assert.Contains(t, problemOf(t, got, 403).Detail, "from the pages of this address", c.what)
				problemOf(t, p.do(form(with(r).withBody("name=Sedge"))), 403)
			}
		}
		for _, r := range []request{post("/v1/session", map[string]any{"key": testKey}),
			{method: "DELETE", path: "/v1/session"}} {
			if c.let {
				continue // below
			}
			got := p.do(with(r))
			problemOf(t, got, 403)
			assert.Empty(t, got.Cookies(), "%s: %s", c.what, r.method)
		}
		if !c.let {
			assert.Equal(t, before, everyWord(t, p), c.what)
			assert.Equal(t, 200, p.do(with(get("/v1/sleds"))).StatusCode, "%s: reading", c.what)
			assert.Equal(t, 200, p.do(with(get("/v1/history"))).StatusCode,
				"%s: what comes back stays hidden from that page", c.what)
		}
		// A key in the header is put there by a program that has it: no site can make a browser do that unasked.
		for name, value := range c.headers {
			got := p.do(post("/v1/sleds", "{}").as(testKey).with(name, value))
			problemOf(t, got, 422)
		}
		require.True(t, into[openapi.Session](t, p.do(get("/v1/session").signedIn(cookie)), 200).SignedIn,
			"%s: still signed in", c.what)
	}
	fresh := signIn(t, p, testKey)
	got := p.do(remove("/v1/session").signedIn(fresh).with("Sec-Fetch-Site", "same-origin").with("Origin", p.address))
	assert.Equal(t, http.StatusNoContent, got.StatusCode)
	assert.False(t, into[openapi.Session](t, p.do(get("/v1/session").signedIn(fresh)), 200).SignedIn)
}

// everyWord is the list of sleds, classes, shows and keys: whatever the writes of these tests could change.
func everyWord(t *testing.T, p *program) string {
	t.Helper()
	all := ""
	for _, path := range []string{"/v1/sleds", "/v1/classes", "/v1/shows", "/v1/keys", "/v1/history"} {
		got := p.do(get(path).as(p.key))
		require.Equal(t, 200, got.StatusCode, "%s", got.body)
		all += string(got.body)
	}
	return all
}

// Nothing that a link or an image can make a browser ask for changes anything.
func TestReads_ChangeNothing(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	cookie := signIn(t, p, testKey)
	before := everyWord(t, p) + everything(t, p)
	doc := theContract(t)
	for path, item := range doc.Paths.Map() {
		if item.Get == nil {
			continue
		}
		filled := strings.NewReplacer("{sled}", "bluestem", "{show}", harvest, "{class}", "open-4x4", "{reading}",
			"some", "{change}", "some").Replace(path)
		for _, method := range []string{"GET", "HEAD"} {
			r := request{method: method, path: filled + "?_method=DELETE"}.signedIn(cookie)
			got := p.do(r.with("X-HTTP-Method-Override", "DELETE").with("Sec-Fetch-Site", "cross-site"))
			assert.Less(t, got.StatusCode, 500, "%s %s", method, filled)
		}
	}
	assert.Equal(t, before, everyWord(t, p)+everything(t, p))
	assert.True(t, into[openapi.Session](t, p.do(get("/v1/session").signedIn(cookie)), 200).SignedIn)
}
