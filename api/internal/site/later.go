package site

import (
	"fmt"
	"io/fs"
	"net/url"
	"path"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
)

// The pages whose script imports what their address asks for only as it runs. Over a poor line that would come two
// journeys later, so their documents name those modules as well.
const (
	firstPart = "sheet" // of a show whose address names no part
	oneSled   = "sled"
)

// variant names the document of a page for some addresses among the files.
func variant(page, of string) string { return page + "?" + of }

// Fleet serves the page of the sleds, or of one.
func (p Pages) Fleet(reader Reader) echo.HandlerFunc {
	list := p.Listing(fleetPage, reader)
	return func(c echo.Context) error {
		if c.QueryParams().Get("sled") == "" {
			return list(c)
		}
		return p.send(c, variant(fleetPage, oneSled))
	}
}

// Shows serves the page of the shows, or of a part of one. What the part asks for is fetched with its modules.
func (p Pages) Shows(reader Reader) echo.HandlerFunc {
	list := p.Listing(showsPage, reader)
	return func(c echo.Context) error {
		of := c.QueryParams()
		show, part := of.Get("show"), of.Get("part")
		if show == "" {
			return list(c)
		}
		if _, ok := p.files[variant(showsPage, part)]; !ok {
			part = firstPart
		}
		if _, _, ok := reader.Booked(c, show); ok && plainWords.MatchString(show) && !of.Has("with_date") {
			p.fetchAhead(c, showsPage, aheadOfPart(part, show, unitsOfPage(c))...)
		}
		return p.send(c, variant(showsPage, part))
	}
}

// aheadOfPart is what page.js and the module of a part ask for at first.
func aheadOfPart(part, show string, units fleet.Units) []string {
	address := "/v1/shows/" + url.PathEscape(show)
	ahead := []string{address, everySled}
	switch part {
	case "sheet", "run":
		ahead = append(ahead, fmt.Sprintf("%s/sheet?units=%s", address, units))
	case "book":
		ahead = append(ahead, fmt.Sprintf("%s/candidates?units=%s", address, units))
	case "settings":
		ahead = append(ahead, "/v1/classes?limit=500")
	}
	return ahead
}

// readVariants makes the documents of these pages. A part of a show is a module named after it.
func (p Pages) readVariants(files fs.FS, scripts modules) error {
	later := map[string][]string{
		fleetPage:                   {"assets/fleet/add.js", "assets/fleet/list.js"},
		variant(fleetPage, oneSled): {"assets/fleet/sled/page.js"},
		showsPage:                   {"assets/shows/list.js"},
	}
	parts, err := fs.Glob(files, "assets/shows/show/*part.js")
	if err != nil {
		return err
	}
	for _, module := range parts {
		name := variant(showsPage, strings.TrimSuffix(path.Base(module), "part.js"))
		later[name] = []string{"assets/shows/show/page.js", module}
	}
	for name, loaded := range later {
		page, _, _ := strings.Cut(name, "?")
		bare, err := p.document(page, nil, nil)
		if err != nil {
			return err
		}
		links, err := scripts.preloads(bare, loaded...)
		if err != nil {
			return err
		}
		body, err := p.document(page, links, nil)
		if err != nil {
			return err
		}
		p.files[name] = fileOf(contentTypes[".html"], body)
	}
	return nil
}
