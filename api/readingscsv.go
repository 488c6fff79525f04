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

// GetReadingsCSV gives the readings of a sled that count as a spreadsheet, in the form that an import takes and in the
// order that a notebook is written, so that an import lists them in the same order again. Numbers are exact. What a
// reading replaces is not in it: among other readings that id says nothing.
func (s *server) GetReadingsCSV(c echo.Context, sled string, _ openapi.GetReadingsCSVParams) error {
	fields := notebookFields()
	of, err := s.book.Sled(c.Request().Context(), sled)
	if err != nil {
		return err
	}
	return sendSpreadsheet(s, c, spreadsheetOf[fleet.Reading]{
		heading: headings(fields),
		part: func(after string, limit int) ([]fleet.Reading, string, error) {
			return s.book.ReadingsOldestFirst(c.Request().Context(), sled, after, limit)
		},
		row: func(r fleet.Reading) []string {
			if r.SetAside != nil {
				return nil
			}
			r.Note = strings.TrimSpace(r.Note + words.Invented(of))
			return cells(fields, r)
		},
	})
}

func notebookFields() []fleet.Field[fleet.Reading] {
	return slices.DeleteFunc(slices.Clone(fleet.ReadingFields()),
		func(f fleet.Field[fleet.Reading]) bool { return f.Name == "replaces" })
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
