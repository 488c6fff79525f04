package pagetest

import (
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/require"
)

// wire stands between browser and program. It counts what comes back, the worker's share included, and can lose
// answers after the program has given them, or everything.
type wire struct {
	received atomic.Int64
	same     atomic.Int64 // answers that what the browser holds has not changed
	newer    atomic.Bool  // the program has a newer /assets/tonight/tonight.css
	cut      atomic.Bool
	latency  time.Duration // of every answer
	perByte  time.Duration // of what all answers together take; both are set before the first request
	hold     chan struct{} // where it is given, the style sheets wait until it is closed
	line     sync.Mutex    // held while a part of an answer is on it
	mu       sync.Mutex
	lose     int // how many of the next answers to a POST get lost
}

func (s site) over(w *wire) site {
	s.t.Helper()
	at, err := url.Parse(s.base)
	require.NoError(s.t, err)
	proxy := &httputil.ReverseProxy{
		Rewrite: func(r *httputil.ProxyRequest) {
			r.SetURL(at)
			if w.newer.Load() && r.In.URL.Path == "/assets/tonight/tonight.css" {
				r.Out.Header.Del("If-None-Match")
			}
		},
		FlushInterval: -1, // what there is of an answer goes out at once
		ErrorLog:      log.New(io.Discard, "", 0),
		ModifyResponse: func(r *http.Response) error {
			if w.newer.Load() && r.Request.URL.Path == "/assets/tonight/tonight.css" {
				r.Header.Set("ETag", `W/"newer"`)
				r.Header.Del("Content-Encoding")
				r.Header.Del("Content-Length")
				r.Body = io.NopCloser(strings.NewReader(":root { --edition: newer; }"))
			}
			w.mu.Lock()
			defer w.mu.Unlock()
			if r.Request.Method == http.MethodPost && w.lose > 0 {
				w.lose--
				// The head comes and the connection ends in the body: a browser sends again by itself what got no head.
				r.Body = io.NopCloser(io.MultiReader(strings.NewReader("{"), iotest.ErrReader(io.ErrUnexpectedEOF)))
			}
			return nil
		},
	}
	server := httptest.NewServer(http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		if w.cut.Load() {
			panic(http.ErrAbortHandler)
		}
		time.Sleep(w.latency)
		if w.hold != nil && strings.HasSuffix(r.URL.Path, ".css") {
			<-w.hold
		}
		counted := &counting{ResponseWriter: out, wire: w}
		defer func() { w.received.Add(counted.bytes) }()
		proxy.ServeHTTP(counted, r)
	}))
	s.t.Cleanup(server.Close)
	return site{t: s.t, base: server.URL}
}

// counting counts the body and the header lines of an answer.
type counting struct {
	http.ResponseWriter
	wire  *wire
	bytes int64
}

func (c *counting) WriteHeader(status int) {
	if status == http.StatusNotModified {
		c.wire.same.Add(1)
	}
	for name, values := range c.Header() {
		for _, value := range values {
			c.bytes += int64(len(name) + len(": ") + len(value) + len("\r\n"))
		}
	}
	c.ResponseWriter.WriteHeader(status)
}

func (c *counting) Unwrap() http.ResponseWriter { return c.ResponseWriter }

func (c *counting) Write(p []byte) (int, error) {
	c.wire.line.Lock()
	time.Sleep(time.Duration(len(p)) * c.wire.perByte)
	c.wire.line.Unlock()
	n, err := c.ResponseWriter.Write(p)
	c.bytes += int64(n)
	return n, err
}
