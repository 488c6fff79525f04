package main

import (
	"slices"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// GetClassesCSV gives all classes as a spreadsheet.
func (s *server) GetClassesCSV(c echo.Context, _ openapi.GetClassesCSVParams) error {
	all, err := allPages(func(after string) ([]book.ClassView, string, error) {
		return s.book.Classes(c.Request().Context(), after, mostLimit)
	})
	if err != nil {
		return err
	}
	return sendSpreadsheet(c, classesRows(all))
}

// classesRows is every class as CSV, in feet. Weights are the home sled's, and the heading says so.
func classesRows(classes []book.ClassView) [][]string {
	headings := []string{
		"class", "name", "sled", "gear", "start_ft", "stood_for_ft", "plus_minus_ft", "noted_on",
		"pull_off_sled", "pull_off_gear", "pull_off_start_ft", "pull_off_stood_for_ft", "used_by",
		"weights_on_home_sled", "notes",
	}
	weights := slices.ContainsFunc(classes, func(c book.ClassView) bool {
		pullOff := c.PullOff != nil && (c.PullOff.InBoxLb != nil || c.PullOff.OnPanLb != nil)
		return c.Setting.InBoxLb != nil || c.Setting.OnPanLb != nil || c.EndsFt != nil || pullOff
	})
	if weights {
		headings = append(headings, "in_box_lb", "on_pan_lb", "pull_off_in_box_lb", "pull_off_on_pan_lb", "ends_ft")
	}
	rows := [][]string{headings}
	for _, c := range classes {
		row := append([]string{c.ID, spreadsheet.Text(c.Name)}, settingCells(c.Setting.Setting)...)
		row = append(row, spreadsheet.OptionalDistance(c.Setting.TopOutFt, fleet.InFeet),
			spreadsheet.OptionalDistance(c.Setting.PlusMinusFt, fleet.InFeet), c.Setting.NotedOn)
		if c.PullOff != nil {
			row = append(append(row, settingCells(c.PullOff.Setting)...),
				spreadsheet.OptionalDistance(c.PullOff.TopOutFt, fleet.InFeet))
		} else {
			row = append(row, "", "", "", "")
		}
		row = append(row, spreadsheet.Text(c.UsedBy), spreadsheet.Text(c.Weights), spreadsheet.Text(c.Notes))
		if weights {
			pullOff := valueOr(c.PullOff, fleet.HomeSetting{})
			row = append(row, spreadsheet.Number(c.Setting.InBoxLb), spreadsheet.Number(c.Setting.OnPanLb),
				spreadsheet.Number(pullOff.InBoxLb), spreadsheet.Number(pullOff.OnPanLb), spreadsheet.Number(c.EndsFt))
		}
		rows = append(rows, row)
	}
	return rows
}

func settingCells(s fleet.Setting) []string {
	return []string{s.Sled, spreadsheet.Text(s.Gear), spreadsheet.Number(&s.StartFt)}
}
