// Package guard decides who may do what, and how often: keys, the sessions of browsers, the rights that the contract
// gives, and how often one address may ask.
package guard

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

	"evenpull/api/internal/reply"
	"evenpull/internal/fleet"
)

// Credentials tell who sends a request: by a key, or by the cookie of a browser that is signed in.
type Credentials struct {
	Options
	set   *setKey // nil where none is set from outside
	wrong *wrongKeys
}

// Options are what credentials need from elsewhere.
type Options struct {
	SetKey   string // a key that is set from outside, empty for none
	SlowHash func(key string) []byte
	// Stored finds whose key it is among those in the database, Session who signed in with the token of a cookie.
	Stored  func(ctx context.Context, key string) (who fleet.Actor, ok bool, err error)
	Session func(ctx context.Context, token string, fingerprint []byte) (who fleet.Actor, expires time.Time, ok bool,
		err error)
	// Link finds whose key a sign-in link is of, and spends nothing.
	Link   func(ctx context.Context, secret string) (who fleet.Actor, ok bool, err error)
	Cookie Cookie
	Now    func() time.Time
	// WrongKey is told of every key that is not valid, SlowedDown of every request that is refused for a while, and
	// why.
	WrongKey   func()
	SlowedDown func(because string)
}

// NewCredentials makes credentials.
func NewCredentials(o Options) *Credentials {
	return &Credentials{Options: o, set: newSetKey(o.SetKey, o.SlowHash), wrong: newWrongKeys(o.Now)}
}

// HasSetKey says whether a key is set from outside.
func (k *Credentials) HasSetKey() bool { return k.set != nil }

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

// Holder is who sends a request, and how that was found.
type Holder struct {
	fleet.Actor
	ByCookie bool
	Expires  time.Time // of the session, where it was found by the cookie
}

// Of finds who sends a request; nil is nobody. A key in the header decides, whatever the cookie says. One that is not
// valid is refused; a session that has ended is refused too, so that a page can say so.
func (k *Credentials) Of(c echo.Context) (*Holder, error) {
	ctx := c.Request().Context()
	if given := c.Request().Header.Values(echo.HeaderAuthorization); len(given) > 0 {
		key, ok := bearer(given)
		if !ok {
			return nil, k.wrongKey(c)
		}
		who, err := k.OfKey(c, key)
		if err != nil {
			return nil, err
		}
		return &Holder{Actor: who}, nil
	}
	token := k.Cookie.Read(c.Request())
	if token == "" {
		return nil, nil
	}
	who, expires, ok, err := k.Session(ctx, token, k.set.mark())
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, ErrSignedOut
	}
	return &Holder{Actor: who, ByCookie: true, Expires: expires}, nil
}

// ErrSignedOut refuses a browser whose session has ended.
var ErrSignedOut = unauthorized(challenge, "this browser is no longer signed in; sign in again")

// OfKey finds whose key it is, and slows whoever tries wrong ones. A valid key is never slowed.
func (k *Credentials) OfKey(c echo.Context, key string) (fleet.Actor, error) {
	if k.set.is(key) {
		return fleet.TheSetKey(), nil
	}
	who, ok, err := k.Stored(c.Request().Context(), key)
	if err == nil && !ok {
		err = k.wrongKey(c)
	}
	if err != nil {
		return fleet.Actor{}, err
	}
	return who, nil
}

// OfLink finds whose key a sign-in link is of, and slows whoever tries wrong ones as wrong keys. It spends nothing.
func (k *Credentials) OfLink(c echo.Context, secret string) (fleet.Actor, error) {
	who, ok, err := k.Link(c.Request().Context(), secret)
	if err == nil && !ok {
		err = k.WrongLink(c)
	}
	if err != nil {
		return fleet.Actor{}, err
	}
	return who, nil
}

// WrongLink refuses a sign-in link, and counts it as a wrong key.
func (k *Credentials) WrongLink(c echo.Context) error {
	return k.wrongOne(c, "this sign-in link was used before or its time is over; ask for a new one")
}

// MarkOf is what a session is to be remembered by besides its key of the database, nil for those that have one.
func (k *Credentials) MarkOf(who fleet.Actor) []byte {
	if who.KeyID != "" {
		return nil
	}
	return k.set.mark()
}

func (k *Credentials) wrongKey(c echo.Context) error { return k.wrongOne(c, "this key is not valid") }

func (k *Credentials) wrongOne(c echo.Context, detail string) error {
	k.WrongKey()
	if wait := k.wrong.another(c.RealIP()); wait > 0 {
		k.SlowedDown(slowedWrongKeys)
		return slowed(wait, "too many wrong keys came from your address; try again in a minute")
	}
	return unauthorized(challenge+`, error="invalid_token"`, detail)
}

// slowed refuses for a while.
func slowed(wait time.Duration, detail string) *reply.Refusal {
	r := reply.Refuse(http.StatusTooManyRequests, "%s", detail)
	r.Header.Set("Retry-After", strconv.Itoa(int(math.Ceil(wait.Seconds()))))
	return r
}

const challenge = `Bearer realm="evenpull"`

func unauthorized(challenge, detail string) error {
	r := reply.Refuse(http.StatusUnauthorized, "%s", detail)
	r.Header.Set(echo.HeaderWWWAuthenticate, challenge)
	return r
}

// bearer is the key in an Authorization header (RFC 6750; the scheme in any case, RFC 9110).
func bearer(given []string) (string, bool) {
	scheme, key, _ := strings.Cut(given[0], " ")
	key = strings.TrimSpace(key)
	return key, len(given) == 1 && strings.EqualFold(scheme, "Bearer") && key != ""
}
