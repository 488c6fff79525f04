package main

import (
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestGeneratedCodeIsNotStale(t *testing.T) {
	t.Parallel()
	for config, generated := range map[string]string{"oapi-codegen.yaml": "openapi.gen.go", "oapi-codegen-client.yaml": "client.gen.go"} {
		settings, err := os.ReadFile("../openapi/" + config)
		require.NoError(t, err)
		folder := t.TempDir()
		fresh := filepath.Join(folder, "fresh.go")
		elsewhere := strings.Replace(string(settings), "output: "+generated, "output: "+fresh, 1)
		require.Contains(t, elsewhere, fresh)
		require.NoError(t, os.WriteFile(filepath.Join(folder, "settings.yaml"), []byte(elsewhere), 0o600))
		generate := exec.Command("go", "tool", "oapi-codegen", "-config", filepath.Join(folder, "settings.yaml"), "openapi.yaml")
		generate.Dir = "../openapi"
		out, err := generate.CombinedOutput()
		require.NoError(t, err, "%s", out)
		want, err := os.ReadFile(fresh)
		require.NoError(t, err)
		got, err := os.ReadFile("../openapi/" + generated)
		require.NoError(t, err)
		assert.True(t, string(want) == string(got), "%s is stale; run: go generate ./openapi", generated)
	}
}

func TestEveryOperationOfTheContractIsRoutedAndNothingElseUnderV1(t *testing.T) {
	t.Parallel()
	k, err := readContract()
	require.NoError(t, err)
	var described []string
	for path, item := range k.doc.Paths.Map() {
		route := strings.NewReplacer("{", ":", "}", "").Replace(path)
		for method := range item.Operations() {
			described = append(described, method+" "+route)
			if method == http.MethodGet {
				described = append(described, "HEAD "+route)
			}
		}
	}
	e := echo.New()
	require.NoError(t, routesOf(k, e))
	var routed []string
	for _, r := range e.Routes() {
		if strings.HasPrefix(r.Path, "/v1/") || r.Path == "/healthz" || r.Path == "/readyz" || strings.HasPrefix(r.Path, "/openapi.") {
			routed = append(routed, r.Method+" "+r.Path)
		}
	}
	assert.ElementsMatch(t, described, routed)
}

// routesOf registers all routes for a contract on e.
func routesOf(k *contract, e *echo.Echo) error {
	s := &server{contract: k, keys: new(credentials), metrics: newMetrics()}
	var err error
	if s.rights, err = newRights(s.keys, false, ""); err != nil {
		return err
	}
	s.rates = newRates(0, 0, s.metrics, time.Now)
	return s.routes(e)
}

// Every write of the contract says who may make it, signing in and out aside, and what only reads does so where it is not for
// everybody. Each can be done with a key and from a signed-in browser.
func TestWhatNeedsARightSaysWhoseInTheContract(t *testing.T) {
	t.Parallel()
	k, err := readContract()
	require.NoError(t, err)
	notForEverybody := []string{"/v1/keys", "/v1/history", "/v1/export"}
	for path, item := range k.doc.Paths.Map() {
		for method, op := range item.Operations() {
			needed := path != "/v1/session" && (method != http.MethodGet || slices.Contains(notForEverybody, path))
			assert.Equal(t, needed, op.Security != nil, "%s %s: security", method, path)
			assert.Equal(t, needed, op.Extensions["x-roles"] != nil, "%s %s: x-roles", method, path)
			if needed {
				assert.Equal(t, openapi3.SecurityRequirements{{"key": {}}, {"session": {}}}, *op.Security, "%s %s", method, path)
				assert.Contains(t, op.Extensions["x-roles"], "manager", "%s %s: a manager may do everything", method, path)
			}
		}
	}
}

// A program whose contract does not say who may write, or says it wrongly, does not start.
func TestAContractWithoutARuleIsRefusedAtTheStart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what, path, method string
		change             func(*openapi3.Operation)
		says               string
	}{
		{"a write for nobody", "/v1/sleds", "POST", func(o *openapi3.Operation) { o.Security, o.Extensions = nil, nil },
			"POST /v1/sleds: the contract does not say who may"},
		{"a write with a key of any role", "/v1/sleds/{sled}", "DELETE", func(o *openapi3.Operation) { o.Extensions = nil },
			"DELETE /v1/sleds/:sled: in the contract, security and x-roles have to come together"},
		{"a role without a key", "/v1/history", "GET", func(o *openapi3.Operation) { o.Security = nil },
			"GET /v1/history: in the contract, security and x-roles have to come together"},
		{"a role that there is not", "/v1/readings", "POST", func(o *openapi3.Operation) { o.Extensions["x-roles"] = []any{"driver"} },
			`POST /v1/readings: the contract gives it to "driver", which is no role`},
		{"a role that is no word", "/v1/readings", "POST", func(o *openapi3.Operation) { o.Extensions["x-roles"] = []any{7.0} },
			"POST /v1/readings: the contract gives it to"},
	} {
		k, err := readContract()
		require.NoError(t, err)
		require.NoError(t, routesOf(k, echo.New()), c.what)
		c.change(k.doc.Paths.Value(c.path).GetOperation(c.method))
		assert.ErrorContains(t, routesOf(k, echo.New()), c.says, c.what)
	}
	k, err := readContract()
	require.NoError(t, err)
	k.doc.Paths.Delete("/v1/season")
	assert.ErrorContains(t, routesOf(k, echo.New()), "GET /v1/season is not in the contract")
}

