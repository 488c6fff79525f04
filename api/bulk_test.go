package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/openapi"
	"evenpull/testdata"
)

// rowsAt lists the faults of a problem as "row at".
func rowsAt(p openapi.Problem) []string {
	var all []string
	for _, f := range p.Errors {
		all = append(all, strings.TrimSpace(fmt.Sprintf("%d %s", valueOr(f.Row, 0), f.At)))
	}
	return all
}

func readingsOf(t *testing.T, p *program, sled string) []openapi.Reading {
	t.Helper()
	return into[openapi.ReadingPage](t, p.do(get("/v1/sleds/"+sled+"/readings?limit=500")), 200).Items
}

// Checking many readings takes as long as there are rows. Those that are refused never take a turn to write, so that
// nobody waits for them.
func TestBulk_ThatIsRefusedHoldsUpNoWrite(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	turns := func() float64 { return metric(t, p, "evenpull_write_duration_seconds_count") }
	good := "bluestem,B,0,262,2025-06-10\n"
	before, stored := turns(), everything(t, p)
	for what, c := range map[string]struct {
		rows   string
		status int
	}{
		"an unknown sled behind many good rows": {strings.Repeat(good, 5000) + "brome,B,0,262,2025-06-10\n", 422},
		"a distance beyond belief":              {strings.Repeat(good, 100) + "bluestem,B,0,19000,2025-06-10\n", 409},
		"no row":                                {"", 422},
	} {
		problemOf(t, p.do(csvPost("/v1/readings?repeated=keep", heading+c.rows).with("Idempotency-Key", what)),
			c.status)
	}
	problemOf(t, p.do(post("/v1/readings",
		`[{"sled":"brome","gear":"B","distance_ft":262,"measured_on":"2025-06-10"}]`)), 422)
	assert.Equal(t, before, turns())
	assert.Equal(t, stored, everything(t, p))

	r := csvPost("/v1/readings", heading+good).with("Idempotency-Key", "good")
	first := p.do(r)
	into[openapi.Accepted](t, first, 201)
	assert.Equal(t, before+1, turns())
	assert.Equal(t, string(first.body), string(p.do(r).body), "sent again, it is no repeated row")
}

func TestBulk_NamesEveryBadRowOfAnUploadAndStoresNothing(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	before := everything(t, p)
	sheet := strings.Join([]string{
		"sled,gear,start_ft,distance_ft,measured_on,note", // row 1
		"bluestem,B,0,262,2025-05-10,good",
		"bluestem,Z,0,262,2025-05-10,",
		"",
		`bluestem,B,0,far,2025-05-10,"a note`,
		`on two lines"`,
		"brome,B,0,262,2025-05-10,",
		",,,,,",
		"bluestem,B,-1,262,soon,",
		"bluestem,B,0,262",
		"bluestem,B,40,262,2025-05-10,",
	}, "\r\n")
	got := problemOf(t, p.do(csvPost("/v1/readings", "\ufeff"+sheet)), 422)
	assert.Equal(t, []string{"3 gear", "5 distance_ft", "6 sled", "8 measured_on", "8 start_ft", "9 measured_on",
		"10 start_ft"}, rowsAt(got))
	assert.Equal(t, before, everything(t, p))
}

