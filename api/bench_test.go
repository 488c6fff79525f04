package main

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// BenchmarkAnswer asks the program and a bare Echo route that sends the same bytes with the same headers, turn by turn,
// over 1, 32 and 256 kept-alive loopback connections: when the answer is kept; when a write has just been acknowledged,
// for everybody's first question after it; and when who asks has the answer already. ratio is the program's throughput
// as a share of the bare route's, the p50s and p99s are of single answers.
func BenchmarkAnswer(b *testing.B) {
	everyAnswer(b, func(b *testing.B) []string {
		return []string{benchProgram(b, filepath.Join(b.TempDir(), "fleet.db"), "--demo")}
	})
}

// everyAnswer measures five answers of the demo's fleet. Programs that share a database are asked by turns, and the
// first writes.
func everyAnswer(b *testing.B, programs func(*testing.B) []string) {
	for _, q := range []struct{ name, question string }{
		{"equivalents", "/v1/equivalents?sled=bluestem&gear=C&start_ft=0&on=fescue&on=timothy"},
		{"table", "/v1/table?reference=bluestem"},
		{"sheet", "/v1/shows/" + winterPull + "/sheet"},
		{"candidates", "/v1/shows/" + winterPull + "/candidates"},
		{"chart", "/v1/sleds/bluestem/chart"},
	} {
		for _, connections := range []int{1, 32, 256} {
			for _, of := range []load{{name: "warm", perTurn: 20}, {name: "after a write", perTurn: 1, write: true},
				{name: "not modified", perTurn: 20, known: true}} {
				b.Run(fmt.Sprintf("%s/%d/%s", q.name, connections, of.name), func(b *testing.B) {
					besideBareRoute(b, programs(b), q.question, connections, of)
				})
			}
		}
	}
}

// load is what a turn consists of.
type load struct {
	name    string
	perTurn int  // questions on every connection
	write   bool // a reading is written just before, outside the measurement
	known   bool // every question says that its answer is known
}

func besideBareRoute(b *testing.B, programs []string, question string, connections int, l load) {
	first, err := client.Get(programs[0] + question) // uncompressed, as the connections below ask
	require.NoError(b, err)
	body, err := io.ReadAll(first.Body)
	require.NoError(b, err)
	require.NoError(b, first.Body.Close())
	require.Equal(b, http.StatusOK, first.StatusCode)
	bare := httptest.NewServer(bareRoute(question, first.Header, body))
	defer bare.Close()

	header := ""
	if l.known {
		header = "If-None-Match: " + first.Header.Get("ETag") + "\r\n"
	}
	theirs := crowdOf(b, bare.URL, question, header, connections)
	var ours []*crowd
	for _, address := range programs {
		ours = append(ours, crowdOf(b, address, question, header, connections))
	}
	for _, of := range append(ours, theirs) {
		of.ask(b, 1)
		of.took, of.waited = nil, 0
	}
	writes := fidgetOn(b, programs[0], "bluestem")
	for turn := 0; b.Loop(); turn++ {
		if l.write {
			b.StopTimer()
			writes.write(b)
			b.StartTimer()
		}
		first, second := ours[turn/2%len(ours)], theirs // by turns, as whoever comes first finds the processor cold
		if turn%2 == 1 {
			first, second = second, first
		}
		first.ask(b, l.perTurn)
		second.ask(b, l.perTurn)
	}
	var took []time.Duration
	var oursWall time.Duration
	for _, of := range ours {
		took, oursWall = append(took, of.took...), oursWall+of.waited
	}
	theirsWall := theirs.waited
	b.ReportMetric(float64(theirsWall)/float64(oursWall), "ratio")
	b.ReportMetric(float64(len(took))/oursWall.Seconds(), "answers/s")
	reportTimes(b, "", took)
	reportTimes(b, "bare-", theirs.took)
}

func reportTimes(b *testing.B, of string, took []time.Duration) {
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Nanoseconds())/1e3, of+"p50-µs")
	b.ReportMetric(float64(took[len(took)*99/100].Nanoseconds())/1e3, of+"p99-µs")
}

