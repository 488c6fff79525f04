package main

import (
	"context"
	"fmt"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	goqr "github.com/piglig/go-qr"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

const pagesSeenAt = "https://sleds.example"

// signInLink makes a link for a key and returns its secret.
func signInLink(t *testing.T, p *program, key string) string {
	t.Helper()
	made := into[openapi.SignInLink](t, p.do(post("/v1/keys/"+key+"/link", nil)), 201)
	secret, found := strings.CutPrefix(made.Link, pagesSeenAt+"/sign-in#")
	require.True(t, found, made.Link)
	return secret
}

// newSecret makes a link without a public URL, as the first start does.
func newSecret(t *testing.T, b *book.Book, key string) (secret string) {
	t.Helper()
	require.NoError(t, b.Write(context.Background(), fleet.TheProgram(), func(w *book.Writer) (err error) {
		secret, _, err = w.NewSignInLink(key)
		return err
	}))
	return secret
}

func byLink(secret string) request {
	return post("/v1/session", map[string]any{"link": secret}).nobody()
}

func TestSignInLink_SignsAPhoneInOnceWithTheRoleOfItsKey(t *testing.T) {
	t.Parallel()
	p := start(t, "--public-url", pagesSeenAt)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	gate := addKey(t, p, "Gate", openapi.Operator)
	answer := p.do(post("/v1/keys/"+gate.Id+"/link", nil))
	assert.Equal(t, "no-store", answer.Header.Get("Cache-Control"))
	made := into[openapi.SignInLink](t, answer, 201)
	assert.WithinDuration(t, time.Now().Add(10*time.Minute), made.ExpiresAt, time.Minute, "as the contract says")
	assert.NotContains(t, made.Link, "?", "the secret is where no browser sends it")
	read, err := goqr.Decode(painted(t, fmt.Sprintf(`viewBox="0 0 %[1]d %[1]d" %[2]s`, made.Qr.Modules, made.Qr.Path)))
	require.NoError(t, err)
	assert.Equal(t, made.Link, read, "what a phone reads off the code")
	_, secret, _ := strings.Cut(made.Link, "#")

	in := p.do(byLink(secret))
	assert.Equal(t, "no-store", in.Header.Get("Cache-Control"))
	session := into[openapi.Session](t, in, 200)
	assert.Equal(t, "Gate", *session.Name)
	assert.Equal(t, openapi.Operator, *session.Role)
	cookie := in.Cookies()[0]
	assert.True(t, cookie.HttpOnly)
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280)).signedIn(cookie)), 201)
	problemOf(t, p.do(post("/v1/sleds", fescue()).signedIn(cookie)), 403)

	again := p.do(byLink(secret))
	assert.Contains(t, problemOf(t, again, 401).Detail, "was used before")
	assert.Empty(t, again.Cookies())
	problemOf(t, p.do(post("/v1/sleds", fescue()).as(secret)), 401)
	problemOf(t, p.do(post("/v1/session", map[string]any{"key": secret}).nobody()), 401)
	for _, body := range []map[string]any{{}, {"key": testKey, "link": secret}} {
		problemOf(t, p.do(post("/v1/session", body).nobody()), 422)
	}
}

// Of phones that come at once with the same link one gets in.
func TestSignInLink_LetsOneOfManyIn(t *testing.T) {
	t.Parallel()
	p := start(t, "--public-url", pagesSeenAt)
	gate := addKey(t, p, "Gate", openapi.Operator)
	for range 10 {
		secret := signInLink(t, p, gate.Id)
		var in, refused atomic.Int32
		var phones sync.WaitGroup
		for range 2 {
			phones.Go(func() {
				got, err := p.try(byLink(secret))
				switch {
				case !assert.NoError(t, err):
				case got.StatusCode == 200:
					in.Add(1)
				case got.StatusCode == 401:
					refused.Add(1)
				}
			})
		}
		phones.Wait()
		assert.Equal(t, []int32{1, 1}, []int32{in.Load(), refused.Load()})
	}
}

