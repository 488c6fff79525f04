package main

import (
	"io"
	"net"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHeaders_AreOnEveryAnswer(t *testing.T) {
	t.Parallel()
	p := demo(t)
	for _, r := range []request{
		get("/"), get("/fleet"), get("/worked-out"), get("/measuring"), get("/assets/frame/base.css"), get("/v1/sleds"),
		get("/v1/sleds/bluestem/chart.svg"),
		get("/nothing"), post("/", ""), get("/metrics"), post("/v1/sleds", "{"),
	} {
		got := p.do(r.with("Origin", "https://elsewhere.example"))
		h := got.Header
		assert.Contains(t, h.Get("Content-Security-Policy"), "default-src 'none'; script-src 'self'; style-src 'self'",
			r.path)
		assert.NotContains(t, h.Get("Content-Security-Policy"), "unsafe", r.path)
		assert.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), r.path)
		assert.Equal(t, "no-referrer", h.Get("Referrer-Policy"), r.path)
		assert.NotEmpty(t, h.Get("X-Request-Id"), r.path)
		for name := range h {
			assert.False(t, strings.HasPrefix(name, "Access-Control-"), "%s lets other sites in: %s", r.path, name)
		}
	}
}

func TestPages_AreServedWithTheirTypes(t *testing.T) {
	t.Parallel()
	p := start(t)
	for path, want := range map[string]string{
		"/": "text/html; charset=utf-8", "/fleet": "text/html; charset=utf-8",
		"/worked-out": "text/html; charset=utf-8",
		"/measuring":  "text/html; charset=utf-8", "/assets/frame/base.css": "text/css; charset=utf-8",
		"/assets/tonight/tonight.js": "text/javascript; charset=utf-8",
		"/assets/icon.svg":           "image/svg+xml",
	} {
		got := p.do(get(path))
		require.Equal(t, 200, got.StatusCode, path)
		assert.Equal(t, want, got.Header.Get("Content-Type"), path)
		assert.Equal(t, "no-cache", got.Header.Get("Cache-Control"), path)
		assert.Equal(t, 304, p.do(get(path).with("If-None-Match", got.Header.Get("ETag"))).StatusCode, path)
	}
	for _, path := range []string{"/index.html", "/assets/", "/assets/embed.go", "/embed.go", "/assets/..%2findex.html",
		"/assets/%2e%2e/index.html"} {
		assert.Equal(t, 404, p.do(get(path)).StatusCode, path)
	}
}

func TestRequests_AreCountedAndOnlyWritesAndFailuresLogged(t *testing.T) {
	t.Parallel()
	p := demo(t)
	p.do(get("/v1/sleds/bluestem"))
	p.do(get("/v1/sleds/bluestem"))
	p.do(get("/v1/sleds/no-such-sled"))
	p.do(request{method: "BREW", path: "/v1/sleds"})
	p.do(get("/made/up/by/a/stranger"))
	p.do(post("/v1/sleds", sledWith("name", "Foxtail")).with("Idempotency-Key", "secret-of-the-sender"))
	metrics := string(p.do(get("/metrics")).body)
	for _, line := range []string{
		`evenpull_http_requests_total{method="GET",route="/v1/sleds/:sled",status="200"} 2`,
		`evenpull_http_requests_total{method="GET",route="/v1/sleds/:sled",status="404"} 1`,
		`evenpull_http_requests_total{method="other",route="/v1/sleds",status="405"} 1`,
		`evenpull_http_requests_total{method="GET",route="none",status="404"} 1`,
		`evenpull_http_requests_total{method="POST",route="/v1/sleds",status="201"} 1`,
		`evenpull_http_request_duration_seconds_count{route="/v1/sleds/:sled"} 3`,
		"go_goroutines", "process_start_time_seconds",
	} {
		assert.Contains(t, metrics, line)
	}
	log := p.stderr.String()
	assert.NotContains(t, log, "path=/v1/sleds/bluestem ", "a read that went well")
	assert.Contains(t, log, "path=/v1/sleds/no-such-sled status=404")
	assert.Contains(t, log, "method=POST path=/v1/sleds status=201")
	assert.NotContains(t, log, testKey)
	assert.NotContains(t, log, "secret")
}

// Whoever asks what an address is for is told. A page of another site that asks whether it may is told nothing of the
// kind.
func TestRequests_ByOptionsGetWhatAnAddressIsFor(t *testing.T) {
	t.Parallel()
	p := start(t)
	for path, methods := range map[string][]string{
		"/v1/sleds": {"GET", "HEAD", "POST"}, "/v1/shows/any": {"GET", "HEAD", "PUT", "DELETE"}, "/v1/season": {"GET",
			"HEAD"}, "/": {"GET", "HEAD"},
	} {
		got := p.do(request{method: "OPTIONS", path: path}.with("Origin",
			"https://elsewhere.example").with("Access-Control-Request-Method", "POST"))
		assert.Equal(t, http.StatusNoContent, got.StatusCode, path)
		assert.Empty(t, got.body, path)
		var allowed []string
		for name := range strings.SplitSeq(got.Header.Get("Allow"), ",") {
			allowed = append(allowed, strings.TrimSpace(name))
		}
		assert.ElementsMatch(t, append(methods, "OPTIONS"), allowed, path)
		for name := range got.Header {
			assert.False(t, strings.HasPrefix(name, "Access-Control-"), "%s lets other sites in: %s", path, name)
		}
	}
	got := p.do(remove("/v1/sleds"))
	assert.Equal(t, http.StatusMethodNotAllowed, got.StatusCode)
	assert.NotContains(t, got.Header.Get("Allow"), "DELETE")
}

// What never becomes a request at all is refused by Go's own server, in its own words.
func TestRequests_ThatAreNoneAreRefused(t *testing.T) {
	t.Parallel()
	p := start(t)
	for text, want := range map[string]string{
		"GET /%zz HTTP/1.1\r\nHost: x\r\n\r\n": "400", "GET / HTTP/9\r\n\r\n": "400", "nonsense\r\n\r\n": "400",
		"GET / HTTP/1.1\r\n\r\n": "400", "GET / HTTP/1.1\r\nHost: x\r\nA: " + strings.Repeat("a", 80<<10) +
			"\r\n\r\n": "431",
		"POST /v1/sleds HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\n": "400",
	} {
		conn, err := net.Dial("tcp", strings.TrimPrefix(p.address, "http://"))
		require.NoError(t, err)
		_, err = conn.Write([]byte(text))
		require.NoError(t, err)
		got := make([]byte, len("HTTP/1.1 400"))
		_, err = io.ReadFull(conn, got)
		require.NoError(t, err)
		assert.Equal(t, "HTTP/1.1 "+want, string(got), "%.60q", text)
		conn.Close()
	}
	assert.Equal(t, http.StatusOK, p.do(get("/healthz")).StatusCode)
}
