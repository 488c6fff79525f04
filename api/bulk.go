package main

import (
	"crypto/sha256"
	"iter"
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/reply"
	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// AddReadings adds many readings, all or nothing.
func (s *server) AddReadings(c echo.Context, p openapi.AddReadingsParams) error {
	dryRun := valueOr(p.DryRun, false)
	if reply.MediaTypeOf(c.Request().Header.Get("Content-Type")) == reply.TypeJSON {
		return s.addBatch(c, dryRun)
	}
	s.longer(c)
	body, err := contract.NewSpool(c.Request().Body)
	if err != nil {
		return err
	}
	defer body.Close()
	upload, err := spreadsheet.Open(body)
	if err != nil {
		return err
	}
	return upload.NameAsSent(s.addRows(c, body.Digest, upload.Rows(), dryRun))
}

// addRows stores the rows, or only checks them.
func (s *server) addRows(c echo.Context, digest [sha256.Size]byte, rows iter.Seq[fleet.Row], dryRun bool) error {
	store := func(w *book.Writer) (reply.Answer, error) {
		added, err := w.AddReadings(rows, book.Request{DryRun: dryRun})
		if err != nil {
			return reply.Answer{}, err
		}
		if added.Accepted == 0 { // of an upload; a list in JSON was counted before
			return reply.Answer{}, spreadsheet.NoRows()
		}
		status := http.StatusCreated
		if dryRun {
			status = http.StatusOK
		}
		return reply.Done(status, openapi.Accepted{Accepted: added.Accepted})
	}
	if dryRun {
		return s.write(c, store)
	}
	return s.once(c, digest, store)
}

// addBatch adds the readings of a JSON list. The first is row 1.
func (s *server) addBatch(c echo.Context, dryRun bool) error {
	batch, err := contract.Decode[openapi.ReadingBatch](c)
	if err != nil {
		return err
	}
	return s.addRows(c, contract.Digest(c), func(yield func(fleet.Row) bool) {
		for i, input := range batch {
			if !yield(fleet.Row{Number: i + 1, Reading: decodeBatchReading(input)}) {
				return
			}
		}
	}, dryRun)
}

func decodeBatchReading(in openapi.BatchReading) fleet.Reading {
	r := decodeReading(openapi.ReadingInput{
		By: in.By, Day: in.Day, DistanceFt: in.DistanceFt, EndFt: in.EndFt, Ended: in.Ended, Gear: in.Gear,
		MarkedBy: in.MarkedBy, MeasuredOn: in.MeasuredOn, Note: in.Note, Place: in.Place, PlusMinusFt: in.PlusMinusFt,
		Replaces: in.Replaces, SpeedMph: in.SpeedMph, StartFt: in.StartFt, Surface: in.Surface, TakenWith: in.TakenWith,
		TirePsi: in.TirePsi, Weights: in.Weights,
	})
	r.Sled = in.Sled
	return r
}
