package main

import (
	"errors"
	"fmt"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/guard"
	"evenpull/api/internal/site"
	"evenpull/openapi"
)

var _ openapi.ServerInterface = (*server)(nil)

// operations are the addresses of the contract. Each gives a right to whom the contract says, ahead of everything else,
// so that a stranger learns nothing from how a question is judged, nor from what is cached; then it runs through the
// contract's check. Answers that take arithmetic are cached, and a cached one is found ahead of the check that it once
// passed.
func (t *routeTable) operations(s *server) {
	h := openapi.ServerInterfaceWrapper{Handler: s}
	cached := s.cache.Answer

	t.get(healthPath, h.GetHealth)
	t.get("/readyz", h.GetReady)
	t.get("/openapi.yaml", h.GetContract)
	t.get("/openapi.json", h.GetContractAsJSON)

	t.get("/v1/sleds", h.ListSleds)
	t.write("POST", "/v1/sleds", h.AddSled)
	t.get("/v1/sleds/:sled", h.GetSled)
	t.write("PUT", "/v1/sleds/:sled", h.PutSled)
	t.write("DELETE", "/v1/sleds/:sled", h.DeleteSled)

	t.get("/v1/sleds/:sled/export", h.ExportSled)
	t.write("POST", "/v1/sleds/import", h.ImportSled)

	t.get("/v1/sleds/:sled/readings", h.ListReadings)
	t.get("/v1/sleds/:sled/readings.csv", h.GetReadingsCSV)
	t.write("POST", "/v1/sleds/:sled/readings", h.AddReading)
	t.write("POST", "/v1/readings", h.AddReadings)
	t.get("/v1/readings/:reading", h.GetReading)
	t.write("PATCH", "/v1/readings/:reading", h.PatchReading)
	t.get("/v1/batches/:batch", h.GetBatch)
	t.write("PATCH", "/v1/batches/:batch", h.PatchBatch)

	t.get("/v1/sleds/:sled/chart", h.GetChart, cached)
	t.get("/v1/sleds/:sled/chart.svg", h.DrawChart, cached)
	t.get("/v1/equivalents", h.GetEquivalents, cached)
	t.get("/v1/equivalents.svg", h.DrawEquivalents, cached)
	t.get("/v1/table", h.GetTable, cached)
	t.get("/v1/table.csv", h.GetTableCSV, cached)
	t.get("/v1/sleds/:sled/advice", h.GetAdvice, cached)

	t.get("/v1/sleds/:sled/driveline", h.GetDriveline, cached)
	t.get("/v1/sleds/:sled/changes", h.ListChanges, cached)
	t.write("POST", "/v1/sleds/:sled/changes", h.AddChange)
	t.write("DELETE", "/v1/changes/:change", h.DeleteChange)
	t.get("/v1/sleds/:sled/days", h.GetDays, cached)
	t.get("/v1/sleds/:sled/days.svg", h.DrawDays, cached)
	t.get("/v1/sleds/:sled/cutoff", h.GetCutoff, cached)
	t.get("/v1/part-options", h.GetPartOptions, cached)
	t.get("/v1/fleet/how-alike", h.GetHowAlike, cached)
	t.get("/v1/fleet/ladders", h.GetLadders, cached)
	t.get("/v1/fleet/ladders.svg", h.DrawLadders, cached)

	t.get("/v1/sleds/:sled/weighings", h.ListWeighings)
	t.get("/v1/sleds/:sled/weighings.csv", h.GetWeighingsCSV)
	t.write("POST", "/v1/sleds/:sled/weighings", h.AddWeighing)
	t.write("POST", "/v1/weighings", h.AddWeighings)
	t.get("/v1/weighings/:weighing", h.GetWeighing)
	t.write("PATCH", "/v1/weighings/:weighing", h.SetWeighingAside)
	t.get("/v1/sleds/:sled/pan-load", h.GetPanLoad, cached)
	t.get("/v1/sleds/:sled/pan-load.svg", h.DrawPanLoad, cached)
	t.get("/v1/weights", h.GetWeights, cached)
	t.get("/v1/weights.svg", h.DrawWeights, cached)

	t.get("/v1/classes", h.ListClasses)
	t.get("/v1/classes.csv", h.GetClassesCSV)
	t.write("POST", "/v1/classes", h.AddClass)
	t.get("/v1/classes/:class_id", h.GetClass)
	t.write("PUT", "/v1/classes/:class_id", h.PutClass)
	t.write("DELETE", "/v1/classes/:class_id", h.DeleteClass)

	t.get("/v1/shows", h.ListShows)
	t.write("POST", "/v1/shows", h.AddShow)
	t.get("/v1/shows/:show", h.GetShow)
	t.write("PUT", "/v1/shows/:show", h.PutShow)
	t.write("DELETE", "/v1/shows/:show", h.DeleteShow)
	t.get("/v1/shows/:show/sheet", h.GetSheet, cached)
	t.get("/v1/shows/:show/sheet.csv", h.GetSheetCSV, cached)
	t.get("/v1/shows/:show/candidates", h.GetCandidates, cached)
	t.get("/v1/shows/:show/qr.svg", h.DrawQR)
	t.write("POST", "/v1/shows/:show/classes/:class_id/as-run", h.AddAsRun)
	t.write("DELETE", "/v1/shows/:show/classes/:class_id/as-run/:line", h.DeleteAsRun)
	t.write("PUT", "/v1/shows/:show/classes/:class_id/outcome", h.PutOutcome)
	t.get("/v1/season", h.GetSeason, cached)

	t.get("/v1/sleds/:sled/inspection-list", h.GetInspectionList)
	t.write("PUT", "/v1/sleds/:sled/inspection-list", h.PutInspectionList)
	t.get("/v1/sleds/:sled/inspections", h.ListInspections)
	t.get("/v1/sleds/:sled/inspections.csv", h.GetInspectionsCSV)
	t.write("POST", "/v1/sleds/:sled/inspections", h.AddInspections)
	t.get("/v1/sleds/:sled/due", h.GetDue)
	t.write("DELETE", "/v1/inspections/:inspection", h.DeleteInspection)

	t.get("/v1/session", h.GetSession)
	t.write("POST", "/v1/session", h.SignIn)
	t.write("DELETE", "/v1/session", h.SignOut)
	t.get("/v1/keys", h.ListKeys)
	t.write("POST", "/v1/keys", h.AddKey)
	t.write("DELETE", "/v1/keys/:key", h.EndKey)
	t.write("POST", "/v1/keys/:key/link", h.AddSignInLink)
	t.get("/v1/history", h.ListHistory)
	t.get("/v1/demo", h.GetDemo)
	t.write("POST", "/v1/demo", h.LoadDemo)
	t.write("DELETE", "/v1/demo", h.RemoveDemo)
	t.get("/v1/export", h.ExportFleet)
	t.write("POST", "/v1/import", h.ImportFleet)
}

