package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetSeason gives planned, set and happened by class, and which classes keep being moved in one direction.
func (s *server) GetSeason(c echo.Context, p openapi.GetSeasonParams) error {
	season, err := s.book.Season(c.Request().Context(), valueOr(p.Since, ""), valueOr(p.Until, ""), guests(p.Guests))
	if err != nil {
		return err
	}
	units := unitsOf(p.Units)
	return s.cache.SendJSON(c, season.Revision, openapi.Season{
		Since: nilIfZero(season.From), Until: nilIfZero(season.To), Shows: season.Shows,
		Classes: mapSlice(season.Classes,
			func(k book.SeasonClass) openapi.SeasonClass { return encodeSeasonClass(k, units) }),
		Caution: words.Standing(season.Weighed, season.Sleds...),
	})
}

func encodeSeasonClass(k book.SeasonClass, units fleet.Units) openapi.SeasonClass {
	out := openapi.SeasonClass{
		Class: k.ID, Name: k.Name, Lines: mapSlice(k.Lines, encodeSeasonLine), MovedOneWay: k.Moved.OneWay,
		Detail: words.Moved(k.Moved, len(k.Lines), k.Suspect, units),
	}
	if k.Moved.Shows > 0 {
		out.MeanMovedFt = &k.Moved.MeanFt
	}
	return out
}

func encodeSeasonLine(l book.SeasonLine) openapi.SeasonLine {
	out := openapi.SeasonLine{Show: l.Show, Date: l.Date, Sled: nilIfZero(l.Sled), MovedFt: l.MovedFt,
		Outcome: mapPointer(l.Outcome, encodeOutcome)}
	if p := l.Planned; p != nil {
		out.PlannedGear, out.PlannedStartFt, out.PlannedFt = &p.Gear, &p.StartFt, p.TopOutFt
	}
	if p := l.Set; p != nil {
		out.SetGear, out.SetStartFt, out.SetFt = &p.Gear, &p.StartFt, p.TopOutFt
	}
	return out
}
