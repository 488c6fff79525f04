package main

import (
	"fmt"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// An address that asks too often is told when to come back, reads and writes each by themselves; who only looks whether
// the program is alive, or loads the pages, is not counted.
func TestRates_SlowAnAddressThatAsksTooOften(t *testing.T) {
	t.Parallel()
	clock := &at{now: time.Now()}
	p := serving(t, func(o *serverOptions) { o.ReadRate, o.WriteRate, o.Now = 12, 3, clock.time })
	for range 24 { // two seconds' worth
		require.Equal(t, 200, p.do(get("/v1/sleds")).StatusCode)
	}
	slowed := p.do(get("/v1/sleds"))
	assert.Contains(t, problemOf(t, slowed, 429).Detail, "more often")
	assert.Equal(t, "1", slowed.Header.Get("Retry-After"))
	problemOf(t, p.do(get("/v1/equivalents?sled=bluestem&gear=A")), 429)
	problemOf(t, p.do(get("/metrics")), 429)
	assert.Equal(t, 429, p.do(request{method: "HEAD", path: "/v1/sleds"}).StatusCode)
	for range 50 {
		assert.Equal(t, 200, p.do(get("/healthz")).StatusCode)
		assert.Equal(t, 200, p.do(get("/assets/frame/base.css")).StatusCode)
	}
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	for range 5 { // with the one above, two seconds' worth
		problemOf(t, p.do(post("/v1/sleds", "{}").nobody()), 401)
	}
	problemOf(t, p.do(post("/v1/sleds", "{}").nobody()), 429)
	problemOf(t, p.do(post("/v1/sleds", fescue())), 429)
	clock.set(clock.time().Add(time.Second / 12))
	assert.Equal(t, 200, p.do(get("/v1/sleds")).StatusCode, "one more twelfth of a second")
	problemOf(t, p.do(get("/v1/sleds")), 429)
	clock.set(clock.time().Add(time.Second))
	into[openapi.Sled](t, p.do(post("/v1/sleds", fescue())), 201)
	metrics := string(p.do(get("/metrics")).body)
	assert.Contains(t, metrics, `evenpull_slowed_total{why="reads"} 5`)
	assert.Contains(t, metrics, `evenpull_slowed_total{why="writes"} 2`)
	assert.NotContains(t, p.stderr.String(), "status=429", "a flood must not fill the log")
}

// A page that looks into the database for its reader is counted as what it reads, and comes bare instead of not at all.
func TestRates_HoldForPagesThatReadTheDatabase(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		page    string
		private bool
	}{
		{"/pullers?show=" + harvest, false},
		{"/shows?show=" + harvest, false},
		{"/fleet", true},
	} {
		clock := &at{now: time.Now()}
		p := serving(t, func(o *serverOptions) { o.ReadRate, o.Private, o.Now = 10, c.private, clock.time })
		smallFleet(t, p)
		smallSeason(t, p)
		links := func() int { return len(p.do(get(c.page).as(testKey)).Header.Values("Link")) }
		whole := links()
		for range 19 { // of two seconds' worth
			require.Equal(t, whole, links(), c.page)
		}
		assert.Less(t, links(), whole, c.page)
		problemOf(t, p.do(get("/v1/sleds").as(testKey)), 429)
		clock.set(clock.time().Add(time.Second))
		assert.Equal(t, whole, links(), c.page)
	}
}

func TestRates_AreOffUnlessTheyAreSet(t *testing.T) {
	t.Parallel()
	clock := &at{now: time.Now()}
	p := serving(t, func(o *serverOptions) { o.Now = clock.time })
	for range 200 {
		require.Equal(t, http.StatusOK, p.do(get("/v1/sleds")).StatusCode)
	}
}

// Slow rates still let a page open: it asks a handful of questions at once.
func TestRates_LeaveRoomForOnePage(t *testing.T) {
	t.Parallel()
	clock := &at{now: time.Now()}
	p := serving(t, func(o *serverOptions) { o.ReadRate, o.Now = 0.5, clock.time })
	for range 20 {
		require.Equal(t, http.StatusOK, p.do(get("/v1/sleds")).StatusCode)
	}
	slowed := p.do(get("/v1/sleds"))
	problemOf(t, slowed, 429)
	assert.Equal(t, "2", slowed.Header.Get("Retry-After"))
}

// An address that somebody writes into a header is nobody's.
func TestRates_IgnoreAnAddressInAHeader(t *testing.T) {
	t.Parallel()
	clock := &at{now: time.Now()}
	p := serving(t, func(o *serverOptions) { o.ReadRate, o.Now = 1, clock.time })
	status := 0
	for i := range 20 + 1 {
		made := fmt.Sprintf("192.0.2.%d", i)
		status = p.do(get("/v1/sleds").with("X-Forwarded-For", made).with("X-Real-IP", made).with("Forwarded",
			"for="+made)).StatusCode
	}
	assert.Equal(t, 429, status)
}
