package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

// faultCodes are the codes that a problem carries, fault by fault.
func faultCodes(p openapi.Problem) []string {
	var codes []string
	for _, f := range p.Errors {
		codes = append(codes, string(valueOr(f.Code, "")))
	}
	return codes
}

// checkOf finds the check of a chart that names a reading.
func checkOf(t *testing.T, p *program, sled, reading string) openapi.Check {
	t.Helper()
	for _, k := range into[openapi.Chart](t, p.do(get("/v1/sleds/"+sled+"/chart")), 200).Checks {
		if valueOr(k.Reading, "") == reading {
			return k
		}
	}
	require.FailNow(t, "no check names the reading")
	return openapi.Check{}
}

// What is beyond belief is asked about, and stored only when somebody says so; under a foot nothing is stored.
func TestReading_BeyondBeliefIsAskedAbout(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	count := func() int { return len(readingsOf(t, p, "bluestem")) }
	before := count()
	for what, c := range map[string]struct {
		distance float64
		says     string
	}{
		"ten times too far":      {2620, "2620 ft (798.6 m)? This sled's slowest gear tops out near 280 ft (85.3 m)."},
		"with a point too early": {26.2, "26.2 ft (8 m)? This sled's fastest gear tops out near 250 ft (76.2 m)."},
		"in meters":              {79.9, "79.9 ft (24.4 m)? This sled's fastest gear tops out near 250 ft (76.2 m)."},
	} {
		got := problemOf(t, p.do(post("/v1/sleds/bluestem/readings", pullOf("B", c.distance, mayDay))), 409)
		assert.Equal(t, []string{"distance_ft"}, faultsAt(got), what)
		assert.Equal(t, []string{"unlikely"}, faultCodes(got), what)
		assert.Equal(t, []openapi.FaultCode{openapi.Unlikely}, got.Codes, what)
		assert.Equal(t, c.says, got.Errors[0].Detail, what)
	}
	for _, distance := range []float64{0.99, 5e-324} {
		got := problemOf(t, p.do(post("/v1/sleds/bluestem/readings?unlikely=keep", pullOf("B", distance, mayDay))), 422)
		assert.Equal(t, []string{"distance_ft"}, faultsAt(got), distance)
	}
	assert.Equal(t, before, count(), "nothing is stored")
	kept := into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings?unlikely=keep", pullOf("B", 2620, mayDay))),
		201)
	assert.NotNil(t, kept.ConfirmedAt, "whoever keeps it has said that it counts")
	near := into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings?unlikely=keep", pullOf("B", 263, mayDay))),
		201)
	assert.Nil(t, near.ConfirmedAt, "nothing was asked about it")
}

// A date that makes a day of its own far from all others is asked about.
func TestReading_OfALonelyDateIsAskedAbout(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	reading := readingOf("B", 262)
	reading["measured_on"] = "2015-04-18"
	got := problemOf(t, p.do(post("/v1/sleds/bluestem/readings", reading)), 409)
	assert.Equal(t, []string{"measured_on"}, faultsAt(got))
	assert.Equal(t, []string{"unlikely"}, faultCodes(got))
	assert.Contains(t, got.Errors[0].Detail, "Is the year right?")
	kept := into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings?unlikely=keep", reading)), 201)
	assert.Nil(t, kept.ConfirmedAt, "its distance was not in doubt")
	reading["measured_on"], reading["distance_ft"] = "2015-04-18", 261
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", reading)), 201)
}

// Rows that are beyond belief are named by their rows, by the column that was sent; nothing is stored until somebody
// answers.
func TestUpload_NamesUnlikelyRows(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	sheet := "sled,gear,distance_m,measured_on\nbluestem,B,79.5,2026-05-02\nbluestem,B,262,2026-05-02\n" +
		"bluestem,A,85,2026-05-02\n"
	before := readingsOf(t, p, "bluestem")
	for _, query := range []string{"", "?dry_run=true"} {
		got := problemOf(t, p.do(csvPost("/v1/readings"+query, sheet)), 409)
		assert.Equal(t, []string{"distance_m"}, faultsAt(got))
		assert.Equal(t, 3, *got.Errors[0].Row)
		assert.Equal(t, query != "", got.Upload != nil, "a dry run says how the file is understood")
	}
	assert.Equal(t, before, readingsOf(t, p, "bluestem"))
	stored := into[openapi.Accepted](t, p.do(csvPost("/v1/readings?unlikely=keep", sheet)), 201)
	assert.Equal(t, 3, stored.Accepted)
	confirmed := 0
	for _, r := range readingsOf(t, p, "bluestem") {
		if r.ConfirmedAt != nil {
			confirmed++
		}
	}
	assert.Equal(t, 1, confirmed, "the one that was asked about")
}

