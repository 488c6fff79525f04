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
	"evenpull/internal/words"
	"evenpull/openapi"
)

// ExportSled writes one sled as a document for another crew, as it is read.
func (s *server) ExportSled(c echo.Context, sled string) error {
	name := fmt.Sprintf("evenpull-sled-%s.json", s.now().UTC().Format(time.DateOnly))
	return s.streams.Send(c, reply.Body{ContentType: reply.TypeJSON, File: name},
		func(out io.Writer) error { return s.book.ExportSled(c.Request().Context(), sled, out) }, s.brokeOff(c))
}

// ImportSled takes in such a document as a guest, or says what that would change.
func (s *server) ImportSled(c echo.Context, p openapi.ImportSledParams) error {
	s.longer(c)
	body, err := contract.NewSpool(c.Request().Body)
	if err != nil {
		return err
	}
	defer body.Close()
	given, err := s.book.ReadSled(body.Reader())
	if err != nil {
		return err
	}
	if valueOr(p.DryRun, false) {
		found, err := s.book.CheckSled(c.Request().Context(), given, valueOr(p.Name, ""))
		if err != nil {
			return err
		}
		answer, err := reply.Done(http.StatusOK, encodeTakenIn(found)) // nothing that a later request could name
		if err != nil {
			return err
		}
		return reply.Send(c, answer)
	}
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		in, err := w.TakeSled(given, valueOr(p.Name, ""))
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.Done(http.StatusOK, encodeTakenIn(in))
	})
}

func encodeTakenIn(in book.TakenIn) openapi.TakenIn {
	return openapi.TakenIn{
		Sled: encodeSled(in.Sled), New: in.New, Corrected: in.Corrected, Readings: in.Readings,
		ReadingsChanged: in.Mended, StillSetAside: in.StillAside, Changes: in.Changes, Weighings: in.Weighings,
		Detail: words.TakenIn(words.Taken{
			Name: in.Sled.Name, Guest: *in.Sled.Guest, New: in.New, Corrected: in.Corrected, Readings: in.Readings,
			ReadingsChanged: in.Mended, StillSetAside: in.StillAside, Changes: in.Changes, Weighings: in.Weighings,
		}),
	}
}