func TestSignInLink_OutlivesARestart(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	env := map[string]string{"EVENPULL_MANAGER_KEY": testKey}
	p := startOn(t, db, env, "--public-url", pagesSeenAt)
	gate := addKey(t, p, "Gate", openapi.Promoter)
	spent, secret := signInLink(t, p, gate.Id), ""
	into[openapi.Session](t, p.do(byLink(spent)), 200)
	secret = signInLink(t, p, gate.Id)
	require.Equal(t, exitWell, p.stop())

	again := startOn(t, db, env)
	problemOf(t, again.do(byLink(spent)), 401)
	assert.Equal(t, openapi.Promoter, *into[openapi.Session](t, again.do(byLink(secret)), 200).Role)
	problemOf(t, again.do(byLink(secret)), 401)
	assert.NotContains(t, p.stderr.String()+again.stderr.String(), strings.TrimSuffix(secret, "."+gate.Id))
}

func TestSignInLink_ExpiresAfterTenMinutes(t *testing.T) {
	t.Parallel()
	clock := &at{now: time.Date(2026, 7, 18, 12, 0, 0, 0, time.UTC)}
	p, b := startAt(t, clock)
	gate := addKey(t, p, "Gate", openapi.Operator)
	secret := newSecret(t, b, gate.Id)
	clock.set(clock.time().Add(10 * time.Minute))
	assert.Contains(t, problemOf(t, p.do(byLink(secret)), 401).Detail, "its time is over")
	secret = newSecret(t, b, gate.Id)
	clock.set(clock.time().Add(10*time.Minute - time.Second))
	into[openapi.Session](t, p.do(byLink(secret)), 200)
}

func TestSignInLink_IsGuardedAsKeysAre(t *testing.T) {
	t.Parallel()
	p := start(t, "--public-url", pagesSeenAt)
	gate := addKey(t, p, "Gate", openapi.Operator)
	at := "/v1/keys/" + gate.Id + "/link"
	problemOf(t, p.do(post(at, nil).nobody()), 401)
	problemOf(t, p.do(post(at, nil).as(gate.Key)), 403)
	problemOf(t, p.do(post("/v1/keys/nobody/link", nil)), 404)
	problemOf(t, p.do(byLink(signInLink(t, p, gate.Id)).with("Sec-Fetch-Site", "cross-site")), 403)

	secret := signInLink(t, p, gate.Id)
	for i := range 20 {
		problemOf(t, p.do(byLink(fmt.Sprintf("guess-number-%d.%s", i, gate.Id))), 401)
	}
	slowed := p.do(byLink("one-guess-too-many"))
	problemOf(t, slowed, 429)
	assert.NotEmpty(t, slowed.Header.Get("Retry-After"))
	into[openapi.Session](t, p.do(byLink(secret)), 200) // a valid one is never slowed

	unused := signInLink(t, p, gate.Id)
	p.do(remove("/v1/keys/" + gate.Id))
	assert.NotEqual(t, 200, p.do(byLink(unused)).StatusCode, "its key has ended")
	problemOf(t, p.do(post(at, nil)), 409)
}

func TestSignInLink_NeedsToKnowWhatPhonesAreToOpen(t *testing.T) {
	t.Parallel()
	p := start(t)
	gate := addKey(t, p, "Gate", openapi.Operator)
	assert.Contains(t, problemOf(t, p.do(post("/v1/keys/"+gate.Id+"/link", nil)), 409).Detail, "--public-url")
}

var announcedLink = regexp.MustCompile(`This link signs a browser in with it, once, within ten minutes: (\S+)\n`)

// The first start prints a link under the address that the pages are at, which signs one browser in.
func TestFirstKey_ComesWithALinkThatSignsIn(t *testing.T) {
	t.Parallel()
	p := startOn(t, storetest.DB(t), nil)
	line := announcedLink.FindStringSubmatch(p.stdout.String())
	require.NotNil(t, line, "%s", p.stdout)
	secret, found := strings.CutPrefix(line[1], p.address+"/sign-in#")
	require.True(t, found, line[1])
	assert.Equal(t, openapi.Manager, *into[openapi.Session](t, p.do(byLink(secret)), 200).Role)
	problemOf(t, p.do(byLink(secret)), 401)
	assert.NotContains(t, p.stderr.String(), secret)

	outside := startOn(t, storetest.DB(t), nil, "--public-url", pagesSeenAt+"/")
	assert.Contains(t, outside.stdout.String(), ": "+pagesSeenAt+"/sign-in#")
}
