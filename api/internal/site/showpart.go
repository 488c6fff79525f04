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

const (
	showsPage   = "shows.html"
	showModules = "assets/shows/show"
	firstPart   = "sheet" // of a show whose address names no part
)

// Shows serves the page of shows. One that comes with a show names the modules of its part: shows.js imports them only
// when it runs, and over a poor line they would come two journeys later. What the part asks for is fetched with them.
func (p Pages) Shows(reader Reader) echo.HandlerFunc {
	return func(c echo.Context) error {
		of := c.QueryParams()
		show, part := of.Get("show"), of.Get("part")
		if show == "" {
			return p.send(c, showsPage)
		}
		if _, ok := p.files[showPart(part)]; !ok {
			part = firstPart
		}
		if _, _, ok := reader.Booked(c, show); ok && plainWords.MatchString(show) && !of.Has("with_date") {
			p.fetchAhead(c, showsPage, aheadOfPart(part, show, unitsOfPage(c))...)
		}
		return p.send(c, showPart(part))
	}
}

// showPart names the document of a part of a show among the files.
func showPart(part string) string { return showsPage + "?part=" + part }

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

// readShowParts makes the document of each part of a show. A part is a module named after it.
func (p Pages) readShowParts(files fs.FS) error {
	modules, err := fs.Glob(files, showModules+"/*part.js")
	if err != nil {
		return err
	}
	bare := p.files[showsPage].plain.Body
	for _, module := range modules {
		links, err := preloads(files, bare, module, path.Join(showModules, "page.js"))
		if err != nil {
			return err
		}
		body, err := p.document(showsPage, links, nil)
		if err != nil {
			return err
		}
		name := showPart(strings.TrimSuffix(path.Base(module), "part.js"))
		p.files[name] = fileOf(contentTypes[".html"], body)
	}
	return nil
}
