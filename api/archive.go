package main

import (
	"compress/gzip"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/openapi"
)

// ExportFleet writes the whole fleet as one document, as it is read: it is never all in memory. What goes wrong once it
// has begun breaks the connection off, so that half a document is not taken for a whole one.
func (s *server) ExportFleet(c echo.Context) error {
	s.longer(c)
	r := c.Response()
	name := fmt.Sprintf("evenpull-%s.json", s.now().UTC().Format(time.DateOnly))
	begun := &begins{do: func() {
		h := r.Header()
		h.Set("Content-Type", reply.TypeJSON)
		h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
		h.Set(echo.HeaderCacheControl, "no-store")
		h.Set("Vary", "Accept-Encoding")
		if reply.TakesGzip(c.Request().Header) {
			h.Set("Content-Encoding", "gzip")
		}
		r.WriteHeader(http.StatusOK)
	}, Writer: r}
	if c.Request().Method == http.MethodHead { // as a GET would begin, without going through the fleet for nothing
		begun.do()
		return nil
	}
	var out io.Writer = begun
	var zip *gzip.Writer
	if reply.TakesGzip(c.Request().Header) {
		zip, _ = gzip.NewWriterLevel(begun, gzip.BestSpeed) // a level that there is
		out = zip
	}
	err := s.book.Export(c.Request().Context(), out)
	if err == nil && zip != nil {
		err = zip.Close()
	}
	if err != nil && begun.yes {
		ctx, level := c.Request().Context(), slog.LevelError
		if ctx.Err() != nil { // whoever asked has gone away
			level = slog.LevelInfo
		}
		s.log.Log(ctx, level, "an export broke off", "error", err)
		panic(http.ErrAbortHandler)
	}
	return err
}

// begins does something before the first byte is written.
type begins struct {
	io.Writer
	do  func()
	yes bool
}

func (b *begins) Write(p []byte) (int, error) {
	if !b.yes {
		b.yes = true
		b.do()
	}
	return b.Writer.Write(p)
}

// ImportFleet fills an empty database from such a document.
func (s *server) ImportFleet(c echo.Context) error {
	s.longer(c)
	body, err := contract.NewSpool(c.Request().Body)
	if err != nil {
		return err
	}
	defer body.Close()
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		got, err := w.Import(body.Reader())
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.Done(http.StatusOK,
			openapi.Imported{Sleds: got.Sleds, Readings: got.Readings, Classes: got.Classes, Shows: got.Shows,
				Weighings: nilIfZero(got.Weighings)})
	})
}
