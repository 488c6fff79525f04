package main

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/guard"
	"evenpull/api/internal/observe"
	"evenpull/api/internal/site"
	"evenpull/openapi"
)

// A generated client makes arguments of parameters, and Python takes no argument named by a keyword.
func TestContract_NamesNoParameterByAPythonKeyword(t *testing.T) {
	t.Parallel()
	// The Python Language Reference 3.13, section 2.3.1,
	// https://docs.python.org/3.13/reference/lexical_analysis.html#keywords
	keywords := strings.Fields(`False None True and as assert async await break class continue def del elif else except
		finally
		for from global if import in is lambda nonlocal not or pass raise return try while with yield`)
	require.Len(t, keywords, 35)
	names := 0
	for path, item := range theContract(t).Paths.Map() {
		all := slices.Clone(item.Parameters)
		for _, operation := range item.Operations() {
			all = append(all, operation.Parameters...)
		}
		for _, p := range all {
			assert.NotContains(t, keywords, p.Value.Name, "%s, in the %s", path, p.Value.In)
			names++
		}
	}
	assert.Greater(t, names, 100)
}

func TestContract_HasEveryRouteUnderV1AndNoOther(t *testing.T) {
	t.Parallel()
	doc := theContract(t)
	var described []string
	for path, item := range doc.Paths.Map() {
		route := strings.NewReplacer("{", ":", "}", "").Replace(path)
		for method := range item.Operations() {
			assert.Contains(t, []string{"GET", "POST", "PUT", "PATCH", "DELETE"}, method,
				"%s: the route table has a rule for these alone", path)
			described = append(described, method+" "+route)
			if method == http.MethodGet {
				described = append(described, "HEAD "+route)
			}
		}
	}
	e := echo.New()
	require.NoError(t, routesOf(t, doc, e))
	var routed []string
	for _, r := range e.Routes() {
		if strings.HasPrefix(r.Path, "/v1/") || r.Path == "/healthz" || r.Path == "/readyz" ||
			strings.HasPrefix(r.Path, "/openapi.") {
			routed = append(routed, r.Method+" "+r.Path)
		}
	}
	assert.ElementsMatch(t, described, routed)
	for _, path := range cached {
		assert.Contains(t, routed, "GET "+path, "cached")
	}
}

// Bodies are decoded into types that have more fields than may be sent, such as whether a sled is invented. So every
// object in a body names its fields, and no other gets through. A document of a fleet or a sled is checked by the
// archive.
func TestContract_LetsNoFieldThroughThatItDoesNotName(t *testing.T) {
	t.Parallel()
	objects := 0
	var closed func(at string, of *openapi3.SchemaRef)
	closed = func(at string, of *openapi3.SchemaRef) {
		if of == nil {
			return
		}
		if v := of.Value; len(v.Properties) > 0 {
			objects++
			open := v.AdditionalProperties.Has == nil || *v.AdditionalProperties.Has
			assert.False(t, open, "%s: additionalProperties must be false", at)
		}
		for name, field := range of.Value.Properties {
			closed(at+"."+name, field)
		}
		closed(at+"[]", of.Value.Items)
		closed(at+"{}", of.Value.AdditionalProperties.Schema)
		for _, part := range slices.Concat(of.Value.AllOf, of.Value.AnyOf, of.Value.OneOf) {
			closed(at, part)
		}
	}
	for path, item := range theContract(t).Paths.Map() {
		for method, op := range item.Operations() {
			if op.RequestBody != nil && !strings.HasSuffix(path, "/import") {
				for _, body := range op.RequestBody.Value.Content {
					closed(method+" "+path, body.Schema)
				}
			}
		}
	}
	assert.Greater(t, objects, 25)
}

