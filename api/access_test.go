package main

import (
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// route is one way to use one address.
type route struct {
	method, path string // as Echo writes it: /v1/sleds/:sled
	roles        []any  // x-roles of the contract
	file         bool   // a built-in file of the pages
}

// files are the addresses of the pages' own files. They are listed here once more, so that nobody opens another by the
// way.
var files = []string{
	"/", "/shows", "/sheet", "/fence", "/pullers", "/season", "/fleet", "/parts", "/what-if", "/weights", "/alike",
	"/help", "/worked-out", "/measuring", "/weighing", "/admin", "/sign-in", "/lever", "/note", "/inspection", "/docs",
	"/assets/*", "/sw.js",
}

// allRoutes is every route that the program has, with the rule that the contract gives for it. One that is neither in
// the contract nor among the few known otherwise fails the test.
func allRoutes(t *testing.T) []route {
	t.Helper()
	doc := theContract(t)
	e := echo.New()
	require.NoError(t, routesOf(t, doc, e))
	var all []route
	for _, r := range e.Routes() {
		method := r.Method
		if method == http.MethodHead {
			method = http.MethodGet
		}
		item := doc.Paths.Value(pathParameter.ReplaceAllString(r.Path, "{$1}"))
		one := route{method: r.Method, path: r.Path}
		switch {
		case item != nil && item.GetOperation(method) != nil:
			one.roles, _ = item.GetOperation(method).Extensions["x-roles"].([]any)
		case slices.Contains(files, r.Path):
			one.file = true
		default:
			require.Equal(t, "/metrics", r.Path, "a route without a rule")
		}
		all = append(all, one)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].path+" "+all[i].method < all[j].path+" "+all[j].method })
	return all
}

// pathParameter is a parameter in a route as Echo writes it.
var pathParameter = regexp.MustCompile(`:(\w+)`)

// asker is who asks, in one column of the table.
type asker struct {
	name string
	role string // "" for nobody, or for a key that is no longer one
	bad  bool   // sends a key that is no longer one
	send func(request) request
}

// letIn is the rule in words, worked out a second time: what somebody gets from a route, 401 and 403 or let in (0).
func letIn(r route, who asker, private bool) int {
	withoutData := r.file || slices.Contains([]string{"/healthz", "/readyz", "/openapi.yaml", "/openapi.json",
		"/v1/session"}, r.path)
	switch {
	case r.path == "/v1/session" && who.bad && r.method != "POST" && r.method != "DELETE" &&
		!strings.Contains(who.name, "browser"):
		return 401 // it asks who it is, and the key it shows is none
	case len(r.roles) > 0 && who.role == "":
		return 401
	case len(r.roles) > 0 && !slices.Contains(r.roles, any(who.role)):
		return 403
	case len(r.roles) == 0 && private && !withoutData && who.role == "":
		return 401
	}
	return 0
}

// Every route, every kind of asker, in an installation that shows what it has and in a private one: each request is
// really made, and the contract says who gets in.
func TestAccess_IsWhatTheContractSays(t *testing.T) {
	t.Parallel()
	routes := allRoutes(t)
	require.Greater(t, len(routes), 100)
	for _, private := range []bool{false, true} {
		// Keys that have ended are slowed like any wrong ones. Here a minute passes between two requests.
		clock := &at{now: time.Now()}
		p := serving(t, func(o *serverOptions) { o.Private, o.Now = private, clock.time })
		smallFleetAs(t, p)
		var askers []asker
		add := func(name, role string, bad bool, send func(request) request) {
			askers = append(askers, asker{name, role, bad, send})
		}
		browser := func(key string) func(request) request {
			var cookie *http.Cookie
			return func(r request) request {
				if cookie == nil || r.path == "/v1/session" && r.method == "DELETE" { // which ends it
					cookie = signIn(t, p, key)
				}
				sent := r.signedIn(cookie)
				if r.path == "/v1/session" && r.method == "DELETE" {
					cookie = nil
				}
				return sent
			}
		}
		add("nobody", "", false, request.nobody)
		for _, role := range []openapi.Role{openapi.Manager, openapi.Operator, openapi.Promoter} {
			key := addKey(t, p, "Key of a "+string(role), role).Key
			add(string(role), string(role), false, func(r request) request { return r.as(key) })
			add(string(role)+"'s browser", string(role), false, browser(key))
		}
		add("key set at the start", "manager", false, func(r request) request { return r.as(testKey) })
		add("its browser", "manager", false, browser(testKey))
		ended := addKey(t, p, "Ended", openapi.Manager)
		cookie := signIn(t, p, ended.Key)
		require.Equal(t, 204, p.do(remove("/v1/keys/"+ended.Id).as(testKey)).StatusCode)
		add("ended key", "", true, func(r request) request { return r.as(ended.Key) })
		add("ended key's browser", "", true, func(r request) request { return r.signedIn(cookie) })
		add("no key at all", "", true, func(r request) request { return r.as("made-up-by-a-stranger") })

		var table strings.Builder
		fmt.Fprintf(&table, "private %v; · is let in\n", private)
		for i, who := range askers {
			fmt.Fprintf(&table, "  %2d %s\n", i+1, who.name)
		}
		for _, r := range routes {
			line := fmt.Sprintf("%-6s %-48s", r.method, r.path)
			for _, who := range askers {
				clock.set(clock.time().Add(time.Minute))
				got := p.do(who.send(tryOut(r)))
				was := 0
				if got.StatusCode == 401 || got.StatusCode == 403 {
					was = got.StatusCode
				}
				assert.Equal(t, letIn(r, who, private), was, "%s %s by %s, private %v: %s", r.method, r.path, who.name,
					private, got.body)
				assert.NotEqual(t, http.StatusTooManyRequests, got.StatusCode)
				assert.Less(t, got.StatusCode, 500, "%s %s by %s: %s", r.method, r.path, who.name, got.body)
				assert.NotEqual(t, http.StatusMethodNotAllowed, got.StatusCode, "%s %s: never reached", r.method,
					r.path)
				if was == 401 {
					assert.Contains(t, got.Header.Get("WWW-Authenticate"), "Bearer")
				}
				line += fmt.Sprintf(" %3s", map[int]string{0: "·", 401: "401", 403: "403"}[was])
			}
			if r.method != http.MethodHead { // it is as GET is
				fmt.Fprintln(&table, line)
			}
		}
		t.Log(table.String())
	}
}

