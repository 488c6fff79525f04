package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// raw sends bytes as they are, all of them before it reads anything, as a browser does, and returns what comes back.
func (p *program) raw(t *testing.T, parts ...io.Reader) (*http.Response, openapi.Problem) {
	t.Helper()
	conn, err := net.Dial("tcp", strings.TrimPrefix(strings.TrimPrefix(p.address, "http://"), "https://"))
	require.NoError(t, err)
	defer conn.Close()
	_, err = io.Copy(struct{ io.Writer }{conn}, io.MultiReader(parts...))
	require.NoError(t, err, "the connection was lost before all was sent")
	got, err := http.ReadResponse(bufio.NewReader(conn), nil)
	require.NoError(t, err)
	body, err := io.ReadAll(got.Body)
	require.NoError(t, err)
	require.Equal(t, "application/problem+json", got.Header.Get("Content-Type"), "%s", body)
	var problem openapi.Problem
	require.NoError(t, json.Unmarshal(body, &problem), "%s", body)
	assert.Equal(t, got.StatusCode, problem.Status)
	assert.Equal(t, fmt.Sprintf("/worked-out#problem-%d", problem.Status), problem.Type)
	return got, problem
}

// letters is so many bytes of one letter.
func letters(n int) io.Reader { return io.LimitReader(endless{}, int64(n)) }

type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'a'
	}
	return len(p), nil
}

func TestBody_ThatIsTooLargeIsReadOnSoThatItsSenderGetsTheWords(t *testing.T) {
	t.Parallel()
	p := start(t)
	const beyond = 14 << 20
	for _, c := range []struct {
		what, path, media string
		limit             int
	}{{"JSON", "/v1/sleds", "application/json", 1 << 20}, {"a CSV", "/v1/readings", "text/csv", 64 << 20}} {
		head := fmt.Sprintf("POST %s HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer %s\r\nContent-Type: %s\r\n",
			c.path, testKey, c.media)
		size := c.limit + beyond
		got, problem := p.raw(t, strings.NewReader(fmt.Sprintf("%sContent-Length: %d\r\n\r\n", head, size)),
			letters(size))
		assert.Equal(t, http.StatusRequestEntityTooLarge, got.StatusCode, c.what)
		assert.Contains(t, problem.Detail, "the body is larger than", c.what)

		got, _ = p.raw(t, strings.NewReader(fmt.Sprintf("%sTransfer-Encoding: chunked\r\n\r\n%x\r\n", head, size)),
			letters(size), strings.NewReader("\r\n0\r\n\r\n"))
		assert.Equal(t, http.StatusRequestEntityTooLarge, got.StatusCode, "%s in chunks", c.what)
	}
	assert.Empty(t, into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200).Items)
}

func TestBody_ThatIsFarTooLargeIsRefusedBeforeItIsSent(t *testing.T) {
	t.Parallel()
	p := start(t)
	got, _ := p.raw(t, strings.NewReader(fmt.Sprintf("POST /v1/sleds HTTP/1.1\r\nHost: x\r\n"+
		"Authorization: Bearer %s\r\nContent-Type: application/json\r\nExpect: 100-continue\r\n"+
		"Content-Length: 2000000\r\n\r\n", testKey)))
	assert.Equal(t, http.StatusRequestEntityTooLarge, got.StatusCode)
}

// What Go's server refuses before the program sees it is a problem document too.
func TestRequests_ThatAreNotHTTPGetAProblemDocument(t *testing.T) {
	t.Parallel()
	p := start(t)
	for _, c := range []struct {
		what, sent string
		status     int
		says       string
	}{
		{"no host", "GET / HTTP/1.1\r\n\r\n", 400, "missing required Host header"},
		{"two hosts", "GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", 400, "400 Bad Request"},
		{"a host that is none", "GET / HTTP/1.1\r\nHost: a b\r\n\r\n", 400, "malformed Host header"},
		{"words", "hello there, sled\r\n\r\n", 400, "400 Bad Request"},
		{"a header without a name", "GET / HTTP/1.1\r\nHost: a\r\n: b\r\n\r\n", 400, "400 Bad Request"},
		{"an address with a stray %", "GET /v1/sleds/%zz HTTP/1.1\r\nHost: a\r\n\r\n", 400, "400 Bad Request"},
		{"headers without end", "GET / HTTP/1.1\r\nHost: a\r\nA: " + strings.Repeat("a", 69<<10), 431, "64 KiB"},
		{"an unknown coding", "POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: zip\r\n\r\n", 501,
			"Unsupported transfer encoding"},
		{"another version", "GET / HTTP/3.1\r\nHost: a\r\n\r\n", 505, "unsupported protocol version"},
	} {
		got, problem := p.raw(t, strings.NewReader(c.sent))
		assert.Equal(t, c.status, got.StatusCode, c.what)
		assert.Contains(t, problem.Detail, c.says, c.what)
	}
}

func TestRequests_OfPlainHTTPToHTTPSGetAProblemDocument(t *testing.T) {
	t.Parallel()
	cert, key := pair(t, 1)
	cmd, stdout, stderr := command(t, filepath.Join(t.TempDir(), "fleet.db"), "--tls-cert", cert, "--tls-key", key)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	require.Eventually(t, func() bool { return secureLine.MatchString(stdout.String()) }, 30*time.Second,
		5*time.Millisecond, "%s", stderr)
	p := &program{t: t, address: secureLine.FindStringSubmatch(stdout.String())[1]}
	got, problem := p.raw(t, strings.NewReader("GET / HTTP/1.1\r\nHost: a\r\n\r\n"))
	assert.Equal(t, 400, got.StatusCode)
	assert.Contains(t, problem.Detail, "HTTPS server")
}
