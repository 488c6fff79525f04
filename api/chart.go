package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
	"evenpull/internal/words"
	"evenpull/openapi"
)

// GetChart gives where every gear of a sled tops out from every asked start position.
func (s *server) GetChart(c echo.Context, sled string, p openapi.GetChartParams) error {
	chart, err := s.book.Chart(c.Request().Context(), sled, p.StartFt, valueOr(p.AsOf, ""),
		valueOr(p.Day, ""))
	if err != nil {
		return err
	}
	return s.cache.SendJSON(c, chart.Revision, encodeChart(chart, unitsOf(p.Units)))
}

// DrawChart draws a sled's chart, that of today or of an earlier day, or as it stands on a night.
func (s *server) DrawChart(c echo.Context, sled string, p openapi.DrawChartParams) error {
	drawing, revision, err := s.book.DrawChart(c.Request().Context(), sled, valueOr(p.AsOf, ""),
		valueOr(p.Day, ""), styleOf(p.Theme, p.Units))
	return s.sendDrawing(c, drawing, revision, err)
}

// sendDrawing sends a drawing as it is at a revision.
func (s *server) sendDrawing(c echo.Context, drawing []byte, revision int64, err error) error {
	if err != nil {
		return err
	}
	return s.cache.Send(c, revision, reply.Of(reply.TypeSVG, drawing))
}

func styleOf[Theme, Units ~string](theme *Theme, units *Units) plotting.Style {
	return plotting.Style{Theme: plotting.Theme(valueOr(theme, Theme(plotting.Light))), Units: unitsOf(units)}
}

func encodeChart(c book.Chart, units fleet.Units) openapi.Chart {
	out := openapi.Chart{
		Sled: c.Sled.ID, TravelFt: c.TravelFt, TakeUpFt: c.Sled.TakeUpFt, Shape: openapi.ChartShape(c.Shape),
		Repeatability: encodeRepeatability(c.Repeatability),
		Checks:        mapSlice(c.Checks, func(k fleet.Check) openapi.Check { return encodeCheck(k, units) }),
		Gears: mapSlice(c.Gears, func(g book.ChartGear) openapi.ChartGear {
			out := openapi.ChartGear{Label: g.Label, BoxSpeed: g.BoxSpeed, TopOuts: mapSlice(g.TopOuts, encodeTopOut)}
			if g.BoxSpeed != nil {
				out.BoxSpeedLow, out.BoxSpeedHigh = &g.BoxSpeedLow, &g.BoxSpeedHigh
			}
			return out
		}),
	}
	out.Night = encodeNight(c.Night, units)
	if g := c.Sled.Guest; g != nil {
		out.Guest, out.Repeatability.Of = encodeGuest(c.Sled.Name, g), &g.Owner
		out.OwnReadings = encodeOwnReadings(c.Own, units)
	}
	if t := c.Implied; t != nil {
		out.ImpliedTravel = &openapi.ImpliedTravel{TravelFt: t.TravelFt, LowFt: t.LowFt, HighFt: t.HighFt, Used: t.Used}
	}
	return out
}

func encodeRepeatability(r calibrate.Repeatability) openapi.Repeatability {
	var out openapi.Repeatability
	out.Assumed.DayPct, out.Assumed.ReadingPct, out.Assumed.Df = r.Assumed.DayPct, r.Assumed.ReadingPct, r.Assumed.DF
	out.Used.DayPct, out.Used.ReadingPct = r.UsedDayPct, r.UsedReadingPct
	if m := r.Measured; m != nil {
		out.Measured = &openapi.MeasuredRepeatability{DayPct: m.DayPct, ReadingPct: m.ReadingPct, DayDf: m.DayDF,
			ReadingDf: m.ReadingDF}
	}
	if p := r.Pooled; p != nil {
		out.Pooled = &openapi.PooledRepeatability{
			DayPct: p.DayPct, ReadingPct: p.ReadingPct, DayDf: p.DayDF, ReadingDf: p.ReadingDF, LeftOut: r.LeftOut,
		}
	}
	return out
}

func encodeTopOut(e calibrate.Estimate) openapi.TopOut {
	out := openapi.TopOut{StartFt: e.StartFt, Basis: basis(e), Readings: e.Readings, StatedBy: nilIfZero(e.StatedBy)}
	n := numbers(e)
	out.TopOutFt, out.AverageFt, out.LowFt, out.HighFt = n.expected, n.average, n.low, n.high
	out.TonightLowFt, out.TonightHighFt = n.tonightLow, n.tonightHigh
	return out
}

func encodeCheck(k fleet.Check, units fleet.Units) openapi.Check {
	detail, action := words.Check(k, units)
	out := openapi.Check{
		Code: string(k.Code), Reading: nilIfZero(k.Reading), Gear: nilIfZero(k.Gear), Day: nilIfZero(k.Day),
		OtherReading: nilIfZero(k.OtherReading), Detail: detail, Action: nilIfZero(action),
	}
	switch k.Code {
	case fleet.ReadingOutOfLine, fleet.ReadingFitsAnotherGear:
		out.Counts, out.ExpectedFt = new(false), nilIfZero(k.ExpectedFt)
	case fleet.ReadingsDisagree, fleet.ReadingConfirmed:
		out.Counts, out.ExpectedFt = new(true), nilIfZero(k.ExpectedFt)
	}
	if m := k.Mend; m != nil {
		out.Mend = &openapi.Mend{
			Kind: openapi.MendKind(m.Kind), Gear: m.Gear, StartFt: m.StartFt, DistanceFt: m.DistanceFt,
			Detail: words.Mend(m, units),
		}
	}
	return out
}

func encodeNight(n *book.Night, units fleet.Units) *openapi.Night {
	if n == nil {
		return nil
	}
	return &openapi.Night{
		Day: n.Day, Pulls: n.Pulls, OffsetPct: n.OffsetPct, LowPct: n.LowPct, HighPct: n.HighPct, LaterFt: n.LaterFt,
		Gear: nilIfZero(n.Gear), NotUsed: notNil(n.Strays), Others: nilIfZero(n.Others),
		Detail: words.Night(n.Pulls, n.LaterFt, len(n.Strays), units),
	}
}
