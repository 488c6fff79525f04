package main

import (
	"context"
	"net/http"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// manyRows is an upload of readings with long notes.
func manyRows(rows int) string {
	note := strings.Repeat("wind from the grandstand; ", 15)
	return "sled,gear,start_ft,distance_ft,measured_on,note\n" +
		strings.Repeat("bluestem,B,0,262,2025-05-10,"+note+"\n", rows)
}

// The disk of a server's tables gets full. Whatever has no room says so, and nothing else fails.
func TestServer_WhoseTablesHaveNoRoomIsReported(t *testing.T) {
	t.Parallel()
	v := storetest.Postgres(t, storetest.WithoutFsync)
	folder, grow := fullDisk(t, 24)
	p := spawn(t, v.URLOn(t, folder))
	smallFleet(t, p.program)
	stored := readingCount(t, p.program)
	for refused := 0; refused < 3; {
		got := p.do(csvPost("/v1/readings?repeated=keep", manyRows(1000)))
		if got.StatusCode == http.StatusCreated {
			stored += into[openapi.Accepted](t, got, 201).Accepted
			continue
		}
		requireFull(t, got)
		refused++
	}
	fill(t, folder, 0)
	full := 0
	for range 200 {
		switch got := p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))); got.StatusCode {
		case http.StatusCreated: // into a page that was there
			stored++
		default:
			requireFull(t, got)
			full++
		}
	}
	assert.Positive(t, full)
	assert.Equal(t, stored, readingCount(t, p.program), "what was acknowledged is there, and nothing else")
	grow(64)
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
}

// The keeper of a server cancels what runs there, again and again. What was canceled changes nothing and says so.
func TestServer_ThatCancelsStatementsIsReported(t *testing.T) {
	t.Parallel()
	db := storetest.Postgres(t, storetest.WithoutFsync).URL(t)
	p := spawn(t, db)
	smallFleet(t, p.program)
	into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=keep", manyRows(3000))), 201)
	into[openapi.Chart](t, p.do(get("/v1/sleds/bluestem/chart")), 200)
	stored := readingCount(t, p.program)

	ctx, stop := context.WithCancel(context.Background())
	var keeper sync.WaitGroup
	keeper.Go(func() {
		conn, err := pgx.Connect(ctx, db)
		if !assert.NoError(t, err) {
			return
		}
		defer conn.Close(context.Background())
		for ctx.Err() == nil {
			_, _ = conn.Exec(ctx, "SELECT pg_cancel_backend(pid) FROM pg_stat_activity "+
				"WHERE state = 'active' AND pid <> pg_backend_pid() AND application_name = 'evenpull'")
			time.Sleep(5 * time.Millisecond) // often enough to meet most writes
		}
	})
	var added, canceled atomic.Int64
	for range 150 {
		switch got := p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))); got.StatusCode {
		case http.StatusCreated:
			added.Add(1)
		default:
			problem := problemOf(t, got, http.StatusServiceUnavailable)
			assert.Contains(t, problem.Detail, "nothing was changed")
			canceled.Add(1)
		}
	}
	stop()
	keeper.Wait()
	assert.Positive(t, canceled.Load())
	// A signal of the last round may still be on its way: what it cancels changes nothing either.
	write := post("/v1/sleds/bluestem/readings", readingOf("B", 262))
	for _, last := range []request{write, get("/v1/sleds/bluestem")} {
		require.Eventually(t, func() bool { return p.do(last).StatusCode < 300 }, 10*time.Second, 20*time.Millisecond)
	}
	assert.Equal(t, stored+int(added.Load())+1, readingCount(t, p.program))
}

// The server is stopped with its connections open, as a machine that hangs. Whatever is asked ends with 503, long
// before whoever asked would give up, and everything goes on when the server does.
func TestServer_ThatIsStoppedIsReported(t *testing.T) {
	t.Parallel()
	v := storetest.Postgres(t, storetest.WithoutFsync)
	p := spawn(t, v.URL(t))
	smallFleet(t, p.program)
	stored := readingCount(t, p.program)
	key := addKey(t, p.program, "Crew", openapi.Operator).Key
	goOn := v.Stop(t)
	var all sync.WaitGroup
	for _, r := range []request{
		get("/readyz"), get("/v1/sleds"), get("/v1/table?reference=bluestem"), get("/v1/keys").as(testKey),
		get("/v1/keys").as(key),
		post("/v1/sleds/bluestem/readings", readingOf("B", 262)),
		post("/v1/sleds/bluestem/readings", readingOf("B", 263)),
		post("/v1/sleds/bluestem/readings", readingOf("B", 264)).as(key), csvPost("/v1/readings", manyRows(10)),
		post("/v1/session", map[string]any{"key": key}).nobody(),
	} {
		all.Go(func() {
			got := problemOf(t, p.do(r), http.StatusServiceUnavailable) // the client of the tests waits for a minute
			assert.Contains(t, got.Detail, "nothing was changed", "%s %s", r.method, r.path)
		})
	}
	all.Wait()
	assert.Equal(t, 200, p.do(get("/healthz")).StatusCode)
	goOn()
	assert.Eventually(t, func() bool { return p.do(get("/readyz")).StatusCode == 200 }, 30*time.Second,
		50*time.Millisecond)
	assert.Equal(t, stored, readingCount(t, p.program))
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
	log := p.stderr.String()
	for _, took := range regexp.MustCompile(`path=(\S+) status=503 took=(\S+)`).FindAllStringSubmatch(log, -1) {
		d, err := time.ParseDuration(took[2])
		assert.NoError(t, err)
		assert.Less(t, d, 19*time.Second, "%s: it waited for one limit, not for one after the other", took[1])
	}
}
