package main

import (
	"context"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/api/internal/observe"
	"evenpull/internal/book"
	"evenpull/internal/store"
	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// serving runs the server without the rest of the program, on a database of its own, with options that a test changes
// first.
func serving(t *testing.T, change func(*serverOptions)) *program {
	t.Helper()
	log := new(output)
	o := serverOptions{ManagerKey: testKey,
		Log: observe.Redacting(slog.New(slog.NewTextHandler(log, nil)), testKey)}
	if change != nil {
		change(&o)
	}
	db := storetest.DB(t)
	st, err := store.Open(context.Background(), db, store.Options{Log: o.Log})
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, st.Close()) })
	handler, err := newServer(book.New(st, book.Options{Assumed: usualAssumption, Log: o.Log}), o)
	require.NoError(t, err)
	listening := httptest.NewServer(handler)
	t.Cleanup(listening.Close)
	return &program{t: t, address: listening.URL, key: o.ManagerKey, db: db, stdout: new(output), stderr: log,
		handler: handler}
}

// as sends a request with a key, and with nothing else.
func (r request) as(key string) request {
	r.stranger = true
	return r.with("Authorization", "Bearer "+key)
}

// signedIn sends a request as a browser that has the cookie, and with nothing else.
func (r request) signedIn(cookie *http.Cookie) request {
	r.stranger = true
	return r.with("Cookie", cookie.Name+"="+cookie.Value)
}

// nobody sends a request without a key.
func (r request) nobody() request {
	r.stranger = true
	return r
}

// newKey is the answer to the first request for a key, which shows it.
type newKey struct {
	Id, Name, Key string // as the contract has them
	Role          openapi.Role
}

// addKey makes a key of a role.
func addKey(t *testing.T, p *program, name string, role openapi.Role) newKey {
	t.Helper()
	return into[newKey](t, p.do(post("/v1/keys", map[string]any{"name": name, "role": role}).as(p.key)), 201)
}

// signIn signs a browser in with a key and returns its cookie.
func signIn(t *testing.T, p *program, key string) *http.Cookie {
	t.Helper()
	got := p.do(post("/v1/session", map[string]any{"key": key}).nobody())
	require.Equal(t, http.StatusOK, got.StatusCode, "%s", got.body)
	cookies := got.Cookies()
	require.Len(t, cookies, 1)
	require.True(t, strings.HasSuffix(cookies[0].Name, "evenpull-session"))
	return cookies[0]
}
