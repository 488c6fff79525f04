package main

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// malformed is a request that must not do anything, the status that it gets, and where its first fault is, if it has
// any.
type malformed struct {
	what   string
	send   request
	status int
	at     string
}

// sledWith is a good sled but for one field.
func sledWith(field string, value any) map[string]any {
	sled := map[string]any{"name": "Sedge", "gears": []any{map[string]any{"label": "1"}}}
	sled[field] = value
	return sled
}

// pullWith is a good reading of Bluestem but for one field.
func pullWith(field string, value any) map[string]any {
	reading := readingOf("B", 262)
	reading[field] = value
	return reading
}

func raw(field, value string) string {
	return fmt.Sprintf(`{"gear":"B","distance_ft":262,"measured_on":"2025-05-10",%q:%s}`, field, value)
}

const heading = "sled,gear,start_ft,distance_ft,measured_on\n"

func malformedRequests() []malformed {
	readings := "/v1/sleds/bluestem/readings"
	gears := func(labels ...string) []any {
		var all []any
		for _, l := range labels {
			all = append(all, map[string]any{"label": l})
		}
		return all
	}
	sheet := func(body string) request { return csvPost("/v1/readings", body) }
	return []malformed{
		// Bodies that cannot be read, or are of the wrong kind.
		{"a sled without a body", post("/v1/sleds", nil), 400, ""},
		{"a sled of nothing but space", post("/v1/sleds", "  \n"), 400, ""},
		{"a sled that breaks off", post("/v1/sleds", `{"name": "Sed`), 400, ""},
		{"a sled with something after it", post("/v1/sleds", `{"name":"Sedge","gears":[{"label":"1"}]} again`), 400,
			""},
		{"two sleds in one body", post("/v1/sleds", `{"name":"Sedge","gears":[{"label":"1"}]}{}`), 400, ""},
		{"a sled with NaN for its travel",
			post("/v1/sleds", `{"name":"Sedge","travel_ft":NaN,"gears":[{"label":"1"}]}`), 400, ""},
		{"a sled with Infinity for its travel",
			post("/v1/sleds", `{"name":"Sedge","travel_ft":Infinity,"gears":[{"label":"1"}]}`), 400, ""},
		{"a sled that is not UTF-8", post("/v1/sleds", "{\"name\":\"Sedg\xff\",\"gears\":[{\"label\":\"1\"}]}"), 400,
			""},
		{"ten thousand brackets", post("/v1/sleds", strings.Repeat("[", 10_001)), 400, ""},
		{"lists nested fifty deep in a field",
			post("/v1/sleds", `{"name":`+strings.Repeat("[", 50)+strings.Repeat("]", 50)+`}`), 400, ""},
		{"a sled as a form", post("/v1/sleds", "name=Sedge").with("Content-Type", "application/x-www-form-urlencoded"),
			415, ""},
		{"a sled as XML", post("/v1/sleds", "<sled/>").with("Content-Type", "application/xml"), 415, ""},
		{"a sled without a type", post("/v1/sleds", bluestem()).with("Content-Type", "-"), 415, ""},
		{"a sled in another charset", post("/v1/sleds", bluestem()).with("Content-Type",
			"application/json; charset=utf-16"), 415, ""},
		{"a sled that is compressed", post("/v1/sleds", "\x1f\x8b").with("Content-Encoding", "gzip"), 415, ""},
		{"a sled of two megabytes", post("/v1/sleds", sledWith("notes", strings.Repeat("a", 2<<20))), 413, ""},
		{"a sled of two megabytes in chunks",
			post("/v1/sleds", strings.NewReader(`{"name":"`+strings.Repeat("a", 2<<20))), 413, ""},

		// Sleds.
		{"a list for a sled", post("/v1/sleds", "[]"), 422, ""},
		{"null for a sled", post("/v1/sleds", "null"), 422, ""},
		{"a number for a name", post("/v1/sleds", sledWith("name", 7)), 422, "name"},
		{"an empty name", post("/v1/sleds", sledWith("name", "")), 422, "name"},
		{"a name of spaces", post("/v1/sleds", sledWith("name", "   ")), 422, "name"},
		{"a name without a letter", post("/v1/sleds", sledWith("name", "!!!")), 422, "name"},
		{"a name on two lines", post("/v1/sleds", sledWith("name", "Sed\nge")), 422, "name"},
		{"a name of 101 characters", post("/v1/sleds", sledWith("name", strings.Repeat("ä", 101))), 422, "name"},
		{"a field nobody knows", post("/v1/sleds", sledWith("color", "red")), 422, "color"},
		{"a field in capitals", post("/v1/sleds", sledWith("Owner", "nobody")), 422, "Owner"},
		{"a field given twice", post("/v1/sleds", `{"name":"Sedge","name":"Brome","gears":[{"label":"1"}]}`), 422,
			"name"},
		{"a travel as text", post("/v1/sleds", sledWith("travel_ft", "34")), 422, "travel_ft"},
		{"a travel that is negative", post("/v1/sleds", sledWith("travel_ft", -34)), 422, "travel_ft"},
		{"a travel longer than any sled", post("/v1/sleds", sledWith("travel_ft", 1e6)), 422, "travel_ft"},
		{"a travel beyond all numbers", post("/v1/sleds", `{"name":"Sedge","travel_ft":1e999,"gears":[{"label":"1"}]}`),
			422, "travel_ft"},
		{"an owner that is null", post("/v1/sleds", sledWith("owner", nil)), 422, "owner"},
		{"a sled without gears", post("/v1/sleds", sledWith("gears", gears())), 422, "gears"},
		{"61 gears", post("/v1/sleds", sledWith("gears", make([]struct{}, 61))), 422, "gears"},
		{"two gears of one label", post("/v1/sleds", sledWith("gears", gears("1", "2", "1"))), 422, "gears[2].label"},
		{"a label of 21 characters", post("/v1/sleds", sledWith("gears", gears("1", strings.Repeat("x", 21)))), 422,
			"gears[1].label"},
		{"a ratio of nothing", post("/v1/sleds", sledWith("gears", []any{map[string]any{"label": "1", "ratio": 0}})),
			422, "gears[0].ratio"},
		{"a sled that is there already", post("/v1/sleds", bluestem()), 409, ""},
		{"a sled that differs only in an accent", post("/v1/sleds", sledWith("name", "Blüestem")), 409, ""},
		{"a change without If-Match", put("/v1/sleds/bluestem", bluestem()), 428, ""},
		{"a change for another state", put("/v1/sleds/bluestem", bluestem()).with("If-Match", `"9-9.9"`), 412, ""},
		{"a change with an If-Match that is no ETag", put("/v1/sleds/bluestem", bluestem()).with("If-Match", "9"), 422,
			"If-Match"},
		{"a change that drops a gear with readings",
			put("/v1/sleds/bluestem", sledWith("name", "Bluestem")).with("If-Match", "*"), 409, ""},
		{"a change of a sled that is not there",
			put("/v1/sleds/brome", sledWith("name", "Brome")).with("If-Match", "*"), 404, ""},
		{"a removal without If-Match", request{method: "DELETE", path: "/v1/sleds/bluestem"}, 428, ""},
		{"a removal of nothing", request{method: "DELETE", path: "/v1/sleds/brome"}.with("If-Match", "*"), 404, ""},

		// Readings.
		{"a reading of no sled", post("/v1/sleds/brome/readings", readingOf("B", 262)), 404, ""},
		{"a reading of no gear", post(readings, pullWith("gear", "Z")), 422, "gear"},
		{"a reading without a distance", post(readings, `{"gear":"B","measured_on":"2025-05-10"}`), 422, "distance_ft"},
		{"a distance of nothing", post(readings, pullWith("distance_ft", 0)), 422, "distance_ft"},
		{"a distance backwards", post(readings, pullWith("distance_ft", -262)), 422, "distance_ft"},
		{"a distance of many miles", post(readings, pullWith("distance_ft", 20_001)), 422, "distance_ft"},
		{"a distance of Infinity", post(readings, raw("start_ft", "Infinity")), 400, ""},
		{"a start behind full back", post(readings, pullWith("start_ft", -1)), 422, "start_ft"},
		{"a start past the travel", post(readings, pullWith("start_ft", 34.5)), 422, "start_ft"},
		{"an ending nobody knows", post(readings, pullWith("ended", "blew-up")), 422, "ended"},
		{"an end position on a pull that topped out", post(readings, pullWith("end_ft", 20)), 422, "end_ft"},
		{"a pull that stopped short nowhere", post(readings, pullWith("ended", "stopped-short")), 422, "end_ft"},
		{"a plus-or-minus on a measurement", post(readings, pullWith("plus_minus_ft", 5)), 422, "plus_minus_ft"},
		{"a day in the future", post(readings, pullWith("measured_on", "2999-01-01")), 422, "measured_on"},
		{"the thirtieth of February", post(readings, pullWith("measured_on", "2025-02-30")), 422, "measured_on"},
		{"a date with slashes", post(readings, pullWith("measured_on", "5/10/2025")), 422, "measured_on"},
		{"a reading that replaces nothing", post(readings, pullWith("replaces", "no-such-reading")), 422, "replaces"},
		{"a set-aside of no reading", patch("/v1/readings/nothing", `{"set_aside":null}`), 404, ""},
		{"a set-aside without a reason", patch("/v1/readings/{id}", `{"set_aside":{}}`), 422, "set_aside.reason"},
		{"a set-aside for an empty reason", patch("/v1/readings/{id}", `{"set_aside":{"reason":""}}`), 422,
			"set_aside.reason"},
		{"a reading changed in place", patch("/v1/readings/{id}", `{"distance_ft":300}`), 422, "distance_ft"},

		// Many readings.
		{"an object for a batch", post("/v1/readings", `{}`), 422, ""},
		{"an empty batch", post("/v1/readings", `[]`), 422, ""},
		{"a batch with one bad row", post("/v1/readings",
			`[{"sled":"bluestem","gear":"B","distance_ft":262,"measured_on":"2025-05-10"},{"sled":"bluestem"}]`), 422,
			"gear"},
		{"a batch for no sled", post("/v1/readings",
			`[{"sled":"brome","gear":"B","distance_ft":262,"measured_on":"2025-05-10"}]`), 422, "sled"},
		{"a batch with a word for dry_run", post("/v1/readings?dry_run=maybe", `[]`), 422, "dry_run"},
		{"an empty sheet", sheet(""), 422, ""},
		{"a sheet without a distance", sheet("sled,gear,measured_on\nbluestem,B,2025-05-10\n"), 422, "distance_ft"},
		{"a sheet with a column nobody knows", sheet("sled,gear,distance_ft,measured_on,color\n"), 422, "color"},
		{"a sheet with a column twice", sheet("sled,gear,gear,distance_ft,measured_on\n"), 422, "gear"},
		{"a sheet in feet and meters", sheet("sled,gear,distance_ft,distance_m,measured_on\n"), 422, "distance_m"},
		{"a sheet of no text", sheet("PK\x03\x04\x00\x00"), 422, ""},
		{"a sheet that is not the UTF-8 it claims",
			post("/v1/readings", heading+"bluestem,B\xe4,0,262,2025-05-10\n").with("Content-Type",
				"text/csv; charset=utf-8"), 422, ""},
		{"a sheet with a number that can be read in two ways", sheet(heading + "bluestem,B,0,\"1,262\",2025-05-10\n"),
			422, "distance_ft"},
		{"a sheet with a date that can be read in two ways", sheet(heading + "bluestem,B,0,262,5/10/2025\n"), 422,
			"measured_on"},
		{"a sheet with dates in an order nobody knows", csvPost("/v1/readings?dates=year-first", heading), 422,
			"dates"},
		{"a sheet with columns named that it has not", csvPost("/v1/readings?columns=sled,gear", heading), 422,
			"columns"},
		{"a sheet with columns named that nobody knows",
			csvPost("/v1/readings?columns=sled,gear,,distance_ft,color", heading), 422, "columns"},
		{"a sheet with a column named twice",
			csvPost("/v1/readings?columns=sled,gear,distance_m,distance_ft,measured_on", heading), 422, "columns"},
		{"a sheet for a sled that is not there",
			csvPost("/v1/readings?sled=brome", "gear,distance_ft,measured_on\nB,262,2025-05-10\n"), 422, "sled"},
		{"a sheet with a quote left open", sheet(heading + "bluestem,\"B,0,262,2025-05-10\n"), 422, ""},
		{"a sheet with a cell too few", sheet(heading + "bluestem,B,0,262\n"), 422, ""},
		{"a sheet with a cell too many", sheet(heading + "bluestem,B,0,262,2025-05-10,more\n"), 422, ""},
		{"a sheet with NaN", sheet(heading + "bluestem,B,0,NaN,2025-05-10\n"), 422, "distance_ft"},
		{"a sheet with a hexadecimal distance", sheet(heading + "bluestem,B,0,0x106,2025-05-10\n"), 422, "distance_ft"},
		{"a sheet with a missing cell that is needed", sheet(heading + "bluestem,,0,262,2025-05-10\n"), 422, "gear"},
		{"a sheet of no readings", sheet(heading), 422, ""},
		{"a sheet of 65 megabytes", sheet(heading + strings.Repeat("a", 65<<20)), 413, ""},

		// Questions.
		{"a page nobody has", get("/v1/sleds/bluestem/wheels"), 404, ""},
		{"an address nobody has", get("/v2/sleds"), 404, ""},
		{"an asset nobody has", get("/assets/../go.mod"), 404, ""},
		{"a sled without an id", get("/v1/sleds/"), 404, ""},
		{"a sled that is not there", get("/v1/sleds/brome"), 404, ""},
		{"a sled with an impossible id", get("/v1/sleds/" + strings.Repeat("x", 200)), 404, ""},
		{"a sled whose id is bytes", get("/v1/sleds/%ff%00"), 404, ""},
		{"a page of too many sleds", get("/v1/sleds?limit=501"), 422, "limit"},
		{"a page of no sleds", get("/v1/sleds?limit=0"), 422, "limit"},
		{"a page of half a sled", get("/v1/sleds?limit=1.5"), 422, "limit"},
		{"a cursor that is made up", get("/v1/sleds/bluestem/readings?after=made-up"), 422, "after"},
		{"a parameter nobody knows", get("/v1/sleds?color=red"), 422, "color"},
		{"a parameter where none belongs", get("/v1/sleds/bluestem?units=m"), 422, "units"},
		{"a question without a sled", get("/v1/equivalents?gear=B"), 422, "sled"},
		{"a question without a gear", get("/v1/equivalents?sled=bluestem"), 422, "gear"},
		{"a question about a gear nobody has", get("/v1/equivalents?sled=bluestem&gear=Z"), 422, "gear"},
		{"a question about two gears", get("/v1/equivalents?sled=bluestem&gear=A&gear=B"), 422, "gear"},
		{"a question for a sled nobody has", get("/v1/equivalents?sled=bluestem&gear=B&on=brome"), 422, "on"},
		{"a question from NaN feet", get("/v1/equivalents?sled=bluestem&gear=B&start_ft=NaN"), 422, "start_ft"},
		{"a question from infinitely far", get("/v1/equivalents?sled=bluestem&gear=B&start_ft=Inf"), 422, "start_ft"},
		{"a question from behind full back", get("/v1/equivalents?sled=bluestem&gear=B&start_ft=-1"), 422, "start_ft"},
		{"a question from past the travel", get("/v1/equivalents?sled=bluestem&gear=B&start_ft=35"), 422, "start_ft"},
		{"a question from nothing", get("/v1/equivalents?sled=bluestem&gear=B&start_ft="), 422, "start_ft"},
		{"a question with a stray percent", get("/v1/equivalents?sled=blue%zzstem&gear=B"), 400, ""},
		{"a question with semicolons", get("/v1/equivalents?sled=bluestem;gear=B"), 400, ""},
		{"a chart from 51 positions", get("/v1/sleds/bluestem/chart?" + strings.Repeat("start_ft=1&", 51)), 422,
			"start_ft"},
		{"a chart from a word", get("/v1/sleds/bluestem/chart?start_ft=0&start_ft=far"), 422, "start_ft[1]"},
		{"a drawing in another theme", get("/v1/sleds/bluestem/chart.svg?theme=pink"), 422, "theme"},
		{"a drawing for every sled", get("/v1/equivalents.svg?sled=bluestem&gear=B"), 422, "on"},
		{"a table of no sled", get("/v1/table"), 422, "reference"},
		{"a table of a sled that is not there", get("/v1/table?reference=brome"), 404, ""},
		{"a table in yards", get("/v1/table?reference=bluestem&units=yd"), 422, "units"},
		{"a question about nothing", get("/v1/equivalents?on=fescue"), 422, "sled"},
		{"a question about a distance on a sled", get("/v1/equivalents?sled=bluestem&gear=A&top_out_ft=255"), 422,
			"sled"},
		{"a question about a distance under 1 ft", get("/v1/equivalents?top_out_ft=0.9"), 422, "top_out_ft"},
		{"one pull of a setting", get("/v1/equivalents?sled=bluestem&gear=A&one_pull=true"), 422, "one_pull"},
		{"a day without a name", get("/v1/equivalents?sled=bluestem&gear=A&day="), 422, "day"},
		{"unlikely readings skipped", post("/v1/sleds/bluestem/readings?unlikely=skip", readingOf("A", 280)), 422,
			"unlikely"},
		{"repeated rows that are asked about", csvPost("/v1/readings?repeated=ask", heading), 422, "repeated"},
		{"a change of a reading that changes nothing", patch("/v1/readings/{id}", `{}`), 422, ""},
		{"a reading confirmed in words", patch("/v1/readings/{id}", `{"confirmed":"yes"}`), 422, "confirmed"},
		{"a batch that is not there", patch("/v1/batches/some", `{"set_aside":null}`), 404, ""},
		{"a batch confirmed", patch("/v1/batches/some", `{"confirmed":true}`), 422, "confirmed"},
		{"a spreadsheet of no table", get("/v1/table.csv"), 422, "reference"},
		{"a spreadsheet of a table of a sled that is not there", get("/v1/table.csv?reference=brome"), 404, ""},
		{"a spreadsheet of a table in yards", get("/v1/table.csv?reference=bluestem&units=yd"), 422, "units"},
		{"a spreadsheet of the readings of no sled", get("/v1/sleds/brome/readings.csv"), 404, ""},
		{"a spreadsheet of three readings", get("/v1/sleds/bluestem/readings.csv?limit=3"), 422, "limit"},

		// Methods and headers.
		{"a sled patched", patch("/v1/sleds/bluestem", bluestem()), 405, ""},
		{"all sleds deleted", request{method: "DELETE", path: "/v1/sleds"}, 405, ""},
		{"a table posted", post("/v1/table?reference=bluestem", "{}"), 405, ""},
		{"a page posted", post("/", "{}"), 405, ""},
		{"a method nobody has", request{method: "BREW", path: "/v1/sleds"}, 405, ""},
		{"an empty Idempotency-Key", post("/v1/sleds", sledWith("name", "Sedge")).with("Idempotency-Key", ""), 422,
			"Idempotency-Key"},
		{"an Idempotency-Key of 201 characters",
			post("/v1/sleds", sledWith("name", "Sedge")).with("Idempotency-Key", strings.Repeat("k", 201)), 422,
			"Idempotency-Key"},
		{"an Idempotency-Key with an accent",
			post("/v1/sleds", sledWith("name", "Sedge")).with("Idempotency-Key", "schlüssel"), 422, "Idempotency-Key"},
		{"two Idempotency-Keys", post("/v1/sleds", sledWith("name", "Sedge")).with("Idempotency-Key",
			"a").with("Idempotency-Key", "b"), 422, "Idempotency-Key"},
		{"an If-None-Match of 3,000 characters", get("/v1/sleds").with("If-None-Match", strings.Repeat("x", 3000)), 422,
			"If-None-Match"},
	}
}

