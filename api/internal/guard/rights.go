package guard

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/fleet"
)

// Rights decide who may use what. The rules are those of the contract.
type Rights struct {
	keys     *Credentials
	private  bool // reading takes a key as well
	sameSite *http.CrossOriginProtection
}

// NewRights makes rights that take the pages at publicURL, empty where nobody said so, for our own.
func NewRights(keys *Credentials, private bool, publicURL string) (*Rights, error) {
	r := &Rights{keys: keys, private: private, sameSite: http.NewCrossOriginProtection()}
	if publicURL != "" {
		origin, err := originOf(publicURL)
		if err != nil {
			return nil, err
		}
		if err := r.sameSite.AddTrustedOrigin(origin); err != nil {
			return nil, fmt.Errorf("taking %s for our own: %w", origin, err)
		}
	}
	return r, nil
}

// originOf is the origin of an address as a browser writes it: in lower case, without the port that everybody knows.
func originOf(address string) (string, error) {
	u, err := url.Parse(address)
	if err != nil {
		return "", fmt.Errorf("reading the public address: %w", err)
	}
	scheme, host := strings.ToLower(u.Scheme), strings.ToLower(u.Host)
	usual := map[string]string{"http": ":80", "https": ":443"}[scheme]
	return scheme + "://" + strings.TrimSuffix(host, usual), nil
}

// Readers lets anybody pass, or anybody with a key where the installation is private.
func (r *Rights) Readers() echo.MiddlewareFunc {
	if r.private {
		return r.Roles(nil)
	}
	return Everybody
}

// Roles lets a request pass whose sender has a key with one of these roles, or with any role where there are none. It
// does not look at the body.
func (r *Rights) Roles(roles []fleet.Role) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			who, err := r.keys.Of(c)
			if err != nil {
				return err
			}
			if who == nil {
				return unauthorized(challenge, "this needs a key: send Authorization: Bearer KEY, or sign in")
			}
			if who.ByCookie {
				if err := r.fromOurPages(c); err != nil {
					return err
				}
			}
			if len(roles) > 0 && !slices.Contains(roles, who.Role) {
				return reply.Refuse(http.StatusForbidden, "the key of %s cannot do this; it takes that of %s",
					aRole(who.Role), reply.OneOf(roles, aRole))
			}
			c.Set(actorKey, who.Actor)
			if method := c.Request().Method; method == http.MethodGet || method == http.MethodHead {
				// for the holder of this key only
				c.Response().Header().Set(echo.HeaderCacheControl, "private, no-cache")
			}
			return next(c)
		}
	}
}

// Everybody lets every request pass.
func Everybody(next echo.HandlerFunc) echo.HandlerFunc { return next }

// OwnPages refuses what another site makes a browser send. It guards what needs no right but changes a browser's
// cookie.
func (r *Rights) OwnPages(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if err := r.fromOurPages(c); err != nil {
			return err
		}
		return next(c)
	}
}

// fromOurPages refuses a write that a page of another origin makes a browser send along with our cookie. Reading
// passes: what comes back stays hidden from that page.
func (r *Rights) fromOurPages(c echo.Context) error {
	if err := r.sameSite.Check(c.Request()); err != nil {
		return reply.Refuse(http.StatusForbidden,
			"a signed-in browser can write only from the pages of this address; this came from elsewhere")
	}
	return nil
}

const actorKey = "actor"

// ActorOf is who sent a request that needs a key, the zero value for any other.
func ActorOf(c echo.Context) fleet.Actor {
	who, _ := c.Get(actorKey).(fleet.Actor)
	return who
}

func aRole(r fleet.Role) string {
	if r == fleet.Operator {
		return "an operator"
	}
	return "a " + string(r)
}
