package main

import (
	"bufio"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// impatient serves what p serves as the program does, but waits only a moment for whoever sends slowly.
func impatient(t *testing.T, p *program) (host string) {
	t.Helper()
	server := newHTTPServer(p.handler, slog.New(slog.DiscardHandler))
	for what, limit := range map[string]time.Duration{
		"headers": server.ReadHeaderTimeout, "a request": server.ReadTimeout, "an answer": server.WriteTimeout,
		"a silent connection": server.IdleTimeout,
	} {
		require.Positive(t, limit, "the program waits for %s for ever", what)
	}
	require.Positive(t, server.MaxHeaderBytes)
	const moment = 50 * time.Millisecond
	server.ReadHeaderTimeout, server.ReadTimeout, server.IdleTimeout = moment, moment, moment
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	t.Cleanup(func() {
		assert.NoError(t, server.Close())
		assert.ErrorIs(t, <-ended, http.ErrServerClosed)
	})
	return listener.Addr().String()
}

// Whoever dribbles is dropped: the server hangs up by itself, while the client still holds the line open. The rest go
// on.
func TestSlowClients_AreDropped(t *testing.T) {
	t.Parallel()
	p := serving(t, nil)
	host := impatient(t, p)
	write := fmt.Sprintf("POST /v1/sleds HTTP/1.1\r\nHost: %s\r\nAuthorization: Bearer %s\r\nContent-Type: "+
		"application/json\r\n", host, testKey)
	for _, c := range []struct {
		what, sent string
		status     int // 0 where it hangs up without a word
	}{
		{"nothing at all", "", 0},
		{"half a line", "GET /v1/sl", 0},
		{"headers without an end", "GET /v1/sleds HTTP/1.1\r\nHost: " + host + "\r\nA: b\r\n", 0},
		{"a body that stops", write + "Content-Length: 500\r\n\r\n{\"name\":", 408},
		{"a body in pieces that stops", write + "Transfer-Encoding: chunked\r\n\r\n4\r\n{\"na\r\n", 408},
		{"a body that never comes", write + "Content-Length: 5\r\n\r\n", 408},
		{"a body of a stranger", strings.Replace(write, testKey, "a-wrong-key", 1) + "Content-Length: 500\r\n\r\n{",
			401},
	} {
		conn, err := net.Dial("tcp", host)
		require.NoError(t, err)
		_, err = io.WriteString(conn, c.sent)
		require.NoError(t, err)
		said := bufio.NewReader(conn)
		if c.status != 0 {
			got, err := http.ReadResponse(said, nil)
			require.NoError(t, err, c.what)
			body, err := io.ReadAll(got.Body)
			require.NoError(t, err, c.what)
			assert.Equal(t, c.status, got.StatusCode, "%s: %s", c.what, body)
			assert.Equal(t, "application/problem+json", got.Header.Get("Content-Type"), c.what)
		}
		_, err = io.Copy(io.Discard, said) // returns when the server hangs up, however long that takes
		if err != nil {
			assert.ErrorContains(t, err, "reset", c.what)
		}
		assert.NoError(t, conn.Close())
	}
	assert.Empty(t, into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200).Items, "nothing came of it")
	into[openapi.Sled](t, p.do(post("/v1/sleds", fescue())), 201)
	assert.NotContains(t, p.stderr.String(), "level=ERROR")
}

func TestRequests_HaveLimitsOfHeadersAndAddresses(t *testing.T) {
	t.Parallel()
	p := start(t)
	long := strings.Repeat("a", 70<<10)
	for name, value := range map[string]string{"Authorization": "Bearer " + long, "Cookie": "evenpull-session=" + long,
		"X-A": long} {
		asked, err := http.NewRequest("GET", p.address+"/v1/keys", nil)
		require.NoError(t, err)
		asked.Header.Set(name, value)
		got, err := client.Do(asked)
		if err == nil { // else it hung up while we were still sending
			assert.Equal(t, http.StatusRequestHeaderFieldsTooLarge, got.StatusCode, name)
			assert.NoError(t, got.Body.Close())
		}
	}
	problemOf(t, p.do(get("/v1/sleds?after="+long[:1001])), 422)
	problemOf(t, p.do(get("/v1/sleds/"+long[:121])), 404)
	problemOf(t, p.do(post("/v1/sleds", "{}").with("Idempotency-Key", long[:201])), 422)
	problemOf(t, p.do(get("/v1/sleds").with("If-None-Match", long[:2001])), 422)
	assert.Equal(t, 200, p.do(get("/healthz")).StatusCode)
}
