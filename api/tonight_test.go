package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

const mayDay = "2026-05-09"

// addNotebook notes three gears of a sled on three days, of which none differs from another by more than measuring
// does.
func addNotebook(t *testing.T, p *program, sled string, topOuts map[string]float64) {
	t.Helper()
	for i, day := range []string{"2026-04-11", "2026-04-18", "2026-04-25"} {
		for gear, ft := range topOuts {
			reading := readingOf(gear, ft*(1+0.004*float64(i-1)))
			reading["measured_on"] = day
			into[openapi.Reading](t, p.do(post("/v1/sleds/"+sled+"/readings", reading)), 201)
		}
	}
}

// measuredFleet is Bluestem and Fescue with a notebook each, their classes and shows.
func measuredFleet(t *testing.T) *program {
	t.Helper()
	p := start(t)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	into[openapi.Sled](t, p.do(post("/v1/sleds", fescue())), 201)
	addNotebook(t, p, "bluestem", map[string]float64{"A": 280, "B": 262, "C": 250})
	addNotebook(t, p, "fescue", map[string]float64{"1": 264, "2": 254})
	return p
}

// pullOf is a pull of a show, entered from its page.
func pullOf(gear string, distance float64, show string) map[string]any {
	reading := readingOf(gear, distance)
	reading["measured_on"], reading["day"] = mayDay, show
	return reading
}

// nearestOn asks which gear of a sled is nearest.
func nearestOn(t *testing.T, p *program, query string) openapi.Answer {
	t.Helper()
	answers := into[openapi.Equivalents](t, p.do(get("/v1/equivalents?"+query)), 200).Answers
	require.Len(t, answers, 1)
	return answers[0]
}

