package main

import (
	"cmp"
	"context"
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
	return sendNotebook(s, c, sled, notebookFields(), s.book.ReadingsOldestFirst,
		func(r *fleet.Reading) (note *string, counts bool) { return &r.Note, r.SetAside == nil })
}

// sendNotebook sends what was measured on a sled, but for what does not count. Each note says where the sled is
// invented.
func sendNotebook[T any](s *server, c echo.Context, sled string, fields []fleet.Field[T],
	part func(ctx context.Context, sled, after string, limit int) ([]T, string, error),
	noteOf func(*T) (note *string, counts bool)) error {
	of, err := s.book.Sled(c.Request().Context(), sled)
	if err != nil {
		return err
	}
	return sendSpreadsheet(s, c, spreadsheetOf[T]{
		heading: mapSlice(fields, func(f fleet.Field[T]) string { return f.Name }),
		part: func(after string, limit int) ([]T, string, error) {
			return part(c.Request().Context(), sled, after, limit)
		},
		row: func(one T) []string {
			note, counts := noteOf(&one)
			if !counts {
				return nil
			}
			*note = strings.TrimSpace(*note + words.Invented(of))
			return cells(fields, &one)
		},
	})
}

func notebookFields() []fleet.Field[fleet.Reading] {
	return slices.DeleteFunc(slices.Clone(fleet.ReadingFields()),
		func(f fleet.Field[fleet.Reading]) bool { return f.Name == "replaces" })
}

// cells are what stands in the fields of one reading or weighing.
func cells[T any](fields []fleet.Field[T], of *T) []string {
	return mapSlice(fields, func(f fleet.Field[T]) string {
		return cmp.Or(spreadsheet.Number(f.Number(of)), spreadsheet.Text(f.Text(of)))
	})
}
