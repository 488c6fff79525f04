package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/openapi"
	"evenpull/testdata"
)

// rowsAt lists the faults of a problem as "row at".
func rowsAt(p openapi.Problem) []string {
	var all []string
	for _, f := range or(p.Errors, nil) {
		all = append(all, strings.TrimSpace(fmt.Sprintf("%d %s", or(f.Row, 0), f.At)))
	}
	return all
}

func readingsOf(t *testing.T, p *program, sled string) []openapi.Reading {
	t.Helper()
	return into[openapi.ReadingPage](t, p.do(get("/v1/sleds/"+sled+"/readings?limit=500")), 200).Items
}

func TestEveryBadRowOfASheetIsNamedAndNothingIsStored(t *testing.T) {
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
	assert.Equal(t, []string{"3 gear", "5 distance_ft", "6 sled", "8 start_ft", "8 measured_on", "9", "10 start_ft"}, rowsAt(got))
	assert.Equal(t, before, everything(t, p))
}

// A list in JSON names its rows from 1, what the contract finds and what the sled says together.
func TestEveryBadRowOfABatchIsNamedAndNothingIsStored(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	before := everything(t, p)
	batch := `[
		{"sled":"bluestem","gear":"B","distance_ft":262,"measured_on":"2025-05-10"},
		{"sled":"bluestem","gear":"Z","distance_ft":262,"measured_on":"2025-05-10","colour":"red"},
		{"sled":"bluestem","gear":"B","distance_ft":"262","measured_on":"2025-05-10","gear":"B"},
		"a reading",
		{"sled":"brome","gear":"B","distance_ft":262,"measured_on":"2025-05-10"}]`
	got := problemOf(t, p.do(post("/v1/readings", batch)), 422)
	assert.ElementsMatch(t, []string{"3 gear"}, rowsAt(got), "a field given twice comes before the rest")
	batch = strings.Replace(batch, `,"gear":"B"}`, "}", 1)
	got = problemOf(t, p.do(post("/v1/readings", batch)), 422)
	assert.Equal(t, []string{"2 colour", "2 gear", "3 distance_ft", "4", "5 sled"}, rowsAt(got))
	assert.Equal(t, before, everything(t, p))
}

func TestAThousandFaultsAreListedAndTheRestCounted(t *testing.T) {
	t.Parallel()
	p := start(t)
	got := problemOf(t, p.do(csvPost("/v1/readings", heading+strings.Repeat("brome,B,0,262,2025-05-10\n", 1500))), 422)
	assert.Len(t, *got.Errors, 1000)
	assert.Equal(t, 1500, *got.FaultsTotal)
	assert.Equal(t, 1001, *(*got.Errors)[999].Row)
}

func TestADryRunStoresNothing(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	before := everything(t, p)
	sheet := heading + "bluestem,B,0,262,2025-05-10\nbluestem,C,4,222,2025-05-10\n"
	for range 2 { // also under the same key: nothing is kept of a dry run
		checked := p.do(csvPost("/v1/readings?dry_run=true", sheet).with("Idempotency-Key", "one"))
		assert.Equal(t, 2, into[openapi.Accepted](t, checked, 200).Accepted)
	}
	assert.Equal(t, before, everything(t, p))
	stored := p.do(csvPost("/v1/readings", sheet).with("Idempotency-Key", "one"))
	assert.Equal(t, 2, into[openapi.Accepted](t, stored, 201).Accepted)
	assert.Len(t, readingsOf(t, p, "bluestem"), 5)
}