// The first hooks of a show move its sheet and narrow it; the averages stay, and so do answers for other nights.
func TestSheet_IsMovedByTheFirstHooksOfItsShow(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	into[openapi.Class](t, p.do(post("/v1/classes", classOn("Open 4x4", "bluestem", "B"))), 201)
	input := showOn("Harvest Pull", "2099-07-18", "fescue", "open-4x4")
	show := into[openapi.Show](t, p.do(post("/v1/shows", input)), 201).Id
	before := sheetOf(t, p, show)
	assert.Nil(t, before.Night)
	usual := before.Rows[0].Tonight
	require.Equal(t, "1", usual.Nearest.Gear, "264 ft against 262")

	for range 3 { // 4 % later than usual
		into[openapi.Reading](t, p.do(post("/v1/sleds/fescue/readings", pullOf("2", 264.2, show))), 201)
	}
	after := sheetOf(t, p, show)
	night := after.Night
	require.NotNil(t, night)
	assert.Equal(t, 3, night.Pulls)
	assert.Equal(t, show, night.Day)
	assert.Less(t, night.LowPct, night.OffsetPct)
	assert.Less(t, night.OffsetPct, night.HighPct)
	assert.InDelta(t, 3, night.OffsetPct, 2, "later, and less than the pulls alone say")
	assert.Greater(t, *night.LaterFt, 2.0)
	assert.Equal(t, "After 3 pulls tonight: ", night.Detail[:len("After 3 pulls tonight: ")])
	assert.Contains(t, night.Detail, "later than usual")
	assert.Empty(t, night.NotUsed)

	now := after.Rows[0].Tonight
	assert.Equal(t, "2", now.Nearest.Gear)
	require.NotNil(t, now.UsualGear)
	assert.Equal(t, "1", *now.UsualGear, "what comes nearest on other nights")
	assert.Greater(t, now.Nearest.TopOutFt, *now.Nearest.AverageFt+2)
	assert.Nil(t, now.Gears, "a sheet of many classes leaves the other gears to the question about one")
	asked := nearestOn(t, p, "sled=bluestem&gear=B&on=fescue&day="+show)
	assert.Equal(t, now.Nearest.Gear, asked.Nearest.Gear)
	assert.Equal(t, night, asked.Night)
	assert.Contains(t, strings.Join(asked.InWords.Rests, " "), "On another night 1 comes nearest")
	other := nearestOn(t, p, "sled=bluestem&gear=B&on=fescue")
	assert.Nil(t, other.Night)
	assert.Nil(t, other.UsualGear)
	assert.Nil(t, other.Nearest.AverageFt)
	width := func(g openapi.AnswerGear) float64 { return g.TonightHighFt - g.TonightLowFt }
	require.Len(t, *asked.Gears, 2)
	for i, g := range *asked.Gears {
		assert.Less(t, width(g), width((*other.Gears)[i]), "the night's pulls narrow it")
	}

	table := into[openapi.Table](t, p.do(get("/v1/table?reference=bluestem&day="+show)), 200)
	assert.Equal(t, map[string]openapi.Night{"fescue": *night}, table.Nights)
	assert.Equal(t, "2", table.Rows[1].On["fescue"].Gear)
	chart := into[openapi.Chart](t, p.do(get("/v1/sleds/fescue/chart?start_ft=0&day="+show)), 200)
	assert.Equal(t, night, chart.Night)
	assert.Greater(t, *chart.Gears[0].TopOuts[0].TopOutFt, *chart.Gears[0].TopOuts[0].AverageFt)
	plain := into[openapi.Chart](t, p.do(get("/v1/sleds/fescue/chart?start_ft=0")), 200)
	assert.Equal(t, *plain.Gears[0].TopOuts[0].TopOutFt, *chart.Gears[0].TopOuts[0].AverageFt)

	for _, drawing := range []string{
		"/v1/equivalents.svg?sled=bluestem&gear=B&on=fescue", "/v1/equivalents.svg?top_out_ft=262&on=fescue",
		"/v1/equivalents.svg?top_out_ft=262&one_pull=true&on=fescue", "/v1/sleds/fescue/chart.svg?theme=dark",
	} {
		usually, tonight := p.do(get(drawing)), p.do(get(drawing+"&day="+show))
		require.Equal(t, 200, usually.StatusCode, "%s: %s", drawing, usually.body)
		require.Equal(t, 200, tonight.StatusCode, "%s: %s", drawing, tonight.body)
		assert.NotEqual(t, string(usually.body), string(tonight.body), drawing)
	}
	box := string(p.do(get("/v1/equivalents.svg?sled=bluestem&gear=B&on=fescue&day=" + show)).body)
	assert.Contains(t, box, fmt.Sprintf("(%.0f to %.0f)", asked.Nearest.TonightLowFt, asked.Nearest.TonightHighFt))
	assert.Contains(t, string(p.do(get("/v1/sleds/fescue/chart.svg?day="+show)).body), "After 3 pulls tonight: ")

	input["over"] = true
	closed := p.do(put("/v1/shows/"+show, input).with("If-Match", "*"))
	require.Equal(t, 200, closed.StatusCode, "%s", closed.body)
	kept := sheetOf(t, p, show)
	assert.Equal(t, night, kept.Night, "a closed sheet keeps its night")
	assert.Equal(t, after.Rows, kept.Rows)
}

// A show whose name is longer than that of a test day can be has one all the same.
func TestSheet_OfALongNameIsMovedByItsHooks(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	into[openapi.Class](t, p.do(post("/v1/classes", classOn("Open 4x4", "bluestem", "B"))), 201)
	long := showOn(strings.Repeat("Harvest ", 9)+"Pull", "2099-07-18", "fescue", "open-4x4")
	show := into[openapi.Show](t, p.do(post("/v1/shows", long)), 201).Id
	require.Greater(t, len(show), 60)
	day := sheetOf(t, p, show).Day
	into[openapi.Reading](t, p.do(post("/v1/sleds/fescue/readings", pullOf("2", 256, day))), 201)
	night := sheetOf(t, p, show).Night
	require.NotNil(t, night)
	assert.Equal(t, 1, night.Pulls)
	assert.Equal(t, day, night.Day)
	links := p.do(get("/pullers?show=" + show + "&sled=bluestem&gear=B")).Header.Values("Link")
	assert.Empty(t, links, "longer than what every browser is known to write alike")
}

