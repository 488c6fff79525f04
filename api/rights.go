package main

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
)

// rights decides who may use what. The rules are those of the contract.
type rights struct {
	keys     *credentials
	private  bool // reading takes a key as well
	sameSite *http.CrossOriginProtection
}

// newRights makes rights that take the pages at publicURL, empty where nobody said so, for our own.
func newRights(keys *credentials, private bool, publicURL string) (*rights, error) {
	r := &rights{keys: keys, private: private, sameSite: http.NewCrossOriginProtection()}
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

// sessionPath is where browsers sign in and out: the one place that is written to without a right.
const sessionPath = "/v1/session"

// withoutData is what a private installation shows to everybody besides the pages' own files: nothing of the fleet is in it.
var withoutData = []string{healthPath, "/readyz", "/openapi.yaml", "/openapi.json", sessionPath}

// roles reads who may use an operation: x-roles of the contract, empty for everybody. A rule that is missing or that nobody can
// follow is an error.
func (o operation) roles(method, path string) ([]fleet.Role, error) {
	listed, _ := o.Extensions["x-roles"].([]any)
	var roles []fleet.Role
	for _, one := range listed {
		name, _ := one.(string)
		role := fleet.Role(name)
		if role != fleet.Manager && role != fleet.Operator && role != fleet.Promoter {
			return nil, fmt.Errorf("%s %s: the contract gives it to %q, which is no role", method, path, one)
		}
		roles = append(roles, role)
	}
	secured := o.Security != nil && len(*o.Security) > 0
	switch {
	case secured != (len(roles) > 0):
		return nil, fmt.Errorf("%s %s: in the contract, security and x-roles have to come together", method, path)
	case len(roles) == 0 && method != http.MethodGet && path != sessionPath:
		return nil, fmt.Errorf("%s %s: the contract does not say who may", method, path)
	}
	return roles, nil
}

// to lets a request pass whose sender may make it. It does not look at the body. With no roles everybody may, or everybody
// with a key where the installation is private.
func (r *rights) to(path string, roles []fleet.Role) echo.MiddlewareFunc {
	if len(roles) == 0 && path == sessionPath {
		return r.ownPages
	}
	if len(roles) == 0 && (!r.private || slices.Contains(withoutData, path)) {
		return everybody
	}
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			who, err := r.keys.of(c)
			if err != nil {
				return err
			}
			if who == nil {
				return unauthorised(challenge, "this needs a key: send Authorization: Bearer KEY, or sign in")
			}
			if who.byCookie {
				if err := r.fromOurPages(c); err != nil {
					return err
				}
			}
			if len(roles) > 0 && !slices.Contains(roles, who.Role) {
				return refuse(http.StatusForbidden, "the key of %s cannot do this; it takes that of %s", aRole(who.Role), anyOf(roles))
			}
			c.Set(actorKey, who.Actor)
			return next(c)
		}
	}
}

func everybody(next echo.HandlerFunc) echo.HandlerFunc { return next }

// ownPages refuses what another site makes a browser send. It guards what needs no right but changes a browser's cookie.
func (r *rights) ownPages(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if err := r.fromOurPages(c); err != nil {
			return err
		}
		return next(c)
	}
}

// fromOurPages refuses a write that a page of another origin makes a browser send along with our cookie. Reading passes:
// what comes back stays hidden from that page.
func (r *rights) fromOurPages(c echo.Context) error {
	if err := r.sameSite.Check(c.Request()); err != nil {
		return refuse(http.StatusForbidden, "a signed-in browser can write only from the pages of this address; this came from elsewhere")
	}
	return nil
}

const actorKey = "actor"

// actorOf is who sent a request that needs a key.
func actorOf(c echo.Context) fleet.Actor {
	who, _ := c.Get(actorKey).(fleet.Actor)
	return who
}

// underKey says whether an answer is for the holder of a key only.
func underKey(c echo.Context) bool { return c.Get(actorKey) != nil }

func aRole(r fleet.Role) string {
	if r == fleet.Operator {
		return "an operator"
	}
	return "a " + string(r)
}

func anyOf(roles []fleet.Role) string {
	words := mapSlice(roles, aRole)
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