// benchKey is the manager key of a program under load.
const benchKey = "a-manager-key-for-benchmarks"

func benchProgram(b *testing.B, db string, args ...string) string {
	b.Helper()
	ctx := b.Context()
	stdout := new(output)
	done := make(chan int, 1)
	getenv := func(name string) string { return map[string]string{"EVENPULL_MANAGER_KEY": benchKey}[name] }
	go func() {
		done <- runProgram(ctx, append([]string{"--addr", "127.0.0.1:0", "--db", db}, args...), getenv, stdout,
			io.Discard)
	}()
	b.Cleanup(func() { <-done }) // the context ended just before
	for {
		if line := startLine.FindStringSubmatch(stdout.String()); line != nil {
			return line[1]
		}
		time.Sleep(time.Millisecond)
	}
}

// fidget is a reading that is left out and brought back in turns: a write that does not make the sled larger with every
// turn.
type fidget struct {
	address, reading string
	aside            bool
}

func fidgetOn(b *testing.B, address, sled string) *fidget {
	b.Helper()
	var list openapi.ReadingPage
	response, err := client.Get(address + "/v1/sleds/" + sled + "/readings?limit=1")
	require.NoError(b, err)
	defer response.Body.Close()
	require.NoError(b, json.NewDecoder(response.Body).Decode(&list))
	require.Len(b, list.Items, 1)
	return &fidget{address: address, reading: list.Items[0].Id}
}

func (f *fidget) write(b *testing.B) {
	b.Helper()
	body := `{"set_aside": {"reason": "for a moment"}}`
	if f.aside {
		body = `{"set_aside": null}`
	}
	request, err := http.NewRequest("PATCH", f.address+"/v1/readings/"+f.reading, strings.NewReader(body))
	require.NoError(b, err)
	request.Header.Set("Authorization", "Bearer "+benchKey)
	request.Header.Set("Content-Type", "application/json")
	response, err := client.Do(request)
	require.NoError(b, err)
	_, err = io.Copy(io.Discard, response.Body)
	require.NoError(b, err)
	require.NoError(b, response.Body.Close())
	require.Equal(b, http.StatusOK, response.StatusCode)
	f.aside = !f.aside
}

// bareRoute sends the same bytes with the same headers, or 304 to whoever has them.
func bareRoute(question string, header http.Header, body []byte) http.Handler {
	e := echo.New()
	path, _, _ := strings.Cut(question, "?")
	e.GET(path, func(c echo.Context) error {
		for name, values := range header {
			if name != "Date" && name != "Content-Length" {
				c.Response().Header()[name] = values
			}
		}
		if c.Request().Header.Get("If-None-Match") == header.Get("ETag") {
			return c.NoContent(http.StatusNotModified)
		}
		c.Response().Header()["Content-Length"] = header["Content-Length"]
		return c.Blob(http.StatusOK, header.Get("Content-Type"), body)
	})
	return e
}

// crowd is many connections that ask the same question.
type crowd struct {
	connections []*connection
	took        []time.Duration // by single questions
	waited      time.Duration   // until all had their answers, over all turns
}

func crowdOf(b *testing.B, address, question, header string, n int) *crowd {
	c := &crowd{}
	for range n {
		c.connections = append(c.connections, dialled(b, address, question, header))
	}
	return c
}

// ask lets every connection ask so many times.
func (c *crowd) ask(b *testing.B, times int) {
	began := time.Now()
	var wg sync.WaitGroup
	took := make([]time.Duration, len(c.connections)*times)
	for i, of := range c.connections {
		wg.Go(func() {
			for j := range times {
				began := time.Now()
				if err := of.ask(); err != nil {
					b.Error(err)
					return
				}
				took[i*times+j] = time.Since(began)
			}
		})
	}
	wg.Wait()
	c.waited += time.Since(began)
	c.took = append(c.took, took...)
}
