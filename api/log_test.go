package main

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// Keys end up in every place a person or a program can put one. None of them gets into the log.
func TestNoKeyGetsIntoTheLog(t *testing.T) {
	storetest.OnFileOnly(t)
	t.Parallel()
	p := serving(t, nil)
	stored := addKey(t, p, "Office", openapi.Manager)
	cookie := signIn(t, p, stored.Key)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem()).as(testKey)), 201)
	secrets := []string{testKey, stored.Key, cookie.Value}
	nearly := stored.Key[:len(stored.Key)-1] + "0" // typed wrongly
	for _, s := range append(secrets, nearly) {
		in := url.PathEscape(s)
		for _, r := range []request{
			get("/v1/keys").as(s), get("/v1/keys?key=" + in).as(s), get("/" + in), get("/v1/sleds/" + in), get("/v1/sleds?after=" + in),
			remove("/v1/keys/" + in).as(testKey), remove("/v1/keys/" + in).nobody(), get("/v1/readings/" + in),
			get("/v1/history?who=" + in).as(testKey), get("/v1/history?who=" + in + "&" + in + "=1").as(testKey), get("/v1/equivalents?sled=" + in + "&gear=A"),
			post("/v1/session", map[string]any{"key": s}).nobody(), post("/v1/session", map[string]any{"key": s, s: s}).nobody(),
			post("/v1/session", `{"key":"`+s+`"`).nobody(), post("/v1/session", s).nobody(), post("/v1/session?key="+in, "{}").nobody(),
			post("/v1/keys", map[string]any{"name": s, "role": s}).as(testKey), post("/v1/keys", map[string]any{"name": "n", "role": s}).as(testKey),
			post("/v1/sleds", map[string]any{"name": s, "gears": s, s: 1}).as(testKey), post("/v1/sleds", "{}").as(testKey).with("Idempotency-Key", s),
			put("/v1/sleds/bluestem", bluestem()).as(testKey).with("If-Match", s), csvPost("/v1/readings", heading+s+",A,0,"+s+",2025-05-10\n").as(testKey),
			csvPost("/v1/readings", s+"\n").as(testKey), post("/v1/sleds", "x").as(testKey).with("Content-Type", s),
			remove("/v1/sleds/none").as(testKey).with("User-Agent", s).with("Referer", "http://x/"+s).with("Origin", "http://"+strings.ToLower(s)),
			remove("/v1/sleds/none").nobody().with("Authorization", s), remove("/v1/sleds/none").nobody().with("Authorization", "Basic "+s),
			remove("/v1/sleds/none").signedIn(&http.Cookie{Name: "evenpull-session", Value: s}), {method: "BREW", path: "/" + in},
			remove("/v1/session").signedIn(&http.Cookie{Name: "evenpull-session", Value: s}).with("Sec-Fetch-Site", "cross-site"),
		} {
			p.do(r)
		}
	}
	statement(t, p.db, "DROP TABLE readings")
	problemOf(t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280)).as(testKey)), 500)
	log := p.stderr.String()
	assert.Contains(t, log, hidden, "the place of a key shows")
	assert.Contains(t, log, "level=ERROR", "a failure inside is logged")
	for _, s := range append(secrets, nearly) {
		assert.NotContains(t, log, s)
		assert.NotContains(t, strings.ToLower(log), strings.ToLower(strings.TrimPrefix(s, "evenpull-")[:30%len(s)+10]), "most of a key")
	}
	assert.NotContains(t, log, "?", "a query")
}

// Every line that a request leaves says which one it was, under the id that its answer carries too.
func TestEveryLineOfARequestNamesIt(t *testing.T) {
	storetest.OnFileOnly(t)
	t.Parallel()
	p := serving(t, nil)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	statement(t, p.db, "DROP TABLE readings")
	from := len(p.stderr.String())
	ids := map[string]bool{}
	for _, r := range []request{
		post("/v1/sleds/bluestem/readings", readingOf("A", 280)), get("/v1/sleds/no-such-sled"), post("/v1/sleds", "{").nobody(), get("/nothing"),
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

func TestADiscreetLogHidesWhatLooksLikeAKey(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	plain := slog.New(slog.NewTextHandler(&b, &slog.HandlerOptions{ReplaceAttr: func(_ []string, a slog.Attr) slog.Attr {
		if a.Key == slog.TimeKey || a.Key == slog.LevelKey {
			return slog.Attr{}
		}
		return a
	}}))
	log := discreet(plain, "open sesame, please", "")
	assert.Same(t, log, discreet(log, "another"), "once is enough")
	const long = "abcdefghijklmnopqrstuvwxyz234567abcdefghijklmnopqrst"
	for _, c := range []struct {
		what string
		say  func()
		want string
	}{
		{"an ordinary line", func() { log.Info("a write", "path", "/v1/sleds/bluestem", "status", 201) }, `msg="a write" path=/v1/sleds/bluestem status=201`},
		{"a set key in a message", func() { log.Info("it was open sesame, please") }, `msg="it was (not shown)"`},
		{"a key in an error", func() { log.Warn("failed", "error", errors.New("no key "+long)) }, `msg=failed error="no key (not shown)"`},
		{"a key as it is written", func() { log.Warn("failed", "path", "/v1/keys/evenpull-"+long+"/x") }, `msg=failed path="/v1/keys/(not shown)/x"`},
		{"a key in capitals", func() { log.Warn("failed", "path", strings.ToUpper(long)) }, `msg=failed path="(not shown)"`},
		{"a key in a group", func() { log.Info("m", slog.Group("g", "k", long, "n", 1)) }, `msg=m g.k="(not shown)" g.n=1`},
		{"a key with the logger", func() { log.With("k", long).WithGroup("g").Info("m", "k", long) }, `msg=m k="(not shown)" g.k="(not shown)"`},
		{"a request", func() { log.InfoContext(withRequestID(context.Background(), "r-1"), "m") }, `msg=m request=r-1`},
		{"names that break lines", func() { log.Info("m", "path", "/a\nmsg=forged\u202e") }, `msg=m path="/a\nmsg=forged\u202e"`},
	} {
		b.Reset()
		c.say()
		assert.Equal(t, c.want+"\n", b.String(), c.what)
	}
	require.True(t, log.Enabled(context.Background(), slog.LevelInfo))
	require.False(t, log.Enabled(context.Background(), slog.LevelDebug))
}
