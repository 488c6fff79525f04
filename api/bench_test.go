package main

import (
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"
)

func BenchmarkEquivalents(b *testing.B) {
	besideBareRoute(b, "/v1/equivalents?sled=bluestem&gear=C&start_ft=0&on=fescue&on=timothy")
}

func BenchmarkSheet(b *testing.B)      { besideBareRoute(b, "/v1/shows/"+winterPull+"/sheet") }
func BenchmarkCandidates(b *testing.B) { besideBareRoute(b, "/v1/shows/"+winterPull+"/candidates") }

// besideBareRoute asks the real program and a bare Echo route that sends the same bytes with the same headers, turn by turn
// over kept-alive loopback connections, and reports the program's throughput as a share of the bare route's. The program has
// kept the answer: that is what all but the first who ask get.
func besideBareRoute(b *testing.B, question string) {
	address := benchProgram(b)
	first, err := http.Get(address + question)
	require.NoError(b, err)
	body, err := io.ReadAll(first.Body)
	require.NoError(b, err)
	require.NoError(b, first.Body.Close())
	require.Equal(b, http.StatusOK, first.StatusCode)

	bare := httptest.NewServer(bareRoute(question, first.Header, body))
	defer bare.Close()
	ours, theirs := dialled(b, address, question), dialled(b, bare.URL, question)

	const turn = 50 // requests in a row, so that neither is measured by its first one
	var oursTook, theirsTook time.Duration
	for b.Loop() {
		began := time.Now()
		for range turn {
			ours.ask(b, len(body))
		}
		between := time.Now()
		for range turn {
			theirs.ask(b, len(body))
		}
		oursTook += between.Sub(began)
		theirsTook += time.Since(between)
	}
	b.ReportMetric(float64(theirsTook)/float64(oursTook), "ratio")
	b.ReportMetric(float64(oursTook.Microseconds())/float64(b.N*turn), "µs/answer")
}

func benchProgram(b *testing.B) string {
	b.Helper()
	ctx := b.Context()
	stdout := new(output)
	done := make(chan int, 1)
	go func() {
		args := []string{"--addr", "127.0.0.1:0", "--db", filepath.Join(b.TempDir(), "fleet.db"), "--demo"}
		done <- run(ctx, args, func(string) string { return "" }, stdout, io.Discard)
	}()
	b.Cleanup(func() { <-done }) // the context ended just before
	for {
		if line := startLine.FindStringSubmatch(stdout.String()); line != nil {
			return line[1]
		}
		time.Sleep(time.Millisecond)
	}
}

func bareRoute(question string, header http.Header, body []byte) http.Handler {
	e := echo.New()
	path, _, _ := strings.Cut(question, "?")
	e.GET(path, func(c echo.Context) error {
		for name, values := range header {
			if name != "Date" {
				c.Response().Header()[name] = values
			}
		}
		return c.Blob(http.StatusOK, header.Get("Content-Type"), body)
	})
	return e
}

// connection is one kept-alive connection that asks the same question again and again, with as little as possible of
// a client's own work in the measurement.
type connection struct {
	net.Conn
	request []byte
	answer  []byte
}

func dialled(b *testing.B, address, question string) *connection {
	b.Helper()
	host := strings.TrimPrefix(address, "http://")
	conn, err := net.Dial("tcp", host)
	require.NoError(b, err)
	b.Cleanup(func() { conn.Close() })
	return &connection{Conn: conn, request: []byte("GET " + question + " HTTP/1.1\r\nHost: " + host + "\r\n\r\n")}
}

func (c *connection) ask(b *testing.B, bodyLength int) {
	if _, err := c.Write(c.request); err != nil {
		b.Fatal(err)
	}
	if c.answer == nil { // the first tells how long an answer is, head and all
		c.answer = make([]byte, 1<<16)
		n := 0
		for {
			read, err := c.Read(c.answer[n:])
			if err != nil {
				b.Fatal(err)
			}
			n += read
			if head, _, ok := strings.Cut(string(c.answer[:n]), "\r\n\r\n"); ok && n >= len(head)+4+bodyLength {
				c.answer = c.answer[:n]
				return
			}
			if n == len(c.answer) {
				c.answer = append(c.answer, make([]byte, n)...)
			}
		}
	}
	if _, err := io.ReadFull(c, c.answer); err != nil {
		b.Fatal(err)
	}
}
