package main

import (
	"fmt"
	"io/fs"
	"log/slog"
	"net/http"
	"time"

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
	// publicURL is where the pages are seen from outside, empty when nobody said so.
	publicURL string
	now       func() time.Time
	log       *slog.Logger
}

var _ openapi.ServerInterface = (*server)(nil)

// serverOptions are what a server needs besides the book.
type serverOptions struct {
	ManagerKey string // a manager key that is valid besides those in the database; empty for none
	PublicURL  string // where the pages are seen from outside; empty for nowhere
	Pages      fs.FS  // the pages and their assets
	Log        *slog.Logger
	Now        func() time.Time // time.Now where it is nil
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
		contract: contract, pages: pages, publicURL: o.PublicURL, now: o.Now, log: o.Log,
	}
	if s.now == nil {
		s.now = time.Now
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
	t.write("POST", "/v1/sleds", h.AddSled, key, alsoTry(s.book, tryAddSled))
	t.get("/v1/sleds/:sled", h.GetSled)
	t.write("PUT", "/v1/sleds/:sled", h.PutSled, key, alsoTry(s.book, tryPutSled))
	t.write("DELETE", "/v1/sleds/:sled", h.DeleteSled, key)

	t.get("/v1/sleds/:sled/readings", h.ListReadings, jsonOrCSV("the list of readings"))
	t.write("POST", "/v1/sleds/:sled/readings", h.AddReading, key, alsoTry(s.book, tryAddReading))
	t.write("POST", "/v1/readings", h.AddReadings, key)
	t.get("/v1/readings/:reading", h.GetReading)
	t.write("PATCH", "/v1/readings/:reading", h.SetReadingAside, key)

	t.get("/v1/sleds/:sled/chart", h.GetChart, kept)
	t.get("/v1/sleds/:sled/chart.svg", h.DrawChart, kept)
	t.get("/v1/equivalents", h.GetEquivalents, kept)
	t.get("/v1/equivalents.svg", h.DrawEquivalents, kept)
	t.get("/v1/table", h.GetTable, jsonOrCSV("the table"), kept)
	t.get("/v1/sleds/:sled/advice", h.GetAdvice, kept)

	t.get("/v1/sleds/:sled/driveline", h.GetDriveline, kept)
	t.get("/v1/sleds/:sled/changes", h.ListChanges, kept)
	t.write("POST", "/v1/sleds/:sled/changes", h.AddChange, key, alsoTry(s.book, tryAddChange))
	t.write("DELETE", "/v1/changes/:change", h.DeleteChange, key)
	t.get("/v1/sleds/:sled/days", h.GetDays, kept)
	t.get("/v1/sleds/:sled/days.svg", h.DrawDays, kept)
	t.get("/v1/sleds/:sled/cutoff", h.GetCutoff, kept)
	t.get("/v1/part-options", h.GetPartOptions, kept)
	t.get("/v1/fleet/how-alike", h.GetHowAlike, kept)
	t.get("/v1/fleet/ladders.svg", h.DrawLadders, kept)

	t.get("/v1/classes", h.ListClasses, jsonOrCSV("the list of classes"))
	t.write("POST", "/v1/classes", h.AddClass, key, alsoTry(s.book, tryAddClass))
	t.get("/v1/classes/:class", h.GetClass)
	t.write("PUT", "/v1/classes/:class", h.PutClass, key, alsoTry(s.book, tryPutClass))
	t.write("DELETE", "/v1/classes/:class", h.DeleteClass, key)

	t.get("/v1/shows", h.ListShows)
	t.write("POST", "/v1/shows", h.AddShow, key, alsoTry(s.book, tryAddShow))
	t.get("/v1/shows/:show", h.GetShow)
	t.write("PUT", "/v1/shows/:show", h.PutShow, key, alsoTry(s.book, tryPutShow))
	t.write("DELETE", "/v1/shows/:show", h.DeleteShow, key)
	t.get("/v1/shows/:show/sheet", h.GetSheet, jsonOrCSV("the sheet"), kept)
	t.get("/v1/shows/:show/candidates", h.GetCandidates, kept)
	t.get("/v1/shows/:show/qr.svg", h.DrawQR)
	t.write("POST", "/v1/shows/:show/classes/:class/as-run", h.AddAsRun, key, alsoTry(s.book, tryAddAsRun))
	t.write("DELETE", "/v1/shows/:show/classes/:class/as-run/:line", h.DeleteAsRun, key)
	t.write("PUT", "/v1/shows/:show/classes/:class/outcome", h.PutOutcome, key, alsoTry(s.book, tryPutOutcome))
	t.get("/v1/season", h.GetSeason, kept)

	t.open("/", s.page("index.html"))
	t.open("/shows", s.page("shows.html"))
	t.open("/sheet", s.page("sheet.html"))
	t.open("/fence", s.page("fence.html"))
	t.open("/pullers", s.page("pullers.html"))
	t.open("/season", s.page("season.html"))
	t.open("/fleet", s.page("fleet.html"))
	t.open("/parts", s.page("parts.html"))
	t.open("/alike", s.page("alike.html"))
	t.open("/worked-out", s.page("worked-out.html"))
	t.open("/measuring", s.page("measuring.html"))
	t.open("/assets/*", s.asset)
	t.open("/sw.js", s.page("sw.js")) // at the root, so that it may answer for every page
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
