package main

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/api/internal/reply"
	"evenpull/openapi"
)

// nasty are names that somebody may give a sled in the hope that another program takes them for more than a name.
var nasty = []string{
	`<img src=x onerror=alert(1)>`, `"><script>alert(1)</script>`, `</text></svg><script>`, `&lt;b&gt;&#x3c;`,
	`]]><!--x`, `{{1+1}}${2}`,
	`=HYPERLINK("http://x.example","x")`, `+1`, `-1`, `@SUM(A1)`, "\tx=1", "\rx", "\n=1", "＝1+1", ` =1`, `'=1`, `";=1`,
	"\u202egpj.exe", "\u2066x\u2069", "x\u200b\ufeff", "%0d%0aSet-Cookie: x=1", `\u003cb\u003e`, `x' OR '1'='1`,
}

// fleetOf is a fleet in which every field that takes text holds the same, cut to what fits.
type fleetOf struct {
	t                  *testing.T
	p                  *program
	sleds              [2]string
	labels             []string
	class, show, noted string
}

// cut is as much of text as a field holds. Only notes hold what breaks a line or cannot be seen: elsewhere that is
// refused, which is tested where the rules are.
func cut(text string, most int) string {
	runes := []rune(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
			return ' '
		}
		return r
	}, text))
	return strings.TrimSpace(string(runes[:min(len(runes), most)]))
}

// makeFleetOf adds the fleet, as the holder of a key of that name.
func makeFleetOf(t *testing.T, p *program, text string) fleetOf {
	t.Helper()
	name, note := cut(text, 90), text+"\nand "+text
	key := addKey(t, p, name, openapi.Manager).Key
	made := func(r request) map[string]any { return into[map[string]any](t, p.do(r.as(key)), 201) }
	f := fleetOf{t: t, p: p, labels: []string{cut(text, 18) + "1", cut(text, 18) + "2"}}
	for i := range f.sleds {
		sled := made(post("/v1/sleds", map[string]any{
			"name": fmt.Sprint(name, i), "owner": name, "notes": note, "travel_ft": 34, "gears": []any{
				map[string]any{"label": f.labels[0], "ratio": 1.31,
					"range": cut(text, 19)}, map[string]any{"label": f.labels[1], "ratio": 1.2, "range": cut(text, 19)},
			},
			"driveline": map[string]any{"final_ratio": 5.29, "box_ft_per_turn": 2, "tire_circumference_ft": 10.2,
				"axle_ratios": map[string]any{cut(text, 19): 4.88}},
		}))
		f.sleds[i] = sled["id"].(string)
		at := "/v1/sleds/" + url.PathEscape(f.sleds[i])
		for j, label := range f.labels {
			for day := range 4 {
				reading := readingOf(label, 280-float64(18*j+3*day))
				reading["measured_on"], reading["day"] = fmt.Sprintf("2025-05-%02d", 10+day), cut(text,
					58)+fmt.Sprint(day)
				for _, field := range []string{"place", "by", "marked_by", "taken_with", "surface", "weights"} {
					reading[field] = name
				}
				reading["note"] = note
				if day == 3 {
					reading["ended"], reading["plus_minus_ft"] = "stated", 8
				}
				f.noted = made(post(at+"/readings", reading))["id"].(string)
			}
		}
		made(post(at+"/changes", map[string]any{"made_on": "2025-05-12", "what": name, "effect": "by-ratio",
			"driveline": map[string]any{"final_ratio": 5.5}}))
	}
	items := map[string]any{"items": []any{map[string]any{"what": name, "every_shows": 1}}}
	list := into[openapi.InspectionList](t, p.do(put("/v1/sleds/"+url.PathEscape(f.sleds[0])+"/inspection-list",
		items).with("If-Match", "*").as(key)), 200)
	looked := signedOn("2026-05-09", list.Items[0].Id, false)
	looked["by"] = name
	looked["items"].([]any)[0].(map[string]any)["note"] = note[:min(len(note), 400)]
	looked["items"].([]any)[0].(map[string]any)["done"] = name
	made(post("/v1/sleds/"+url.PathEscape(f.sleds[0])+"/inspections", looked))
	aside := patch("/v1/readings/"+f.noted, map[string]any{"set_aside": map[string]any{"reason": name}}).as(key)
	require.Equal(t, 200, p.do(aside).StatusCode)
	class := classOn(name, f.sleds[0], f.labels[0])
	class["used_by"], class["weights"], class["notes"] = name, name, note
	class["pull_off"] = map[string]any{"sled": f.sleds[0], "gear": f.labels[1]}
	f.class = made(post("/v1/classes", class))["id"].(string)
	show := showOn(name, "2099-07-18", f.sleds[1], f.class)
	show["place"], show["promoter"], show["notes"] = name, name, note
	f.show = made(post("/v1/shows", show))["id"].(string)
	as := "/v1/shows/" + url.PathEscape(f.show) + "/classes/" + url.PathEscape(f.class)
	made(post(as+"/as-run", map[string]any{"from_hook": 1, "gear": f.labels[0], "weights": name, "note": name}))
	require.Equal(t, 200, p.do(put(as+"/outcome",
		map[string]any{"hooks": 3, "felt": "hard", "note": name}).as(key)).StatusCode)
	return f
}