func TestMalformed_RequestsAreRefusedAndChangeNothing(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	smallWorkshop(t, p)
	id := firstReading(t, p, "bluestem")
	before := everything(t, p)
	cases := slices.Concat(malformedRequests(), malformedShows(), malformedDrivelines())
	require.Greater(t, len(cases), 250)
	for _, c := range cases {
		c.send.path = strings.Replace(c.send.path, "{id}", id, 1)
		got := p.do(c.send)
		problem := problemOf(t, got, c.status)
		if c.at != "" {
			assert.Contains(t, faultsAt(problem), c.at, "%s: %s", c.what, got.body)
		}
		for _, f := range problem.Errors {
			assert.NotContains(t, strings.ToLower(f.Detail), "schema", "%s: words of the machine room", c.what)
		}
		if c.status == http.StatusMethodNotAllowed {
			assert.NotEmpty(t, got.Header.Get("Allow"), c.what)
		}
		assert.Equal(t, before, everything(t, p), "%s changed something", c.what)
	}
	assert.NotContains(t, p.stderr.String(), "level=ERROR", "a fault of the program")
}

// everything is the whole fleet with its classes and shows as its readers see it, revisions included.
func everything(t *testing.T, p *program) string {
	t.Helper()
	all := ""
	paths := []string{
		"/v1/sleds", "/v1/sleds/bluestem/readings", "/v1/sleds/fescue/readings", "/v1/table?reference=bluestem",
		"/v1/classes", "/v1/shows",
		"/v1/season",
	}
	for _, sled := range into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200).Items {
		for _, of := range []string{"/changes", "/chart", "/driveline", "/days"} {
			paths = append(paths, "/v1/sleds/"+sled.Id+of)
		}
	}
	for _, show := range into[openapi.ShowPage](t, p.do(get("/v1/shows")), 200).Items {
		paths = append(paths, "/v1/shows/"+show.Id+"/sheet", "/v1/shows/"+show.Id+"/candidates")
	}
	for _, path := range paths {
		got := p.do(get(path))
		require.Equal(t, 200, got.StatusCode, "%s", got.body)
		all += string(got.body) + got.Header.Get("ETag")
	}
	return all
}