// What is wrong with a row besides its sled is named too, as far as no sled is needed for that; so is what is wrong
// with a row for a retired sled.
func TestBulk_NamesARowForNoSledWithAllItsFaults(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	long := strings.Repeat("x", 101)
	sheet := strings.Join([]string{
		"sled,gear,start_ft,distance_ft,measured_on,ended,end_ft,by,tire_psi",
		"brome,B,0,262,2025-05-10,,,,",
		"brome,Z,201,0,2999-01-01,stopped-short,,,301",
		"brome,B,4,262,2025-05-10,stopped-short,5," + long + ",x",
		",B,0,-1,2025-05-10,,,,",
		"sedge,Z,0,0,2025-05-10,,,,",
	}, "\n")
	got := problemOf(t, p.do(csvPost("/v1/readings", sheet)), 422)
	assert.Equal(t, []string{
		"2 sled", "3 sled", "3 distance_ft", "3 start_ft", "3 end_ft", "3 measured_on", "3 tire_psi",
		"4 tire_psi", "4 sled", "4 end_ft", "4 by", "5 sled", "5 distance_ft", "6 sled", "6 gear", "6 distance_ft",
	}, rowsAt(got))
	noSuchDay := `[{"sled":"brome","gear":"B","distance_ft":262,"measured_on":"2025-02-30","ended":"stopped-short"}]`
	assert.Equal(t, []string{"1 measured_on"}, rowsAt(problemOf(t, p.do(post("/v1/readings", noSuchDay)), 422)),
		"the form of a JSON batch is checked first")
	batch := `[{"sled":"brome","gear":"B","distance_ft":262,"measured_on":"2999-01-01","ended":"stopped-short"},
		{"sled":"brome","gear":"B","distance_ft":262,"measured_on":"2999-01-01"}]`
	got = problemOf(t, p.do(post("/v1/readings", batch)), 422)
	assert.ElementsMatch(t, []string{"1 end_ft", "1 sled", "1 measured_on", "2 sled", "2 measured_on"}, rowsAt(got))
}

// A list in JSON names its rows from 1: all that the contract finds, then all that the sleds say.
func TestReadings_EveryBadRowOfABatchIsNamedAndNothingIsStored(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	before := everything(t, p)
	batch := `[
		{"sled":"bluestem","gear":"B","distance_ft":262,"measured_on":"2025-05-10"},
		{"sled":"bluestem","gear":"Z","distance_ft":262,"measured_on":"2025-05-10","color":"red"},
		{"sled":"bluestem","gear":"B","distance_ft":"262","measured_on":"2025-05-10","gear":"B"},
		"a reading",
		{"sled":"brome","gear":"B","distance_ft":1e999,"measured_on":"2025-05-10"}]`
	got := problemOf(t, p.do(post("/v1/readings", batch)), 422)
	assert.ElementsMatch(t, []string{"2 color", "3 gear", "3 distance_ft", "4", "5 distance_ft"}, rowsAt(got), "form")
	batch = strings.NewReplacer(`,"color":"red"`, "", `,"gear":"B"}`, "}", `"262"`, "262", `"a reading",`, "", "1e999",
		"262").Replace(batch)
	got = problemOf(t, p.do(post("/v1/readings", batch)), 422)
	assert.Equal(t, []string{"2 gear", "4 sled"}, rowsAt(got), "sense")
	assert.Equal(t, before, everything(t, p))
}

func TestBulk_ListsAThousandFaultsAndCountsTheRest(t *testing.T) {
	t.Parallel()
	p := start(t)
	got := problemOf(t, p.do(csvPost("/v1/readings", heading+strings.Repeat("brome,B,0,262,2025-05-10\n", 1500))), 422)
	assert.Len(t, got.Errors, 1000)
	assert.Equal(t, 1500, *got.FaultsTotal)
	assert.Equal(t, 1001, *got.Errors[999].Row)
}

func TestBulk_StoresNothingInADryRun(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	before := everything(t, p)
	sheet := heading + "bluestem,B,0,263,2025-05-10\nbluestem,C,4,222,2025-05-10\n"
	for range 2 { // also under the same key: nothing is kept of a dry run
		checked := p.do(csvPost("/v1/readings?dry_run=true", sheet).with("Idempotency-Key", "one"))
		assert.Equal(t, 2, into[openapi.Accepted](t, checked, 200).Accepted)
	}
	assert.Equal(t, before, everything(t, p))
	stored := p.do(csvPost("/v1/readings", sheet).with("Idempotency-Key", "one"))
	assert.Equal(t, 2, into[openapi.Accepted](t, stored, 201).Accepted)
	assert.Len(t, readingsOf(t, p, "bluestem"), 5)
}

