package main

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The page of answers has its answer fetched ahead of its scripts, by exactly the request that it will make itself.
func TestFetchAhead_OfTheAnswerPageNamesItsAnswer(t *testing.T) {
	t.Parallel()
	p := start(t)
	const bluestemC = "/v1/equivalents?sled=bluestem&gear=C&start_ft=0&on=fescue&units=ft"
	const timothy = "/v1/equivalents?sled=timothy&gear=high+1&start_ft=2.5&on=fescue&units=m"
	for query, link := range map[string]string{
		"/?sled=bluestem&gear=C&start=0&on=fescue":                  ahead(bluestemC),
		"/?on=fescue&gear=high+1&sled=timothy&start=2.5&units=m":    ahead(timothy),
		"/?sled=bluestem&gear=C&on=fescue":                          ahead(bluestemC),
		"/":                                                         "",
		"/?sled=bluestem&gear=C":                                    "",
		"/?sled=bluestem&gear=C&start=2.50&on=fescue":               "", // the page writes 2.5
		"/?sled=bluestem&gear=C&start=-1&on=fescue":                 "",
		"/?sled=bluestem&gear=C&on=fescue&on=timothy":               "",
		"/?sled=bluestem&gear=%3E%0D%0ASet-Cookie:%20a=b&on=fescue": "",
		"/?sled=bluestem&gear=C%C3%A9&start=0&on=fescue":            "",
		"/fleet?sled=bluestem&gear=C&start=0&on=fescue":             "",
	} {
		got := p.do(get(query))
		assert.Equal(t, 200, got.StatusCode, query)
		assert.Equal(t, link, first(data(got)), query)
		assert.Empty(t, got.Header.Get("Set-Cookie"), query)
		if link != "" {
			assert.Contains(t, got.Header.Values("Link"), ahead("/v1/sleds?limit=500"), query)
			assert.Equal(t, "</assets/frame/base.css>; rel=preload; as=style", got.Header.Get("Link"),
				"before all data")
			assert.Contains(t, got.Header.Values("Link"), "</assets/tonight/tonight.css>; rel=preload; as=style")
		}
	}
}

// The pullers' page has the sheet of its show, and on that show's sled the answer to its question, fetched ahead in the
// same way.
func TestFetchAhead_OfThePullersPageNamesItsAnswer(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	sheet, sleds := ahead("/v1/shows/"+harvest+"/sheet?units=ft"), ahead("/v1/sleds?limit=500")
	for query, links := range map[string][]string{
		"?show=" + harvest: {sheet, sleds},
		"?show=" + harvest + "&sled=bluestem&gear=C&start=1.5&units=m": {
			ahead("/v1/shows/" + harvest + "/sheet?units=m"), sleds,
			ahead("/v1/equivalents?sled=bluestem&gear=C&start_ft=1.5&on=fescue&units=m&day=" + harvest),
		},
		"?show=" + harvest + "&sled=bluestem": {sheet, sleds},
		"?show=" + harvest + "&sled=fescue&gear=2": {
			sheet, sleds, ahead("/v1/equivalents?sled=fescue&gear=2&start_ft=0&on=fescue&units=ft&day=" + harvest),
		},
		"?show=" + harvest + "&show=" + harvest + "&sled=bluestem": nil,
		"?show=nobody-2099-01-01&sled=bluestem&gear=C":             nil,
		"?show=..%2F..%2Fetc&sled=bluestem&gear=C":                 nil,
		"?show=": nil,
		// without one it looks for the show of the day
		"?sled=bluestem&gear=C": {ahead("/v1/shows?limit=100"), sleds},
		"":                      {ahead("/v1/shows?limit=100"), sleds},
	} {
		got := p.do(get("/pullers" + query))
		assert.Equal(t, 200, got.StatusCode, query)
		assert.Equal(t, links, data(got), query)
	}
}

