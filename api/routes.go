package main

import (
	"errors"
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
	keys     *credentials
	rights   *rights
	rates    rates
	kept     *keptAnswers
	contract *contract
	pages    pages
	metrics  *metrics
	private  bool // nothing is shown to who has no key
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
	Private    bool   // reading takes a key as well
	Secure     bool   // browsers come by HTTPS, to the program itself or to what is in front of it
	// ReadRate and WriteRate are how many requests a second one address may make, 0 for as many as it likes.
	ReadRate, WriteRate float64
	LastBackup          func() time.Time // when the last good copy was made, zero for never; nil where none are made
	Pages               fs.FS            // the pages and their assets
	Log                 *slog.Logger
	Now                 func() time.Time // time.Now where it is nil
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
		book: b, kept: newKeptAnswers(keptBytes), contract: contract, pages: pages, metrics: newMetrics(),
		private: o.Private, publicURL: o.PublicURL, now: o.Now, log: discreet(o.Log, o.ManagerKey),
	}
	if s.now == nil {
		s.now = time.Now
	}
	s.metrics.registry.MustRegister(newFleetMetrics(b, s.log, o.LastBackup))
	s.keys = &credentials{
		set: newSetKey(o.ManagerKey, b.SlowHash), stored: b.KnowsKey, session: b.Session,
		cookie: cookie{secure: o.Secure}, wrong: newWrongKeys(s.now), count: s.metrics,
	}
	if s.rights, err = newRights(s.keys, o.Private, o.PublicURL); err != nil {
		return nil, err
	}
	s.rates = newRates(o.ReadRate, o.WriteRate, s.metrics, s.now)
	e := echo.New()
	e.HideBanner, e.HidePort = true, true
	// An address in a header (X-Forwarded-For) can be made up by whoever sends it; the connection's cannot.
	e.IPExtractor = echo.ExtractIPDirect()
	e.HTTPErrorHandler = s.sendProblem
	e.Use(newWatch(s.log, s.metrics).requests, recovered, secured(o.Secure))
	if err := s.routes(e); err != nil {
		return nil, err
	}
	return e, nil
}

// routes is every address there is. What is in the contract gives a right to whom it says, ahead of everything else, so
// that a stranger learns nothing from how a question is judged, nor from what is kept; then it runs through the contract's check.
// Answers that take arithmetic are kept, and a kept one is found ahead of the check that it once passed.
func (s *server) routes(e *echo.Echo) error {
	h := openapi.ServerInterfaceWrapper{Handler: s}
	kept := s.answeredBefore
	t := routeTable{e: e, contract: s.contract, rights: s.rights, rates: s.rates}

	t.get(healthPath, h.GetHealth)
	t.get("/readyz", h.GetReady)
	t.get("/openapi.yaml", h.GetContract)
	t.get("/openapi.json", h.GetContractAsJSON)

	t.get("/v1/sleds", h.ListSleds)
	t.write("POST", "/v1/sleds", h.AddSled)
	t.get("/v1/sleds/:sled", h.GetSled)
	t.write("PUT", "/v1/sleds/:sled", h.PutSled)
	t.write("DELETE", "/v1/sleds/:sled", h.DeleteSled)

	t.get("/v1/sleds/:sled/readings", h.ListReadings)
	t.get("/v1/sleds/:sled/readings.csv", h.GetReadingsCSV)
	t.write("POST", "/v1/sleds/:sled/readings", h.AddReading)
	t.write("POST", "/v1/readings", h.AddReadings)
	t.get("/v1/readings/:reading", h.GetReading)
	t.write("PATCH", "/v1/readings/:reading", h.SetReadingAside)

	t.get("/v1/sleds/:sled/chart", h.GetChart, kept)
	t.get("/v1/sleds/:sled/chart.svg", h.DrawChart, kept)
	t.get("/v1/equivalents", h.GetEquivalents, kept)
	t.get("/v1/equivalents.svg", h.DrawEquivalents, kept)
	t.get("/v1/table", h.GetTable, kept)
	t.get("/v1/table.csv", h.GetTableCSV, kept)
	t.get("/v1/sleds/:sled/advice", h.GetAdvice, kept)

	t.get("/v1/sleds/:sled/driveline", h.GetDriveline, kept)
	t.get("/v1/sleds/:sled/changes", h.ListChanges, kept)
	t.write("POST", "/v1/sleds/:sled/changes", h.AddChange)
	t.write("DELETE", "/v1/changes/:change", h.DeleteChange)
	t.get("/v1/sleds/:sled/days", h.GetDays, kept)
	t.get("/v1/sleds/:sled/days.svg", h.DrawDays, kept)
	t.get("/v1/sleds/:sled/cutoff", h.GetCutoff, kept)
	t.get("/v1/part-options", h.GetPartOptions, kept)
	t.get("/v1/fleet/how-alike", h.GetHowAlike, kept)
	t.get("/v1/fleet/ladders.svg", h.DrawLadders, kept)

	t.get("/v1/classes", h.ListClasses)
	t.get("/v1/classes.csv", h.GetClassesCSV)
	t.write("POST", "/v1/classes", h.AddClass)
	t.get("/v1/classes/:class", h.GetClass)
	t.write("PUT", "/v1/classes/:class", h.PutClass)
	t.write("DELETE", "/v1/classes/:class", h.DeleteClass)

	t.get("/v1/shows", h.ListShows)
	t.write("POST", "/v1/shows", h.AddShow)
	t.get("/v1/shows/:show", h.GetShow)
	t.write("PUT", "/v1/shows/:show", h.PutShow)
	t.write("DELETE", "/v1/shows/:show", h.DeleteShow)
	t.get("/v1/shows/:show/sheet", h.GetSheet, kept)
	t.get("/v1/shows/:show/sheet.csv", h.GetSheetCSV, kept)
	t.get("/v1/shows/:show/candidates", h.GetCandidates, kept)
	t.get("/v1/shows/:show/qr.svg", h.DrawQR)
	t.write("POST", "/v1/shows/:show/classes/:class/as-run", h.AddAsRun)
	t.write("DELETE", "/v1/shows/:show/classes/:class/as-run/:line", h.DeleteAsRun)
	t.write("PUT", "/v1/shows/:show/classes/:class/outcome", h.PutOutcome)
	t.get("/v1/season", h.GetSeason, kept)

	t.get("/v1/session", h.GetSession)
	t.write("POST", "/v1/session", h.SignIn)
	t.write("DELETE", "/v1/session", h.SignOut)
	t.get("/v1/keys", h.ListKeys)
	t.write("POST", "/v1/keys", h.AddKey)
	t.write("DELETE", "/v1/keys/:key", h.EndKey)
	t.get("/v1/history", h.ListHistory)
	t.get("/v1/demo", h.GetDemo)
	t.write("POST", "/v1/demo", h.LoadDemo)
	t.write("DELETE", "/v1/demo", h.RemoveDemo)
	t.get("/v1/export", h.ExportFleet)
	t.write("POST", "/v1/import", h.ImportFleet)

	t.file("/", s.tonight)
	t.file("/shows", s.page("shows.html"))
	t.file("/sheet", s.page("sheet.html"))
	t.file("/fence", s.page("fence.html"))
	t.file("/pullers", s.pullers)
	t.file("/season", s.page("season.html"))
	t.file("/fleet", s.page("fleet.html"))
	t.file("/note", s.page("note.html"))
	t.file("/parts", s.page("parts.html"))
	t.file("/alike", s.page("alike.html"))
	t.file("/keeping", s.page("keeping.html"))
	t.file("/worked-out", s.page("worked-out.html"))
	t.file("/measuring", s.page("measuring.html"))
	t.file("/docs", s.page("docs.html"))
	t.file("/assets/*", s.asset)
	t.file("/sw.js", s.page("sw.js")) // at the root, so that it may answer for every page
	t.open("/metrics", echo.WrapHandler(promhttp.HandlerFor(s.metrics.registry, promhttp.HandlerOpts{})))
	return t.err
}

