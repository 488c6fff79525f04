package main

import (
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListReadings lists a sled's readings, newest first.
func (s *server) ListReadings(c echo.Context, sled string, p openapi.ListReadingsParams) error {
	readings, next, err := s.book.Readings(c.Request().Context(), sled, valueOr(p.After, ""), valueOr(p.Limit, defaultLimit))
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK, openapi.ReadingPage{Items: mapSlice(readings, encodeReading), Next: nilIfZero(next)})
}

// GetReading gives one reading.
func (s *server) GetReading(c echo.Context, id string, _ openapi.GetReadingParams) error {
	reading, err := s.book.Reading(c.Request().Context(), id)
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK, encodeReading(reading))
}

// AddReading adds one reading.
func (s *server) AddReading(c echo.Context, sled string, _ openapi.AddReadingParams) error {
	return create(s, c, func(w *book.Writer, in openapi.ReadingInput) (reply.Answer, error) {
		reading, err := w.AddReading(sled, decodeReading(in), book.Answers{})
		if err != nil {
			return reply.Answer{}, err
		}
		a, err := reply.JSON(http.StatusCreated, encodeReading(reading))
		a.Location = "/v1/readings/" + url.PathEscape(reading.ID)
		return a, err
	})
}

// SetReadingAside leaves a reading out of the chart, or brings it back.
func (s *server) SetReadingAside(c echo.Context, id string) error {
	return change(s, c, func(w *book.Writer, in openapi.ReadingPatch) (reply.Answer, error) {
		var reason *string
		if in.SetAside != nil {
			reason = &in.SetAside.Reason
		}
		reading, err := w.SetAside(id, reason)
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.JSON(http.StatusOK, encodeReading(reading))
	})
}

func decodeReading(in openapi.ReadingInput) fleet.Reading {
	return fleet.Reading{
		Gear: in.Gear, StartFt: valueOr(in.StartFt, 0), DistanceFt: in.DistanceFt, Ended: fleet.Ended(valueOr(in.Ended, "")),
		EndFt: in.EndFt, PlusMinusFt: in.PlusMinusFt, MeasuredOn: in.MeasuredOn, Day: valueOr(in.Day, ""), Place: valueOr(in.Place, ""),
		By: valueOr(in.By, ""), Note: valueOr(in.Note, ""), MarkedBy: valueOr(in.MarkedBy, ""), TakenWith: valueOr(in.TakenWith, ""),
		Surface: valueOr(in.Surface, ""), Weights: valueOr(in.Weights, ""), TirePSI: in.TirePsi, SpeedMPH: in.SpeedMph,
		Replaces: valueOr(in.Replaces, ""),
	}
}

func encodeReading(r fleet.Reading) openapi.Reading {
	out := openapi.Reading{
		Id: r.ID, Sled: r.Sled, Gear: r.Gear, StartFt: r.StartFt, DistanceFt: r.DistanceFt, Ended: openapi.Ended(r.Ended),
		EndFt: r.EndFt, PlusMinusFt: r.PlusMinusFt, MeasuredOn: r.MeasuredOn, Day: r.Day, Place: nilIfZero(r.Place),
		By: nilIfZero(r.By), Note: nilIfZero(r.Note), MarkedBy: nilIfZero(r.MarkedBy), TakenWith: nilIfZero(r.TakenWith),
		Surface: nilIfZero(r.Surface), Weights: nilIfZero(r.Weights), TirePsi: r.TirePSI, SpeedMph: r.SpeedMPH,
		Replaces: nilIfZero(r.Replaces), CreatedAt: r.CreatedAt,
	}
	if r.SetAside != nil {
		out.SetAside = &openapi.SetAside{Reason: r.SetAside.Reason, At: r.SetAside.At}
	}
	return out
}
