package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/legacy"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

const testKey = "a-manager-key-for-tests"

// inFull says that nothing may be left out for want of time: with CI=true, but for -short.
func inFull() bool { return os.Getenv("CI") == "true" && !testing.Short() }

// program is the real program, run inside the test on a real listener with a real SQLite file.
type program struct {
	t       *testing.T
	address string // http://127.0.0.1:port
	key     string
	db      string
	stdout  *output
	stderr  *output
	stop    func() int   // ends it as SIGTERM does, and returns the exit code
	handler http.Handler // where a test serves it alone
}

// output takes what the program writes; it can be read while it is written.
type output struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.String()
}

var startLine = regexp.MustCompile(`Evenpull is at (http://\S+)/ with`)

// start starts the program on a database of its own.
func start(t *testing.T, args ...string) *program {
	t.Helper()
	return startOn(t, storetest.DB(t), map[string]string{"EVENPULL_MANAGER_KEY": testKey}, args...)
}

func startOn(t *testing.T, db string, env map[string]string, args ...string) *program {
	t.Helper()
	p := &program{t: t, key: env["EVENPULL_MANAGER_KEY"], db: db, stdout: new(output), stderr: new(output)}
	ctx, cancel := context.WithCancel(context.Background())
	code := make(chan int, 1)
	go func() {
		getenv := func(name string) string { return env[name] }
		code <- runProgram(ctx, append([]string{"--addr", "127.0.0.1:0", "--db", db}, args...), getenv, p.stdout,
			p.stderr)
	}()
	p.stop = sync.OnceValue(func() int {
		cancel()
		return <-code
	})
	t.Cleanup(func() { assert.Equal(t, exitWell, p.stop(), "%s", p.stderr) })
	require.Eventually(t, func() bool {
		line := startLine.FindStringSubmatch(p.stdout.String())
		if line != nil {
			p.address = line[1]
		}
		return line != nil || len(code) > 0
	}, 30*time.Second, 5*time.Millisecond)
	require.NotEmpty(t, p.address, "%s", p.stderr)
	return p
}

const publicURL = "https://sleds.example"

// demo starts the program with the demo fleet, seen from outside.
func demo(t *testing.T) *program {
	t.Helper()
	return start(t, "--demo", "--public-url", publicURL)
}

// request is one request of a test. Its zero value is a GET.
type request struct {
	method, path string
	body         any // string or []byte as it is; io.Reader chunked; anything else as JSON
	header       http.Header
	stranger     bool // without the key
}

// with is a header of the request.
func (r request) with(name, value string) request {
	r.header = r.header.Clone()
	if r.header == nil {
		r.header = http.Header{}
	}
	r.header.Add(name, value)
	return r
}

func get(path string) request             { return request{method: "GET", path: path} }
func post(path string, body any) request  { return request{method: "POST", path: path, body: body} }
func put(path string, body any) request   { return request{method: "PUT", path: path, body: body} }
func patch(path string, body any) request { return request{method: "PATCH", path: path, body: body} }
func remove(path string) request          { return request{method: "DELETE", path: path} }
func csvPost(path, body string) request {
	return post(path, body).with("Content-Type", "text/csv")
}

// response is what came back.
type response struct {
	*http.Response
	body []byte
}

// client keeps connections, takes compressed answers only when a test asks for them, and follows nothing.
var client = &http.Client{
	Transport: &http.Transport{DisableCompression: true, MaxIdleConnsPerHost: 64,
		ExpectContinueTimeout: time.Minute},
	CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	Timeout:       time.Minute,
}

// do sends a request and holds the response against the contract.
func (p *program) do(r request) response {
	p.t.Helper()
	got, err := p.try(r)
	require.NoError(p.t, err)
	return got
}

// try is do for tests in which the program may be killed.
func (p *program) try(r request) (response, error) {
	p.t.Helper()
	sent, err := http.NewRequest(r.method, p.address+r.path, bodyOf(p.t, r.body))
	if err != nil {
		return response{}, err
	}
	sent.Header = r.header.Clone()
	if sent.Header == nil {
		sent.Header = http.Header{}
	}
	if _, set := sent.Header["Authorization"]; !set && !r.stranger && r.method != "GET" && r.method != "HEAD" {
		sent.Header.Set("Authorization", "Bearer "+p.key)
	}
	if _, set := sent.Header["Content-Type"]; !set && r.body != nil {
		sent.Header.Set("Content-Type", "application/json")
	}
	if host := sent.Header.Get("Content-Type"); host == "-" { // a test that leaves it out
		sent.Header.Del("Content-Type")
	}
	got, err := client.Do(sent)
	if err != nil {
		return response{}, err
	}
	defer got.Body.Close()
	body, err := io.ReadAll(got.Body)
	if err != nil {
		return response{}, err
	}
	holdAgainstContract(p.t, sent, got, body)
	return response{got, body}, nil
}

func bodyOf(t *testing.T, body any) io.Reader {
	t.Helper()
	switch b := body.(type) {
	case nil:
		return nil
	case string:
		return strings.NewReader(b)
	case []byte:
		return bytes.NewReader(b)
	case io.Reader:
		return struct{ io.Reader }{b} // hides its length, so that it is sent in chunks
	}
	encoded, err := json.Marshal(body)
	require.NoError(t, err)
	return bytes.NewReader(encoded)
}

// into decodes a response of the status that the test expects.
func into[T any](t *testing.T, r response, status int) T {
	t.Helper()
	var v T
	require.Equal(t, status, r.StatusCode, "%s", r.body)
	require.NoError(t, json.Unmarshal(r.body, &v), "%s", r.body)
	return v
}

