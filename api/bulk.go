package main

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"iter"
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// How long sending and storing a large import may take, beyond what other requests get.
const bulkTime = 10 * time.Minute

// AddReadings adds many readings, all or nothing.
func (s *server) AddReadings(c echo.Context, p openapi.AddReadingsParams) error {
	dryRun := or(p.DryRun, false)
	if mediaTypeOf(c.Request().Header.Get("Content-Type")) == typeJSON {
		return s.addRows(c, sha256.Sum256(sentIn(c).raw), s.contract.batchRows(sentIn(c)), dryRun)
	}
	s.longer(c)
	body, err := spoolBody(c.Request().Body)
	if err != nil {
		return err
	}
	defer body.Close()
	sheet, err := openImportSheet(body)
	if err != nil {
		return err
	}
	return sheet.nameAsSent(s.addRows(c, body.digest, sheet.rows(), dryRun))
}

// addRows stores the rows, or only checks them.
func (s *server) addRows(c echo.Context, digest [sha256.Size]byte, rows iter.Seq[book.Row], dryRun bool) error {
	store := func(w *book.Writer) (answer, error) {
		count, err := w.AddReadings(rows, dryRun)
		if err != nil {
			return answer{}, err
		}
		if count == 0 { // of a sheet; a list in JSON was counted before
			return answer{}, headingFault("", "there are no readings under the headings")
		}
		status := http.StatusCreated
		if dryRun {
			status = http.StatusOK
		}
		a, err := jsonAnswer(status, openapi.Accepted{Accepted: count})
		a.etag = "" // a count is no state of anything
		return a, err
	}
	if dryRun {
		return s.write(c, store)
	}
	return s.once(c, digest, store)
}

// batchRows reads the rows of a checked JSON list. What the contract says of a row is checked here, so that it comes
// together with what the sled it is for says.
func (k *contract) batchRows(batch sent) iter.Seq[book.Row] {
	schema := k.schema("BatchReading")
	return func(yield func(book.Row) bool) {
		items, _ := batch.value.([]any)
		var raw []json.RawMessage
		_ = json.Unmarshal(batch.raw, &raw) // it was read as a list before
		for i, item := range items {
			row := book.Row{Number: i + 1}
			for _, f := range faultsOf(schema, item, nil) {
				row.Faults.AddRow(row.Number, pathText(f.path), "%s", f.detail)
			}
			var input openapi.BatchReading
			_ = json.Unmarshal(raw[i], &input) // as much as can be read; the schema has named the rest
			row.Reading = decodeBatchReading(input)
			if !yield(row) {
				return
			}
		}
	}
}

func decodeBatchReading(in openapi.BatchReading) fleet.Reading {
	r := decodeReading(openapi.ReadingInput{
		By: in.By, Day: in.Day, DistanceFt: in.DistanceFt, EndFt: in.EndFt, Ended: in.Ended, Gear: in.Gear,
		MarkedBy: in.MarkedBy, MeasuredOn: in.MeasuredOn, Note: in.Note, Place: in.Place, PlusMinusFt: in.PlusMinusFt,
		Replaces: in.Replaces, SpeedMph: in.SpeedMph, StartFt: in.StartFt, Surface: in.Surface, TakenWith: in.TakenWith,
		TyrePsi: in.TyrePsi, Weights: in.Weights,
	})
	r.Sled = in.Sled
	return r
}

// nameAsSent names faults by the columns that the sheet has: start_m where that is what was sent.
func (s *importSheet) nameAsSent(err error) error {
	var invalid *fleet.Error
	if !errors.As(err, &invalid) {
		return err
	}
	for i, f := range invalid.Faults {
		if name, feet := strings.CutSuffix(f.At, "_ft"); feet && s.has[name+"_m"] {
			invalid.Faults[i].At = name + "_m"
		}
	}
	return err
}
