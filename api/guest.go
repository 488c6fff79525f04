package main

import (
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/reply"
	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
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

// encodeGuest says whose a sled is, nil of one's own.
func encodeGuest(name string, g *fleet.Guest) *openapi.Guest {
	if g == nil {
		return nil
	}
	return &openapi.Guest{Owner: g.Owner, AsOf: g.AsOf.Format(time.DateOnly), Detail: words.Guest(name, g)}
}

// encodeGuests are those of some sleds that are guests.
func encodeGuests(sleds []fleet.Sled) map[string]openapi.Guest {
	found := map[string]openapi.Guest{}
	for _, s := range sleds {
		if g := encodeGuest(s.Name, s.Guest); g != nil {
			found[s.ID] = *g
		}
	}
	return found
}

// guestsOf are the sentences of those of two sleds that are guests.
func guestsOf(found book.Equivalents, asked, on string) (said []string) {
	for i, id := range []string{asked, on} {
		if g := found.Guests[id]; g != nil && (i == 0 || id != asked) {
			said = append(said, words.Guest(found.Names[id], g))
		}
	}
	return said
}

// cautionCell is the last cell of every row of an answer as CSV: what it compares, and whose those of its sleds are
// that are guests.
func cautionCell(standing string, sleds ...fleet.Sled) string {
	said := []string{standing}
	for _, s := range sleds {
		if s.Guest != nil {
			said = append(said, spreadsheet.TextWithin(words.Guest(s.Name, s.Guest)))
		}
	}
	return strings.Join(slices.Compact(said), " ")
}

// guests says whether sleds of other crews count.
func guests[T ~string](asked *T) book.Guests { return book.Guests(valueOr(asked, "")) }

func encodeOwnReadings(own []book.OwnReading, units fleet.Units) []openapi.OwnReading {
	return mapSlice(own, func(r book.OwnReading) openapi.OwnReading {
		out := openapi.OwnReading{
			Reading: r.ID, Gear: r.Gear, StartFt: r.StartFt, DistanceFt: r.DistanceFt, MeasuredOn: r.MeasuredOn,
			Fits:   r.Fits,
			Detail: "The owner's chart says nothing of this pull.",
		}
		if e := r.Expected; e != nil {
			out.ExpectedFt, out.LowFt, out.HighFt = &e.TonightFt, &e.TonightLowFt, &e.TonightHighFt
			out.Detail = words.OwnReading(r.DistanceFt, e.TonightFt, e.TonightLowFt, e.TonightHighFt, r.Fits, units)
		}
		return out
	})
}
