package main

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ExportFleet sends the whole fleet as one document, once it is written. Where there is no room for that, whoever wants
// to take the fleet out gets it as it is read.
func (s *server) ExportFleet(c echo.Context) error {
	s.longer(c)
	name := fmt.Sprintf("evenpull-%s.json", s.now().UTC().Format(time.DateOnly))
	body := reply.Body{ContentType: reply.TypeJSON, File: name, Long: true}
	return s.streams.Send(c, body, func(out io.Writer) error {
		export := func(out io.Writer) error { return s.book.Export(c.Request().Context(), out) }
		document, err := contract.Spooled(export)
		var refused *fleet.Error
		if errors.As(err, &refused) {
			return export(out)
		}
		if err != nil {
			return err
		}
		defer document.Close()
		_, err = io.Copy(out, document.Reader())
		return err
	}, s.brokeOff(c))
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
