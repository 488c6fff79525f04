package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/words"
	"evenpull/openapi"
)

// csvRows is a CSV as rows of cells by the name of their column.
func csvRows(t *testing.T, p *program, path string) []map[string]string {
	t.Helper()
	return csvRowsAs(t, p, path, testKey)
}

// csvRowsAs is csvRows for the holder of a key.
func csvRowsAs(t *testing.T, p *program, path, key string) []map[string]string {
	t.Helper()
	got := p.do(get(path).as(key))
	require.Equal(t, 200, got.StatusCode, "%s", got.body)
	assert.Equal(t, "Accept-Encoding", got.Header.Get("Vary"))
	records, err := csv.NewReader(bytes.NewReader(got.body)).ReadAll()
	require.NoError(t, err)
	rows := make([]map[string]string, len(records)-1)
	for i, record := range records[1:] {
		rows[i] = map[string]string{}
		for j, cell := range record {
			rows[i][records[0][j]] = cell
		}
		require.Len(t, rows[i], len(records[0]), "a column named twice")
	}
	return rows
}

// The sheet as a spreadsheet says what the JSON says, rounded, in the units asked for. 1 ft is 0.3048 m exactly: NIST
// Special Publication 811, Appendix B.
func TestSheetCSV_IsTheSheet(t *testing.T) {
	t.Parallel()
	p := demo(t)
	for _, show := range []string{winterPull, "nonesuch-summer-show-2026-07-18"} {
		path := "/v1/shows/" + show + "/sheet"
		sheet := into[openapi.Sheet](t, p.do(get(path)), 200)
		for units, scale := range map[string]float64{"ft": 1, "m": 0.3048} {
			rows := csvRows(t, p, path+".csv?units="+units)
			require.Len(t, rows, len(sheet.Rows))
			for i, row := range sheet.Rows {
				got, n := rows[i], row.Tonight.Nearest
				require.NotNil(t, n)
				assert.Equal(t, row.Name, got["class"], "in running order")
				assert.Equal(t, []string{row.HomeSledName, valueOr(row.Home.Gear, "")},
					[]string{got["home_sled"], got["home_gear"]})
				assert.Equal(t, []string{sheet.SledName, n.Gear, string(valueOr(n.Confidence, ""))},
					[]string{got["tonight_sled"], got["gear"], got["confidence"]})
				assert.Equal(t, fmt.Sprintf("%.1f", n.TopOutFt*scale), got["top_out_"+units])
				assert.Equal(t, strings.Replace(fmt.Sprintf("%.1f", n.DifferenceFt*scale), "-0.0", "0.0", 1),
					got["difference_"+units])
				assert.Equal(t, valueOr(row.Weights, ""), got["weights_on_home_sled"])
				assert.Equal(t, strings.TrimSpace(sheet.Caution+" "+valueOr(sheet.LoadCaution, "")), got["caution"])
				if row.PullOff == nil {
					assert.Empty(t, got["pull_off_gear"])
				} else {
					assert.Equal(t, row.PullOff.Tonight.Nearest.Gear, got["pull_off_gear"])
				}
				assert.Equal(t, len(row.AsRun), strings.Count(got["as_run"], "hook "))
				if row.Outcome != nil {
					assert.Equal(t, fmt.Sprint(*row.Outcome.Hooks), got["hooks"])
					assert.Equal(t, string(*row.Outcome.Felt), got["felt"])
				}
			}
		}
	}
	rows := csvRows(t, p, "/v1/shows/nonesuch-summer-show-2026-07-18/sheet.csv")
	assert.Equal(t, "hook 1: 1 from 0 ft; pull-off, hook 10: 2 from 0 ft", rows[1]["as_run"])
}

func TestClassesCSV_IsTheClasses(t *testing.T) {
	t.Parallel()
	p := demo(t)
	classes := into[openapi.ClassPage](t, p.do(get("/v1/classes")), 200).Items
	rows := csvRows(t, p, "/v1/classes.csv")
	require.Len(t, rows, len(classes), "all of them, whatever the page")
	for i, c := range classes {
		assert.Equal(t, []string{c.Id, c.Name, valueOr(c.Setting.Sled, ""), valueOr(c.Setting.Gear, "")},
			[]string{rows[i]["class"], rows[i]["name"], rows[i]["sled"], rows[i]["gear"]})
		assert.Equal(t, fmt.Sprint(c.Setting.StartFt), rows[i]["start_ft"])
		assert.Equal(t, fmt.Sprintf("%.1f", *c.Setting.StoodForFt), rows[i]["stood_for_ft"])
		assert.Equal(t, c.PullOff != nil, rows[i]["pull_off_gear"] != "")
		assert.Equal(t, valueOr(c.Weights, ""), rows[i]["weights_on_home_sled"])
		inBox := func(s *openapi.HomeSetting) string {
			if s == nil || s.InBoxLb == nil {
				return ""
			}
			return fmt.Sprint(*s.InBoxLb)
		}
		assert.Equal(t, []string{inBox(&c.Setting), inBox(c.PullOff)},
			[]string{rows[i]["in_box_lb"], rows[i]["pull_off_in_box_lb"]})
	}
}

