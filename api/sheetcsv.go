package main

import (
	"fmt"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetSheetCSV gives a show's sheet as a spreadsheet.
func (s *server) GetSheetCSV(c echo.Context, show string, p openapi.GetSheetCSVParams) error {
	sheet, err := s.book.Sheet(c.Request().Context(), show, valueOr(p.Sled, ""), valueOr(p.WithDate, false))
	if err != nil {
		return err
	}
	return s.cache.Send(c, sheet.Revision, spreadsheet.Encode(sheetRows(sheet, unitsOf(p.Units))))
}

// sheetRows is a show's sheet as CSV, a row a class in running order, rounded, in the units asked for. Weights are
// the home sled's, and the heading says so: they mean nothing on another sled.
func sheetRows(s book.Sheet, units fleet.Units) [][]string {
	in := "_" + string(units)
	headings := []string{
		"class", "home_sled", "home_gear", "home_start" + in, "tonight_sled", "gear", "start" + in, "top_out" +
			in, "difference" + in,
		"plus_minus_tonight" + in, "confidence", "remarks", "pull_off_gear", "pull_off_start" +
			in, "weights_on_home_sled", "as_run",
		"longest" + in, "hooks", "full_pulls", "felt",
	}
	weights := s.HasWeights()
	if weights {
		headings = append(headings, weightHeadings(units)...)
	}
	rows := [][]string{append(headings, "caution")}
	caution := words.Standing(weights, s.Sled)
	if weights {
		caution += " " + words.LoadCaution
	}
	for _, r := range s.Rows {
		home := r.Class.Setting
		row := []string{spreadsheet.Text(r.Class.Name), spreadsheet.Text(r.HomeSledName), spreadsheet.Text(home.Gear),
			spreadsheet.Position(home.StartFt, units), spreadsheet.Text(s.Sled.Name)}
		row = append(row, tonightCells(r.Tonight, units)...)
		pullOff := []string{"", ""}
		if r.PullOffTonight != nil && r.PullOffTonight.Nearest != nil {
			n := r.PullOffTonight.Nearest
			pullOff = []string{spreadsheet.Text(n.Gear), spreadsheet.Position(n.StartFt, units)}
		}
		row = append(append(row, pullOff...), spreadsheet.Text(r.Class.Weights), asRunCell(r.AsRun, units))
		row = append(row, outcomeCells(r.Outcome, units)...)
		if weights {
			row = append(row, weightCells(r.Weight, r.PullOffWeight, units)...)
		}
		homeSled := fleet.Sled{Name: r.HomeSledName, Guest: r.HomeGuest}
		pullOffSled := fleet.Sled{Name: r.PullOffSled, Guest: r.PullOffGuest}
		rows = append(rows, append(row, cautionCell(caution, s.Sled, homeSled, pullOffSled)))
	}
	return rows
}

func tonightCells(a match.Answer, units fleet.Units) []string {
	start, topOut := "", ""
	if n := a.Nearest; n != nil {
		start, topOut = spreadsheet.Position(n.StartFt, units), spreadsheet.Distance(n.TonightFt, units)
	}
	cells := answerCells(a, units)
	if m := a.MovedStart; m != nil && m.WorthIt {
		cells[len(cells)-1] += fmt.Sprintf("; nearer with a moved start: gear %s from %s %s",
			spreadsheet.TextWithin(m.Gear), spreadsheet.Position(m.RoundedStartFt, units), units)
	}
	return append([]string{cells[0], start, topOut}, cells[1:]...)
}

// asRunCell is what was set, hook by hook, in one cell.
func asRunCell(lines []fleet.AsRun, units fleet.Units) string {
	said := make([]string, len(lines))
	for i, l := range lines {
		said[i] = fmt.Sprintf("hook %d: %s from %s %s", l.FromHook, spreadsheet.TextWithin(l.Gear),
			spreadsheet.Position(l.StartFt, units), units)
		if l.PullOff {
			said[i] = "pull-off, " + said[i]
		}
	}
	return strings.Join(said, "; ")
}

func outcomeCells(o *fleet.Outcome, units fleet.Units) []string {
	if o == nil {
		return []string{"", "", "", ""}
	}
	count := func(n *int) string {
		if n == nil {
			return ""
		}
		return fmt.Sprint(*n)
	}
	return []string{spreadsheet.Optional(o.LongestFt, units, spreadsheet.Distance), count(o.Hooks),
		count(o.FullPulls), string(o.Felt)}
}