// A file that is sent again stores nothing twice unless somebody says so. Both codes of one request are told at once.
func TestUpload_RepeatedIsAskedAbout(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	row := "bluestem,B,0,263,2026-05-02\n"
	first := into[openapi.Accepted](t, p.do(csvPost("/v1/readings", heading+row+row)), 201)
	assert.Equal(t, 2, first.Accepted, "two alike in one file are two pulls")
	more := heading + row + row + row + "bluestem,B,0,2620,2026-05-02\n"
	got := problemOf(t, p.do(csvPost("/v1/readings", more)), 409)
	assert.Equal(t, []string{"repeated", "repeated", "unlikely"}, faultCodes(got))
	assert.ElementsMatch(t, []openapi.FaultCode{openapi.Repeated, openapi.Unlikely}, got.Codes)
	assert.Contains(t, got.Errors[0].Detail, "is stored already")

	again := heading + row + row + row
	skipped := into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=skip", again)), 201)
	assert.Equal(t, []int{1, 2}, []int{skipped.Accepted, *skipped.Skipped}, "three are in the file and two were stored")
	none := into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=skip", again)), 201)
	assert.Equal(t, []int{0, 3}, []int{none.Accepted, *none.Skipped})
	assert.Nil(t, none.Batch)
	kept := into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=keep", again)), 201)
	assert.Equal(t, 3, kept.Accepted)
	checked := into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=skip&dry_run=true", again)), 200)
	assert.Equal(t, []int{0, 3}, []int{checked.Accepted, *checked.Skipped})
	into[openapi.Accepted](t, p.do(post("/v1/readings",
		`[{"sled":"bluestem","gear":"B","distance_ft":263,"measured_on":"2026-05-02"}]`)), 201)
}

// An import is taken back as one, with one entry in the history, and can come again.
func TestBatch_IsTakenBackAsOne(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	chart := func() string { return string(p.do(get("/v1/sleds/bluestem/chart")).body) }
	before := chart()
	sheet := heading + "bluestem,B,0,270,2026-05-02\nbluestem,A,0,288,2026-05-02\nfescue,1,0,272,2026-05-02\n"
	batch := *into[openapi.Accepted](t, p.do(csvPost("/v1/readings", sheet)), 201).Batch
	assert.NotEqual(t, before, chart())
	found := into[openapi.Batch](t, p.do(get("/v1/batches/"+batch)), 200)
	assert.Equal(t, openapi.Batch{Id: batch, Sleds: []string{"bluestem", "fescue"}, Readings: 3}, found)

	entries := func() []openapi.HistoryEntry {
		return into[openapi.HistoryPage](t, p.do(get("/v1/history").as(testKey)), 200).Items
	}
	n := len(entries())
	aside := into[openapi.Batch](t, p.do(patch("/v1/batches/"+batch, `{"set_aside":{"reason":"the wrong file"}}`)), 200)
	assert.Equal(t, 3, aside.SetAside)
	assert.Equal(t, before, chart())
	require.Len(t, entries(), n+1)
	for _, r := range readingsOf(t, p, "fescue") {
		if valueOr(r.Batch, "") == batch {
			assert.Equal(t, "the wrong file", r.SetAside.Reason)
			assert.True(t, *r.SetAside.WithBatch)
		}
	}
	// what was taken back is not repeated
	into[openapi.Accepted](t, p.do(csvPost("/v1/readings?dry_run=true", sheet)), 200)
	back := into[openapi.Batch](t, p.do(patch("/v1/batches/"+batch, `{"set_aside":null}`)), 200)
	assert.Zero(t, back.SetAside)
	assert.NotEqual(t, before, chart())
	problemOf(t, p.do(get("/v1/batches/none")), 404)
}