// questions are all that shows the fleet, by the type of the answer.
func (f fleetOf) questions() (json, drawn, sheets []string) {
	q := url.QueryEscape
	sled, show := "/v1/sleds/"+url.PathEscape(f.sleds[0]), "/v1/shows/"+url.PathEscape(f.show)
	asked := "sled=" + q(f.sleds[0]) + "&gear=" + q(f.labels[0])
	json = []string{
		"/v1/sleds", sled, sled + "/readings", "/v1/readings/" + f.noted, sled + "/chart", sled + "/driveline", sled +
			"/changes", sled + "/days",
		sled + "/advice", sled + "/cutoff?ground_speed_mph=15&release_s=0.2", "/v1/equivalents?" +
			asked, "/v1/table?reference=" + q(f.sleds[0]),
		"/v1/fleet/how-alike?reference=" + q(f.sleds[0]), "/v1/part-options?reference=" + q(f.sleds[0]) + "&sled=" +
			q(f.sleds[1]) + "&final_ratio=5.1",
		"/v1/classes", "/v1/classes/" + url.PathEscape(f.class), "/v1/shows", show, show + "/sheet", show +
			"/candidates", "/v1/season?since=2099-01-01&until=2099-12-31",
		"/v1/history", "/v1/keys", sled + "/inspection-list", sled + "/inspections", sled + "/due",
	}
	drawn = []string{
		sled + "/chart.svg", "/v1/equivalents.svg?" + asked + "&on=" + q(f.sleds[1]), sled +
			"/days.svg", "/v1/fleet/ladders.svg?reference=" + q(f.sleds[0]),
		show + "/qr.svg",
	}
	sheets = []string{sled + "/readings.csv", sled + "/inspections.csv",
		"/v1/table.csv?reference=" + q(f.sleds[0]), "/v1/classes.csv",
		show + "/sheet.csv"}
	return json, drawn, sheets
}

// A name stays a name: in JSON, in drawings, in spreadsheets, in what is refused and in the log.
func TestEscaping_ShowsANameAsTextEverywhere(t *testing.T) {
	t.Parallel()
	tame := newShapes()
	p := serving(t, func(o *serverOptions) { o.PublicURL = publicURL })
	tameFleet := makeFleetOf(t, p, "Bluestem")
	_, drawn, _ := tameFleet.questions()
	for _, path := range drawn {
		got := p.do(get(path))
		require.Equal(t, 200, got.StatusCode, "%s: %s", path, got.body)
		tame.add(t, path, got.body)
	}
	require.Greater(t, len(tame), 10)
	tags := tagsOfPages(t, p, tameFleet)
	for _, text := range nasty {
		t.Run(fmt.Sprintf("%q", text), func(t *testing.T) {
			t.Parallel()
			p := serving(t, func(o *serverOptions) { o.PublicURL = publicURL })
			f := makeFleetOf(t, p, text)
			asJSON, drawn, sheets := f.questions()
			seen := 0
			for _, path := range asJSON {
				got := p.do(get(path).as(testKey))
				require.Equal(t, 200, got.StatusCode, "%s: %s", path, got.body)
				holdsJSON(t, path, got, reply.TypeJSON)
				if strings.Contains(textIn(t, got.body), cut(text, 90)) {
					seen++
				}
			}
			assert.Greater(t, seen, 10, "the name comes back as it was given")
			for _, path := range drawn {
				got := p.do(get(path))
				require.Equal(t, 200, got.StatusCode, "%s: %s", path, got.body)
				assert.Equal(t, "image/svg+xml", got.Header.Get("Content-Type"), path)
				assert.Equal(t, "nosniff", got.Header.Get("X-Content-Type-Options"), path)
				made := newShapes()
				made.add(t, path, got.body)
				for shape := range made {
					assert.Contains(t, tame, shape, "%s: a name became part of the drawing", path)
				}
			}
			assert.Equal(t, tags, tagsOfPages(t, p, f), "a name became part of a page")
			for _, path := range sheets {
				got := p.do(get(path).as(testKey))
				require.Equal(t, 200, got.StatusCode, "%s: %s", path, got.body)
				assert.Equal(t, "text/csv; charset=utf-8", got.Header.Get("Content-Type"), path)
				assert.Equal(t, "nosniff", got.Header.Get("X-Content-Type-Options"), path)
				holdsNoFormula(t, path, got.body)
			}
			for _, r := range []request{
				get("/v1/sleds/" + url.PathEscape(text)), get("/" + url.PathEscape(text)), get("/v1/sleds?limit=x" +
					url.QueryEscape(text)),
				get("/v1/equivalents?sled=" + url.QueryEscape(f.sleds[0]) + "&gear=" + url.QueryEscape(cut(text, 20))),
				post("/v1/sleds", map[string]any{text: text, "name": 1, "gears": text}), post("/v1/classes",
					classOn(cut(text, 90), text, text)),
				csvPost("/v1/readings", heading+`"`+strings.ReplaceAll(text, `"`, `""`)+`",A,0,280,2025-05-10`+"\n"),
				post("/v1/sleds", map[string]any{"name": f.sleds[0], "gears": []any{map[string]any{"label": "A"}}}),
				remove("/v1/keys/" + url.PathEscape(cut(text, 40))).as(testKey),
				post("/v1/session", map[string]any{"key": text}),
			} {
				got := p.do(r)
				require.GreaterOrEqual(t, got.StatusCode, 400, "%s %s", r.method, r.path)
				require.Less(t, got.StatusCode, 500, "%s %s", r.method, r.path)
				holdsJSON(t, r.path, got, "application/problem+json")
			}
			for line := range strings.SplitSeq(strings.TrimSuffix(p.stderr.String(), "\n"), "\n") {
				assert.True(t, strings.HasPrefix(line, "time="), "a line made up by a name: %q", line)
				assert.Equal(t, -1, strings.IndexFunc(line, func(r rune) bool { return !unicode.IsPrint(r) }), "%q",
					line)
			}
		})
	}
}

