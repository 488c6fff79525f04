package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetSheet gives every class of a show with its setting.
func (s *server) GetSheet(c echo.Context, show string, p openapi.GetSheetParams) error {
	sheet, err := s.book.Sheet(c.Request().Context(), show, valueOr(p.Sled, ""), valueOr(p.WithDate, false))
	if err != nil {
		return err
	}
	return s.cache.SendJSON(c, sheet.Revision, encodeSheet(sheet, unitsOf(p.Units)))
}

func encodeSheet(s book.Sheet, units fleet.Units) openapi.Sheet {
	out := openapi.Sheet{
		Show: s.Show.ID, Name: s.Show.Name, Date: s.Show.Date, Day: s.Show.Day(), Place: nilIfZero(s.Show.Place),
		Zone:     s.Show.Zone,
		Promoter: nilIfZero(s.Show.Promoter),
		Sled:     nilIfZero(s.Sled.ID), SledName: s.Sled.Name, Guest: encodeGuest(s.Sled.Name, s.Sled.Guest),
		Replaces: nilIfZero(s.Replaces()), Over: s.Show.Over, ShowRevision: int(s.Show.Revision),
		FullPullFt: s.Show.FullPullFt, Caution: words.Standing(s.HasWeights(), s.Sled),
		Night: encodeNight(s.Night, units),
		Rows:  mapSlice(s.Rows, func(r book.SheetRow) openapi.SheetRow { return encodeSheetRow(s, r, units) }),
	}
	if s.HasWeights() {
		out.LoadCaution = new(words.LoadCaution)
	}
	return out
}

func encodeSheetRow(s book.Sheet, r book.SheetRow, units fleet.Units) openapi.SheetRow {
	answer := func(a match.Answer) openapi.Answer { return encodeAnswer(a, units) }
	weights := func(a book.WeightAnswer) openapi.Weights { return encodeWeights(a, units) }
	out := openapi.SheetRow{
		Class: r.Class.ID, Name: r.Class.Name, Home: encodeHome(r.Class.Setting,
			r.Class.TodayFt), HomeSledName: r.HomeSledName,
		HomeGuest: encodeGuest(r.HomeSledName, r.HomeGuest),
		Weights:   nilIfZero(r.Class.Weights), Notes: nilIfZero(r.Class.Notes), Tonight: answer(r.Tonight),
		AsRun: mapSlice(r.AsRun, encodeAsRun), Outcome: mapPointer(r.Outcome, encodeOutcome),
		Weight: mapPointer(r.Weight, weights), FullPull: encodeFullPull(s, r.Tonight, units),
		Booked: mapPointer(r.Booked, answer),
	}
	if r.PullOffTonight != nil {
		out.PullOff = &openapi.PullOff{
			Home:      encodeHome(*r.Class.PullOff, r.Class.PullOffTodayFt),
			HomeGuest: encodeGuest(r.PullOffSled, r.PullOffGuest),
			Tonight:   answer(*r.PullOffTonight),
			Weight:    mapPointer(r.PullOffWeight, weights), FullPull: encodeFullPull(s, *r.PullOffTonight, units),
		}
	}
	return out
}
