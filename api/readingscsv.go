package main

import (
	"cmp"
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

// readingsRows is a sled's readings in the form that an import takes, those set aside left out. They come newest first
// and go out oldest first, as a notebook is written, so that an import lists them in the same order again. Numbers are
// exact. What a reading replaces is not in it: among other readings that id says nothing.
func readingsRows(readings []fleet.Reading) [][]string {
	replaces := func(f fleet.Field[fleet.Reading]) bool { return f.Name == "replaces" }
	fields := slices.DeleteFunc(slices.Clone(fleet.ReadingFields()), replaces)
	rows := [][]string{headings(fields)}
	for _, r := range slices.Backward(readings) {
		if r.SetAside == nil {
			rows = append(rows, cells(fields, r))
		}
	}
	return rows
}

// headings are the names of the fields, and cells what stands in them.
func headings[T any](fields []fleet.Field[T]) []string {
	return mapSlice(fields, func(f fleet.Field[T]) string { return f.Name })
}

func cells[T any](fields []fleet.Field[T], of T) []string {
	return mapSlice(fields, func(f fleet.Field[T]) string {
		return cmp.Or(spreadsheet.Number(f.Number(&of)), spreadsheet.Text(f.Text(&of)))
	})
}
