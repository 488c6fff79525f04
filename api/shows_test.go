package main

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/words"
	"evenpull/openapi"
)

// harvest is the show of smallSeason. Its date is so far off that no test finds it over by itself.
const harvest = "harvest-pull-2099-07-18"

func asRunAt(class string) string   { return "/v1/shows/" + harvest + "/classes/" + class + "/as-run" }
func outcomeAt(class string) string { return "/v1/shows/" + harvest + "/classes/" + class + "/outcome" }

func classOn(name, sled, gear string) map[string]any {
	return map[string]any{"name": name, "setting": map[string]any{"sled": sled, "gear": gear}}
}

func showOn(name, date, sled string, classes ...string) map[string]any {
	return map[string]any{"name": name, "date": date, "sled": sled, "classes": append([]string{}, classes...)}
}

func lineOf(hook int, gear string) map[string]any {
	return map[string]any{"from_hook": hook, "gear": gear}
}

// smallSeason adds classes and shows to the small fleet: three classes, the harvest pull on Fescue with two of them, a
// show long over on Bluestem, and the retired sled Sedge.
func smallSeason(t *testing.T, p *program) {
	t.Helper()
	into[openapi.Sled](t, p.do(post("/v1/sleds", sledWith("name", "Sedge"))), 201)
	into[openapi.Reading](t, p.do(post("/v1/sleds/sedge/readings", readingOf("1", 255))), 201)
	into[openapi.Sled](t, p.do(remove("/v1/sleds/sedge").with("If-Match", "*")), 200)
	farm := classOn("Farm 9500 lb", "bluestem", "A")
	farm["pull_off"], farm["weights"] = map[string]any{"sled": "bluestem", "gear": "B"}, "6 blocks"
	for _, class := range []map[string]any{farm, classOn("Open 4x4", "bluestem", "B"),
		classOn("Garden 1000 lb", "fescue", "1")} {
		into[openapi.Class](t, p.do(post("/v1/classes", class)), 201)
	}
	show := showOn("Harvest Pull", "2099-07-18", "fescue", "open-4x4", "farm-9500-lb")
	show["place"], show["promoter"] = "Nonesuch Flats", "Nonesuch show society"
	into[openapi.Show](t, p.do(post("/v1/shows", show)), 201)
	past := showOn("Spring Pull", "2025-05-17", "bluestem", "open-4x4")
	past["place"] = "Nonesuch Flats"
	into[openapi.Show](t, p.do(post("/v1/shows", past)), 201)
}

func sheetOf(t *testing.T, p *program, show string) openapi.Sheet {
	t.Helper()
	return into[openapi.Sheet](t, p.do(get("/v1/shows/"+show+"/sheet")), 200)
}

func TestShow_IsAddedReadReplacedAndRemoved(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	sent := map[string]any{
		"name": "Autumn Pull", "date": "2099-10-02", "place": "Whatnot Valley track", "promoter": "Whatnot Valley",
		"sled":    "bluestem",
		"classes": []any{"garden-1000-lb", "open-4x4"}, "notes": "gates at four", "over": false,
	}
	added := p.do(post("/v1/shows", sent))
	show := into[map[string]any](t, added, 201)
	for field, value := range sent {
		assert.Equal(t, value, show[field], field)
	}
	assert.Equal(t, "autumn-pull-2099-10-02", show["id"])
	assert.Nil(t, show["pullers_url"])
	read := p.do(get(added.Header.Get("Location")))
	assert.Equal(t, string(added.body), string(read.body))
	assert.Equal(t, added.Header.Get("ETag"), read.Header.Get("ETag"))

	sent["classes"], sent["name"] = []any{"open-4x4"}, "Autumn Night Pull"
	changed := p.do(put("/v1/shows/autumn-pull-2099-10-02", sent).with("If-Match", read.Header.Get("ETag")))
	replaced := into[openapi.Show](t, changed, 200)
	assert.Equal(t, "autumn-pull-2099-10-02", replaced.Id, "the slug stays as first made")
	assert.Equal(t, []string{"open-4x4"}, replaced.Classes)
	assert.Equal(t, 2, replaced.Revision)
	removal := remove("/v1/shows/autumn-pull-2099-10-02")
	problemOf(t, p.do(removal.with("If-Match", read.Header.Get("ETag"))), 412)
	assert.Equal(t, 204, p.do(removal.with("If-Match", changed.Header.Get("ETag"))).StatusCode)
	problemOf(t, p.do(get("/v1/shows/autumn-pull-2099-10-02")), 404)
}

func TestShows_ListEachItemOnceNewestFirst(t *testing.T) {
	t.Parallel()
	p := demo(t)
	whole := into[openapi.ShowPage](t, p.do(get("/v1/shows")), 200)
	require.GreaterOrEqual(t, len(whole.Items), 3)
	var collected []openapi.Show
	for next := ""; ; {
		page := into[openapi.ShowPage](t, p.do(get("/v1/shows?limit=1"+next)), 200)
		collected = append(collected, page.Items...)
		if page.Next == nil {
			break
		}
		next = "&after=" + *page.Next
	}
	assert.Equal(t, whole.Items, collected)
	for i := 1; i < len(collected); i++ {
		assert.GreaterOrEqual(t, collected[i-1].Date, collected[i].Date)
	}
}