// A notebook as people keep it: names of their own, meters, decimal commas, dates by the day.
func TestReadings_ADryRunSaysHowAnUploadIsUnderstood(t *testing.T) {
	t.Parallel()
	p := demo(t)
	before := everything(t, p)
	notebook := "\ufeffSled Name;GEAR;Box start;Top-out distance (m);Date;How it ended;Who;" +
		"Tire pressure (bar);Color\n" +
		"Blue Stem;c;full back;77,4;9/5/2026;Topped out;crew notes;6;red\nFESCUE;gear 2;12' " +
		"6\";45,1;25.5.2026;;crew notes;6;red\n"
	checked := into[openapi.Accepted](t, p.do(csvPost("/v1/readings?dry_run=true&unknown=skip", notebook)), 200)
	assert.Equal(t, 2, checked.Accepted)
	up := checked.Upload
	var names []string
	for _, c := range up.Columns {
		names = append(names, valueOr(c.Name, ""))
	}
	assert.Equal(t, []string{"sled", "gear", "start_ft", "distance_m", "measured_on", "ended", "by", "", ""}, names)
	assert.Equal(t, openapi.UploadColumn{Heading: "Color", Example: "red"}, up.Columns[8])
	assert.Equal(t, []openapi.UploadRow{
		{Row: 2, Values: []string{"bluestem", "C", "0", "77.4", "2026-05-09", "topped-out", "crew notes", "", ""}},
		{Row: 3, Values: []string{"fescue", "2", "12.5", "45.1", "2026-05-25", "topped-out", "crew notes", "", ""}},
	}, up.Preview)
	assert.Equal(t, []openapi.UploadSled{{Sled: "bluestem", Rows: 1}, {Sled: "fescue", Rows: 1}}, up.Sleds)
	assert.Equal(t, []any{openapi.Utf8, openapi.Semicolon, openapi.UploadDatesDayFirst, 2, 0},
		[]any{up.Encoding, up.Separator, *up.Dates, up.Rows, up.RowsWithFaults})
	assert.Equal(t, before, everything(t, p))

	// The same is understood where there are faults.
	bad := strings.Replace(notebook, "gear 2", "gear Q", 1)
	refused := problemOf(t, p.do(csvPost("/v1/readings?dry_run=true", bad)), 422)
	assert.Equal(t, []string{"1 Tire pressure (bar)", "1 Color", "3 gear"}, rowsAt(refused))
	assert.Contains(t, refused.Errors[2].Detail, `Fescue has no gear "gear Q"; it has 1, 2,`)
	assert.Equal(t, up.Columns, refused.Upload.Columns)
	assert.Equal(t, []string{"fescue", "", "12.5", "45.1", "2026-05-25", "topped-out", "crew notes", "", ""},
		refused.Upload.Preview[1].Values)
	assert.Equal(t, []int{2, 1}, []int{refused.Upload.Rows, refused.Upload.RowsWithFaults})

	// Without the row that shows the order of the dates nothing is guessed.
	unclear := strings.Replace(notebook, "25.5.2026", "2.5.2026", 1)
	refused = problemOf(t, p.do(csvPost("/v1/readings?dry_run=true&unknown=skip", unclear)), 422)
	assert.Equal(t, []string{"2 measured_on", "3 measured_on"}, rowsAt(refused))
	assert.Equal(t, "9/5/2026", *refused.Upload.UnclearDate)
	into[openapi.Accepted](t, p.do(csvPost("/v1/readings?unknown=skip&dates=day-first", unclear)), 201)
	added := readingsOf(t, p, "fescue")
	i := slices.IndexFunc(added, func(r openapi.Reading) bool {
		return r.MeasuredOn == "2026-05-02" &&
			valueOr(r.By, "") == "crew notes"
	})
	require.GreaterOrEqual(t, i, 0)
	assert.InDelta(t, 45.1/0.3048, added[i].DistanceFt, 1e-9) // NIST Special Publication 811, Appendix B
	assert.Equal(t, []any{"2", 12.5}, []any{added[i].Gear, added[i].StartFt})
}

// The contract promises a number of readings, and a body of 1 MiB holds as many.
func TestReadings_AsJSONAreAsManyAsTheContractSays(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	doc, err := openapi3.NewLoader().LoadFromData(openapi.Document)
	require.NoError(t, err)
	most := int(*doc.Components.Schemas["ReadingBatch"].Value.MaxItems)
	row := map[string]any{"sled": "bluestem", "gear": "B", "start_ft": 0, "distance_ft": 297.5,
		"measured_on": "2026-05-09"}
	rows := slices.Repeat([]any{row}, most)
	into[openapi.Accepted](t, p.do(post("/v1/readings?dry_run=true&unlikely=keep", rows)), 200)
	refused := problemOf(t, p.do(post("/v1/readings?dry_run=true&unlikely=keep", append(rows, row))), 422)
	assert.Contains(t, refused.Errors[0].Detail, "can have up to 10000 entries, not 10001")
}