// A pull that lies far from everything else moves nothing until another agrees with it or somebody confirms it.
func TestSheet_IsNotMovedByOneStrayPull(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	into[openapi.Class](t, p.do(post("/v1/classes", classOn("Open 4x4", "bluestem", "B"))), 201)
	show := into[openapi.Show](t, p.do(post("/v1/shows", showOn("Harvest Pull", "2099-07-18", "fescue", "open-4x4"))),
		201).Id
	before := sheetOf(t, p, show).Rows
	stray := into[openapi.Reading](t, p.do(post("/v1/sleds/fescue/readings", pullOf("2", 288, show))), 201)
	sheet := sheetOf(t, p, show)
	require.NotNil(t, sheet.Night)
	assert.Equal(t, []string{stray.Id}, sheet.Night.NotUsed)
	assert.Zero(t, sheet.Night.Pulls)
	assert.Contains(t, sheet.Night.Detail, "it is not used until another one agrees with it")
	assert.Equal(t, before[0].Tonight.Nearest.Gear, sheet.Rows[0].Tonight.Nearest.Gear)
	assert.Nil(t, sheet.Rows[0].Tonight.Nearest.AverageFt)

	confirmed := into[openapi.Reading](t, p.do(patch("/v1/readings/"+stray.Id, `{"confirmed":true}`)), 200)
	assert.NotNil(t, confirmed.ConfirmedAt)
	sheet = sheetOf(t, p, show)
	assert.Equal(t, 1, sheet.Night.Pulls)
	assert.Empty(t, sheet.Night.NotUsed)
	assert.NotNil(t, sheet.Rows[0].Tonight.Nearest.AverageFt)
}

// Readings of the show's date that were not entered from it join only when somebody says so.
func TestSheet_TakesInReadingsOfItsDateOnlyWhenAsked(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	show := into[openapi.Show](t, p.do(post("/v1/shows", showOn("May Pull", mayDay, "fescue"))), 201).Id
	input := showOn("May Pull", mayDay, "fescue")
	input["over"] = false
	into[openapi.Show](t, p.do(put("/v1/shows/"+show, input).with("If-Match", "*")), 200)
	for range 2 {
		into[openapi.Reading](t, p.do(post("/v1/sleds/fescue/readings", pullOf("2", 260, mayDay))), 201)
	}
	sheet := sheetOf(t, p, show)
	require.NotNil(t, sheet.Night)
	assert.Zero(t, sheet.Night.Pulls)
	assert.Equal(t, 2, *sheet.Night.Others)
	assert.Empty(t, sheet.Night.Detail)
	joined := into[openapi.Sheet](t, p.do(get("/v1/shows/"+show+"/sheet?with_date=true")), 200)
	assert.Equal(t, 2, joined.Night.Pulls)
	assert.Greater(t, *joined.Night.LaterFt, 0.0)
}

// A question by distance: a class's is exact, a puller's is one pull of one night, which is less sure.
func TestEquivalents_AnswerForADistance(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	got := into[openapi.Equivalents](t, p.do(get("/v1/equivalents?top_out_ft=255&on=fescue")), 200)
	assert.Nil(t, got.Asked.Sled)
	assert.Nil(t, got.Asked.Gear)
	assert.Equal(t, openapi.BasisGiven, got.Asked.Basis)
	assert.Equal(t, []float64{255, 255, 255},
		[]float64{*got.Asked.TopOutFt, *got.Asked.LowFt, *got.Asked.TonightHighFt})
	exact := got.Answers[0]
	assert.Equal(t, "2", exact.Nearest.Gear)
	assert.InDelta(t, 254-255, exact.Nearest.DifferenceFt, 0.2)
	assert.Contains(t, exact.InWords.ForPullers.Line, "255\u00a0ft is 2 on Fescue")
	assert.Equal(t, "Asked: 255\u00a0ft.", exact.InWords.Rests[0])
	pull := nearestOn(t, p, "top_out_ft=255&one_pull=true&on=fescue")
	wide := func(n *openapi.Nearest) float64 { return n.DifferenceTonightHighFt - n.DifferenceTonightLowFt }
	assert.Greater(t, wide(pull.Nearest), 1.2*wide(exact.Nearest))
	assert.Less(t, *pull.Nearest.ChanceNearest, *exact.Nearest.ChanceNearest)
	assert.Contains(t, pull.InWords.Rests[0], "where one pull topped out on one night")
	all := into[openapi.Equivalents](t, p.do(get("/v1/equivalents?top_out_ft=255")), 200)
	assert.Len(t, all.Answers, 2, "every sled, for none is asked about")
}