// holdsJSON says that even a browser that takes the answer for a page finds no tag in it.
func holdsJSON(t *testing.T, path string, got response, media string) {
	t.Helper()
	assert.Equal(t, media, got.Header.Get("Content-Type"), path)
	assert.Equal(t, "nosniff", got.Header.Get("X-Content-Type-Options"), path)
	assert.True(t, json.Valid(got.body), path)
	assert.NotContains(t, string(got.body), "<", path)
	assert.NotContains(t, string(got.body), ">", path)
	assert.NotContains(t, string(got.body), "&", path)
}

// textIn is every text of a JSON document.
func textIn(t *testing.T, body []byte) string {
	t.Helper()
	var all strings.Builder
	d := json.NewDecoder(bytes.NewReader(body))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all.String()
		}
		require.NoError(t, err)
		if text, ok := token.(string); ok {
			all.WriteString(text + "\n")
		}
	}
}

// shapes are the elements and attributes of drawings, each by its name.
type shapes map[string]bool

func newShapes() shapes { return shapes{} }

// add reads a drawing, which must be well-formed XML with the parts that ours have.
func (s shapes) add(t *testing.T, path string, svg []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err, "%s: %s", path, svg)
		switch part := token.(type) {
		case xml.StartElement:
			s[part.Name.Local] = true
			for _, a := range part.Attr {
				s[part.Name.Local+" "+a.Name.Local] = true
				assert.False(t, strings.HasPrefix(strings.ToLower(a.Name.Local), "on"), "%s: %s", path, a.Name.Local)
			}
		case xml.Directive:
			assert.Fail(t, "a directive", "%s: %s", path, part)
		}
	}
}

// cellOfANumber is what our own numbers look like.
var cellOfANumber = regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?$`)

// holdsNoFormula reads a spreadsheet as a spreadsheet program does: no cell of it begins what such a program computes
// (OWASP, "CSV Injection"). In many countries it expects a semicolon or a tab between cells, and ends them there.
func holdsNoFormula(t *testing.T, path string, body []byte) {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
	require.NoError(t, err, path)
	require.Greater(t, len(rows), 1, path)
	for _, row := range rows {
		for _, cell := range row {
			if cell == "" || cellOfANumber.MatchString(cell) {
				continue
			}
			assert.False(t, looksLikeFormula(cell), "%s: %q", path, cell)
			for _, part := range regexp.MustCompile(`[;\t\r\n]`).Split(cell, -1)[1:] {
				assert.NotContains(t, "=+-@＝＋－＠", cmp.Or(firstOf(part), "a"), "%s: %q", path, cell)
			}
		}
	}
}
