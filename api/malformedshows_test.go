package main

import (
	"strings"
)

// malformedShows are requests about the classes and shows of smallSeason that must not do anything.
func malformedShows() []malformed {
	class := func(field string, value any) map[string]any {
		c := classOn("Antique 5250 lb", "bluestem", "A")
		c[field] = value
		return c
	}
	setting := func(sled, gear string, start any) map[string]any {
		return map[string]any{"sled": sled, "gear": gear, "start_ft": start}
	}
	show := func(field string, value any) map[string]any {
		s := showOn("Evening Pull", "2099-08-01", "fescue", "open-4x4")
		s[field] = value
		return s
	}
	line := func(field string, value any) map[string]any {
		l := lineOf(1, "1")
		l[field] = value
		return l
	}
	theShow, theClass := "/v1/shows/"+harvest, "/v1/classes/open-4x4"
	asRun, outcome := asRunAt("open-4x4"), outcomeAt("open-4x4")
	return []malformed{
		// Classes.
		{"a class without a body", post("/v1/classes", nil), 400, ""},
		{"a class that breaks off", post("/v1/classes", `{"name":"Ant`), 400, ""},
		{"a class of two megabytes", post("/v1/classes", class("notes", strings.Repeat("a", 2<<20))), 413, ""},
		{"a class as a spreadsheet", csvPost("/v1/classes", "name,sled,gear\nAntique,bluestem,A\n"), 415, ""},
		{"a list for a class", post("/v1/classes", "[]"), 422, ""},
		{"a class without a setting", post("/v1/classes", `{"name":"Antique"}`), 422, "setting"},
		{"a class whose setting is a word", post("/v1/classes", class("setting", "A on Bluestem")), 422, "setting"},
		{"a class without a gear", post("/v1/classes", class("setting", map[string]any{"sled": "bluestem"})), 422,
			"setting.gear"},
		{"a class without a name", post("/v1/classes", class("name", "")), 422, "name"},
		{"a class named by punctuation", post("/v1/classes", class("name", "--")), 422, "name"},
		{"a class named with a bell", post("/v1/classes", class("name", "Anti\aque")), 422, "name"},
		{"a class of 101 characters", post("/v1/classes", class("name", strings.Repeat("x", 101))), 422, "name"},
		{"a class with a field nobody knows", post("/v1/classes", class("sled", "bluestem")), 422, "sled"},
		{"a setting with a field nobody knows",
			post("/v1/classes", class("setting", map[string]any{"sled": "bluestem", "gear": "A", "start": 2})), 422,
			"setting.start"},
		{"a class on a sled nobody has", post("/v1/classes", class("setting", setting("brome", "A", 0))), 422,
			"setting.sled"},
		{"a class on a retired sled", post("/v1/classes", class("setting", setting("sedge", "1", 0))), 422,
			"setting.sled"},
		{"a class moved to a retired sled",
			put(theClass, class("setting", setting("sedge", "1", 0))).with("If-Match", "*"), 422, "setting.sled"},
		{"a class in a gear nobody has", post("/v1/classes", class("setting", setting("bluestem", "Z", 0))), 422,
			"setting.gear"},
		{"a class that starts behind full back", post("/v1/classes", class("setting", setting("bluestem", "A", -1))),
			422, "setting.start_ft"},
		{"a class that starts past the travel", post("/v1/classes", class("setting", setting("bluestem", "A", 34.5))),
			422, "setting.start_ft"},
		{"a class that starts at a word", post("/v1/classes", class("setting", setting("bluestem", "A", "far"))), 422,
			"setting.start_ft"},
		{"a pull-off on a sled nobody has", post("/v1/classes", class("pull_off", setting("brome", "A", 0))), 422,
			"pull_off.sled"},
		{"a pull-off that is null", post("/v1/classes", class("pull_off", nil)), 422, "pull_off"},
		{"weights of 201 characters", post("/v1/classes", class("weights", strings.Repeat("x", 201))), 422, "weights"},
		{"weights on two lines", post("/v1/classes", class("weights", "two\nlines")), 422, "weights"},
		{"a class that is there already", post("/v1/classes", classOn("open 4X4", "bluestem", "A")), 409, ""},
		{"a class replaced without If-Match", put(theClass, class("name", "Open")), 428, ""},
		{"a class replaced for another state", put(theClass, class("name", "Open")).with("If-Match", `"9-9.x"`), 412,
			""},
		{"a class replaced with an If-Match that is no ETag",
			put(theClass, class("name", "Open")).with("If-Match", "now"), 422, "If-Match"},
		{"a class replaced that is not there", put("/v1/classes/hot", class("name", "Open")).with("If-Match", "*"), 404,
			""},
		{"a class removed without If-Match", remove(theClass), 428, ""},
		{"a class removed for another state", remove(theClass).with("If-Match", `W/"1-1"`), 412, ""},
		{"a class removed that is not there", remove("/v1/classes/hot").with("If-Match", "*"), 404, ""},
		{"a class removed that shows list", remove(theClass).with("If-Match", "*"), 409, ""},
		{"a class patched", patch(theClass, "{}"), 405, ""},
		{"a class that is not there", get("/v1/classes/hot"), 404, ""},
		{"a page of too many classes", get("/v1/classes?limit=501"), 422, "limit"},
		{"a cursor of another list", get("/v1/classes?after=c2xlZDpibHVlc3RlbQ"), 422, "after"},
		{"a spreadsheet of three classes", get("/v1/classes.csv?limit=3"), 422, "limit"},

		// Shows.
		{"a show of two megabytes", post("/v1/shows", show("notes", strings.Repeat("a", 2<<20))), 413, ""},
		{"a show with an empty sled", post("/v1/shows", show("sled", "")), 422, "sled"},
		{"a show on a sled nobody has", post("/v1/shows", show("sled", "brome")), 422, "sled"},
		{"a show on a retired sled", post("/v1/shows", show("sled", "sedge")), 422, "sled"},
		{"a show of a class nobody has", post("/v1/shows", show("classes", []string{"open-4x4", "hot"})), 422,
			"classes[1]"},
		{"a show with the same class twice",
			post("/v1/shows", show("classes", []string{"open-4x4", "garden-1000-lb", "open-4x4"})), 422, "classes[2]"},
		{"a show of 61 classes", post("/v1/shows", show("classes", make([]string, 61))), 422, "classes"},
		{"a show whose class is a number", post("/v1/shows", show("classes", []int{4})), 422, "classes[0]"},
		{"a show whose classes are a word", post("/v1/shows", show("classes", "open-4x4")), 422, "classes"},
		{"a show on no day", post("/v1/shows", show("date", "2099-02-30")), 422, "date"},
		{"a show on some Saturday", post("/v1/shows", show("date", "Saturday")), 422, "date"},
		{"a show before there were any", post("/v1/shows", show("date", "0001-01-01")), 422, "date"},
		{"a show named with a line end", post("/v1/shows", show("name", "Evening\r\nPull")), 422, "name"},
		{"a place with a tab", post("/v1/shows", show("place", "Nonesuch\tFlats")), 422, "place"},
		{"a show that is perhaps over", post("/v1/shows", show("over", "perhaps")), 422, "over"},
		{"a show with a field nobody knows", post("/v1/shows", show("pullers_url", "https://elsewhere.example")), 422,
			"pullers_url"},
		{"a show that is there already", post("/v1/shows", showOn("Harvest pull", "2099-07-18", "fescue")), 409, ""},
		{"a swap without If-Match", put(theShow, show("sled", "bluestem")), 428, ""},
		{"a swap for another state", put(theShow, show("sled", "bluestem")).with("If-Match", `"1-1.x"`), 412, ""},
		{"a swap to a retired sled", put(theShow, show("sled", "sedge")).with("If-Match", "*"), 422, "sled"},
		{"a show replaced that is not there",
			put("/v1/shows/no-such-show", show("sled", "bluestem")).with("If-Match", "*"), 404, ""},
		{"a show that is over, swapped", put("/v1/shows/spring-pull-2025-05-17", map[string]any{
			"name": "Spring Pull", "date": "2025-05-17", "sled": "fescue", "classes": []string{"open-4x4"},
			"over": true,
		}).with("If-Match", "*"), 409, ""},
		{"a show removed without If-Match", remove(theShow), 428, ""},
		{"a show removed for another state", remove(theShow).with("If-Match", `"1-1.x"`), 412, ""},
		{"a show removed that is not there", remove("/v1/shows/no-such-show").with("If-Match", "*"), 404, ""},
		{"a show that is not there", get("/v1/shows/no-such-show"), 404, ""},
		{"a show whose id is bytes", get("/v1/shows/%ff%00"), 404, ""},
		{"a show with an impossible id", get("/v1/shows/" + strings.Repeat("x", 200)), 404, ""},
		{"a cursor that is made up for shows", get("/v1/shows?after=made-up"), 422, "after"},
		{"a sheet of no show", get("/v1/shows/no-such-show/sheet"), 404, ""},
		{"a sheet on a sled nobody has", get(theShow + "/sheet?sled=brome"), 422, "sled"},
		{"a sheet in yards", get(theShow + "/sheet?units=yd"), 422, "units"},
		{"a spreadsheet of a sheet of no show", get("/v1/shows/no-such-show/sheet.csv"), 404, ""},
		{"a spreadsheet of a sheet in yards", get(theShow + "/sheet.csv?units=yd"), 422, "units"},
		{"a sheet with a parameter nobody knows", get(theShow + "/sheet?on=bluestem"), 422, "on"},
		{"a sheet posted", post(theShow+"/sheet", "{}"), 405, ""},
		{"candidates for no show", get("/v1/shows/no-such-show/candidates"), 404, ""},
		{"a QR code of no show", get("/v1/shows/no-such-show/qr.svg"), 404, ""},
		{"a QR code without a public address", get(theShow + "/qr.svg"), 409, ""},

		// As run, and how it went.
		{"a line of two megabytes", post(asRun, line("note", strings.Repeat("a", 2<<20))), 413, ""},
		{"a line that breaks off", post(asRun, `{"from_hook":`), 400, ""},
		{"a line at no show", post("/v1/shows/no-such-show/classes/open-4x4/as-run", lineOf(1, "1")), 404, ""},
		{"a bad line at no show", post("/v1/shows/no-such-show/classes/open-4x4/as-run", lineOf(0, "1")), 422,
			"from_hook"},
		{"a line of a class nobody has", post(asRunAt("hot"), lineOf(1, "1")), 404, ""},
		{"a line of a class the show does not list", post(asRunAt("garden-1000-lb"), lineOf(1, "1")), 404, ""},
		{"a line without a gear", post(asRun, `{"from_hook":1}`), 422, "gear"},
		{"a line without a hook", post(asRun, `{"gear":"1"}`), 422, "from_hook"},
		{"a line from hook 0", post(asRun, lineOf(0, "1")), 422, "from_hook"},
		{"a line from hook one and a half", post(asRun, line("from_hook", 1.5)), 422, "from_hook"},
		{"a line from hook 501", post(asRun, lineOf(501, "1")), 422, "from_hook"},
		{"a line from hook 1e300", post(asRun, line("from_hook", 1e300)), 422, "from_hook"},
		{"a line in a gear that the sled lacks", post(asRun, lineOf(1, "A")), 422, "gear"},
		{"a line in a gear that is a number", post(asRun, line("gear", 1)), 422, "gear"},
		{"a line from past the travel", post(asRun, line("start_ft", 31)), 422, "start_ft"},
		{"a line from behind full back", post(asRun, line("start_ft", -0.5)), 422, "start_ft"},
		{"a line from NaN feet", post(asRun, `{"from_hook":1,"gear":"1","start_ft":NaN}`), 400, ""},
		{"a line with a field nobody knows", post(asRun, line("sled", "bluestem")), 422, "sled"},
		{"a line for perhaps a pull-off", post(asRun, line("pull_off", 1)), 422, "pull_off"},
		{"a line with weights on two lines", post(asRun, line("weights", "two\nlines")), 422, "weights"},
		{"a line with a note of 501 characters", post(asRun, line("note", strings.Repeat("x", 501))), 422, "note"},
		{"a line that saw no revision", post(asRun, line("sheet_revision", "1")), 422, "sheet_revision"},
		{"a line read", get(asRun), 405, ""},
		{"a line taken back that is not there", remove(asRun + "/nothing"), 404, ""},
		{"an outcome at no show", put("/v1/shows/no-such-show/classes/open-4x4/outcome", `{}`), 404, ""},
		{"an outcome of a class the show does not list", put(outcomeAt("garden-1000-lb"), `{"hooks":1}`), 404, ""},
		{"an outcome of no distance", put(outcome, `{"longest_ft":0}`), 422, "longest_ft"},
		{"an outcome of half a pull", put(outcome, `{"hooks":4.5}`), 422, "hooks"},
		{"an outcome of fewer than none", put(outcome, `{"hooks":-1}`), 422, "hooks"},
		{"an outcome of more full pulls than pulls", put(outcome, `{"hooks":3,"full_pulls":4}`), 422, "full_pulls"},
		{"an outcome that felt odd", put(outcome, `{"felt":"odd"}`), 422, "felt"},
		{"an outcome with null", put(outcome, `{"hooks":null}`), 422, "hooks"},
		{"an outcome as a list", put(outcome, `[]`), 422, ""},
		{"an outcome posted", post(outcome, `{}`), 405, ""},

		// Seasons and advice.
		{"a season from some day", get("/v1/season?since=May"), 422, "since"},
		{"a season from no day", get("/v1/season?since=2026-02-30"), 422, "since"},
		{"a season that ends before it begins", get("/v1/season?since=2026-05-02&until=2026-05-01"), 422, "since"},
		{"a season of a class", get("/v1/season?class=open-4x4"), 422, "class"},
		{"advice for no sled", get("/v1/sleds/brome/advice"), 404, ""},
		{"advice for no show", get("/v1/sleds/fescue/advice?show=no-such-show"), 422, "show"},
		{"advice of no readings", get("/v1/sleds/fescue/advice?most=0"), 422, "most"},
		{"advice of a thousand readings", get("/v1/sleds/fescue/advice?most=1000"), 422, "most"},
	}
}
