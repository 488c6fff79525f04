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
	readings, next, err := s.book.Readings(c.Request().Context(), sled, valueOr(p.After, ""),
		valueOr(p.Limit, defaultLimit))
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK,
		readingPage{Items: mapSlice(readings, encodeReading), Next: nilIfZero(next)})
}

// GetReading gives one reading.
func (s *server) GetReading(c echo.Context, id string, _ openapi.GetReadingParams) error {
	r, err := s.book.Reading(c.Request().Context(), id)
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK, encodeReading(r))
}

// AddReading adds one reading.
func (s *server) AddReading(c echo.Context, sled string, _ openapi.AddReadingParams) error {
	return create(s, c, func(w *book.Writer, in fleet.Reading) (reply.Answer, error) {
		r, err := w.AddReading(sled, in)
		if err != nil {
			return reply.Answer{}, err
		}
		a, err := reply.JSON(http.StatusCreated, encodeReading(r))
		a.Location = "/v1/readings/" + url.PathEscape(r.ID)
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
		r, err := w.SetAside(id, reason)
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.JSON(http.StatusOK, encodeReading(r))
	})
}

// reading is a reading as the contract has it. The names in JSON are those of fleet.Reading.
type reading struct {
	fleet.Reading
	GearID   *string         `json:"gear_id,omitempty"` // never: it stays in the program
	SetAside *fleet.SetAside `json:"set_aside"`         // null where the reading counts
}

func encodeReading(r fleet.Reading) reading { return reading{Reading: r, SetAside: r.SetAside} }

type readingPage struct {
	Items []reading `json:"items"`
	Next  *string   `json:"next"`
}
