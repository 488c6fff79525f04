package main

import (
	"fmt"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"evenpull/openapi"
)

// Twenty wrong keys a minute get 401, more get 429; a valid key is never slowed.
func TestWrongKeysAreSlowedAndValidOnesAreNot(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	for i := range wrongPerMinute {
		got := p.do(post("/v1/sleds", "{}").with("Authorization", fmt.Sprintf("Bearer guess-number-%d", i)))
		problemOf(t, got, http.StatusUnauthorized)
		assert.Contains(t, got.Header.Get("WWW-Authenticate"), "invalid_token")
	}
	slowed := p.do(post("/v1/sleds", "{}").with("Authorization", "Bearer one-guess-too-many"))
	problemOf(t, slowed, http.StatusTooManyRequests)
	assert.Regexp(t, `^([1-9]|[1-5][0-9]|60)$`, slowed.Header.Get("Retry-After"))
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280))), 201)
	problemOf(t, p.do(post("/v1/sleds", "{}").with("Authorization", "Bearer another-guess")), http.StatusTooManyRequests)
	assert.NotContains(t, p.stderr.String(), "guess")
}

func TestWrongKeysAreForgottenAfterAMinuteAndCountedByAddress(t *testing.T) {
	t.Parallel()
	now := time.Date(2025, 5, 10, 12, 0, 0, 0, time.UTC)
	w := newWrongKeys(func() time.Time { return now })
	for range wrongPerMinute {
		assert.Zero(t, w.another("192.0.2.1"))
	}
	now = now.Add(20 * time.Second)
	assert.Equal(t, 40*time.Second, w.another("192.0.2.1"))
	assert.Zero(t, w.another("192.0.2.2"), "another address")
	now = now.Add(40 * time.Second)
	assert.Zero(t, w.another("192.0.2.1"), "a minute later")

	for i := range wrongPerMinute { // one user has a whole network of them
		assert.Zero(t, w.another(fmt.Sprintf("2001:db8::%x", i)))
	}
	assert.NotZero(t, w.another("2001:db8::ffff"))
	assert.Zero(t, w.another("2001:db8:0:1::1"), "another network")
}

func TestWrongKeysTakeUpBoundedMemory(t *testing.T) {
	t.Parallel()
	now := time.Date(2025, 5, 10, 12, 0, 0, 0, time.UTC)
	w := newWrongKeys(func() time.Time { return now })
	for i := range 3 * addressesWatched {
		w.another(fmt.Sprintf("10.%d.%d.%d", i>>16, i>>8&255, i&255))
	}
	assert.LessOrEqual(t, len(w.by.all), addressesWatched+1)
	assert.NotZero(t, w.another("172.16.0.1"), "everybody else is counted together")
	now = now.Add(wrongKeysTimespan)
	assert.Zero(t, w.another("172.16.0.1"))
	assert.LessOrEqual(t, len(w.by.all), 2)
}