// looksLikeFormula says whether a spreadsheet may take a cell for a formula as it is.
func looksLikeFormula(cell string) bool {
	return strings.ContainsAny(firstOf(cell), "=+-@\t\r\n＝＋－＠")
}

// firstOf is the first character of a cell behind spaces, as a spreadsheet may look at it.
func firstOf(cell string) string {
	for _, r := range strings.TrimLeft(cell, " \u00a0") {
		return string(r)
	}
	return ""
}

// Readings that go out as a spreadsheet and come into a fleet with the same sleds, and the same changes of parts, make
// the same charts, to the last digit, and the same notebook but for what was set aside.
func TestReadingsCSV_GoesOutAndComesInAgain(t *testing.T) {
	t.Parallel()
	from, to := demo(t), start(t)
	ring := into[openapi.ChangeList](t, from.do(get("/v1/sleds/brome/changes")), 200).Items[0]
	takeBack(t, from, ring.Id) // so that Brome is listed as it was at first
	sleds := into[openapi.SledPage](t, from.do(get("/v1/sleds")), 200).Items
	total := 0
	for _, sled := range sleds {
		into[openapi.Sled](t, to.do(post("/v1/sleds", openapi.SledInput{
			Name: sled.Name, Gears: sled.Gears, TravelFt: sled.TravelFt, TakeUpFt: &sled.TakeUpFt,
			RailMarkFt: &sled.RailMarkFt,
			Driveline:  sled.Driveline,
		})), 201)
	}
	for _, sled := range sleds {
		out := from.do(get("/v1/sleds/" + sled.Id + "/readings.csv"))
		require.Equal(t, 200, out.StatusCode, "%s", out.body)
		total += into[openapi.Accepted](t, to.do(csvPost("/v1/readings", string(out.body))), 201).Accepted
	}
	for _, p := range []*program{from, to} {
		addChangeTo(t, p, "brome", finalChange(ring.MadeOn, *ring.Driveline.FinalRatio))
	}
	assert.Greater(t, total, 100)
	for _, sled := range sleds {
		want := counting(readingsOf(t, from, sled.Id))
		for i := range want { // the file says of each that it is invented
			note := strings.TrimSpace(valueOr(want[i].Note, "") +
				" Invented for the demo, never measured: " + sled.Name + ".")
			want[i].Note = &note
		}
		assert.Equal(t, want, counting(readingsOf(t, to, sled.Id)), sled.Id)
		charts := [2]openapi.Chart{}
		for i, p := range []*program{from, to} {
			charts[i] = into[openapi.Chart](t, p.do(get("/v1/sleds/"+sled.Id+"/chart")), 200)
			for j := range charts[i].Checks { // they name readings, whose ids are new
				charts[i].Checks[j].Reading = nil
			}
		}
		assert.Equal(t, charts[0], charts[1], sled.Id)
	}
	question := get("/v1/table?reference=bluestem")
	want := strings.Replace(withoutInvented(from.do(question).body), words.Standing(true), words.Standing(false), 1)
	assert.Equal(t, want, string(to.do(question).body), "weighings are in a file of their own")

	odd := map[string]any{"name": "Foxtail", "travel_ft": 30,
		"gears": []any{map[string]any{"label": "-2"}, map[string]any{"label": "'=1"},
			map[string]any{"label": "3, \"high\""}}}
	for _, p := range []*program{from, to} {
		into[openapi.Sled](t, p.do(post("/v1/sleds", odd)), 201)
	}
	for i, label := range []string{"-2", "'=1", "3, \"high\""} {
		reading := readingOf(label, 300.1+float64(i)/3)
		reading["note"], reading["by"], reading["start_ft"] = "+ damp\n=\"wet\"", "'@crew", 1.0/3
		into[openapi.Reading](t, from.do(post("/v1/sleds/foxtail/readings", reading)), 201)
	}
	out := from.do(get("/v1/sleds/foxtail/readings.csv"))
	assert.NotContains(t, string(out.body), "nvented", "it is no sled of the demo")
	into[openapi.Accepted](t, to.do(csvPost("/v1/readings", string(out.body))), 201)
	assert.Equal(t, counting(readingsOf(t, from, "foxtail")), counting(readingsOf(t, to, "foxtail")))
}

// counting are the readings that count, but for what makes each a new one.
func counting(readings []openapi.Reading) []openapi.Reading {
	var all []openapi.Reading
	for _, r := range readings {
		if r.SetAside == nil {
			r.Id, r.CreatedAt, r.Replaces, r.Batch = "", time.Time{}, nil, nil
			all = append(all, r)
		}
	}
	return all
}
