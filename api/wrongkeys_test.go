package main

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/openapi"
)

// Twenty wrong keys a minute get 401, more get 429; a valid key is never slowed.
func TestWrongKeys_AreSlowedAndValidOnesAreNot(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	for i := range 20 {
		got := p.do(post("/v1/sleds", "{}").with("Authorization", fmt.Sprintf("Bearer guess-number-%d", i)))
		problemOf(t, got, http.StatusUnauthorized)
		assert.Contains(t, got.Header.Get("WWW-Authenticate"), "invalid_token")
	}
	slowed := p.do(post("/v1/sleds", "{}").with("Authorization", "Bearer one-guess-too-many"))
	problemOf(t, slowed, http.StatusTooManyRequests)
	assert.Regexp(t, `^([1-9]|[1-5][0-9]|60)$`, slowed.Header.Get("Retry-After"))
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280))), 201)
	problemOf(t, p.do(post("/v1/sleds", "{}").with("Authorization", "Bearer another-guess")),
		http.StatusTooManyRequests)
	assert.NotContains(t, p.stderr.String(), "guess")
}
