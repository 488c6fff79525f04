package main

import (
	"cmp"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
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
	of, err := s.book.Sled(c.Request().Context(), sled)
	if err != nil {
		return err
	}
	if of.Invented {
		for i := range all {
			all[i].Note = strings.TrimSpace(all[i].Note + words.Invented(of))
		}
	}
	return sendSpreadsheet(c, readingsRows(all))
}

// readingsRows is a sled's readings in the form that an import takes, those set aside left out. They come newest first
// and go out oldest first, as a notebook is written, so that an import lists them in the same order again. Numbers are
// exact. What a reading replaces is not in it: among other readings that id says nothing.
func readingsRows(readings []fleet.Reading) [][]string {
	fields := slices.DeleteFunc(slices.Clone(fleet.ReadingFields()),
		func(f fleet.Field) bool { return f.Name == "replaces" })
	rows := [][]string{mapSlice(fields, func(f fleet.Field) string { return f.Name })}
	for _, r := range slices.Backward(readings) {
		if r.SetAside == nil {
			rows = append(rows, mapSlice(fields, func(f fleet.Field) string {
				return cmp.Or(spreadsheet.Number(f.Number(&r)), spreadsheet.Text(f.Text(&r)))
			}))
		}
	}
	return rows
}