// Large uploads are gone through as they are small ones: the first faults are listed, the others counted.
func TestReadings_ADryRunGoesThroughALargeUpload(t *testing.T) {
	t.Parallel()
	p := demo(t)
	var b strings.Builder
	b.WriteString("sled,gear,distance_ft,measured_on\n")
	for i := range 200_000 {
		gear := "C"
		if i%100 == 0 {
			gear = "Q"
		}
		fmt.Fprintf(&b, "bluestem,%s,%d,2026-05-09\n", gear, 250+i%10)
	}
	refused := problemOf(t, p.do(csvPost("/v1/readings?dry_run=true", b.String())), 422)
	assert.Equal(t, []int{200_000, 2000, 2000, 1000},
		[]int{refused.Upload.Rows, refused.Upload.RowsWithFaults, *refused.FaultsTotal, len(refused.Errors)})
}

func TestReadings_OfAnUploadGoToTheSledThatIsMeant(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	into[openapi.Sled](t, p.do(post("/v1/sleds", sledWith("name", "Blue-Stem"))), 201)
	for cell, want := range map[string]string{"bluestem": "bluestem", "Bluestem": "", "blue-stem": "blue-stem",
		"FESCUE": "fescue", " 'fescue ": "fescue"} {
		got := p.do(csvPost("/v1/readings?dry_run=true",
			"sled,gear,distance_ft,measured_on\n"+cell+",1,262,2025-05-10\n"))
		if want != "" {
			assert.Contains(t, string(got.body), `"sleds":[{"rows":1,"sled":"`+want+`"}]`, cell)
			continue
		}
		refused := problemOf(t, got, 422)
		assert.Equal(t, `"Bluestem" can be blue-stem or bluestem; write which`, refused.Errors[0].Detail)
	}
	refused := problemOf(t, p.do(csvPost("/v1/readings", heading+"brome,B,0,262,2025-05-10\n")), 422)
	assert.Equal(t, `there is no sled "brome"; there are Blue-Stem, Bluestem, Fescue`, refused.Errors[0].Detail)
}

// The same pulls noted in feet as JSON, in feet as CSV and in meters as CSV, columns in another order, are the same
// readings. 1 ft is 0.3048 m exactly: NIST Special Publication 811, Appendix B.
func TestReadings_InFeetInMetersAndInJSONAreTheSame(t *testing.T) {
	t.Parallel()
	sent := map[string]request{
		"JSON": post("/v1/readings", `[
			{"sled":"bluestem","gear":"B","start_ft":2.5,"distance_ft":250,"measured_on":"2025-06-01",
				"note":"a, \"b\""},
			{"sled":"bluestem","gear":"C","distance_ft":100,"ended":"stopped-short","end_ft":12.5,
				"measured_on":"2025-06-01"},
			{"sled":"fescue","gear":"1","distance_ft":260,"ended":"stated","plus_minus_ft":10,"by":"its owner",
				"measured_on":"2025-06-01"}]`),
		"feet": csvPost("/v1/readings",
			"sled,gear,start_ft,distance_ft,ended,end_ft,plus_minus_ft,measured_on,by,note\n"+
				"bluestem,B,2.5,250,,,,2025-06-01,,\"a, \"\"b\"\"\"\n"+
				"bluestem,C,,100,stopped-short,12.5,,2025-06-01,,\n"+
				"fescue,1,,260,stated,,10,2025-06-01,its owner,\n"),
		"meters": csvPost("/v1/readings",
			"note,by,measured_on,plus_minus_m,end_m,ended,distance_m,start_m,gear,sled\r\n"+
				"\"a, \"\"b\"\"\",,2025-06-01,,,,76.2,0.762,B,bluestem\r\n"+
				",,2025-06-01,,3.81,stopped-short,30.48,,C,bluestem\r\n"+
				",its owner,2025-06-01,3.048,,stated,79.248,,1,fescue\r\n"),
	}
	sent["meters"].header.Set("Content-Type", "text/csv; charset=UTF-8")
	var want []openapi.Reading
	for _, how := range []string{"JSON", "feet", "meters"} {
		p := start(t)
		into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
		into[openapi.Sled](t, p.do(post("/v1/sleds", fescue())), 201)
		assert.Equal(t, 3, into[openapi.Accepted](t, p.do(sent[how]), 201).Accepted, how)
		got := append(readingsOf(t, p, "bluestem"), readingsOf(t, p, "fescue")...)
		if want == nil {
			want = got
			continue
		}
		require.Len(t, got, len(want), how)
		for _, w := range want {
			assertHasReading(t, got, w, how)
		}
	}
}

