package main

import (
	"context"
	"log/slog"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/book"
	"evenpull/internal/store"
	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// at is a clock that a test sets.
type at struct {
	mu  sync.Mutex
	now time.Time
}

func (c *at) time() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *at) set(now time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = now
}

// startAt serves a book of its own by a clock of the test's own.
func startAt(t *testing.T, clock *at) (*program, *book.Book) {
	t.Helper()
	st, err := store.Open(context.Background(), storetest.DB(t), store.Options{})
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, st.Close()) })
	b := book.New(st, book.Options{Now: clock.time, Assumed: usualAssumption})
	return serveBook(t, b, clock.time), b
}

// serveBook serves a book, with nothing kept yet.
func serveBook(t *testing.T, b *book.Book, now func() time.Time) *program {
	t.Helper()
	handler, err := newServer(b, serverOptions{ManagerKey: testKey,
		Log: slog.New(slog.DiscardHandler), Now: now})
	require.NoError(t, err)
	server := httptest.NewServer(handler)
	t.Cleanup(server.Close)
	return &program{t: t, address: server.URL, key: testKey, stdout: new(output), stderr: new(output)}
}

// zone is a time zone by its IANA name.
func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation(name)
	require.NoError(t, err)
	return zone
}

// A show gets to be over by the clock, though nobody writes: what was kept of it says so too, and whoever still saw it
// open does not open it again unawares.
func TestShow_IsOverByTheClock(t *testing.T) {
	t.Parallel()
	west := zone(t, "America/St_Johns")
	clock := &at{now: time.Date(2099, 7, 19, 11, 59, 0, 0, west)}
	p, _ := startAt(t, clock)
	smallFleet(t, p)
	smallSeason(t, p)
	there := showOn("Harvest Pull", "2099-07-18", "fescue", "open-4x4", "farm-9500-lb")
	there["zone"] = west.String()
	into[openapi.Show](t, p.do(put("/v1/shows/"+harvest, there).with("If-Match",
		p.do(get("/v1/shows/"+harvest)).Header.Get("ETag"))), 200)
	question := get("/v1/shows/" + harvest + "/sheet")
	assert.False(t, into[openapi.Sheet](t, p.do(question), 200).Over)
	etag := p.do(get("/v1/shows/" + harvest)).Header.Get("ETag")
	clock.set(time.Date(2099, 7, 19, 12, 0, 0, 0, west))
	assert.True(t, into[openapi.Sheet](t, p.do(question), 200).Over)
	over := p.do(get("/v1/shows/" + harvest))
	assert.True(t, into[openapi.Show](t, over, 200).Over)

	corrected := showOn("Harvest Pull", "2099-07-18", "fescue", "open-4x4", "farm-9500-lb")
	problemOf(t, p.do(put("/v1/shows/"+harvest, corrected).with("If-Match", etag)), 412)
	corrected["over"], corrected["notes"] = true, "rain after the second class"
	correction := put("/v1/shows/"+harvest, corrected).with("If-Match", over.Header.Get("ETag"))
	assert.True(t, into[openapi.Show](t, p.do(correction), 200).Over)
}