// The page of a part of a show names the part's modules, and what these ask for at first; that of all shows names those
// of the list.
func TestFetchAhead_OfAShowNamesItsPart(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	smallSeason(t, p)
	show, sleds := ahead("/v1/shows/"+harvest), ahead("/v1/sleds?limit=500")
	sheet := ahead("/v1/shows/" + harvest + "/sheet?units=ft")
	candidates, classes := ahead("/v1/shows/"+harvest+"/candidates?units=m"), ahead("/v1/classes?limit=500")
	list := []string{ahead("/v1/shows?limit=500"), classes, sleds}
	for query, want := range map[string]struct {
		part  string
		links []string
	}{
		"?show=" + harvest:                              {"sheet", []string{show, sleds, sheet}},
		"?show=" + harvest + "&part=nothing":            {"sheet", []string{show, sleds, sheet}},
		"?show=" + harvest + "&part=run":                {"run", []string{show, sleds, sheet}},
		"?show=" + harvest + "&part=book&units=m":       {"book", []string{show, sleds, candidates}},
		"?show=" + harvest + "&part=settings":           {"settings", []string{show, sleds, classes}},
		"?show=" + harvest + "&part=run&with_date=true": {"run", nil},
		"?show=nobody-2099-01-01":                       {"sheet", nil},
		"?show=":                                        {"", list},
		"?part=run":                                     {"", list},
	} {
		got := p.do(get("/shows" + query))
		assert.Equal(t, 200, got.StatusCode, query)
		assert.Equal(t, want.links, data(got), query)
		var parts []string
		for _, part := range []string{"sheet", "run", "book", "settings"} {
			if preloaded(got, "/assets/shows/show/"+part+"part.js") {
				parts = append(parts, part)
			}
		}
		assert.Equal(t, want.part == "", preloaded(got, "/assets/shows/list.js"), query)
		assert.Equal(t, want.part, strings.Join(parts, " "), query)
	}
}

// The page of one sled names its modules, that of all sleds those of the list.
func TestFetchAhead_OfASledNamesItsModules(t *testing.T) {
	t.Parallel()
	p := start(t)
	list := []string{ahead("/v1/sleds?limit=500"), ahead("/v1/demo")}
	assert.Equal(t, list[:1], data(p.do(get("/note?sled=bluestem"))))
	for query, one := range map[string]bool{"": false, "?sled=": false, "?sled=bluestem": true, "?sled=nobody": true} {
		got := p.do(get("/fleet" + query))
		assert.Equal(t, map[bool][]string{false: list}[one], data(got), query)
		assert.Equal(t, 200, got.StatusCode, query)
		assert.Equal(t, one, preloaded(got, "/assets/fleet/sled/page.js"), query)
		assert.Equal(t, one, preloaded(got, "/assets/fleet/sled/chart.js"), query)
		assert.Equal(t, !one, preloaded(got, "/assets/fleet/list.js"), query)
	}
}

// preloaded is whether a page has a module fetched before its scripts run.
func preloaded(page response, module string) bool {
	return strings.Contains(string(page.body), `<link rel="modulepreload" href="`+module+`" fetchpriority="low">`)
}

// What was chosen last counts where the address says nothing, as on the page.
func TestFetchAhead_IsInTheUnitsThatThePageShows(t *testing.T) {
	t.Parallel()
	p := start(t)
	for chosen, want := range map[string]string{"m": "m", "ft": "ft", "furlongs": "ft"} {
		cookie := &http.Cookie{Name: "evenpull-units", Value: chosen}
		for query, units := range map[string]string{"": want, "&units=m": "m", "&units=ft": "ft", "&units=yd": want} {
			got := p.do(get("/?sled=bluestem&gear=C&on=fescue" + query).signedIn(cookie))
			assert.Equal(t, ahead("/v1/equivalents?sled=bluestem&gear=C&start_ft=0&on=fescue&units="+units),
				first(data(got)), chosen+query)
		}
	}
}

// Which sled a show has booked is nobody's business on a private installation, nor whether there is such a show.
func TestFetchAhead_OfAPrivatePullersPageNamesNothing(t *testing.T) {
	t.Parallel()
	p := start(t, "--private")
	smallFleet(t, p)
	smallSeason(t, p)
	got := p.do(get("/pullers?show=" + harvest + "&sled=bluestem&gear=C")) // without a key, as every GET here
	assert.Equal(t, 200, got.StatusCode)
	assert.Empty(t, got.Header.Values("Link"))
	for _, page := range []string{"/shows?show=" + harvest, "/shows", "/fleet", "/note", "/pullers"} {
		assert.Empty(t, p.do(get(page)).Header.Values("Link"), page)
	}
}

// data is what a page has fetched ahead besides its style sheets.
func data(page response) (links []string) {
	for _, link := range page.Header.Values("Link") {
		if !strings.HasSuffix(link, "; as=style") {
			links = append(links, link)
		}
	}
	return links
}

func first(links []string) string { return append(links, "")[0] }

func ahead(address string) string { return "<" + address + ">; rel=preload; as=fetch; crossorigin" }