// healthPath is asked by whatever watches over the program, as often as it likes.
const healthPath = "/healthz"

// routeTable registers routes, each with its rule: who may use it, and how often.
type routeTable struct {
	e        *echo.Echo
	contract *contract
	rights   *rights
	rates    rates
	err      error
}

// get registers a GET of the contract, and HEAD with it.
func (t *routeTable) get(path string, h echo.HandlerFunc, before ...echo.MiddlewareFunc) {
	chain := t.chain(http.MethodGet, path, before)
	t.e.GET(path, h, chain...)
	t.e.HEAD(path, h, chain...)
}

// write registers another operation of the contract.
func (t *routeTable) write(method, path string, h echo.HandlerFunc) {
	t.e.Add(method, path, h, t.chain(method, path, nil)...)
}

// open registers a GET, and HEAD with it, that is not in the contract and is read as what is.
func (t *routeTable) open(path string, h echo.HandlerFunc) {
	chain := []echo.MiddlewareFunc{t.rates.reads, t.rights.to(path, nil)}
	t.e.GET(path, h, chain...)
	t.e.HEAD(path, h, chain...)
}

// file registers a built-in file of the pages. It holds nothing of the fleet, so that everybody may have it.
func (t *routeTable) file(path string, h echo.HandlerFunc) {
	t.e.GET(path, h)
	t.e.HEAD(path, h)
}

// chain is what a request runs through on its way to an operation of the contract.
func (t *routeTable) chain(method, path string, before []echo.MiddlewareFunc) []echo.MiddlewareFunc {
	op, ok := t.contract.operation(method, path)
	if !ok {
		t.err = errors.Join(t.err, fmt.Errorf("%s %s is not in the contract", method, path))
		return nil
	}
	roles, err := op.roles(method, path)
	if err != nil {
		t.err = errors.Join(t.err, err)
		return nil
	}
	often := t.rates.writes
	switch {
	case path == healthPath:
		often = everybody
	case method == http.MethodGet:
		often = t.rates.reads
	}
	return append(append([]echo.MiddlewareFunc{often, t.rights.to(path, roles)}, before...), op.check)
}