// The sheet answers as /v1/equivalents does, class by class in running order; weights stay those of the home sled.
func TestSheet_TranslatesEveryClass(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	sheet := sheetOf(t, p, harvest)
	require.Len(t, sheet.Rows, 2)
	assert.Equal(t, "Fescue", sheet.SledName)
	assert.Equal(t, words.Standing(false), sheet.Caution)
	assert.Nil(t, sheet.LoadCaution)
	for i, want := range []struct{ class, gear string }{{"open-4x4", "B"}, {"farm-9500-lb", "A"}} {
		row := sheet.Rows[i]
		assert.Equal(t, want.class, row.Class)
		assert.Equal(t, "Bluestem", row.HomeSledName)
		answer := into[openapi.Equivalents](t, p.do(get("/v1/equivalents?sled=bluestem&gear="+want.gear+"&on=fescue")),
			200).Answers[0]
		require.NotNil(t, row.Tonight.Nearest)
		assert.Equal(t, answer.Nearest.Gear, row.Tonight.Nearest.Gear)
		assert.InDelta(t, answer.Nearest.DifferenceFt, row.Tonight.Nearest.DifferenceFt, 1e-9)
		assert.Nil(t, row.Booked)
	}
	farm := sheet.Rows[1]
	require.NotNil(t, farm.PullOff)
	assert.Equal(t, "B", *farm.PullOff.Home.Gear)
	assert.NotNil(t, farm.PullOff.Tonight.Nearest)
	assert.Equal(t, "6 blocks", *farm.Weights)
}

// Another sled can be looked at first, line by line beside the booked one; booked, it re-translates every class at
// once.
func TestSheet_OfAnotherSledTranslatesEveryClassAgain(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	before := sheetOf(t, p, harvest)
	asked := into[openapi.Sheet](t, p.do(get("/v1/shows/"+harvest+"/sheet?sled=bluestem")), 200)
	assert.Equal(t, "bluestem", *asked.Sled)
	for i, row := range asked.Rows {
		require.NotNil(t, row.Booked)
		assert.Equal(t, before.Rows[i].Tonight, *row.Booked)
		assert.Equal(t, *row.Home.Gear, row.Tonight.Nearest.Gear, "on its own sled")
		assert.Zero(t, row.Tonight.Nearest.DifferenceFt)
	}
	assert.Equal(t, before, sheetOf(t, p, harvest), "looking changes nothing")

	swapped := showOn("Harvest Pull", "2099-07-18", "bluestem", "open-4x4", "farm-9500-lb")
	into[openapi.Show](t, p.do(put("/v1/shows/"+harvest, swapped).with("If-Match", "*")), 200)
	after := sheetOf(t, p, harvest)
	assert.Equal(t, "bluestem", *after.Sled)
	assert.Equal(t, 2, after.ShowRevision)
	for i, row := range after.Rows {
		assert.Equal(t, asked.Rows[i].Tonight, row.Tonight)
	}
	problemOf(t, p.do(get("/v1/shows/"+harvest+"/sheet?sled=brome")), 422)
}

// Of many who swap at once, having read the same state, exactly one wins; the others hear of it.
func TestShow_TakesOneOfManySwapsAtOnce(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	etag := p.do(get("/v1/shows/" + harvest)).Header.Get("ETag")
	const people = 20
	statuses := make([]int, people)
	var all sync.WaitGroup
	for i := range people {
		all.Go(func() {
			swapped := showOn("Harvest Pull", "2099-07-18", []string{"bluestem", "fescue"}[i%2], "open-4x4",
				"farm-9500-lb")
			swapped["notes"] = fmt.Sprint("swapped by ", i)
			statuses[i] = p.do(put("/v1/shows/"+harvest, swapped).with("If-Match", etag)).StatusCode
		})
	}
	all.Wait()
	count := map[int]int{}
	for _, s := range statuses {
		count[s]++
	}
	assert.Equal(t, map[int]int{200: 1, 412: people - 1}, count)
	assert.Equal(t, 2, into[openapi.Show](t, p.do(get("/v1/shows/"+harvest)), 200).Revision)
}