// Every fault of form comes at once, that is, everything that the contract says of a request.
func TestFaults_OfFormComeAtOnce(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	smallWorkshop(t, p)
	namesFaults(t, p, []faulty{
		{"a sled", post("/v1/sleds", `{"name":"","travel_ft":"far","color":1,"gears":[{"label":"1"},{"label":"1"}]}`),
			[]string{"name", "travel_ft", "color"}},
		{"a reading", post("/v1/sleds/bluestem/readings",
			`{"gear":"Z","distance_ft":0,"measured_on":"soon","start_ft":34.5}`),
			[]string{"distance_ft", "measured_on"}},
		{"readings", post("/v1/readings",
			`[{"sled":"brome","gear":"B","distance_ft":0,"measured_on":"soon"},{"gear":7}]`),
			[]string{"distance_ft", "measured_on", "sled", "gear", "distance_ft", "measured_on"}},
		{"a question", get("/v1/equivalents?gear=&start_ft=x&on_start_ft=-1&where=here"),
			[]string{"gear", "start_ft", "on_start_ft", "where"}},
		{"a class", post("/v1/classes",
			`{"name":"","setting":{"sled":"brome","gear":""},"pull_off":{"sled":"bluestem","start_ft":-1},"color":1}`),
			[]string{"name", "setting.gear", "pull_off.start_ft", "color"}},
		{"a replaced class", put("/v1/classes/open-4x4",
			`{"name":7,"setting":{"sled":"bluestem","gear":""}}`).with("If-Match",
			"*"),
			[]string{"name", "setting.gear"}},
		{"a show", post("/v1/shows", `{"name":"","date":"soon","classes":["open-4x4",7],"notes":5}`),
			[]string{"name", "date", "classes[1]", "notes"}},
		{"a replaced show", put("/v1/shows/"+harvest, `{"name":"","date":"2099-07-18","classes":[""]}`).with("If-Match",
			"*"),
			[]string{"name", "classes[0]"}},
		{"a line", post(asRunAt("open-4x4"), `{"from_hook":0,"gear":"","start_ft":-1,"note":7}`),
			[]string{"from_hook", "gear", "start_ft", "note"}},
		{"an outcome", put(outcomeAt("open-4x4"), `{"hooks":3,"full_pulls":"4","felt":"odd","longest_ft":0}`),
			[]string{"full_pulls", "felt", "longest_ft"}},
		{"parts",
			post("/v1/sleds", `{"name":"","gears":[{"label":"1","range":7,"ratio":0}],
				"driveline":{"sprocket_teeth":0,"axle_ratio":4,
				"axle_ratios":{"1":-1,"low":6},"clutch":1}}`),
			[]string{"name", "gears[0].range", "gears[0].ratio", "driveline.sprocket_teeth", "driveline.axle_ratios[1]",
				"driveline.clutch"}},
		{"a change",
			post("/v1/sleds/timothy/changes", `{"made_on":"soon","what":"","effect":"some","travel_ft":1,
				"gears":[{"label":"","ratio":-1}],
				"driveline":{"final_ratio":-1}}`),
			[]string{"made_on", "what", "effect", "travel_ft", "gears[0].label", "gears[0].ratio",
				"driveline.final_ratio"}},
		{"the room for a box", get("/v1/sleds/timothy/cutoff?ground_speed_mph=NaN&brake_ft_s2=0&gear=1"),
			[]string{"ground_speed_mph", "release_s", "brake_ft_s2", "gear"}},
		{"a header and a body", post("/v1/sleds", sledWith("travel_ft", 1)).with("Idempotency-Key", ""),
			[]string{"Idempotency-Key", "travel_ft"}},
	})
}

