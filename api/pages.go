package main

import (
	"fmt"
	"io/fs"
	"net/http"
	"net/url"
	"path"
	"regexp"

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

// readPages reads all files once. They are a few hundred kilobytes, and built in.
func readPages(files fs.FS) (pages, error) {
	all := pages{}
	err := fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
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
			if body, err = preloaded(files, body); err != nil {
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

// tonight serves the page of answers. One that comes with its question is told to fetch the answer, and the sleds, at once: over a
// poor line that would else begin only after all scripts have come.
func (s *server) tonight(c echo.Context) error {
	if question, ok := asTonightAsks(c.QueryParams()); ok {
		for _, needed := range []string{question, "/v1/sleds?limit=500"} {
			c.Response().Header().Add("Link", "<"+needed+">; rel=preload; as=fetch; crossorigin")
		}
	}
	return s.sendFile(c, "index.html")
}

var (
	plainWords = regexp.MustCompile(`^[A-Za-z0-9 ._-]{1,64}$`) // which every browser writes alike in a query
	plainStart = regexp.MustCompile(`^(0|[1-9][0-9]?[0-9]?)(\.[0-9]{0,3}[1-9])?$`)
)

// asTonightAsks is the request that the page makes for a question in its own address (tonight.js), letter by letter, as a browser
// takes no other; false where the question is not whole or could be written in another way.
func asTonightAsks(of url.Values) (string, bool) {
	start := of.Get("start")
	if start == "" {
		start = "0"
	}
	for _, name := range []string{"sled", "gear", "on"} {
		if len(of[name]) != 1 || !plainWords.MatchString(of.Get(name)) {
			return "", false
		}
	}
	if !plainStart.MatchString(start) {
		return "", false
	}
	return fmt.Sprintf("/v1/equivalents?sled=%s&gear=%s&start_ft=%s&on=%s",
		url.QueryEscape(of.Get("sled")), url.QueryEscape(of.Get("gear")), start, url.QueryEscape(of.Get("on"))), true
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
