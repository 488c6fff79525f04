package main

import (
	"fmt"
	"io/fs"
	"log/slog"
	"net/http"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"evenpull/internal/book"
	"evenpull/openapi"
)

// server answers requests. Its handlers implement the routes generated from the contract: each decodes, makes one
// call into the book, and encodes.
type server struct {
	book     *book.Book
	keys     *keys
	kept     *keptAnswers
	contract *contract
	pages    pages
	log      *slog.Logger
}

var _ openapi.ServerInterface = (*server)(nil)

// serverOptions are what a server needs besides the book.
type serverOptions struct {
	ManagerKey string // a manager key that is valid besides those in the database; empty for none
	Pages      fs.FS  // the pages and their assets
	Log        *slog.Logger
}

// newServer makes the handler of every request.
func newServer(b *book.Book, o serverOptions) (http.Handler, error) {
	contract, err := readContract()
	if err != nil {
		return nil, err
	}
	pages, err := readPages(o.Pages)
	if err != nil {
		return nil, err
	}
	s := &server{
		book: b, keys: newKeys(o.ManagerKey, b.KnowsKey), kept: newKeptAnswers(keptBytes),
		contract: contract, pages: pages, log: o.Log,
	}
	e := echo.New()
	e.HideBanner, e.HidePort = true, true
	// An address in a header can be made up by whoever sends it; the connection's cannot.
	e.IPExtractor = echo.ExtractIPDirect()
	e.HTTPErrorHandler = s.sendProblem
	watch := newWatch(o.Log)
	e.Use(watch.requests, recovered, secured)
	if err := s.routes(e, watch); err != nil {
		return nil, err
	}
	return e, nil
}

// routes is every address there is. What is in the contract runs through its check; what writes needs a key
// first, so that a stranger learns nothing from how a body is judged; answers that take arithmetic are kept, and
// a kept one is found ahead of the check that it once passed.
func (s *server) routes(e *echo.Echo, watch *watch) error {
	h := openapi.ServerInterfaceWrapper{Handler: s}
	key, kept := s.keys.needed, s.answeredBefore
	t := routeTable{e: e, contract: s.contract}

	t.get("/healthz", h.GetHealth)
	t.get("/readyz", h.GetReady)
	t.get("/openapi.yaml", h.GetContract)

	t.get("/v1/sleds", h.ListSleds)
	t.write("POST", "/v1/sleds", h.AddSled, key, alsoCheck(sledFaults))
	t.get("/v1/sleds/:sled", h.GetSled)
	t.write("PUT", "/v1/sleds/:sled", h.PutSled, key, alsoCheck(correctionFaults))
	t.write("DELETE", "/v1/sleds/:sled", h.DeleteSled, key)

	t.get("/v1/sleds/:sled/readings", h.ListReadings)
	t.write("POST", "/v1/sleds/:sled/readings", h.AddReading, key, alsoCheck(s.readingFaults))
	t.write("POST", "/v1/readings", h.AddReadings, key)
	t.get("/v1/readings/:reading", h.GetReading)
	t.write("PATCH", "/v1/readings/:reading", h.SetReadingAside, key)

	t.get("/v1/sleds/:sled/chart", h.GetChart, kept)
	t.get("/v1/sleds/:sled/chart.svg", h.DrawChart, kept)
	t.get("/v1/equivalents", h.GetEquivalents, kept)
	t.get("/v1/equivalents.svg", h.DrawEquivalents, kept)
	t.get("/v1/table", h.GetTable, kept)

	t.open("/", s.page("index.html"))
	t.open("/fleet", s.page("fleet.html"))
	t.open("/worked-out", s.page("worked-out.html"))
	t.open("/measuring", s.page("measuring.html"))
	t.open("/assets/*", s.asset)
	t.open("/metrics", echo.WrapHandler(promhttp.HandlerFor(watch.registry, promhttp.HandlerOpts{})))
	return t.err
}

// routeTable registers routes.
type routeTable struct {
	e        *echo.Echo
	contract *contract
	err      error
}

// get registers a GET of the contract, and HEAD with it.
func (t *routeTable) get(path string, h echo.HandlerFunc, before ...echo.MiddlewareFunc) {
	chain := t.chain(http.MethodGet, path, before)
	t.e.GET(path, h, chain...)
	t.e.HEAD(path, h, chain...)
}

// write registers another operation of the contract.
func (t *routeTable) write(method, path string, h echo.HandlerFunc, before ...echo.MiddlewareFunc) {
	t.e.Add(method, path, h, t.chain(method, path, before)...)
}

// open registers a GET, and HEAD with it, that is not in the contract.
func (t *routeTable) open(path string, h echo.HandlerFunc) {
	t.e.GET(path, h)
	t.e.HEAD(path, h)
}

func (t *routeTable) chain(method, path string, before []echo.MiddlewareFunc) []echo.MiddlewareFunc {
	op, ok := t.contract.operation(method, path)
	if !ok {
		t.err = fmt.Errorf("%s %s is not in the contract", method, path)
	}
	return append(before, op.check)
}
