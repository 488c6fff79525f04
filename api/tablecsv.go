package main

import (
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetTableCSV gives the table as a spreadsheet.
func (s *server) GetTableCSV(c echo.Context, p openapi.GetTableCSVParams) error {
	table, err := s.book.Table(c.Request().Context(), p.Reference, valueOr(p.StartFt, 0), valueOr(p.Day, ""))
	if err != nil {
		return err
	}
	return s.cache.Send(c, table.Revision, spreadsheet.Encode(tableRows(table, unitsOf(p.Units))))
}

// tableRows is the table as CSV (RFC 4180): a row for each gear of the reference, columns for each other
// sled. Distances are rounded to 0.1 in the units asked for, which the headings name.
func tableRows(t book.Table, units fleet.Units) [][]string {
	distance := func(name string) string { return name + "_" + string(units) }
	heading := []string{"gear", distance("top_out"), distance("low"), distance("high"), "rests on"}
	for _, s := range t.Sleds {
		heading = append(heading, s.ID+" gear", s.ID+" "+distance("difference"),
			s.ID+" "+distance("plus_minus_tonight"),
			s.ID+" confidence", s.ID+" remarks")
	}
	rows := [][]string{append(heading, "caution")}
	for _, r := range t.Rows {
		row := []string{spreadsheet.Text(r.Asked.Gear), "", "", "",
			words.Basis(r.Asked.Basis, spreadsheet.TextWithin(r.Asked.StatedBy))}
		if r.Asked.Known() {
			row[1], row[2], row[3] = spreadsheet.Distance(r.Asked.TopOutFt, units), spreadsheet.Distance(r.Asked.LowFt,
				units), spreadsheet.Distance(r.Asked.HighFt, units)
		}
		for _, s := range t.Sleds {
			row = append(row, answerCells(r.On[s.ID], units)...)
		}
		rows = append(rows, append(row, cautionCell(cautionOf(t), append([]fleet.Sled{t.Reference}, t.Sleds...)...)))
	}
	return rows
}

// answerCells are an answer as cells: gear, difference, plus-or-minus of one more pull tonight, how sure, and what else
// there is to say.
func answerCells(a match.Answer, units fleet.Units) []string {
	n := a.Nearest
	if n == nil {
		return []string{"", "", "", "", "not known"}
	}
	remarks := []string{words.Basis(n.Basis, spreadsheet.TextWithin(n.StatedBy))}
	if n.OutOfReach != nil && *n.OutOfReach {
		remarks = append(remarks, "out of reach")
	}
	if n.ComparedAt == match.FullBack {
		remarks = append(remarks, "compared at full back")
	}
	if n.Confidence == match.TossUp && a.RunnerUp != nil && !n.OwnSetting {
		remarks = append(remarks, "or gear "+spreadsheet.TextWithin(a.RunnerUp.Gear))
	}
	sure := string(n.Confidence)
	if n.OwnSetting {
		sure = ""
		remarks = append(remarks, "its own setting")
	}
	return []string{
		spreadsheet.Text(n.Gear), spreadsheet.Distance(n.DifferenceFt, units),
		spreadsheet.Distance(plusMinusTonight(*n), units), sure,
		strings.Join(remarks, "; "),
	}
}