// assertHasReading looks for a reading that is the same but for its id, and for the last bits that meters cost.
func assertHasReading(t *testing.T, among []openapi.Reading, want openapi.Reading, how string) {
	t.Helper()
	for _, r := range among {
		if r.Gear != want.Gear || r.Sled != want.Sled {
			continue
		}
		assert.InDelta(t, want.DistanceFt, r.DistanceFt, 1e-9, how)
		assert.InDelta(t, want.StartFt, r.StartFt, 1e-9, how)
		assert.InDelta(t, valueOr(want.EndFt, 0), valueOr(r.EndFt, 0), 1e-9, how)
		assert.InDelta(t, valueOr(want.PlusMinusFt, 0), valueOr(r.PlusMinusFt, 0), 1e-9, how)
		assert.Equal(t, want.Note, r.Note, how)
		assert.Equal(t, want.By, r.By, how)
		assert.Equal(t, want.Ended, r.Ended, how)
		return
	}
	assert.Fail(t, "no such reading", "%s: %s %s", how, want.Sled, want.Gear)
}

// Faults are named by the columns that were sent.
func TestBulk_NamesFaultsOfAnUploadInMetersInMeters(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	got := problemOf(t, p.do(csvPost("/v1/readings",
		"sled,gear,start_m,distance_m,measured_on\nbluestem,B,11,0,2025-05-10\nbluestem,B,0,12;5,2025-05-10\n")), 422)
	assert.Equal(t, []string{"2 distance_m", "2 start_m", "3 distance_m"}, rowsAt(got))
}

// A large import, beyond what is held in memory, all of it or nothing.
func TestBulk_TakesALargeUpload(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	var b strings.Builder
	b.WriteString("sled,gear,start_ft,distance_ft,measured_on,note\n")
	const rows = 8000
	for i := range rows {
		fmt.Fprintf(&b, "bluestem,B,0,%d.5,2025-05-%02d,%s\n", 200+i%90, 1+i%28, strings.Repeat("n", 150))
	}
	require.Greater(t, b.Len(), 1<<20, "more than is held in memory")
	first := p.do(csvPost("/v1/readings", b.String()).with("Idempotency-Key", "large"))
	assert.Equal(t, rows, into[openapi.Accepted](t, first, 201).Accepted)
	again := p.do(csvPost("/v1/readings", b.String()).with("Idempotency-Key", "large"))
	assert.Equal(t, rows, into[openapi.Accepted](t, again, 201).Accepted)
	sled := into[openapi.Sled](t, p.do(get("/v1/sleds/bluestem")), 200)
	assert.Equal(t, 3+rows, sled.Readings)
}

