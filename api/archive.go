package main

import (
	"fmt"
	"io"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/openapi"
)

// ExportFleet writes the whole fleet as one document, as it is read.
func (s *server) ExportFleet(c echo.Context) error {
	s.longer(c)
	name := fmt.Sprintf("evenpull-%s.json", s.now().UTC().Format(time.DateOnly))
	return s.streams.Send(c, reply.Body{ContentType: reply.TypeJSON, Long: true, Head: func(h http.Header) {
		h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
		h.Set(echo.HeaderCacheControl, "no-store")
	}}, func(out io.Writer) error { return s.book.Export(c.Request().Context(), out) }, s.brokeOff(c))
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
