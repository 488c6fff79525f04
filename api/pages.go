package main

import (
	"bytes"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"

	"github.com/labstack/echo/v4"
)

// pages are the files of the front end by their path, each as it is sent and, where that is shorter, compressed.
type pages map[string]page

type page struct{ plain, zipped answer }

// contentTypes are fixed here, because what Go finds by itself depends on the machine.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".mjs": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".png": "image/png", ".ico": "image/x-icon",
	".json": "application/json", ".webmanifest": "application/manifest+json", ".csv": "text/csv; charset=utf-8", ".woff2": "font/woff2",
}

// sharedParts is the file with what the documents share: head, header and footer.
const sharedParts = "frame.tmpl"

// readPages reads all files once. They are a few hundred kilobytes, and built in.
func readPages(files fs.FS) (pages, error) {
	documents, err := template.ParseFS(files, sharedParts, "*.html")
	if err != nil {
		return nil, fmt.Errorf("reading the pages: %w", err)
	}
	all := pages{}
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
		plain := answer{status: http.StatusOK, contentType: contentType, etag: etagOf(body), body: body}
		all[name] = page{plain, plain.zipped()}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("reading the pages: %w", err)
	}
	return all, nil
}

// page serves one page.
func (s *server) page(name string) echo.HandlerFunc {
	return func(c echo.Context) error { return s.sendFile(c, name) }
}

// asset serves what the pages need.
func (s *server) asset(c echo.Context) error { return s.sendFile(c, "assets/"+c.Param("*")) }

func (s *server) sendFile(c echo.Context, name string) error {
	file, ok := s.pages[name]
	if !ok {
		return echo.ErrNotFound
	}
	if takesGzip(c.Request().Header) && len(file.zipped.body) < len(file.plain.body) {
		return send(c, file.zipped)
	}
	return send(c, file.plain)
}