func TestFaultsAreSaidInPlainWords(t *testing.T) {
	t.Parallel()
	k, err := readContract()
	require.NoError(t, err)
	check := func(schema *openapi3.Schema, body string) []string {
		value, found, err := readJSON([]byte(body))
		require.NoError(t, err)
		var lines []string
		for _, f := range distinct(append(found, faultsOf(schema, value, nil)...)) {
			lines = append(lines, pathText(f.path)+" "+f.detail)
		}
		return lines
	}
	sled, reading := k.schema("SledInput"), k.schema("ReadingInput")
	for _, c := range []struct {
		what   string
		schema *openapi3.Schema
		body   string
		want   []string
	}{
		{"a missing name", sled, `{"gears":[{"label":"A"}]}`, []string{"name is missing"}},
		{"an empty name", sled, `{"name":"","gears":[{"label":"A"}]}`, []string{"name must not be empty"}},
		{"a number for a name", sled, `{"name":5,"gears":[{"label":"A"}]}`, []string{"name must be text, not 5"}},
		{"null for a name", sled, `{"name":null,"gears":[{"label":"A"}]}`, []string{"name must not be null; leave it out instead"}},
		{"text for a travel", sled, `{"name":"Brome","travel_ft":"34","gears":[{"label":"A"}]}`, []string{"travel_ft must be a number, not text"}},
		{"a travel of a hand", sled, `{"name":"Brome","travel_ft":0.5,"gears":[{"label":"A"}]}`, []string{"travel_ft must be 3 to 200 ft (0.9 to 61 m), not 0.5 ft (0.2 m)"}},
		{"no gears", sled, `{"name":"Brome","gears":[]}`, []string{"gears needs at least 1 entry"}},
		{"an object for gears", sled, `{"name":"Brome","gears":{}}`, []string{"gears must be a list, not an object"}},
		{"a long label", sled, `{"name":"Brome","gears":[{"label":"A"},{"label":"123456789012345678901"}]}`,
			[]string{"gears[1].label can be up to 20 characters long, not 21"}},
		{"unknown fields, each once", sled, `{"name":"Brome","gears":[{"label":"A","lable":"B"}],"colour":"red","color":"red"}`,
			[]string{
				"color is not known here; known are: driveline, gears, name, notes, owner, rail_mark_ft, take_up_ft, travel_ft",
				"colour is not known here; known are: driveline, gears, name, notes, owner, rail_mark_ft, take_up_ft, travel_ft",
				"gears[0].lable is not known here; known are: label, range, ratio",
			}},
		{"a field twice", sled, `{"name":"Brome","name":"Sedge","gears":[{"label":"A"}]}`, []string{"name is given twice"}},
		{"a date as people write it", reading, `{"gear":"A","distance_ft":280,"measured_on":"9 May"}`,
			[]string{`measured_on must look like 2026-05-09, not "9 May"`}},
		{"another ending", reading, `{"gear":"A","distance_ft":280,"measured_on":"2025-05-10","ended":"full"}`,
			[]string{`ended must be topped-out, stopped-short, past-top or stated, not "full"`}},
		{"no distance at all", reading, `{"gear":"A","distance_ft":0,"measured_on":"2025-05-10"}`,
			[]string{"distance_ft must be above 0 and at most 20000 ft (6096 m), not 0 ft (0 m)"}},
		{"a number beyond all", reading, `{"gear":"A","distance_ft":1e999,"measured_on":"2025-05-10"}`, []string{"distance_ft is too large a number"}},
		{"everything wrong at once", reading, `{"gear":"","distance_ft":"far","start_ft":-1}`,
			[]string{"measured_on is missing", "distance_ft must be a number, not text", "gear must not be empty", "start_ft must be 0 to 200 ft (61 m), not -1 ft (-0.3 m)"}},
		{"an axle of five ranges", sled, `{"name":"Brome","gears":[{"label":"A"}],"driveline":{"axle_ratios":{"1":5,"2":4,"3":3,"4":2,"5":1}}}`,
			[]string{"driveline.axle_ratios can have up to 4 entries, not 5"}},
		{"an axle without a ratio", sled, `{"name":"Brome","gears":[{"label":"A"}],"driveline":{"axle_ratio":0,"axle_ratios":{"low":-1}}}`,
			[]string{"driveline.axle_ratio must be above 0 and at most 1000, not 0", "driveline.axle_ratios.low must be above 0 and at most 1000, not -1"}},
		{"half a tooth", sled, `{"name":"Brome","gears":[{"label":"A"}],"driveline":{"sprocket_teeth":12.5}}`,
			[]string{"driveline.sprocket_teeth must be a whole number, not 12.5"}},
		{"a list where an object belongs", sled, `[]`, []string{" must be an object, not a list"}},
	} {
		assert.ElementsMatch(t, c.want, check(c.schema, c.body), c.what)
	}
}
