package main

import (
	"context"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// writes is one request for every write of the contract that needs a right.
func writes() []request {
	return []request{
		post("/v1/sleds", bluestem()), put("/v1/sleds/bluestem", bluestem()), {method: "DELETE",
			path: "/v1/sleds/bluestem"},
		post("/v1/sleds/bluestem/readings", readingOf("A", 280)), post("/v1/readings", "[]"),
		csvPost("/v1/readings", heading), patch("/v1/readings/some", `{"set_aside":null}`),
		patch("/v1/batches/some", `{"set_aside":null}`),
		post("/v1/sleds/bluestem/weighings", weighingOf(0, 0, 10_720)), post("/v1/weighings", "[]"),
		csvPost("/v1/weighings", "sled,weighed_on,box_at_ft,pan_lb\n"), patch("/v1/weighings/some",
			`{"set_aside":null}`),
		post("/v1/classes", classOn("Antique", "bluestem", "A")), put("/v1/classes/open-4x4",
			classOn("Open 4x4", "bluestem", "A")),
		remove("/v1/classes/open-4x4"), post("/v1/shows", showOn("Evening Pull", "2099-08-01", "bluestem")),
		put("/v1/shows/"+harvest, showOn("Harvest Pull", "2099-07-18", "bluestem")), remove("/v1/shows/" + harvest),
		post(asRunAt("open-4x4"), lineOf(1, "1")), remove(asRunAt("open-4x4") + "/some"), put(outcomeAt("open-4x4"),
			"{}"),
		post("/v1/sleds/bluestem/changes", finalChange("2025-06-01", 5.86)), remove("/v1/changes/some"),
		put("/v1/sleds/bluestem/inspection-list", `{"items":[]}`),
		post("/v1/sleds/bluestem/inspections", signedOn("2026-05-09", "some", true)), remove("/v1/inspections/some"),
		post("/v1/keys", `{"name":"Gate","role":"operator"}`), remove("/v1/keys/some"),
		post("/v1/keys/some/link", nil), post("/v1/import", `{"format":"evenpull-fleet-1"}`),
		post("/v1/sleds/import", `{"format":"evenpull-sled-1"}`),
		post("/v1/demo", nil), remove("/v1/demo"),
	}
}

// The list above is whole: one for every write and every type of body that the contract has.
func TestCredentials_AreTriedOnEveryWrite(t *testing.T) {
	t.Parallel()
	doc := theContract(t)
	described := 0
	for _, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			if method != http.MethodGet && op.Security != nil && len(*op.Security) > 0 {
				described++
				if op.RequestBody != nil {
					described += len(op.RequestBody.Value.Content) - 1
				}
			}
		}
	}
	assert.Len(t, writes(), described)
}

func TestCredentials_AreNeededToWriteAndNotToRead(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	before := everything(t, p)
	for _, r := range writes() {
		for what, body := range map[string]any{"a good body": r.body, "a body that cannot be read": "{",
			"a vast body": strings.Repeat("a", 2<<20)} {
			r.stranger, r.body = true, body
			got := p.do(r)
			problemOf(t, got, http.StatusUnauthorized)
			assert.Equal(t, `Bearer realm="evenpull"`, got.Header.Get("WWW-Authenticate"), "%s %s: %s", r.method,
				r.path, what)
		}
	}
	assert.Equal(t, before, everything(t, p))
}

func TestCredentials_AreTakenAsTheyMayBeWritten(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	for _, c := range []struct {
		what, header string
		status       int
	}{
		{"as it should be", "Bearer " + testKey, 201},
		{"a scheme in lower case", "bearer " + testKey, 201},
		{"a scheme in capitals", "BEARER  " + testKey, 201},
		{"no scheme", testKey, 401},
		{"another scheme", "Basic " + testKey, 401},
		{"a scheme alone", "Bearer", 401},
		{"a key and more", "Bearer " + testKey + " more", 401},
		{"the beginning of the key", "Bearer " + testKey[:20], 401},
		{"a key in other letters", "Bearer " + strings.ToUpper(testKey), 401},
		{"nothing", "", 401},
	} {
		got := p.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280)).with("Authorization", c.header))
		assert.Equal(t, c.status, got.StatusCode, c.what)
	}
	twice := post("/v1/sleds/bluestem/readings", readingOf("A", 280)).with("Authorization", "Bearer "+testKey)
	assert.Equal(t, 401, p.do(twice.with("Authorization", "Bearer "+testKey)).StatusCode, "two keys")
}

var announced = regexp.MustCompile(`The manager key, shown this once, is (\S+)\n`)

func TestFirstKey_IsPrintedOnceAndWorksAfterwards(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	p := startOn(t, db, nil)
	line := announced.FindStringSubmatch(p.stdout.String())
	require.NotNil(t, line, "%s", p.stdout)
	p.key = line[1]
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	assert.NotContains(t, p.stderr.String(), p.key, "a key in the log")
	require.Equal(t, exitWell, p.stop())

	again := startOn(t, db, nil)
	assert.NotRegexp(t, announced, again.stdout.String())
	again.key = line[1]
	into[openapi.Sled](t, again.do(post("/v1/sleds", fescue())), 201)
	require.Equal(t, exitWell, again.stop())

	set := startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
	into[openapi.Reading](t, set.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280))), 201)
	set.key = line[1]
	into[openapi.Reading](t, set.do(post("/v1/sleds/bluestem/readings", readingOf("A", 281))), 201)
	require.Equal(t, exitWell, set.stop())

	unset := startOn(t, db, nil)
	unset.key = testKey
	problemOf(t, unset.do(post("/v1/sleds/bluestem/readings", readingOf("A", 280))), http.StatusUnauthorized)
}

func TestManagerKey_MustBeOneThatCannotBeGuessed(t *testing.T) {
	t.Parallel()
	const ten = "0123456789"
	for _, c := range []struct {
		what, key string
		good      bool
	}{
		{"19 characters", ten + ten[:9], false},
		{"20 characters", ten + ten, true},
		{"200 characters", strings.Repeat("äbcdefghij", 20), true},
		{"201 characters", strings.Repeat(ten, 20) + "k", false},
		{"a line end", ten + ten + "\n", false},
		{"space around it", " " + ten + ten, false},
		{"bytes that are no text", ten + ten + "\xff", false},
		{"20 times the same character", strings.Repeat("k", 20), false},
		{"9 different characters", strings.Repeat(ten[:9], 4), false},
		{"9 different characters of two bytes", strings.Repeat("äöüßéèêëñ", 4), false},
	} {
		err := checkManagerKey(c.key)
		assert.Equal(t, c.good, err == nil, c.what)
		if err != nil {
			assert.NotContains(t, err.Error(), c.key, "the key must not be shown")
		}
	}
	for _, key := range []string{"short", strings.Repeat("password", 3)} {
		stdout, stderr := new(output), new(output)
		env := map[string]string{"EVENPULL_MANAGER_KEY": key}
		db := filepath.Join(t.TempDir(), "fleet.db")
		code := runProgram(context.Background(), []string{"--addr", "127.0.0.1:0", "--db", db},
			func(n string) string { return env[n] }, stdout, stderr)
		assert.Equal(t, exitFailed, code)
		assert.Regexp(t, `^evenpull: EVENPULL_MANAGER_KEY must (be|have) [^\n]+\n$`, stderr.String())
		assert.NoFileExists(t, db)
	}
}
