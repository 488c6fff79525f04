package main

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"math"
	"net/http"
	"net/netip"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/labstack/echo/v4"
)

// keys decides who may write. A valid key is never slowed; wrong ones are, from the same address.
type keys struct {
	set   *[sha256.Size]byte // digest of the key that is set from outside
	known func(ctx context.Context, key string) (role string, ok bool, err error)
	wrong *wrongKeys
}

func newKeys(set string, known func(context.Context, string) (string, bool, error)) *keys {
	k := &keys{known: known, wrong: newWrongKeys(time.Now)}
	if set != "" {
		digest := sha256.Sum256([]byte(set))
		k.set = &digest
	}
	return k
}

// needed lets a request pass that carries a valid key. It does not look at the body.
func (k *keys) needed(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		given := c.Request().Header.Values(echo.HeaderAuthorization)
		if len(given) == 0 {
			return unauthorised(`Bearer realm="evenpull"`, "this needs a key: send Authorization: Bearer KEY")
		}
		key, ok := bearer(given)
		if ok {
			valid, err := k.valid(c.Request().Context(), key)
			if err != nil {
				return err
			}
			if valid {
				return next(c)
			}
		}
		if wait := k.wrong.another(c.RealIP()); wait > 0 {
			slowed := refuse(http.StatusTooManyRequests, "too many wrong keys came from your address; try again in a minute")
			slowed.header.Set("Retry-After", strconv.Itoa(int(math.Ceil(wait.Seconds()))))
			return slowed
		}
		return unauthorised(`Bearer realm="evenpull", error="invalid_token"`, "this key is not valid")
	}
}

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

// valid compares digests, so that neither the length nor the beginning of a key shows in the time it takes.
func (k *keys) valid(ctx context.Context, key string) (bool, error) {
	digest := sha256.Sum256([]byte(key))
	if k.set != nil && subtle.ConstantTimeCompare(digest[:], k.set[:]) == 1 {
		return true, nil
	}
	_, ok, err := k.known(ctx, key)
	return ok, err
}

// How many wrong keys an address may try in a minute, and how many addresses are remembered. Our own choice.
const (
	wrongPerMinute    = 20
	addressesWatched  = 10_000
	everybodyElse     = "" // the address under which the rest are counted together
	wrongKeysTimespan = time.Minute
)

// wrongKeys counts wrong keys by address, in bounded memory.
type wrongKeys struct {
	now   func() time.Time
	mu    sync.Mutex
	by    map[string]tries
	swept time.Time // when old tries were looked for last
}

type tries struct {
	since time.Time
	count int
}

func newWrongKeys(now func() time.Time) *wrongKeys {
	return &wrongKeys{now: now, by: map[string]tries{}}
}

// another notes a wrong key and says how long that address has to wait, 0 while it may go on.
func (w *wrongKeys) another(addr string) time.Duration {
	w.mu.Lock()
	defer w.mu.Unlock()
	now := w.now()
	who := neighbourhood(addr)
	if _, watched := w.by[who]; !watched && len(w.by) >= addressesWatched {
		w.forget(now)
		if len(w.by) >= addressesWatched {
			who = everybodyElse
		}
	}
	t := w.by[who]
	if now.Sub(t.since) >= wrongKeysTimespan {
		t = tries{since: now}
	}
	t.count++
	w.by[who] = t
	if t.count <= wrongPerMinute {
		return 0
	}
	return t.since.Add(wrongKeysTimespan).Sub(now)
}

// forget drops tries from more than a minute ago. It looks at all of them, so it does so once a second at most:
// a flood of addresses must not make it the slow part.
func (w *wrongKeys) forget(now time.Time) {
	if now.Sub(w.swept) < time.Second {
		return
	}
	w.swept = now
	for who, t := range w.by {
		if now.Sub(t.since) >= wrongKeysTimespan {
			delete(w.by, who)
		}
	}
}

// neighbourhood is the address, or the network of 64 bits where one user usually has all addresses of it (IPv6).
func neighbourhood(addr string) string {
	ip, err := netip.ParseAddr(addr)
	if err != nil || ip.Unmap().Is4() {
		return addr
	}
	network, err := ip.WithZone("").Prefix(64)
	if err != nil {
		return addr
	}
	return network.String()
}