// What keeps to the form is held against the rules and against what there is, and every fault of sense comes at once.
func TestFaults_OfSenseComeAtOnce(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	smallWorkshop(t, p)
	namesFaults(t, p, []faulty{
		{"a sled", post("/v1/sleds", `{"name":"!","gears":[{"label":"1"},{"label":"1"},{"label":" "}]}`),
			[]string{"name", "gears[1].label", "gears[2].label"}},
		{"a reading", post("/v1/sleds/bluestem/readings",
			`{"gear":"Z","distance_ft":262,"measured_on":"2999-01-01","start_ft":34.5,"end_ft":36}`),
			[]string{"gear", "measured_on", "start_ft", "end_ft"}},
		{"readings",
			post("/v1/readings", `[{"sled":"brome","gear":"B","distance_ft":262,"measured_on":"2999-01-01"},
				{"sled":"bluestem","gear":"Z","distance_ft":262,"measured_on":"2025-05-10"}]`),
			[]string{"sled", "measured_on", "gear"}},
		{"a class", post("/v1/classes",
			`{"name":"!","setting":{"sled":"brome","gear":"A"},"pull_off":{"sled":"bluestem","gear":"Z",
				"start_ft":34.5}}`),
			[]string{"name", "setting.sled", "pull_off.gear", "pull_off.start_ft"}},
		{"a replaced class", put("/v1/classes/open-4x4",
			`{"name":"!","setting":{"sled":"bluestem","gear":"Z"}}`).with("If-Match", "*"),
			[]string{"name", "setting.gear"}},
		{"a show", post("/v1/shows", `{"name":"!","date":"2099-02-28","sled":"brome","classes":["open-4x4","hot",
			"open-4x4"]}`),
			[]string{"name", "sled", "classes[1]", "classes[2]"}},
		{"a replaced show", put("/v1/shows/"+harvest,
			`{"name":"!","date":"2099-07-18","sled":"brome","classes":["hot"]}`).with("If-Match", "*"),
			[]string{"name", "sled", "classes[0]"}},
		{"a line", post(asRunAt("open-4x4"), `{"from_hook":1,"gear":"A","start_ft":31}`), []string{"gear", "start_ft"}},
		{"an outcome", put(outcomeAt("open-4x4"), `{"hooks":3,"full_pulls":4}`), []string{"full_pulls"}},
		{"parts",
			post("/v1/sleds", `{"name":"!","gears":[{"label":"1","range":"middle"}],"driveline":{"axle_ratio":4,
				"axle_ratios":{"1":1,"low":6},
				"tire_circumference_ft":10,"tire_revs_per_mile":500}}`),
			[]string{"name", "gears[0].range", "driveline.axle_ratios", "driveline.tire_revs_per_mile"}},
		{"corrected parts",
			put("/v1/sleds/timothy", `{"name":"!","gears":[{"label":"1","was":"Z"}],
				"driveline":{"tire_circumference_ft":10,"tire_revs_per_mile":500}}`).with("If-Match", "*"),
			[]string{"name", "gears[0].was", "driveline.tire_revs_per_mile"}},
		{"a change",
			post("/v1/sleds/timothy/changes", `{"made_on":"2999-05-01","what":"tires","effect":"by-ratio",
				"gears":[{"label":"Z"}],
				"driveline":{"tire_circumference_ft":10,"tire_revs_per_mile":500}}`),
			[]string{"made_on", "gears[0].label", "driveline.tire_revs_per_mile"}},
		{"options", get("/v1/part-options?sled=timothy&reference=timothy&gear_set=x&gear_set=1&axle_ratio=4"),
			[]string{"reference", "gear_set[0]", "gear_set[1]", "axle_ratio"}},
	})
}

// faulty is a request with more than one fault, and where all of them are.
type faulty struct {
	what string
	send request
	want []string
}

func namesFaults(t *testing.T, p *program, all []faulty) {
	t.Helper()
	for _, c := range all {
		got := problemOf(t, p.do(c.send), 422)
		assert.ElementsMatch(t, c.want, faultsAt(got), c.what)
	}
}
