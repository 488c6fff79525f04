package main

import (
	"slices"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/spreadsheet"
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
	return sendSpreadsheet(c, readingsRows(all))
}

// readingsRows is a sled's readings in the form that an import takes, those set aside left out. They come newest
// first and go out oldest first, as a notebook is written, so that an import lists them in the same order again. Numbers are
// exact, text is as importSheet takes it back.
func readingsRows(readings []fleet.Reading) [][]string {
	heading := []string{
		"sled", "gear", "start_ft", "distance_ft", "ended", "end_ft", "plus_minus_ft", "measured_on", "day", "place", "by", "note",
		"marked_by", "taken_with", "surface", "weights", "tire_psi", "speed_mph",
	}
	rows := [][]string{heading}
	for _, r := range slices.Backward(readings) {
		if r.SetAside != nil {
			continue
		}
		rows = append(rows, []string{
			r.Sled, spreadsheet.Text(r.Gear), spreadsheet.Number(&r.StartFt), spreadsheet.Number(&r.DistanceFt), string(r.Ended), spreadsheet.Number(r.EndFt), spreadsheet.Number(r.PlusMinusFt), r.MeasuredOn,
			spreadsheet.Text(r.Day), spreadsheet.Text(r.Place), spreadsheet.Text(r.By), spreadsheet.Text(r.Note), spreadsheet.Text(r.MarkedBy), spreadsheet.Text(r.TakenWith), spreadsheet.Text(r.Surface),
			spreadsheet.Text(r.Weights), spreadsheet.Number(r.TirePSI), spreadsheet.Number(r.SpeedMPH),
		})
	}
	return rows
}