// A class may be used to a distance on any sled.
func TestClass_IsSetToADistance(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	class := map[string]any{"name": "Stock", "setting": map[string]any{"top_out_ft": 255},
		"pull_off": map[string]any{"top_out_ft": 265}}
	stored := into[openapi.Class](t, p.do(post("/v1/classes", class)), 201)
	assert.Nil(t, stored.Setting.Sled)
	assert.Equal(t, []float64{255, 255, 0},
		[]float64{*stored.Setting.TopOutFt, *stored.Setting.StoodForFt, *stored.Setting.PlusMinusFt})
	assert.Nil(t, stored.Setting.TodayFt)
	show := into[openapi.Show](t, p.do(post("/v1/shows", showOn("Harvest Pull", "2099-07-18", "fescue", "stock"))),
		201).Id
	row := sheetOf(t, p, show).Rows[0]
	assert.Empty(t, row.HomeSledName)
	assert.Equal(t, "2", row.Tonight.Nearest.Gear)
	assert.Equal(t, "1", row.PullOff.Tonight.Nearest.Gear)
	candidates := into[openapi.Candidates](t, p.do(get("/v1/shows/"+show+"/candidates")), 200)
	assert.Equal(t, 1, candidates.Items[0].Known)
	csv := csvRows(t, p, "/v1/classes.csv")[0]
	assert.Equal(t, []string{"", "", "255.0", "265.0"},
		[]string{csv["sled"], csv["gear"], csv["stood_for_ft"], csv["pull_off_stood_for_ft"]})

	for what, c := range map[string]struct {
		setting string
		at      string
	}{
		"a distance beside a sled": {`{"top_out_ft":255,"sled":"bluestem","gear":"A"}`, "setting.top_out_ft"},
		"a gear without a sled":    {`{"gear":"A"}`, "setting.sled"},
		"nothing at all":           {`{}`, "setting.top_out_ft"},
		"a start off the rails":    {`{"top_out_ft":255,"start_ft":201}`, "setting.start_ft"},
		"a distance under a foot":  {`{"top_out_ft":0.5}`, "setting.top_out_ft"},
		"a sled without a gear":    {`{"sled":"bluestem"}`, "setting.gear"},
	} {
		got := problemOf(t, p.do(post("/v1/classes", `{"name":"Odd","setting":`+c.setting+`}`)), 422)
		assert.Contains(t, faultsAt(got), c.at, what)
	}
	class["setting"] = map[string]any{"sled": "bluestem", "gear": "B"}
	again := into[openapi.Class](t, p.do(put("/v1/classes/stock", class).with("If-Match", "*")), 200)
	assert.Equal(t, "B", *again.Setting.Gear)
	assert.Nil(t, again.Setting.TopOutFt)
}

// A class on its own sled and setting has no chance to state.
func TestSheet_StatesNoChanceForTheVerySetting(t *testing.T) {
	t.Parallel()
	p := measuredFleet(t)
	into[openapi.Class](t, p.do(post("/v1/classes", classOn("Open 4x4", "bluestem", "B"))), 201)
	show := into[openapi.Show](t, p.do(post("/v1/shows", showOn("Harvest Pull", "2099-07-18", "bluestem", "open-4x4"))),
		201).Id
	n := sheetOf(t, p, show).Rows[0].Tonight.Nearest
	assert.Equal(t, "B", n.Gear)
	assert.True(t, *n.OwnSetting)
	assert.Nil(t, n.ChanceNearest)
	assert.Nil(t, n.ChanceNearestOnAverage)
	assert.Nil(t, n.Confidence)
	other := into[openapi.Sheet](t, p.do(get("/v1/shows/"+show+"/sheet?sled=fescue")), 200).Rows[0].Tonight.Nearest
	assert.Nil(t, other.OwnSetting)
	assert.NotNil(t, other.ChanceNearest)
}
