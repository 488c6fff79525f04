package main

import (
	"slices"

	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// GetReadingsCSV gives the readings of a sled that count as a spreadsheet.
func (s *server) GetReadingsCSV(c echo.Context, sled string, _ openapi.GetReadingsCSVParams) error {
	all, err := allPages(func(after string) ([]fleet.Reading, string, error) {
		return s.book.Readings(c.Request().Context(), sled, after, mostLimit)
	})
	if err != nil {
		return err
	}
	a, err := readingsSpreadsheet(all)
	if err != nil {
		return err
	}
	return send(c, a)
}

// readingsSpreadsheet is a sled's readings in the form that an import takes, those set aside left out. They come newest
// first and go out oldest first, as a notebook is written, so that an import lists them in the same order again. Numbers are
// exact, text is as importSheet takes it back.
func readingsSpreadsheet(readings []fleet.Reading) (answer, error) {
	heading := []string{
		"sled", "gear", "start_ft", "distance_ft", "ended", "end_ft", "plus_minus_ft", "measured_on", "day", "place", "by", "note",
		"marked_by", "taken_with", "surface", "weights", "tyre_psi", "speed_mph",
	}
	rows := [][]string{heading}
	for _, r := range slices.Backward(readings) {
		if r.SetAside != nil {
			continue
		}
		rows = append(rows, []string{
			r.Sled, guarded(r.Gear), exact(&r.StartFt), exact(&r.DistanceFt), string(r.Ended), exact(r.EndFt), exact(r.PlusMinusFt), r.MeasuredOn,
			guarded(r.Day), guarded(r.Place), guarded(r.By), guarded(r.Note), guarded(r.MarkedBy), guarded(r.TakenWith), guarded(r.Surface),
			guarded(r.Weights), exact(r.TyrePSI), exact(r.SpeedMPH),
		})
	}
	return csvAnswer(rows)
}
