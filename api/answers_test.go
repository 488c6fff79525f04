package main

import (
	"bytes"
	"compress/gzip"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// reads is one request for every GET of the contract that has an ETag.
func reads(t *testing.T, p *program) []request {
	return []request{
		get("/openapi.yaml"), get("/v1/sleds"), get("/v1/sleds/bluestem"), get("/v1/sleds/bluestem/readings"),
		get("/v1/readings/" + firstReading(t, p,
			"bluestem")), get("/v1/sleds/bluestem/chart"), get("/v1/sleds/bluestem/chart.svg"),
		get("/v1/equivalents?sled=bluestem&gear=B"), get("/v1/equivalents.svg?sled=bluestem&gear=B&on=fescue"),
		get("/v1/table?reference=bluestem"), get("/v1/table.csv?reference=bluestem"),
		get("/v1/sleds/bluestem/readings.csv"), get("/v1/sleds/bluestem/advice"),
		get("/v1/classes"), get("/v1/classes.csv"), get("/v1/classes/farm-9500-lb"), get("/v1/shows"),
		get("/v1/shows/" + winterPull), get("/v1/shows/" + winterPull + "/sheet"), get("/v1/shows/" + winterPull +
			"/sheet?sled=timothy"),
		get("/v1/shows/" + winterPull + "/sheet.csv"), get("/v1/shows/" + winterPull + "/candidates"),
		get("/v1/shows/" + winterPull + "/qr.svg"), get("/v1/season"), get("/v1/sleds/brome/chart?as_of=2026-06-19"),
		get("/v1/sleds/brome/chart.svg?as_of=2026-06-19&theme=dark"), get("/v1/fleet/ladders.svg?reference=timothy"),
		get("/v1/sleds/fescue/driveline"), get("/v1/sleds/brome/changes"), get("/v1/sleds/bluestem/days"),
		get("/v1/sleds/bluestem/days.svg"),
		get("/v1/sleds/fescue/cutoff?ground_speed_mph=15&release_s=0.2"),
		get("/v1/part-options?sled=timothy&reference=bluestem&final_ratio=5.57"),
		get("/v1/fleet/how-alike?reference=bluestem"), get("/v1/fleet/ladders"), get("/v1/fleet/ladders.svg"),
		get("/openapi.json"),
		get("/v1/batches/" + someBatch(t, p)),
		get("/v1/sleds/bluestem/inspection-list").as(p.key), get("/v1/sleds/bluestem/inspections").as(p.key),
		get("/v1/sleds/bluestem/inspections.csv").as(p.key), get("/v1/sleds/bluestem/due").as(p.key),
		get("/v1/sleds/bluestem/weighings"), get("/v1/sleds/bluestem/weighings.csv"),
		get("/v1/weighings/" + into[openapi.WeighingPage](t, p.do(get("/v1/sleds/bluestem/weighings")),
			200).Items[0].Id),
		get("/v1/sleds/bluestem/pan-load?in_box_lb=12000"),
		get("/v1/sleds/bluestem/pan-load.svg?in_box_lb=12000&gear=C"),
		get("/v1/weights?sled=bluestem&gear=C&in_box_lb=12000&on=fescue"),
		get("/v1/weights.svg?sled=bluestem&gear=C&in_box_lb=12000&on=fescue&theme=dark"),
		get("/v1/keys").as(p.key), get("/v1/history").as(p.key), get("/v1/history?sled=brome").as(p.key),
		get("/v1/demo"),
	}
}

// someBatch is the id of readings that came with one request.
func someBatch(t *testing.T, p *program) string {
	t.Helper()
	sheet := heading + "bluestem,B,0,274.5,2026-09-13\n"
	return *into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=keep", sheet)), 201).Batch
}

// winterPull is the coming show of the demo.
var winterPull = "winter-pull-" + stillAhead("2026-12-12", time.Now())

// The list above is whole: every GET of the contract that has an ETag is in it.
func TestReads_AreAllThereAre(t *testing.T) {
	t.Parallel()
	doc := theContract(t)
	var described, listed []string
	for path, item := range doc.Paths.Map() {
		if op := item.Get; op != nil && op.Responses.Status(http.StatusNotModified) != nil {
			described = append(described, path)
		}
	}
	router, err := contractRouter()
	require.NoError(t, err)
	for _, r := range reads(t, demo(t)) {
		sent, err := http.NewRequest(http.MethodGet, r.path, nil)
		require.NoError(t, err)
		route, _, err := router.FindRoute(sent)
		require.NoError(t, err, r.path)
		if !slices.Contains(listed, route.Path) {
			listed = append(listed, route.Path)
		}
	}
	assert.ElementsMatch(t, described, listed)
}

func TestReads_AreNotSentAgainWhileTheETagHolds(t *testing.T) {
	t.Parallel()
	p := demo(t)
	for _, r := range reads(t, p) {
		first := p.do(r)
		require.Equal(t, 200, first.StatusCode, "%s: %s", r.path, first.body)
		etag := first.Header.Get("ETag")
		require.NotEmpty(t, etag, r.path)
		for _, held := range []string{etag, `"other", ` + etag, "W/" + strings.TrimPrefix(etag, "W/"), "*"} {
			again := p.do(r.with("If-None-Match", held))
			assert.Equal(t, 304, again.StatusCode, "%s with %s", r.path, held)
			assert.Equal(t, etag, again.Header.Get("ETag"))
			assert.Empty(t, again.body)
		}
		for _, held := range []string{`"other"`, "", "nonsense", `"open`} {
			assert.Equal(t, 200, p.do(r.with("If-None-Match", held)).StatusCode, "%s with %q", r.path, held)
		}
	}
}

func TestReads_ByHeadAreGetWithoutItsBody(t *testing.T) {
	t.Parallel()
	p := demo(t)
	for _, r := range append(reads(t, p), get("/healthz"), get("/readyz"), get("/"), get("/v1/sleds/nothing"),
		get("/nothing")) {
		whole := p.do(r)
		r.method = http.MethodHead
		head := p.do(r)
		assert.Equal(t, whole.StatusCode, head.StatusCode, r.path)
		assert.Empty(t, head.body, r.path)
		for _, name := range []string{"ETag", "Content-Type", "Content-Length", "Vary", "Content-Security-Policy"} {
			assert.Equal(t, whole.Header.Get(name), head.Header.Get(name), "%s of %s", name, r.path)
		}
	}
}

func TestReads_AreSentCompressedToWhoTakesIt(t *testing.T) {
	t.Parallel()
	p := demo(t)
	for _, r := range append(reads(t, p), get("/"), get("/fleet")) {
		plain, zipped := p.do(r), p.do(r.with("Accept-Encoding", "br, gzip;q=0.5"))
		assert.Empty(t, plain.Header.Get("Content-Encoding"), r.path)
		assert.Empty(t, p.do(r.with("Accept-Encoding", "gzip;q=0")).Header.Get("Content-Encoding"), r.path)
		assert.Contains(t, plain.Header.Get("Vary"), "Accept-Encoding", r.path)
		if len(plain.body) < 1024 || strings.HasPrefix(plain.Header.Get("ETag"), `"`) {
			assert.Empty(t, zipped.Header.Get("Content-Encoding"), r.path)
			continue
		}
		require.Equal(t, "gzip", zipped.Header.Get("Content-Encoding"), r.path)
		assert.Less(t, len(zipped.body), len(plain.body), r.path)
		unzip, err := gzip.NewReader(bytes.NewReader(zipped.body))
		require.NoError(t, err)
		body, err := io.ReadAll(unzip)
		require.NoError(t, err)
		assert.Equal(t, string(plain.body), string(body), r.path)
		assert.Equal(t, plain.Header.Get("ETag"), zipped.Header.Get("ETag"), r.path)
	}
}

// A spreadsheet has an address of its own, so that no header decides what comes back: caches and links need only the
// address.
func TestSpreadsheet_ComesByItsAddressWhateverIsAccepted(t *testing.T) {
	t.Parallel()
	p := demo(t)
	for _, path := range []string{
		"/v1/table%s?reference=bluestem", "/v1/sleds/bluestem/readings%s", "/v1/classes%s", "/v1/shows/" + winterPull +
			"/sheet%s",
	} {
		for _, accept := range []string{"", "*/*", "text/csv", "application/json", "image/png",
			"text/csv;q=0, application/json;q=0", ";;"} {
			etags := map[string]bool{}
			for suffix, want := range map[string]string{"": reply.TypeJSON, ".csv": reply.TypeCSV} {
				got := p.do(get(fmt.Sprintf(path, suffix)).with("Accept", accept))
				require.Equal(t, 200, got.StatusCode, "%s: %s", path, got.body)
				assert.Equal(t, want, mediaTypeOf(got.Header.Get("Content-Type")), "%s with %q", path, accept)
				assert.Equal(t, "Accept-Encoding", got.Header.Get("Vary"), path)
				etags[got.Header.Get("ETag")] = true
			}
			assert.Len(t, etags, 2, path)
		}
	}
}

// The spreadsheet says what the JSON says, rounded to 0.1 in the units asked for.
func TestTableCSV_IsTheTableRounded(t *testing.T) {
	t.Parallel()
	p := demo(t)
	table := into[openapi.Table](t, p.do(get("/v1/table?reference=bluestem")), 200)
	for _, units := range []string{"ft", "m"} {
		got := p.do(get("/v1/table.csv?reference=bluestem&units=" + units))
		rows, err := csv.NewReader(bytes.NewReader(got.body)).ReadAll()
		require.NoError(t, err)
		require.Len(t, rows, 1+len(table.Rows))
		column := map[string]int{}
		for i, name := range rows[0] {
			column[name] = i
		}
		scale := map[string]float64{"ft": 1, "m": 0.3048}[units] // NIST SP 811, Appendix B
		for i, row := range table.Rows {
			assert.Equal(t, row.Gear, rows[i+1][column["gear"]])
			assert.Equal(t, fmt.Sprintf("%.1f", *row.TopOutFt*scale), rows[i+1][column["top_out_"+units]])
			assert.Equal(t, table.Caution, rows[i+1][column["caution"]])
			assert.Contains(t, table.Caution, words.Standing(true)+" Invented for the demo, never measured: Bluestem, ")
			for _, sled := range table.Sleds {
				cell, known := row.On[sled]
				if !known {
					assert.Equal(t, "not known", rows[i+1][column[sled+" remarks"]])
					continue
				}
				assert.Equal(t, cell.Gear, rows[i+1][column[sled+" gear"]])
				assert.Equal(t, string(cell.Confidence), rows[i+1][column[sled+" confidence"]])
				assert.Equal(t, strings.Replace(fmt.Sprintf("%.1f", cell.DifferenceFt*scale), "-0.0", "0.0", 1),
					rows[i+1][column[sled+" difference_"+units]])
				assert.Equal(t, fmt.Sprintf("%.1f", cell.PlusMinusTonightFt*scale),
					rows[i+1][column[sled+" plus_minus_tonight_"+units]])
			}
		}
	}
}

func TestTableCSV_HasNoLabelThatIsTakenForAFormula(t *testing.T) {
	t.Parallel()
	a := calibrate.Estimate{TopOutFt: 280, LowFt: 279, HighFt: 281, Basis: fleet.Measured}
	nearest := match.Nearest{Candidate: match.Candidate{Gear: "@SUM(1)", Estimate: a,
		Difference: match.Difference{DifferenceFt: -0.01}}, Confidence: match.Clear}
	rows := tableRows(book.Table{
		Sleds: []fleet.Sled{{ID: "fescue"}},
		Rows: []book.TableRow{
			{Asked: match.Asked{Gear: "=1+1", Estimate: a}, On: map[string]match.Answer{"fescue": {Nearest: &nearest}}},
			{Asked: match.Asked{Gear: "-2"}}, {Asked: match.Asked{Gear: "+3"}}, {Asked: match.Asked{Gear: "4-"}},
		},
	}, fleet.InFeet)
	assert.Equal(t, []string{"'=1+1", "280.0", "279.0", "281.0", "measured", "'@SUM(1)", "0.0", "0.0", "clear",
		"measured"}, rows[1][:10])
	assert.Equal(t, []string{"'-2", "", "", "", "not known", "", "", "", "", "not known"}, rows[2][:10])
	assert.Equal(t, "'+3", rows[3][0])
	assert.Equal(t, "4-", rows[4][0])
}

// A kept answer is the answer that is worked out, and never older than the last write that was acknowledged.
func TestCache_GivesNoAnswerOlderThanTheLastWrite(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	questions := []request{
		get("/v1/sleds/bluestem/chart"), get("/v1/sleds/bluestem/chart.svg"),
		get("/v1/equivalents?sled=bluestem&gear=B&on=fescue"),
		get("/v1/equivalents.svg?sled=bluestem&gear=B&on=fescue"), get("/v1/table?reference=bluestem"),
		get("/v1/table.csv?reference=bluestem"),
	}
	seen := make([]map[string]bool, len(questions))
	for i := range seen {
		seen[i] = map[string]bool{}
	}
	for round := range 6 {
		for i, q := range questions {
			first, kept := p.do(q), p.do(q)
			assert.Equal(t, string(first.body), string(kept.body))
			assert.False(t, seen[i][string(first.body)], "%s: an answer from before the last write", q.path)
			seen[i][string(first.body)] = true
		}
		into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 260-2*float64(round)))), 201)
	}
}

// The same while many write and read at once: whoever's write was acknowledged finds its reading in the chart.
func TestCache_ShowsAWriteAtOnce(t *testing.T) {
	t.Parallel()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			for j := range 5 {
				start := float64(1 + 5*i + j)
				reading := readingOf("A", 280*(1-start/2/34.5))
				reading["start_ft"] = start / 2
				if got := p.do(post("/v1/sleds/bluestem/readings", reading)); got.StatusCode != 201 {
					t.Errorf("%s", got.body)
					return
				}
				var chart openapi.Chart
				if err := json.Unmarshal(p.do(get("/v1/sleds/bluestem/chart")).body, &chart); err != nil {
					t.Error(err)
					return
				}
				seen := false
				for _, at := range chart.Gears[0].TopOuts {
					seen = seen || at.StartFt == start/2
				}
				assert.True(t, seen, "the reading at %g ft is not in the chart", start/2)
			}
		})
	}
	all.Wait()
}
