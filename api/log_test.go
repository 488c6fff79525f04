package main

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// Keys end up in every place a person or a program can put one. None of them gets into the log.
func TestLog_ShowsNoKey(t *testing.T) {
	storetest.OnFileOnly(t)
	t.Parallel()
	p := serving(t, func(o *serverOptions) { o.PublicURL = pagesSeenAt })
	stored := addKey(t, p, "Office", openapi.Manager)
	cookie := signIn(t, p, stored.Key)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem()).as(testKey)), 201)
	link := signInLink(t, p, stored.Id)
	secrets := []string{testKey, stored.Key, cookie.Value, link}
	nearly := stored.Key[:len(stored.Key)-1] + "0" // typed wrongly
	for _, s := range append(secrets, nearly) {
		in := url.PathEscape(s)
		for _, r := range []request{
			get("/v1/keys").as(s), get("/v1/keys?key=" + in).as(s), get("/" + in), get("/v1/sleds/" +
				in), get("/v1/sleds?after=" + in),
			remove("/v1/keys/" + in).as(testKey), remove("/v1/keys/" + in).nobody(), get("/v1/readings/" + in),
			get("/v1/history?who=" + in).as(testKey), get("/v1/history?who=" + in + "&" + in +
				"=1").as(testKey), get("/v1/equivalents?sled=" + in + "&gear=A"),
			post("/v1/session", map[string]any{"key": s}).nobody(), post("/v1/session",
				map[string]any{"key": s, s: s}).nobody(),
			byLink(s), post("/v1/keys/"+in+"/link", nil).as(testKey), post("/v1/keys/x/link?"+in, nil).as(testKey),
			post("/v1/session", `{"key":"`+s+`"`).nobody(), post("/v1/session", s).nobody(), post("/v1/session?key="+in,
				"{}").nobody(),
			post("/v1/keys", map[string]any{"name": s, "role": s}).as(testKey), post("/v1/keys",
				map[string]any{"name": "n", "role": s}).as(testKey),
			post("/v1/sleds", map[string]any{"name": s, "gears": s, s: 1}).as(testKey), post("/v1/sleds",
				"{}").as(testKey).with("Idempotency-Key", s),
			put("/v1/sleds/bluestem", bluestem()).as(testKey).with("If-Match", s), csvPost("/v1/readings",
				heading+s+",A,0,"+s+",2025-05-10\n").as(testKey),
			csvPost("/v1/readings", s+"\n").as(testKey), post("/v1/sleds", "x").as(testKey).with("Content-Type", s),
			remove("/v1/sleds/none").as(testKey).with("User-Agent", s).with("Referer", "http://x/"+s).with("Origin",
				"http://"+strings.ToLower(s)),
			remove("/v1/sleds/none").nobody().with("Authorization",
				s), remove("/v1/sleds/none").nobody().with("Authorization", "Basic "+s),
			remove("/v1/sleds/none").signedIn(&http.Cookie{Name: "evenpull-session", Value: s}), {method: "BREW",
				path: "/" + in},
			remove("/v1/session").signedIn(&http.Cookie{Name: "evenpull-session", Value: s}).with("Sec-Fetch-Site",
				"cross-site"),
		} {
			p.do(r)
		}
	}
	statement(t, p.db, "DROP TABLE readings")
	problemOf(t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280)).as(testKey)), 500)
	log := p.stderr.String()
	assert.Contains(t, log, "(not shown)", "the place of a key shows")
	assert.Contains(t, log, "level=ERROR", "a failure inside is logged")
	for _, s := range append(secrets, nearly) {
		assert.NotContains(t, log, s)
		assert.NotContains(t, strings.ToLower(log), strings.ToLower(strings.TrimPrefix(s, "evenpull-")[:30%len(s)+10]),
			"most of a key")
	}
	assert.NotContains(t, log, "?", "a query")
}

// Every line that a request leaves says which one it was, under the id that its answer carries too.
func TestLog_NamesTheRequestInEveryLine(t *testing.T) {
	storetest.OnFileOnly(t)
	t.Parallel()
	p := serving(t, nil)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	statement(t, p.db, "DROP TABLE readings")
	from := len(p.stderr.String())
	ids := map[string]bool{}
	for _, r := range []request{
		post("/v1/sleds/bluestem/readings", readingOf("A", 280)), get("/v1/sleds/no-such-sled"), post("/v1/sleds",
			"{").nobody(), get("/no-such-page"),
		{method: "BREW", path: "/"}, remove("/v1/keys/none").as("a-wrong-key"),
	} {
		got := p.do(r)
		id := got.Header.Get("X-Request-Id")
		assert.Equal(t, id, problemOf(t, got, got.StatusCode).Request, "%s %s", r.method, r.path)
		assert.Contains(t, p.stderr.String(), "request="+id, "%s %s", r.method, r.path)
		ids[id] = true
	}
	assert.Len(t, ids, 6, "each its own")
	lines := strings.Split(strings.TrimSpace(p.stderr.String()[from:]), "\n")
	assert.GreaterOrEqual(t, len(lines), len(ids))
	for _, line := range lines {
		assert.Equal(t, 1, strings.Count(line, " request="), line)
	}
}

// Addresses that there is nothing at are asked for by the thousand. The log has samples and says how many it left out;
// what is written is logged all the same.
func TestLog_HasSamplesOfAFloodOfUnknownAddresses(t *testing.T) {
	t.Parallel()
	const flood, senders = 4000, 8
	p := start(t)
	before := len(p.stderr.String())
	var all sync.WaitGroup
	for sender := range senders {
		all.Go(func() {
			for i := range flood / senders {
				got, err := client.Get(fmt.Sprintf("%s/%s%d/%d", p.address, strings.Repeat("no-such-page/", 50), sender,
					i))
				if assert.NoError(t, err) {
					assert.Equal(t, 404, got.StatusCode)
					_, _ = io.Copy(io.Discard, got.Body)
					assert.NoError(t, got.Body.Close())
				}
			}
		})
	}
	all.Wait()
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	log := p.stderr.String()[before:]
	lines := strings.Count(log, "path=/no-such-page")
	assert.GreaterOrEqual(t, lines, 100)
	assert.Less(t, lines, flood/4)
	assert.Less(t, len(log), 512*(lines+2), "no line is long")
	assert.Contains(t, log, "path=/v1/sleds status=201")

	require.Eventually(t, func() bool { // the next that is logged says how many were not
		p.do(get("/one-more"))
		return strings.Contains(p.stderr.String(), "not_logged_before=")
	}, 30*time.Second, 100*time.Millisecond)
	left := metric(t, p, "evenpull_unlogged_refusals_total")
	assert.Greater(t, left, flood/2.0)
	logged := strings.Count(p.stderr.String(), "path=/no-such-page") +
		strings.Count(p.stderr.String(), "path=/one-more")
	assert.EqualValues(t, metric(t, p, `evenpull_http_requests_total{method="GET",route="none",status="404"}`),
		left+float64(logged), "each is in the log or counted")
}
