package site

import (
	"context"
	"fmt"
	"net/url"
	"regexp"

	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
)

// everySled is the request for the sleds that both pages of answers make.
const everySled = "/v1/sleds?limit=500"

// Tonight serves the page of answers. One that comes with its question is told to fetch the answer, and the sleds, at
// once: over a poor line that would else begin only after all scripts have come.
func (p Pages) Tonight(c echo.Context) error {
	of := c.QueryParams()
	if question, ok := asPagesAsk(of, once(of, "on"), unitsOfPage(c)); ok {
		fetchAhead(c, question, everySled)
	}
	return p.send(c, "index.html")
}

// Pullers serves the page for pullers. One that comes with a show, as from the code at the fence, is told to fetch its
// sheet and the sleds at once, and with a gear that somebody ran on another sled the answer too: the page itself learns
// which sled the show has only from the sheet. sledOf says which sled a show has booked; it is nil where strangers are
// told nothing of shows, in this way neither.
func (p Pages) Pullers(sledOf func(ctx context.Context, show string) (sled string, err error)) echo.HandlerFunc {
	return func(c echo.Context) error {
		of := c.QueryParams()
		if id := once(of, "show"); sledOf != nil && plainWords.MatchString(id) {
			if sled, err := sledOf(c.Request().Context(), id); err == nil {
				units := unitsOfPage(c)
				fetchAhead(c, fmt.Sprintf("/v1/shows/%s/sheet?units=%s", url.PathEscape(id), units), everySled)
				if question, ok := asPagesAsk(of, sled, units); ok && once(of, "sled") != sled {
					fetchAhead(c, question)
				}
			}
		}
		return p.send(c, "pullers.html")
	}
}

// fetchAhead has the browser fetch addresses before the page asks for them.
func fetchAhead(c echo.Context, addresses ...string) {
	for _, at := range addresses {
		c.Response().Header().Add("Link", "<"+at+">; rel=preload; as=fetch; crossorigin")
	}
}

var (
	plainWords = regexp.MustCompile(`^[A-Za-z0-9 ._-]{1,64}$`) // which every browser writes alike in a query
	plainStart = regexp.MustCompile(`^(0|[1-9][0-9]?[0-9]?)(\.[0-9]{0,3}[1-9])?$`)
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

// asPagesAsk is the request that tonight.js and pullers.js make for a question in their own address, on a sled and in
// these units, letter by letter, as a browser takes no other; false where the question is not whole or could be written
// in another way.
func asPagesAsk(of url.Values, on string, units fleet.Units) (string, bool) {
	sled, gear, start := once(of, "sled"), once(of, "gear"), of.Get("start")
	if start == "" {
		start = "0"
	}
	for _, word := range []string{sled, gear, on} {
		if !plainWords.MatchString(word) {
			return "", false
		}
	}
	if !plainStart.MatchString(start) {
		return "", false
	}
	return fmt.Sprintf("/v1/equivalents?sled=%s&gear=%s&start_ft=%s&on=%s&units=%s",
		url.QueryEscape(sled), url.QueryEscape(gear), start, url.QueryEscape(on), units), true
}

// once is a parameter that is given once; "" for any other.
func once(of url.Values, name string) string {
	if len(of[name]) != 1 {
		return ""
	}
	return of.Get(name)
}