// One mistyped reading says what it may be, counts nowhere until somebody answers, and leaves every other answer as it
// was.
func TestCheck_NamesTheMendAndSpoilsNothing(t *testing.T) {
	t.Parallel()
	for what, c := range map[string]struct {
		gear     string
		distance float64
		kind     openapi.MendKind
		mended   float64
		says     string
	}{
		"swapped digits":       {"A", 208, openapi.SwappedDigits, 280, "swapped digits would give 280\u00a0ft"},
		"another gear's label": {"A", 250.5, openapi.AnotherGear, 250.5, "it fits gear C"},
	} {
		p := measuredFleet(t)
		answers := func() openapi.Answer { return nearestOn(t, p, "sled=bluestem&gear=A&on=fescue") }
		before := answers()
		reading := readingOf(c.gear, c.distance)
		reading["measured_on"] = "2026-04-25"
		wrong := into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", reading)), 201)
		k := checkOf(t, p, "bluestem", wrong.Id)
		require.NotNil(t, k.Mend, "%s: %v", what, k)
		assert.False(t, *k.Counts, what)
		assert.Equal(t, c.kind, k.Mend.Kind, what)
		assert.Equal(t, c.mended, k.Mend.DistanceFt, what)
		assert.Equal(t, c.says, k.Mend.Detail, what)
		assert.Contains(t, k.Detail, c.says, "the same words in the list")
		assert.InDelta(t, before.Nearest.DifferenceFt, answers().Nearest.DifferenceFt, 0.2, what)
		drawn := string(p.do(get("/v1/sleds/bluestem/chart.svg")).body)
		assert.Contains(t, drawn, "does not count yet", what)

		used := into[openapi.Reading](t, p.do(patch("/v1/readings/"+wrong.Id, `{"confirmed":true}`)), 200)
		assert.NotNil(t, used.ConfirmedAt, what)
		k = checkOf(t, p, "bluestem", wrong.Id)
		assert.Equal(t, "reading-confirmed", k.Code, "a gear that uses one says so")
		assert.True(t, *k.Counts)
		assert.NotContains(t, string(p.do(get("/v1/sleds/bluestem/chart.svg")).body), "does not count yet", what)
		no := into[openapi.Reading](t, p.do(patch("/v1/readings/"+wrong.Id, `{"confirmed":false}`)), 200)
		assert.Nil(t, no.ConfirmedAt)
		gone := into[openapi.Reading](t,
			p.do(patch("/v1/readings/"+wrong.Id, `{"set_aside":{"reason":"misread"},"confirmed":false}`)), 200)
		assert.Equal(t, "misread", gone.SetAside.Reason)
		assert.InDelta(t, before.Nearest.DifferenceFt, answers().Nearest.DifferenceFt, 1e-9, what)
	}
}

// Repeatability says what everything measured, what is left without what the notebooks contradict, and how many that
// leaves out.
func TestChart_SaysWhatTheRepeatabilityLeavesOut(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	of := func() openapi.Repeatability {
		return into[openapi.Chart](t, p.do(get("/v1/sleds/bluestem/chart")), 200).Repeatability
	}
	before := of()
	require.NotNil(t, before.Pooled)
	assert.Zero(t, before.Pooled.LeftOut)
	assert.Equal(t, before.Measured.DayPct, before.Pooled.DayPct)
	reading := readingOf("A", 208)
	reading["measured_on"] = "2026-04-25"
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", reading)), 201)
	after := of()
	assert.Equal(t, 1, after.Pooled.LeftOut)
	assert.Greater(t, after.Measured.ReadingPct, 5*before.Measured.ReadingPct, "everything nobody set aside")
	assert.InDelta(t, before.Pooled.ReadingPct, after.Pooled.ReadingPct, 0.05)
	assert.InDelta(t, before.Used.ReadingPct, after.Used.ReadingPct, 0.05, "one mistake spoils nothing")
}

// No sentence ever says Inf or nothing at all, whatever was kept.
func TestReading_KeptThoughAbsurdBreaksNoSentence(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	for i, distance := range []float64{20_000, 1, 19_999} {
		reading := readingOf("B", distance)
		reading["measured_on"] = fmt.Sprintf("2026-05-%02d", i+1)
		into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings?unlikely=keep", reading)), 201)
	}
	for _, path := range []string{"/v1/sleds/bluestem/chart", "/v1/equivalents?sled=bluestem&gear=B",
		"/v1/table?reference=bluestem"} {
		got := p.do(get(path))
		require.Equal(t, 200, got.StatusCode)
		for _, odd := range []string{"Inf", "NaN", "\"0\u00a0ft", " 0\u00a0ft"} {
			assert.False(t, strings.Contains(string(got.body), odd), "%s says %s", path, odd)
		}
	}
}