// routesOf registers the routes of a contract on e.
func routesOf(t *testing.T, doc *openapi3.T, e *echo.Echo) error {
	t.Helper()
	text, err := doc.MarshalJSON()
	require.NoError(t, err)
	k, err := contract.Read(text)
	require.NoError(t, err)
	keys := guard.NewCredentials(guard.Options{})
	rights, err := guard.NewRights(keys, false, "")
	require.NoError(t, err)
	s := &server{contract: k, keys: keys, metrics: observe.NewMetrics()}
	routes := routeTable{Echo: e, contract: k, rights: rights, rates: guard.NewRates(0, 0, nil, time.Now)}
	openapi.RegisterHandlers(&routes, s)
	routes.pages(s, site.Pages{})
	return routes.err
}

// Every write of the contract says who may make it, signing in and out aside, and what only reads does so where it is
// not for everybody. Each can be done with a key and from a signed-in browser; what is for everybody can be done with
// them too.
func TestContract_SaysWhoseRightAWriteNeeds(t *testing.T) {
	t.Parallel()
	doc := theContract(t)
	notForEverybody := []string{"/v1/keys", "/v1/history", "/v1/export", "/v1/sleds/{sled}/export",
		"/v1/sleds/{sled}/inspection-list", "/v1/sleds/{sled}/inspections", "/v1/sleds/{sled}/inspections.csv",
		"/v1/sleds/{sled}/due"}
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			needed := path != "/v1/session" && (method != http.MethodGet || slices.Contains(notForEverybody, path))
			if method == http.MethodGet && !needed && strings.HasPrefix(path, "/v1/") {
				// A client that is generated from it has to be able to send a key to a private installation.
				assert.Equal(t, &openapi3.SecurityRequirements{{}, {"key": {}}, {"session": {}}}, op.Security,
					"%s %s: security", method, path)
			} else {
				require.NotNil(t, op.Security, "%s %s: security", method, path)
				assert.Equal(t, needed, len(*op.Security) > 0, "%s %s: security", method, path)
			}
			assert.Equal(t, needed, op.Extensions["x-roles"] != nil, "%s %s: x-roles", method, path)
			if needed {
				assert.Equal(t, openapi3.SecurityRequirements{{"key": {}}, {"session": {}}}, *op.Security, "%s %s",
					method, path)
				assert.Contains(t, op.Extensions["x-roles"], "manager", "%s %s: a manager may do everything", method,
					path)
			}
		}
	}
}

// A program whose contract does not say who may write, or says it wrongly, does not start.
func TestContract_WithoutARuleIsRefusedAtTheStart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what, path, method string
		change             func(*openapi3.Operation)
		says               string
	}{
		{"a write for nobody", "/v1/sleds", "POST", func(o *openapi3.Operation) { o.Security, o.Extensions = nil, nil },
			"POST /v1/sleds: the contract does not say who may"},
		{"a write with a key of any role", "/v1/sleds/{sled}", "DELETE",
			func(o *openapi3.Operation) { o.Extensions = nil },
			"DELETE /v1/sleds/:sled: in the contract, security and x-roles have to come together"},
		{"a role without a key", "/v1/history", "GET", func(o *openapi3.Operation) { o.Security = nil },
			"GET /v1/history: in the contract, security and x-roles have to come together"},
		{"a role that there is not", "/v1/readings", "POST",
			func(o *openapi3.Operation) { o.Extensions["x-roles"] = []any{"driver"} },
			`POST /v1/readings: the contract gives it to "driver", which is no role`},
		{"a role that is no word", "/v1/readings", "POST",
			func(o *openapi3.Operation) { o.Extensions["x-roles"] = []any{7.0} },
			"POST /v1/readings: the contract gives it to"},
	} {
		doc := theContract(t)
		require.NoError(t, routesOf(t, doc, echo.New()), c.what)
		c.change(doc.Paths.Value(c.path).GetOperation(c.method))
		assert.ErrorContains(t, routesOf(t, doc, echo.New()), c.says, c.what)
	}
	doc := theContract(t)
	doc.Paths.Delete("/v1/season")
	assert.ErrorContains(t, routesOf(t, doc, echo.New()), "GET /v1/season is not in the contract")
}
