package main

import (
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// metric reads one number from /metrics by its name and labels as they are written.
func metric(t *testing.T, p *program, name string) float64 {
	t.Helper()
	text := string(p.do(get("/metrics")).body)
	line := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(name) + ` (\S+)$`).FindStringSubmatch(text)
	require.NotNil(t, line, "no %s in\n%s", name, text)
	value, err := strconv.ParseFloat(line[1], 64)
	require.NoError(t, err)
	return value
}

func TestMetrics_CountTheFleetAndItsWrites(t *testing.T) {
	t.Parallel()
	backup := time.Time{}
	p := serving(t, func(o *serverOptions) { o.LastBackup = func() time.Time { return backup } })
	assert.Zero(t, metric(t, p, "evenpull_sleds"))
	assert.Zero(t, metric(t, p, "evenpull_last_backup_timestamp_seconds"))
	was := metric(t, p, "evenpull_revision")
	smallFleet(t, p)
	assert.Equal(t, 2.0, metric(t, p, "evenpull_sleds"))
	assert.Equal(t, 5.0, metric(t, p, "evenpull_readings"))
	assert.Equal(t, was+7, metric(t, p, "evenpull_revision"))
	assert.Equal(t, 7.0, metric(t, p, "evenpull_write_wait_seconds_count"))
	assert.Equal(t, 7.0, metric(t, p, "evenpull_write_duration_seconds_count"))
	backup = time.Date(2026, 5, 9, 3, 0, 0, 500e6, time.UTC)
	assert.Equal(t, 1778295600.5, metric(t, p, "evenpull_last_backup_timestamp_seconds"))

	for range 3 {
		p.do(get("/v1/table?reference=bluestem"))
	}
	assert.Equal(t, 1.0, metric(t, p, `evenpull_cached_answers_total{outcome="miss"}`))
	assert.Equal(t, 2.0, metric(t, p, `evenpull_cached_answers_total{outcome="hit"}`))
	p.do(get("/v1/keys").as("a-wrong-key"))
	assert.Equal(t, 1.0, metric(t, p, "evenpull_wrong_keys_total"))
	assert.Equal(t, 1.0, metric(t, p, "evenpull_http_requests_in_flight"), "the one that asks")
	for _, kind := range []string{"unavailable", "full", "internal"} {
		assert.Zero(t, metric(t, p, fmt.Sprintf(`evenpull_failures_total{kind=%q}`, kind)))
	}
	for _, why := range []string{"wrong keys", "reads", "writes"} {
		assert.Zero(t, metric(t, p, fmt.Sprintf(`evenpull_slowed_total{why=%q}`, why)))
	}
	text := string(p.do(get("/metrics")).body)
	assert.Regexp(t, `evenpull_build_info\{go="go1\.[^"]+",revision="[^"]+",version="[^"]*"\} 1`, text)
}

// What is under way is counted while it is, and no longer.
func TestMetrics_CountRequestsUnderWay(t *testing.T) {
	t.Parallel()
	p := serving(t, nil)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	body, send := io.Pipe()
	done := make(chan int)
	go func() {
		got, err := p.try(csvPost("/v1/readings", "").withBody(body).with("Expect", "100-continue"))
		if assert.NoError(t, err) {
			done <- got.StatusCode
		}
		close(done)
	}()
	_, err := io.WriteString(send, heading) // taken once the program has begun to read it
	require.NoError(t, err)
	assert.Equal(t, 2.0, metric(t, p, "evenpull_http_requests_in_flight"))
	_, err = io.WriteString(send, "bluestem,A,0,280,2025-05-10\n")
	require.NoError(t, err)
	require.NoError(t, send.Close())
	assert.Equal(t, http.StatusCreated, <-done)
	assert.Equal(t, 1.0, metric(t, p, "evenpull_http_requests_in_flight"))
}

// A storage in trouble is counted by its kind, and the rest of the metrics is told all the same.
func TestMetrics_CountFailuresByTheirKind(t *testing.T) {
	storetest.OnFileOnly(t)
	t.Parallel()
	p := serving(t, nil)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	statement(t, p.db, "DROP TABLE readings")
	problemOf(t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280))), 500)
	assert.Equal(t, 1.0, metric(t, p, `evenpull_failures_total{kind="internal"}`))
	assert.Equal(t, 1.0, metric(t, p, "evenpull_http_requests_in_flight"))
}
