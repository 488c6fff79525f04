// Package site serves the pages and what they need: the files themselves, what is fetched ahead of their scripts, and
// the headers that tell browsers what they must not do.
package site

import (
	"bytes"
	"fmt"
	"html/template"
	"io/fs"
	"path"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
)

// Pages are the files of the front end by their path, each as it is sent and, where that is shorter, compressed.
type Pages map[string]file

type file struct{ plain, zipped reply.Answer }

// contentTypes are fixed here, because what Go finds by itself depends on the machine.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".mjs": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".png": "image/png", ".ico": "image/x-icon",
	".json": "application/json", ".webmanifest": "application/manifest+json", ".csv": "text/csv; charset=utf-8",
	".woff2": "font/woff2",
}

// sharedParts is the file with what the documents share: head, header and footer.
const sharedParts = "frame.tmpl"

// Read reads all files once. They are a few hundred kilobytes, and built in.
func Read(files fs.FS) (Pages, error) {
	documents, err := template.ParseFS(files, sharedParts, "*.html")
	if err != nil {
		return nil, fmt.Errorf("reading the pages: %w", err)
	}
	all := Pages{}
	err = fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		contentType, known := contentTypes[path.Ext(name)]
		if !known {
			return nil
		}
		body, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		if path.Ext(name) == ".html" {
			var filled bytes.Buffer
			if err := documents.ExecuteTemplate(&filled, name, nil); err != nil {
				return err
			}
			if body, err = preloaded(files, filled.Bytes()); err != nil {
				return err
			}
		}
		plain := reply.Of(contentType, body)
		all[name] = file{plain, plain.Zipped()}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("reading the pages: %w", err)
	}
	return all, nil
}

// Page serves one page.
func (p Pages) Page(name string) echo.HandlerFunc {
	return func(c echo.Context) error { return p.send(c, name) }
}

// Asset serves what the pages need.
func (p Pages) Asset(c echo.Context) error { return p.send(c, "assets/"+c.Param("*")) }

func (p Pages) send(c echo.Context, name string) error {
	found, ok := p[name]
	if !ok {
		return echo.ErrNotFound
	}
	if reply.TakesGzip(c.Request().Header) && len(found.zipped.Body) < len(found.plain.Body) {
		return reply.Send(c, found.zipped)
	}
	return reply.Send(c, found.plain)
}
