package main

import (
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/spreadsheet"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetClassesCSV gives all classes as a spreadsheet, in feet. Weights are the home sled's, and the heading says so. What
// a setting stands for today depends on the day.
func (s *server) GetClassesCSV(c echo.Context, _ openapi.GetClassesCSVParams) error {
	ctx := c.Request().Context()
	weights, err := s.book.AnyClassWeight(ctx)
	if err != nil {
		return err
	}
	heading := []string{
		"class", "name", "sled", "gear", "start_ft", "stood_for_ft", "plus_minus_ft", "noted_on",
		"pull_off_sled", "pull_off_gear", "pull_off_start_ft", "pull_off_stood_for_ft", "used_by",
		"weights_on_home_sled", "notes",
	}
	if weights {
		heading = append(heading, "in_box_lb", "on_pan_lb", "pull_off_in_box_lb", "pull_off_on_pan_lb", "ends_ft")
	}
	return sendSpreadsheet(s, c, spreadsheetOf[book.ClassView]{
		heading: heading,
		part: func(after string, limit int) ([]book.ClassView, string, error) {
			return s.book.Classes(ctx, after, limit)
		},
		row:    func(class book.ClassView) []string { return classRow(class, weights) },
		moment: s.now().Format(time.DateOnly),
	})
}

func classRow(c book.ClassView, weights bool) []string {
	row := append([]string{c.ID, spreadsheet.Text(c.Name)}, settingCells(c.Setting.Setting)...)
	row = append(row, spreadsheet.Optional(c.Setting.TopOutFt, fleet.InFeet, spreadsheet.Distance),
		spreadsheet.Optional(c.Setting.PlusMinusFt, fleet.InFeet, spreadsheet.Distance), c.Setting.NotedOn)
	if c.PullOff != nil {
		row = append(append(row, settingCells(c.PullOff.Setting)...),
			spreadsheet.Optional(c.PullOff.TopOutFt, fleet.InFeet, spreadsheet.Distance))
	} else {
		row = append(row, "", "", "", "")
	}
	of := mapSlice(c.Invented, func(name string) fleet.Sled { return fleet.Sled{Name: name, Invented: true} })
	row = append(row, spreadsheet.Text(c.UsedBy), spreadsheet.Text(c.Weights),
		spreadsheet.Text(strings.TrimSpace(c.Notes+words.Invented(of...))))
	if weights {
		pullOff := valueOr(c.PullOff, fleet.HomeSetting{})
		row = append(row, spreadsheet.Number(c.Setting.InBoxLb), spreadsheet.Number(c.Setting.OnPanLb),
			spreadsheet.Number(pullOff.InBoxLb), spreadsheet.Number(pullOff.OnPanLb), spreadsheet.Number(c.EndsFt))
	}
	return row
}

func settingCells(s fleet.Setting) []string {
	return []string{s.Sled, spreadsheet.Text(s.Gear), spreadsheet.Number(&s.StartFt)}
}