// A show that is over keeps its sheet to the last byte, through new readings, another label, a class that moves on, and
// a restart; its sled and classes stay.
func TestShow_ThatIsOverHasTheSameSheet(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	show := showOn("Harvest Pull", "2099-07-18", "fescue", "open-4x4", "farm-9500-lb")
	open := p.do(get("/v1/shows/" + harvest)).Header.Get("ETag")
	show["over"] = true
	into[openapi.Show](t, p.do(put("/v1/shows/"+harvest, show).with("If-Match", open)), 200)
	question := get("/v1/shows/" + harvest + "/sheet")
	csv := get("/v1/shows/" + harvest + "/sheet.csv")
	kept, keptCSV := p.do(question), p.do(csv)
	assert.True(t, into[openapi.Sheet](t, kept, 200).Over)

	for range 5 {
		into[openapi.Reading](t, p.do(post("/v1/sleds/fescue/readings", readingOf("1", 300))), 201)
	}
	renamed := fescue()
	renamed["name"], renamed["gears"] = "Red Fescue", []any{map[string]any{"label": "9", "was": "1"},
		map[string]any{"label": "2"}}
	into[openapi.Sled](t, p.do(put("/v1/sleds/fescue", renamed).with("If-Match", "*")), 200)
	into[openapi.Class](t, p.do(put("/v1/classes/open-4x4", classOn("Open Four", "bluestem", "C")).with("If-Match",
		"*")), 200)
	assert.Equal(t, string(kept.body), string(p.do(question).body))
	assert.Equal(t, kept.Header.Get("ETag"), p.do(question).Header.Get("ETag"))
	assert.Equal(t, string(keptCSV.body), string(p.do(csv).body))

	show["sled"] = "bluestem"
	problemOf(t, p.do(put("/v1/shows/"+harvest, show).with("If-Match", "*")), 409)
	require.Equal(t, exitWell, p.stop())
	again := startOn(t, p.db, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
	assert.Equal(t, string(kept.body), string(again.do(question).body))
}

func TestShow_OutlivesARestart(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	into[openapi.AsRun](t, p.do(post(asRunAt("open-4x4"), lineOf(1, "2"))), 201)
	into[openapi.Outcome](t, p.do(put(outcomeAt("open-4x4"), `{"hooks":9,"full_pulls":1,"felt":"right"}`)), 200)
	before := everything(t, p)
	require.Equal(t, exitWell, p.stop())
	again := startOn(t, p.db, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
	assert.Equal(t, before, everything(t, again))
}

// What is kept is what a server that keeps nothing yet works out, whatever was written last.
func TestShow_IsNotOlderThanTheLastWrite(t *testing.T) {
	t.Parallel()
	p, b := startAt(t, &at{now: time.Now()})
	smallFleet(t, p)
	smallSeason(t, p)
	questions := []string{"/v1/shows/" + harvest + "/sheet", "/v1/shows/" + harvest + "/candidates", "/v1/season",
		"/v1/sleds/fescue/advice?show=" + harvest}
	changed := map[string]int{}
	writes := []request{
		post("/v1/sleds/bluestem/readings", readingOf("B", 270)),
		put("/v1/classes/farm-9500-lb", classOn("Farm 9500 lb", "bluestem", "C")).with("If-Match", "*"),
		put("/v1/shows/"+harvest, showOn("Harvest Pull", "2099-07-18", "fescue", "farm-9500-lb",
			"open-4x4")).with("If-Match", "*"),
		post(asRunAt("farm-9500-lb"), lineOf(1, "2")),
		put(outcomeAt("farm-9500-lb"), `{"hooks":9}`),
		put("/v1/shows/"+harvest, showOn("Harvest Pull", "2099-07-18", "bluestem", "farm-9500-lb",
			"open-4x4")).with("If-Match", "*"),
		put(outcomeAt("farm-9500-lb"), `{}`),
	}
	for _, w := range writes {
		before := map[string]string{}
		for _, q := range questions {
			before[q] = string(p.do(get(q)).body)
		}
		require.Less(t, p.do(w).StatusCode, 300, "%s %s", w.method, w.path)
		anew := serveBook(t, b, time.Now)
		for _, q := range questions {
			got := string(p.do(get(q)).body)
			assert.Equal(t, string(anew.do(get(q)).body), got, "%s after %s %s", q, w.method, w.path)
			if got != before[q] {
				changed[q]++
			}
		}
	}
	assert.Equal(t, len(writes), changed[questions[0]], "every one of these shows on the sheet")
	for _, q := range questions {
		assert.NotZero(t, changed[q], q)
	}
}

// A show that is asked about in every way there is to spell its id is the same show.
func TestShow_IsFoundHoweverItsAddressIsWritten(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	into[openapi.Class](t, p.do(post("/v1/classes", classOn("Пять тонн", "bluestem", "A"))), 201)
	added := p.do(post("/v1/shows", showOn("Осенняя тяга", "2099-09-01", "fescue", "пять-тонн")))
	show := into[openapi.Show](t, added, 201)
	assert.Equal(t, "осенняя-тяга-2099-09-01", show.Id)
	assert.Equal(t, string(added.body), string(p.do(get(added.Header.Get("Location"))).body))
	line := added.Header.Get("Location") + "/classes/%D0%BF%D1%8F%D1%82%D1%8C-%D1%82%D0%BE%D0%BD%D0%BD/as-run"
	into[openapi.AsRun](t, p.do(post(line, lineOf(1, "1"))), 201)
	assert.Equal(t, []string{"gear"}, faultsAt(problemOf(t, p.do(post(line, lineOf(1, "Z"))), 422)))
	assert.True(t, strings.HasPrefix(added.Header.Get("Location"), "/v1/shows/%D0%BE"))
}
