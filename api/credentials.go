package main

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"math"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
)

// credentials tell who sends a request: by a key, or by the cookie of a browser that is signed in.
type credentials struct {
	set     *setKey // nil where none is set from outside
	stored  func(ctx context.Context, key string) (who fleet.Actor, ok bool, err error)
	session func(ctx context.Context, token string, fingerprint []byte) (who fleet.Actor, expires time.Time, ok bool, err error)
	cookie  cookie
	wrong   *wrongKeys
	count   *metrics
}

// setKey is a key that is set from outside. It is compared in memory, by a digest under a key that only this process
// has; sessions remember it by a slow hash, which is worked out when first needed.
type setKey struct {
	under       [sha256.Size]byte
	digest      []byte
	fingerprint func() []byte
}

// newSetKey is nil for the empty key.
func newSetKey(key string, slowHash func(key string) []byte) *setKey {
	if key == "" {
		return nil
	}
	s := &setKey{fingerprint: sync.OnceValue(func() []byte { return slowHash(key) })}
	rand.Read(s.under[:]) // never fails
	s.digest = s.digestOf(key)
	return s
}

func (s *setKey) digestOf(key string) []byte {
	mac := hmac.New(sha256.New, s.under[:])
	mac.Write([]byte(key))
	return mac.Sum(nil)
}

// is compares digests, so that neither the length nor the beginning of the key shows in the time it takes.
func (s *setKey) is(key string) bool { return s != nil && hmac.Equal(s.digestOf(key), s.digest) }

// mark is what a session of this key is remembered by, nil where no key is set.
func (s *setKey) mark() []byte {
	if s == nil {
		return nil
	}
	return s.fingerprint()
}

// holder is who sends a request, and how it was found.
type holder struct {
	fleet.Actor
	byCookie bool
	expires  time.Time // of the session, where it was found by the cookie
}

// of finds who sends a request; nil is nobody. A key in the header decides, whatever the cookie says. One that is not valid
// is refused; a session that has ended is refused too, so that a page can say so.
func (k *credentials) of(c echo.Context) (*holder, error) {
	ctx := c.Request().Context()
	if given := c.Request().Header.Values(echo.HeaderAuthorization); len(given) > 0 {
		key, ok := bearer(given)
		if !ok {
			return nil, k.wrongKey(c)
		}
		who, err := k.ofKey(c, key)
		if err != nil {
			return nil, err
		}
		return &holder{Actor: who}, nil
	}
	token := k.cookie.read(c.Request())
	if token == "" {
		return nil, nil
	}
	who, expires, ok, err := k.session(ctx, token, k.set.mark())
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, errSignedOut
	}
	return &holder{Actor: who, byCookie: true, expires: expires}, nil
}

var errSignedOut = unauthorised(challenge, "this browser is no longer signed in; sign in again")

// ofKey finds whose key it is, and slows whoever tries wrong ones. A valid key is never slowed.
func (k *credentials) ofKey(c echo.Context, key string) (fleet.Actor, error) {
	if k.set.is(key) {
		return fleet.TheSetKey(), nil
	}
	who, ok, err := k.stored(c.Request().Context(), key)
	if err != nil {
		return fleet.Actor{}, err
	}
	if !ok {
		return fleet.Actor{}, k.wrongKey(c)
	}
	return who, nil
}

// markOf is what a session is to be remembered by besides its key of the database, nil for those that have one.
func (k *credentials) markOf(who fleet.Actor) []byte {
	if who.KeyID != "" {
		return nil
	}
	return k.set.mark()
}

func (k *credentials) wrongKey(c echo.Context) error {
	k.count.wrongKeys.Inc()
	if wait := k.wrong.another(c.RealIP()); wait > 0 {
		k.count.slowed.WithLabelValues(slowedWrongKeys).Inc()
		return slowed(wait, "too many wrong keys came from your address; try again in a minute")
	}
	return unauthorised(challenge+`, error="invalid_token"`, "this key is not valid")
}

// slowed refuses for a while.
func slowed(wait time.Duration, detail string) *refusal {
	r := refuse(http.StatusTooManyRequests, "%s", detail)
	r.header.Set("Retry-After", strconv.Itoa(int(math.Ceil(wait.Seconds()))))
	return r
}

const challenge = `Bearer realm="evenpull"`

func unauthorised(challenge, detail string) error {
	r := refuse(http.StatusUnauthorized, "%s", detail)
	r.header.Set(echo.HeaderWWWAuthenticate, challenge)
	return r
}

// bearer is the key in an Authorization header (RFC 6750; the scheme in any case, RFC 9110).
func bearer(given []string) (string, bool) {
	scheme, key, _ := strings.Cut(given[0], " ")
	key = strings.TrimSpace(key)
	return key, len(given) == 1 && strings.EqualFold(scheme, "Bearer") && key != ""
}

// cookie is the cookie of a browser that is signed in.
type cookie struct{ secure bool }

// name has the prefix by which a browser makes sure, behind HTTPS, that no other host and no plain page has set it (RFC 6265bis).
func (k cookie) name() string {
	if k.secure {
		return "__Host-evenpull-session"
	}
	return "evenpull-session"
}

func (k cookie) read(r *http.Request) string {
	found, err := r.Cookie(k.name())
	if err != nil {
		return ""
	}
	return found.Value
}

// set gives the cookie to a browser for some time; an empty token takes it away.
func (k cookie) set(c echo.Context, token string, lasts time.Duration) {
	seconds := int(lasts.Seconds())
	if token == "" || seconds <= 0 {
		seconds = -1
	}
	c.SetCookie(&http.Cookie{
		Name: k.name(), Value: token, Path: "/", MaxAge: seconds, HttpOnly: true, Secure: k.secure, SameSite: http.SameSiteStrictMode,
	})
}
