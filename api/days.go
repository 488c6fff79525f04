package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetDays gives how a sled's test days lie among each other.
func (s *server) GetDays(c echo.Context, sled string, p openapi.GetDaysParams) error {
	days, err := s.book.Days(c.Request().Context(), sled, valueOr(p.Gear, ""))
	if err != nil {
		return err
	}
	out := openapi.Days{Sled: days.Sled.ID, Gear: nilIfZero(days.Gear), Items: mapSlice(days.Items, encodeDay),
		OwnLowPct: days.OwnLowPct, OwnHighPct: days.OwnHighPct,
		Caution: words.Standing(days.Weighed, days.Sled),
	}
	if d := days.Drift; d != nil {
		out.Drift = &openapi.Drift{
			Kind: openapi.DriftKind(d.Kind), From: d.From, Pct: 100 * d.Log, Detail: words.Drift(days.Sled.Name, *d),
		}
	}
	return s.cache.SendJSON(c, days.Revision, out)
}

// DrawDays draws the season's days.
func (s *server) DrawDays(c echo.Context, sled string, p openapi.DrawDaysParams) error {
	drawing, revision, err := s.book.DrawDays(c.Request().Context(), sled, styleOf(p.Theme, p.Units))
	return s.sendDrawing(c, drawing, revision, err)
}

func encodeDay(d book.Day) openapi.Day {
	return openapi.Day{
		Day: d.Day, MeasuredOn: d.MeasuredOn, Readings: d.Readings, OffsetPct: d.OffsetPct, LimitPct: d.LimitPct,
		OffsetFt: d.OffsetFt, LimitFt: d.LimitFt, Verdict: openapi.DayVerdict(d.Verdict),
	}
}
