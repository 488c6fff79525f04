package main

import (
	"errors"
	"fmt"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/guard"
	"evenpull/api/internal/reply"
)

// cached are the GETs whose answers take arithmetic. One that is cached is found ahead of the check it once passed.
var cached = []string{
	"/v1/sleds/:sled/chart", "/v1/sleds/:sled/chart.svg", "/v1/equivalents", "/v1/equivalents.svg", "/v1/table",
	"/v1/table.csv", "/v1/sleds/:sled/advice", "/v1/sleds/:sled/driveline", "/v1/sleds/:sled/changes",
	"/v1/sleds/:sled/days", "/v1/sleds/:sled/days.svg", "/v1/sleds/:sled/cutoff", "/v1/part-options",
	"/v1/fleet/how-alike", "/v1/fleet/ladders", "/v1/fleet/ladders.svg", "/v1/sleds/:sled/pan-load",
	"/v1/sleds/:sled/pan-load.svg", "/v1/weights", "/v1/weights.svg", "/v1/shows/:show/sheet",
	"/v1/shows/:show/sheet.csv", "/v1/shows/:show/candidates", "/v1/season",
}

const (
	healthPath  = "/healthz"    // asked by whatever watches over the program, as often as it likes
	sessionPath = "/v1/session" // where browsers sign in and out: the one place that is written to without a right
)

// withoutData is what a private installation shows to everybody besides the pages' own files: nothing of the fleet is
// in it.
var withoutData = []string{healthPath, "/readyz", "/openapi.yaml", "/openapi.json"}

// routeTable registers routes, each with its rule: who may use it, and how often. What is generated from the contract
// registers every operation with it, by its method. Each gives a right to whom the contract says, ahead of everything
// else, so that a stranger learns nothing from how a question is judged, nor from what is cached; then it runs through
// the contract's check.
type routeTable struct {
	*echo.Echo
	contract *contract.Contract
	rights   *guard.Rights
	rates    guard.Rates
	cache    *reply.Cache
	err      error
}

func (t *routeTable) GET(path string, h echo.HandlerFunc, _ ...echo.MiddlewareFunc) *echo.Route {
	return t.both(path, h, t.chain(http.MethodGet, path)...)
}

func (t *routeTable) POST(path string, h echo.HandlerFunc, _ ...echo.MiddlewareFunc) *echo.Route {
	return t.Echo.POST(path, h, t.chain(http.MethodPost, path)...)
}

func (t *routeTable) PUT(path string, h echo.HandlerFunc, _ ...echo.MiddlewareFunc) *echo.Route {
	return t.Echo.PUT(path, h, t.chain(http.MethodPut, path)...)
}

func (t *routeTable) PATCH(path string, h echo.HandlerFunc, _ ...echo.MiddlewareFunc) *echo.Route {
	return t.Echo.PATCH(path, h, t.chain(http.MethodPatch, path)...)
}

func (t *routeTable) DELETE(path string, h echo.HandlerFunc, _ ...echo.MiddlewareFunc) *echo.Route {
	return t.Echo.DELETE(path, h, t.chain(http.MethodDelete, path)...)
}

// both registers a GET, and HEAD with it. Without a rule it is for everybody, as are the built-in files of the pages:
// they hold of the fleet only what their reader may read.
func (t *routeTable) both(path string, h echo.HandlerFunc, chain ...echo.MiddlewareFunc) *echo.Route {
	t.Echo.HEAD(path, h, chain...)
	return t.Echo.GET(path, h, chain...)
}

// chain is what a request runs through on its way to an operation of the contract.
func (t *routeTable) chain(method, path string) []echo.MiddlewareFunc {
	op, ok := t.contract.Operation(method, path)
	if !ok {
		t.err = errors.Join(t.err, fmt.Errorf("%s %s is not in the contract", method, path))
		return nil
	}
	may, err := t.may(op, method, path)
	if err != nil {
		t.err = errors.Join(t.err, fmt.Errorf("%s %s: %w", method, path, err))
		return nil
	}
	often := t.rates.Writes
	switch {
	case path == healthPath:
		often = guard.Everybody
	case method == http.MethodGet:
		often = t.rates.Reads
	}
	if method == http.MethodGet && slices.Contains(cached, path) {
		return []echo.MiddlewareFunc{often, may, t.cache.Answer, op.Check}
	}
	return []echo.MiddlewareFunc{often, may, op.Check}
}

// may lets a request pass whose sender may make it.
func (t *routeTable) may(op contract.Operation, method, path string) (echo.MiddlewareFunc, error) {
	roles, err := op.Roles()
	switch {
	case err != nil:
		return nil, err
	case len(roles) > 0:
		return t.rights.Roles(roles), nil
	case path == sessionPath:
		return t.rights.OwnPages, nil
	case method != http.MethodGet:
		return nil, errors.New("the contract does not say who may")
	case slices.Contains(withoutData, path):
		return guard.Everybody, nil
	}
	return t.rights.Readers(), nil
}