// problemOf decodes a problem document.
func problemOf(t *testing.T, r response, status int) openapi.Problem {
	t.Helper()
	return into[openapi.Problem](t, r, status)
}

// faultsAt lists where the faults of a problem are.
func faultsAt(p openapi.Problem) []string {
	var at []string
	for _, f := range p.Errors {
		at = append(at, f.At)
	}
	return at
}

// contractRouter finds operations in tests by a router of its own, independent of the program's.
var contractRouter = sync.OnceValues(func() (routers.Router, error) {
	doc, err := openapi3.NewLoader().LoadFromData(openapi.Document)
	if err != nil {
		return nil, err
	}
	if err := doc.Validate(context.Background()); err != nil {
		return nil, err
	}
	return legacy.NewRouter(doc)
})

// holdAgainstContract fails the test unless the response is one that the contract describes: its status, headers,
// type and body.
func holdAgainstContract(t *testing.T, sent *http.Request, got *http.Response, body []byte) {
	t.Helper()
	router, err := contractRouter()
	require.NoError(t, err)
	asked := sent.Clone(context.Background())
	asked.URL.Scheme, asked.URL.Host = "", ""
	if asked.Method == http.MethodHead {
		asked.Method = http.MethodGet
	}
	route, _, err := router.FindRoute(asked)
	var noRoute *routers.RouteError
	if errors.As(err, &noRoute) {
		if got.StatusCode >= 400 {
			holdAgainstSchema(t, problemSchema(t), got, body, "application/problem+json")
		}
		return // a page, an asset or a thing that is not there
	}
	require.NoError(t, err)
	described := route.Operation.Responses.Status(got.StatusCode)
	if described == nil {
		require.GreaterOrEqual(t, got.StatusCode, 400, "%s %s: the contract knows no status %d", sent.Method, sent.URL,
			got.StatusCode)
		described = route.Operation.Responses.Default()
	}
	if got.StatusCode == http.StatusOK && got.Header.Get("ETag") != "" {
		assert.Contains(t, described.Value.Headers, "ETag", "%s %s: the contract knows no ETag", sent.Method, sent.URL)
	}
	for name := range described.Value.Headers {
		assert.NotEmpty(t, got.Header.Get(name), "%s %s: no %s", sent.Method, sent.URL, name)
	}
	if len(described.Value.Content) == 0 || sent.Method == http.MethodHead {
		assert.Empty(t, body, "%s %s: a body where none belongs", sent.Method, sent.URL)
		return
	}
	media := mediaTypeOf(got.Header.Get("Content-Type"))
	content := described.Value.Content[media]
	require.NotNil(t, content, "%s %s: the contract knows no %d as %q", sent.Method, sent.URL, got.StatusCode, media)
	if strings.HasSuffix(media, "json") && got.Header.Get("Content-Encoding") == "" {
		holdAgainstSchema(t, content.Schema.Value, got, body, media)
	}
}

// mediaTypeOf is a content type without its parameters, empty where it cannot be read.
func mediaTypeOf(contentType string) string {
	media, _, err := mime.ParseMediaType(contentType)
	if err != nil {
		return ""
	}
	return media
}

func holdAgainstSchema(t *testing.T, schema *openapi3.Schema, got *http.Response, body []byte, media string) {
	t.Helper()
	require.Equal(t, media, mediaTypeOf(got.Header.Get("Content-Type")), "%s", body)
	if got.Request.Method == http.MethodHead {
		return
	}
	var value any
	require.NoError(t, json.Unmarshal(body, &value), "%s", body)
	require.NoError(t, schema.VisitJSON(value, openapi3.MultiErrors(), openapi3.VisitAsResponse()), "%s", body)
	if media == "application/problem+json" {
		assert.EqualValues(t, got.StatusCode, value.(map[string]any)["status"])
		assert.Equal(t, "no-store", got.Header.Get("Cache-Control"))
	}
}

func problemSchema(t *testing.T) *openapi3.Schema {
	t.Helper()
	return theContract(t).Components.Schemas["Problem"].Value
}

// theContract is the contract by itself, read anew for each test.
func theContract(t *testing.T) *openapi3.T {
	t.Helper()
	doc, err := openapi3.NewLoader().LoadFromData(openapi.Document)
	require.NoError(t, err)
	return doc
}

// bluestem and fescue are two sleds of the tests that do not need the demo.
func bluestem() map[string]any {
	return map[string]any{"name": "Bluestem", "travel_ft": 34.5, "gears": []any{
		map[string]any{"label": "A"}, map[string]any{"label": "B"}, map[string]any{"label": "C"},
	}}
}

func fescue() map[string]any {
	return map[string]any{"name": "Fescue", "travel_ft": 31,
		"gears": []any{map[string]any{"label": "1"}, map[string]any{"label": "2"}}}
}

// readingOf is a topped-out reading from full back.
func readingOf(gear string, distance float64) map[string]any {
	return map[string]any{"gear": gear, "distance_ft": distance, "measured_on": "2025-05-10"}
}

// smallFleet adds Bluestem and Fescue with a few readings.
func smallFleet(t *testing.T, p *program) {
	t.Helper()
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	into[openapi.Sled](t, p.do(post("/v1/sleds", fescue())), 201)
	for gear, distance := range map[string]float64{"A": 280, "B": 262, "C": 250} {
		into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf(gear, distance))), 201)
	}
	for gear, distance := range map[string]float64{"1": 265, "2": 251} {
		into[openapi.Reading](t, p.do(post("/v1/sleds/fescue/readings", readingOf(gear, distance))), 201)
	}
}
