package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/site"
	"evenpull/openapi"
)

// pages are the addresses of the pages and of what watches over the program.
func (t *routeTable) pages(s *server, p site.Pages) {
	reader := t.pageReader(s)
	t.both("/", p.Tonight(reader))
	t.both("/shows", p.Shows(reader))
	t.both("/pullers", p.Pullers(reader))
	t.both("/fleet", p.Fleet(reader))
	t.both("/note", p.Listing("note.html", reader))
	for _, name := range []string{
		"sheet", "fence", "season", "lever", "inspection", "parts", "what-if", "weights", "alike", "admin", "sign-in",
		"help", "worked-out", "measuring", "weighing", "docs",
	} {
		t.both("/"+name, p.Page(name+".html"))
	}
	t.both("/assets/*", p.Asset)
	t.both("/sw.js", p.Page("sw.js")) // at the root, so that it may answer for every page
	t.both("/metrics", echo.WrapHandler(s.metrics.Handler()), t.rates.Reads, t.rights.Readers())
}

// pageReader tells the pages what their readers may read. An answer is asked for like any other, with all the rules of
// its route: who may, how often, what is cached. Where that is refused, or goes wrong, the page does without, and says
// why once its scripts have asked again.
func (t *routeTable) pageReader(s *server) site.Reader {
	h := openapi.ServerInterfaceWrapper{Handler: s}
	equivalents := through(h.GetEquivalents, t.chain(http.MethodGet, "/v1/equivalents"))
	mayRead := t.rights.Readers()(func(echo.Context) error { return nil })
	mayAsk := t.rates.Reads(mayRead)
	if s.private {
		mayRead = mayAsk // who is signed in stands in the database
	}
	passes := func(by echo.HandlerFunc, c echo.Context, address string) bool {
		within, _, err := inside(c, address)
		return err == nil && by(within) == nil
	}
	return site.Reader{
		Reads: func(c echo.Context) bool { return passes(mayRead, c, "/v1/sleds") },
		Answer: func(c echo.Context, address string) (words *openapi.InWords, caution string, ok bool) {
			var found openapi.Equivalents
			if err := read(c, equivalents, address, &found); err != nil || len(found.Answers) != 1 {
				return nil, "", false
			}
			return found.Answers[0].InWords, found.Caution, found.Answers[0].InWords != nil
		},
		Booked: func(c echo.Context, id string) (sled, day string, ok bool) {
			if !passes(mayAsk, c, "/v1/shows/"+url.PathEscape(id)) {
				return "", "", false
			}
			found, err := s.book.Show(c.Request().Context(), id)
			return found.Sled, found.Day(), err == nil
		},
	}
}

// through is a handler behind what a request runs through on its way to it.
func through(h echo.HandlerFunc, chain []echo.MiddlewareFunc) echo.HandlerFunc {
	for i := len(chain) - 1; i >= 0; i-- {
		h = chain[i](h)
	}
	return h
}

// inside is a request for an address by whoever made the request of c, and where its answer goes.
func inside(c echo.Context, address string) (echo.Context, *answered, error) {
	at, err := url.Parse(address)
	if err != nil {
		return nil, nil, err
	}
	r := c.Request().Clone(c.Request().Context())
	r.Method, r.URL, r.RequestURI = http.MethodGet, at, address
	r.Header.Del("If-None-Match")
	w := &answered{header: http.Header{}}
	return c.Echo().NewContext(r, w), w, nil
}

// read has a handler answer a request for an address, in JSON.
func read(c echo.Context, h echo.HandlerFunc, address string, into any) error {
	within, w, err := inside(c, address)
	if err != nil {
		return err
	}
	if err := h(within); err != nil {
		return err
	}
	var body io.Reader = &w.body
	if w.header.Get(echo.HeaderContentEncoding) == "gzip" {
		if body, err = gzip.NewReader(body); err != nil {
			return fmt.Errorf("unpacking what %s answers: %w", address, err)
		}
	}
	return json.NewDecoder(body).Decode(into)
}

// answered keeps an answer.
type answered struct {
	header http.Header
	body   bytes.Buffer
}

func (w *answered) Header() http.Header         { return w.header }
func (w *answered) WriteHeader(int)             {}
func (w *answered) Write(p []byte) (int, error) { return w.body.Write(p) }