// tryOut is a request that shows whether somebody is let in, and changes nothing where he is.
func tryOut(r route) request {
	path := strings.NewReplacer(":sled", "bluestem", ":show", "no-such-show", ":class", "no-such-class", ":reading",
		"none", ":change", "none", ":inspection", "none",
		":key", "none", ":line", "none", "*", "base.css").Replace(r.path)
	asked := request{method: r.method, path: path}
	if r.method != "GET" && r.method != "HEAD" && r.method != "DELETE" {
		asked.body = "{}"
	}
	return asked
}

// smallFleetAs is smallFleet where reading may take a key.
func smallFleetAs(t *testing.T, p *program) {
	t.Helper()
	for _, r := range []request{post("/v1/sleds", bluestem()), post("/v1/sleds", fescue()),
		post("/v1/sleds/bluestem/readings", readingOf("A", 280))} {
		require.Equal(t, 201, p.do(r.as(p.key)).StatusCode)
	}
}

// Who is kept out is told which keys get in.
func TestAccess_NamesTheRolesThatARefusedKeyLacks(t *testing.T) {
	t.Parallel()
	p := start(t)
	gate, office := addKey(t, p, "Gate", openapi.Operator).Key, addKey(t, p, "Office", openapi.Promoter).Key
	for _, c := range []struct {
		request request
		says    string
	}{
		{post("/v1/sleds", "{").as(gate), "the key of an operator cannot do this; it takes that of a manager"},
		{post("/v1/classes", "{").as(gate),
			"the key of an operator cannot do this; it takes that of a manager or a promoter"},
		{post("/v1/readings", "{").as(office),
			"the key of a promoter cannot do this; it takes that of a manager or an operator"},
		{get("/v1/history").as(office), "the key of a promoter cannot do this; it takes that of a manager"},
	} {
		assert.Equal(t, c.says, problemOf(t, p.do(c.request), 403).Detail)
	}
}

// What one who may read has asked for is at hand, but not for who may not; and nobody on the way may keep it.
func TestAccess_OfAPrivateInstallationTakesAKey(t *testing.T) {
	t.Parallel()
	p := serving(t, func(o *serverOptions) { o.Private = true })
	smallFleetAs(t, p)
	for _, path := range []string{
		"/v1/equivalents?sled=bluestem&gear=A", "/v1/table?reference=bluestem", "/v1/sleds/bluestem/chart",
		"/v1/sleds/bluestem/chart.svg", "/v1/sleds", "/metrics",
	} {
		var etag string
		for range 2 {
			got := p.do(get(path).as(testKey))
			require.Equal(t, 200, got.StatusCode, "%s", got.body)
			if path != "/metrics" {
				etag = got.Header.Get("ETag")
				assert.Equal(t, "private, no-cache", got.Header.Get("Cache-Control"), path)
			}
			stranger := p.do(get(path).nobody())
			problemOf(t, stranger, 401)
			assert.NotContains(t, strings.ToLower(string(stranger.body)), "bluestem", path)
			problemOf(t, p.do(get(path).nobody().with("If-None-Match", "*")), 401)
			problemOf(t, p.do(get(path).nobody().with("If-None-Match", etag)), 401)
			problemOf(t, p.do(get(path).as("a-wrong-key")), 401)
		}
	}
	metrics := string(p.do(get("/metrics").as(testKey)).body)
	assert.Contains(t, metrics, `evenpull_cached_answers_total{outcome="hit"} 4`)
	assert.True(t, into[openapi.Session](t, p.do(get("/v1/session").nobody()), 200).Private)
	for _, path := range []string{"/v1/sleds/bluestem", "/v1/sleds/no-such-sled"} {
		assert.Equal(t, problemOf(t, p.do(get(path).nobody()), 401).Detail,
			problemOf(t, p.do(get("/v1/sleds").nobody()), 401).Detail, "whether it is there shows")
	}
}
