package main

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// GetSheet gives every class of a show with its setting, as JSON or as a spreadsheet.
func (s *server) GetSheet(c echo.Context, show string, p openapi.GetSheetParams) error {
	sheet, err := s.book.Sheet(c.Request().Context(), show, or(p.Sled, ""))
	if err != nil {
		return err
	}
	var a answer
	if wantsCSV(c) {
		a, err = sheetSpreadsheet(sheet, unitsOf(p.Units))
	} else {
		a, err = jsonAnswer(http.StatusOK, encodeSheet(sheet, unitsOf(p.Units)))
	}
	if err != nil {
		return err
	}
	return s.sendKept(c, sheet.Revision, a)
}

func encodeSheet(s book.Sheet, units fleet.Units) openapi.Sheet {
	return openapi.Sheet{
		Show: s.Show.ID, Name: s.Show.Name, Date: s.Show.Date, Place: unless(s.Show.Place, ""), Promoter: unless(s.Show.Promoter, ""),
		Sled: s.Sled.ID, SledName: s.Sled.Name, Over: s.Show.Over, ShowRevision: int(s.Show.Revision), Caution: caution,
		Rows: each(s.Rows, func(r book.SheetRow) openapi.SheetRow { return encodeSheetRow(r, units) }),
	}
}

func encodeSheetRow(r book.SheetRow, units fleet.Units) openapi.SheetRow {
	out := openapi.SheetRow{
		Class: r.Class.ID, Name: r.Class.Name, Home: encodeHome(r.Class.Setting, r.Class.TodayFt), HomeSledName: r.HomeSledName,
		Weights: unless(r.Class.Weights, ""), Notes: unless(r.Class.Notes, ""), Tonight: encodeAnswer(r.Tonight, units),
		AsRun: each(r.AsRun, encodeAsRun), Outcome: encodeOutcome(r.Outcome),
	}
	if r.PullOff != nil {
		out.PullOff = &openapi.PullOff{Home: encodeHome(r.PullOff.Home, r.PullOff.TodayFt), Tonight: encodeAnswer(r.PullOff.Tonight, units)}
	}
	if r.Booked != nil {
		out.Booked = new(encodeAnswer(*r.Booked, units))
	}
	return out
}