// The demo is what the importer itself takes: sent to an empty fleet, its files give the same table.
func TestDemo_IsAnUploadThatIsAccepted(t *testing.T) {
	t.Parallel()
	loaded, sent := demo(t), start(t)
	files := testdata.Demo()
	read := func(name string) []byte {
		body, err := fs.ReadFile(files, name)
		require.NoError(t, err)
		return body
	}
	var sleds []json.RawMessage
	require.NoError(t, json.Unmarshal(read("sleds.json"), &sleds))
	require.GreaterOrEqual(t, len(sleds), 5)
	for _, sled := range sleds {
		into[openapi.Sled](t, sent.do(post("/v1/sleds", []byte(sled))), 201)
	}
	into[openapi.Accepted](t, sent.do(csvPost("/v1/readings", string(read("readings.csv")))), 201)
	var aside []setAsideEntry
	require.NoError(t, json.Unmarshal(read("set-aside.json"), &aside))
	for _, entry := range aside {
		for _, r := range readingsOf(t, sent, entry.Sled) {
			if entry.names(r.Sled, fleet.Reading{Gear: r.Gear, StartFt: r.StartFt, DistanceFt: r.DistanceFt,
				MeasuredOn: r.MeasuredOn}) {
				into[openapi.Reading](t, sent.do(patch("/v1/readings/"+r.Id,
					map[string]any{"set_aside": map[string]any{"reason": entry.Reason}})), 200)
			}
		}
	}
	into[openapi.Accepted](t, sent.do(csvPost("/v1/weighings", string(read("weighings.csv")))), 201)
	var changes []map[string]any
	require.NoError(t, json.Unmarshal(read("changes.json"), &changes))
	for _, change := range changes {
		sled := change["sled"].(string)
		delete(change, "sled")
		addChangeTo(t, sent, sled, change)
	}
	var classes []json.RawMessage
	require.NoError(t, json.Unmarshal(read("classes.json"), &classes))
	for _, class := range classes {
		into[openapi.Class](t, sent.do(post("/v1/classes", []byte(class))), 201)
	}
	var shows []map[string]any
	require.NoError(t, json.Unmarshal(read("shows.json"), &shows))
	for _, fields := range shows {
		asRun, outcomes := fields["as_run"], fields["outcomes"]
		delete(fields, "as_run")
		delete(fields, "outcomes")
		if asRun == nil {
			fields["date"] = stillAhead(fields["date"].(string), time.Now())
		}
		show := into[openapi.Show](t, sent.do(post("/v1/shows", fields)), 201)
		if asRun == nil {
			continue
		}
		for class, lines := range asRun.(map[string]any) {
			for _, line := range lines.([]any) {
				into[openapi.AsRun](t, sent.do(post("/v1/shows/"+show.Id+"/classes/"+class+"/as-run", line)), 201)
			}
		}
		for class, outcome := range outcomes.(map[string]any) {
			into[openapi.Outcome](t, sent.do(put("/v1/shows/"+show.Id+"/classes/"+class+"/outcome", outcome)), 200)
		}
	}
	for _, path := range []string{
		"/v1/table?reference=bluestem", "/v1/season", "/v1/shows/" + winterPull +
			"/candidates", "/v1/sleds/brome/chart?as_of=2026-06-19",
		"/v1/sleds/fescue/driveline",
	} {
		assert.Equal(t, withoutInvented(loaded.do(get(path)).body), string(sent.do(get(path)).body), path)
	}
	for _, show := range into[openapi.ShowPage](t, loaded.do(get("/v1/shows")), 200).Items {
		csv := get("/v1/shows/" + show.Id + "/sheet.csv")
		assert.Equal(t, withoutInvented(loaded.do(csv).body), string(sent.do(csv).body), show.Id)
	}
}

var inventedWords = regexp.MustCompile(` Invented for the demo, never measured: [^.]*\.`)

// withoutInvented is an answer about the demo as it would be of sleds that were measured.
func withoutInvented(body []byte) string { return inventedWords.ReplaceAllString(string(body), "") }

// Two shows of the demo are past and keep their sheets with what was run; the third has nothing noted of it yet.
func TestDemo_HasShows(t *testing.T) {
	t.Parallel()
	p := demo(t)
	noted := map[string]int{}
	for _, show := range into[openapi.ShowPage](t, p.do(get("/v1/shows")), 200).Items {
		for _, row := range sheetOf(t, p, show.Id).Rows {
			require.NotNil(t, row.Tonight.Nearest, "%s at %s", row.Class, show.Id)
			noted[show.Id] += len(row.AsRun)
		}
		if show.Id != winterPull {
			assert.True(t, show.Over, show.Id)
			assert.NotZero(t, noted[show.Id], show.Id)
		}
	}
	assert.Len(t, noted, 3)
	assert.Zero(t, noted[winterPull])
}

func TestDemo_LeavesAFleetAlone(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	require.Equal(t, exitWell, p.stop())
	again := startOn(t, p.db, map[string]string{"EVENPULL_MANAGER_KEY": testKey, "EVENPULL_DEMO": "true"})
	assert.Len(t, into[openapi.SledPage](t, again.do(get("/v1/sleds")), 200).Items, 1)
}