// pages are the addresses of the pages and of what watches over the program.
func (t *routeTable) pages(s *server, p site.Pages) {
	reader := t.pageReader(s)
	t.file("/", p.Tonight(reader))
	t.file("/shows", p.Shows(reader))
	t.file("/sheet", p.Page("sheet.html"))
	t.file("/fence", p.Page("fence.html"))
	t.file("/pullers", p.Pullers(reader))
	t.file("/season", p.Page("season.html"))
	t.file("/fleet", p.Fleet(reader))
	t.file("/lever", p.Page("lever.html"))
	t.file("/note", p.Listing("note.html", reader))
	t.file("/inspection", p.Page("inspection.html"))
	t.file("/parts", p.Page("parts.html"))
	t.file("/what-if", p.Page("what-if.html"))
	t.file("/weights", p.Page("weights.html"))
	t.file("/alike", p.Page("alike.html"))
	t.file("/admin", p.Page("admin.html"))
	t.file("/sign-in", p.Page("sign-in.html"))
	t.file("/help", p.Page("help.html"))
	t.file("/worked-out", p.Page("worked-out.html"))
	t.file("/measuring", p.Page("measuring.html"))
	t.file("/weighing", p.Page("weighing.html"))
	t.file("/docs", p.Page("docs.html"))
	t.file("/assets/*", p.Asset)
	t.file("/sw.js", p.Page("sw.js")) // at the root, so that it may answer for every page
	t.open("/metrics", echo.WrapHandler(s.metrics.Handler()))
}

const (
	healthPath  = "/healthz"    // asked by whatever watches over the program, as often as it likes
	sessionPath = "/v1/session" // where browsers sign in and out: the one place that is written to without a right
)

// withoutData is what a private installation shows to everybody besides the pages' own files: nothing of the fleet is
// in it.
var withoutData = []string{healthPath, "/readyz", "/openapi.yaml", "/openapi.json"}

// routeTable registers routes, each with its rule: who may use it, and how often.
type routeTable struct {
	e        *echo.Echo
	contract *contract.Contract
	rights   *guard.Rights
	rates    guard.Rates
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

// open registers a GET, and HEAD with it, that is not in the contract and is for whoever may read.
func (t *routeTable) open(path string, h echo.HandlerFunc) {
	chain := []echo.MiddlewareFunc{t.rates.Reads, t.rights.Readers()}
	t.e.GET(path, h, chain...)
	t.e.HEAD(path, h, chain...)
}

// file registers a built-in file of the pages, which everybody may have: it holds of the fleet only what its reader may
// read.
func (t *routeTable) file(path string, h echo.HandlerFunc) {
	t.e.GET(path, h)
	t.e.HEAD(path, h)
}

// chain is what a request runs through on its way to an operation of the contract.
func (t *routeTable) chain(method, path string, before []echo.MiddlewareFunc) []echo.MiddlewareFunc {
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
	return append(append([]echo.MiddlewareFunc{often, may}, before...), op.Check)
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