// The same pulls noted in feet as JSON, in feet as CSV and in metres as CSV, columns in another order, are the same
// readings. 1 ft is 0.3048 m exactly: NIST Special Publication 811, Appendix B.
func TestFeetAndMetresAndJSONAreTheSameReadings(t *testing.T) {
	t.Parallel()
	sent := map[string]request{
		"JSON": post("/v1/readings", `[
			{"sled":"bluestem","gear":"B","start_ft":2.5,"distance_ft":250,"measured_on":"2025-06-01","note":"a, \"b\""},
			{"sled":"bluestem","gear":"C","distance_ft":100,"ended":"stopped-short","end_ft":12.5,"measured_on":"2025-06-01"},
			{"sled":"fescue","gear":"1","distance_ft":260,"ended":"stated","plus_minus_ft":10,"by":"its owner","measured_on":"2025-06-01"}]`),
		"feet": csvPost("/v1/readings", "sled,gear,start_ft,distance_ft,ended,end_ft,plus_minus_ft,measured_on,by,note\n"+
			"bluestem,B,2.5,250,,,,2025-06-01,,\"a, \"\"b\"\"\"\n"+
			"bluestem,C,,100,stopped-short,12.5,,2025-06-01,,\n"+
			"fescue,1,,260,stated,,10,2025-06-01,its owner,\n"),
		"metres": csvPost("/v1/readings", "note,by,measured_on,plus_minus_m,end_m,ended,distance_m,start_m,gear,sled\r\n"+
			"\"a, \"\"b\"\"\",,2025-06-01,,,,76.2,0.762,B,bluestem\r\n"+
			",,2025-06-01,,3.81,stopped-short,30.48,,C,bluestem\r\n"+
			",its owner,2025-06-01,3.048,,stated,79.248,,1,fescue\r\n"),
	}
	sent["metres"].header.Set("Content-Type", "text/csv; charset=UTF-8")
	var want []openapi.Reading
	for _, how := range []string{"JSON", "feet", "metres"} {
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

// assertHasReading looks for a reading that is the same but for its id, and for the last bits that metres cost.
func assertHasReading(t *testing.T, among []openapi.Reading, want openapi.Reading, how string) {
	t.Helper()
	for _, r := range among {
		if r.Gear != want.Gear || r.Sled != want.Sled {
			continue
		}
		assert.InDelta(t, want.DistanceFt, r.DistanceFt, 1e-9, how)
		assert.InDelta(t, want.StartFt, r.StartFt, 1e-9, how)
		assert.InDelta(t, or(want.EndFt, 0), or(r.EndFt, 0), 1e-9, how)
		assert.InDelta(t, or(want.PlusMinusFt, 0), or(r.PlusMinusFt, 0), 1e-9, how)
		assert.Equal(t, want.Note, r.Note, how)
		assert.Equal(t, want.By, r.By, how)
		assert.Equal(t, want.Ended, r.Ended, how)
		return
	}
	assert.Fail(t, "no such reading", "%s: %s %s", how, want.Sled, want.Gear)
}

// Faults are named by the columns that were sent.
func TestFaultsOfASheetInMetresAreNamedInMetres(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	got := problemOf(t, p.do(csvPost("/v1/readings", "sled,gear,start_m,distance_m,measured_on\nbluestem,B,11,0,2025-05-10\nbluestem,B,0,12;5,2025-05-10\n")), 422)
	assert.Equal(t, []string{"2 distance_m", "2 start_m", "3 distance_m"}, rowsAt(got))
}

// A large import, beyond what is held in memory, all of it or nothing.
func TestALargeImport(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	var b strings.Builder
	b.WriteString("sled,gear,start_ft,distance_ft,measured_on,note\n")
	const rows = 8000
	for i := range rows {
		fmt.Fprintf(&b, "bluestem,B,0,%d.5,2025-05-%02d,%s\n", 200+i%90, 1+i%28, strings.Repeat("n", 150))
	}
	require.Greater(t, b.Len(), spoolInMemory)
	first := p.do(csvPost("/v1/readings", b.String()).with("Idempotency-Key", "large"))
	assert.Equal(t, rows, into[openapi.Accepted](t, first, 201).Accepted)
	again := p.do(csvPost("/v1/readings", b.String()).with("Idempotency-Key", "large"))
	assert.Equal(t, rows, into[openapi.Accepted](t, again, 201).Accepted)
	sled := into[openapi.Sled](t, p.do(get("/v1/sleds/bluestem")), 200)
	assert.Equal(t, 3+rows, sled.Readings)
}

// The demo is what the importer itself takes: sent to an empty fleet, its files give the same table.
func TestTheDemoIsWhatTheImporterTakes(t *testing.T) {
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
			if entry.names(r.Sled, fleet.Reading{Gear: r.Gear, StartFt: r.StartFt, DistanceFt: r.DistanceFt, MeasuredOn: r.MeasuredOn}) {
				into[openapi.Reading](t, sent.do(patch("/v1/readings/"+r.Id, map[string]any{"set_aside": map[string]any{"reason": entry.Reason}})), 200)
			}
		}
	}
	question := get("/v1/table?reference=bluestem")
	assert.Equal(t, string(loaded.do(question).body), string(sent.do(question).body))
}

func TestTheDemoLeavesAFleetAlone(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	require.Equal(t, exitWell, p.stop())
	again := startOn(t, p.db, map[string]string{"EVENPULL_MANAGER_KEY": testKey, "EVENPULL_DEMO": "true"})
	assert.Len(t, into[openapi.SledPage](t, again.do(get("/v1/sleds")), 200).Items, 1)
}
