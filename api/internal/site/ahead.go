package site

import (
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// everySled is the request for the sleds that both pages of answers make.
const everySled = "/v1/sleds?limit=500"

const fleetPage, notePage, pullersPage, showsPage = "fleet.html", "note.html", "pullers.html", "shows.html"

// Reader asks the API on behalf of whoever opens a page. The functions say false where that reader is told nothing.
type Reader struct {
	// Reads says whether the lists are shown to that reader.
	Reads func(c echo.Context) bool
	// Answer is the answer to one question, by its address under /v1/equivalents, in words, and its caution.
	Answer func(c echo.Context, address string) (words *openapi.InWords, caution string, ok bool)
	// Booked says which sled a show has booked, and the name of its test day.
	Booked func(c echo.Context, show string) (sled, day string, ok bool)
}

// Listing serves a page that asks for lists whatever its address is, and has them fetched at once.
func (p Pages) Listing(name string, reader Reader) echo.HandlerFunc {
	return func(c echo.Context) error {
		if reader.Reads(c) {
			p.fetchAhead(c, name, listsOf[name]...)
		}
		return p.send(c, name)
	}
}

// listsOf are the requests that these pages make at first where their address names nothing.
var listsOf = map[string][]string{
	fleetPage:   {everySled, "/v1/demo"},
	notePage:    {everySled},
	pullersPage: {"/v1/shows?limit=100", everySled},
	showsPage:   {"/v1/shows?limit=500", "/v1/classes?limit=500", everySled},
}

// Tonight serves the page of answers. One that comes with its question holds the answer in words, and is told to fetch
// all of it, and the sleds, at once: over a poor line both would else begin only after all scripts have come.
func (p Pages) Tonight(reader Reader) echo.HandlerFunc {
	return func(c echo.Context) error {
		of := c.QueryParams()
		on, start := once(of, "on"), startOf(of)
		asked, ok := asPagesAsk(of, "start_ft="+start)
		if !ok || !isWord(on) || !plainStart.MatchString(start) || once(of, "sled") == on {
			return p.send(c, "index.html")
		}
		address := asked.on(on, unitsOfPage(c))
		if asked.plain && plainWords.MatchString(on) {
			p.fetchAhead(c, "index.html", address, everySled)
		}
		return p.answered(c, "index.html", address, reader)
	}
}

// Pullers serves the page for pullers. One that comes with a show, as from the code at the fence, is told to fetch its
// sheet and the sleds at once; with what somebody ran it holds the answer in words as well: the page itself learns
// which sled the show has only from the sheet.
func (p Pages) Pullers(reader Reader) echo.HandlerFunc {
	return func(c echo.Context) error {
		of := c.QueryParams()
		if !of.Has("show") {
			return p.Listing(pullersPage, reader)(c)
		}
		id := once(of, "show")
		if !isWord(id) {
			return p.send(c, pullersPage)
		}
		sled, day, ok := reader.Booked(c, id)
		if !ok {
			return p.send(c, pullersPage)
		}
		units, plain := unitsOfPage(c), plainWords.MatchString(id)
		if plain {
			p.fetchAhead(c, pullersPage, fmt.Sprintf("/v1/shows/%s/sheet?units=%s", url.PathEscape(id), units),
				everySled)
		}
		asked, ok := asPagesAsk(of, "one_pull=true")
		if !ok || sled == "" {
			return p.send(c, pullersPage)
		}
		address := asked.on(sled, units) + "&day=" + asBrowsersWrite(day)
		if plain && asked.plain && plainWords.MatchString(sled) {
			p.fetchAhead(c, pullersPage, address)
		}
		return p.answered(c, pullersPage, address, reader)
	}
}

// answered serves a page with the answer to its question, or bare where its reader gets none.
func (p Pages) answered(c echo.Context, name, address string, reader Reader) error {
	words, caution, ok := reader.Answer(c, address)
	if !ok {
		return p.send(c, name)
	}
	return p.sendWith(c, name, answer{words, caution, c.QueryParams().Has("top_out")})
}

// fetchAhead has the browser fetch addresses before the page asks for them. The page's style sheets come first: nothing
// is painted before them, while the answer is in the page already.
func (p Pages) fetchAhead(c echo.Context, name string, addresses ...string) {
	header := c.Response().Header()
	if header.Get("Link") == "" {
		for _, at := range p.styles[name] {
			header.Add("Link", "<"+at+">; rel=preload; as=style")
		}
	}
	for _, at := range addresses {
		header.Add("Link", "<"+at+">; rel=preload; as=fetch; crossorigin")
	}
}

var (
	plainWords = regexp.MustCompile(`^[A-Za-z0-9 ._-]{1,64}$`) // which every browser writes alike in a query
	plainStart = regexp.MustCompile(`^(0|[1-9][0-9]{0,2})(\.[0-9]{0,3}[1-9])?$`)
	plainFar   = regexp.MustCompile(`^[1-9][0-9]{0,4}(\.[0-9]{0,3}[1-9])?$`)
)

// unitsCookie is where units.js remembers the units that somebody has chosen.
const unitsCookie = "evenpull-units"

// unitsOfPage are the units that a page will show: those of its own address, else those that were chosen last, else
// feet.
func unitsOfPage(c echo.Context) fleet.Units {
	units := fleet.Units(c.QueryParam("units"))
	if units != fleet.InFeet && units != fleet.InMeters {
		if chosen, err := c.Cookie(unitsCookie); err == nil {
			units = fleet.Units(chosen.Value)
		}
	}
	if units == fleet.InMeters {
		return units
	}
	return fleet.InFeet
}

// question is what a page will ask of the API.
type question struct {
	query string // what is asked about, the first parameters
	plain bool   // every browser will write it in just this way
}

// on is the address of the answer for one sled, in these units.
func (q question) on(sled string, units fleet.Units) string {
	return fmt.Sprintf("/v1/equivalents?%s&on=%s&units=%s", q.query, asBrowsersWrite(sled), units)
}

// asPagesAsk is what tonight.js and pullers.js make of the question in their own address: a gear on a sled from some
// start, or in place of those a distance, to which beside is added; false where the question is not whole.
func asPagesAsk(of url.Values, beside string) (question, bool) {
	if of.Has("top_out") {
		far := once(of, "top_out")
		return question{query: "top_out_ft=" + far + "&" + beside, plain: true}, plainFar.MatchString(far)
	}
	sled, gear, start := once(of, "sled"), once(of, "gear"), startOf(of)
	if !isWord(sled) || !isWord(gear) || !plainStart.MatchString(start) {
		return question{}, false
	}
	return question{
		query: fmt.Sprintf("sled=%s&gear=%s&start_ft=%s", asBrowsersWrite(sled), asBrowsersWrite(gear), start),
		plain: plainWords.MatchString(sled) && plainWords.MatchString(gear),
	}, true
}

// isWord says whether a browser sends a word on as it came.
func isWord(word string) bool { return word != "" && utf8.ValidString(word) }

// startOf is where the box starts, as it is written in a page's address.
func startOf(of url.Values) string {
	if start := of.Get("start"); start != "" {
		return start
	}
	return "0"
}

// asBrowsersWrite is a word in a query as URLSearchParams writes it (URL Standard, section 5.2).
func asBrowsersWrite(word string) string {
	return strings.NewReplacer("%2A", "*", "~", "%7E").Replace(url.QueryEscape(word))
}

// once is a parameter that is given once; "" for any other.
func once(of url.Values, name string) string {
	if len(of[name]) != 1 {
		return ""
	}
	return of.Get(name)
}
