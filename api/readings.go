package main

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
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
	return sendDocument(c, r, readingAnswer)
}

func readingState(r fleet.Reading) (name, state string) {
	state = reply.StateOf(0, r.CreatedAt)
	if r.SetAside != nil {
		state += reply.StateOf(1, r.SetAside.At)
	}
	if r.ConfirmedAt != nil {
		state += reply.StateOf(2, *r.ConfirmedAt)
	}
	if r.FromOwner { // a newer document of its owner may bring anything of it anew
		state += digestOf(r)
	}
	return "the reading", state
}

// digestOf tells one reading or weighing from what else it may have been.
func digestOf(one any) string {
	text, _ := json.Marshal(one) // numbers that were stored, and text
	sum := sha256.Sum256(text)
	return fmt.Sprintf("-%x", sum[:6])
}

func readingAnswer(status int, r fleet.Reading) (reply.Answer, error) {
	_, state := readingState(r)
	return reply.Document(status, encodeReading(r), state)
}

// AddReading adds one reading.
func (s *server) AddReading(c echo.Context, sled string, p openapi.AddReadingParams) error {
	return create(s, c, func(w *book.Writer, in fleet.Reading) (reply.Answer, error) {
		r, err := w.AddReading(sled, in, book.Answers{KeepUnlikely: p.Unlikely != nil})
		if err != nil {
			return reply.Answer{}, err
		}
		a, err := readingAnswer(http.StatusCreated, r)
		a.Location = "/v1/readings/" + url.PathEscape(r.ID)
		return a, err
	})
}

// PatchReading leaves a reading out of the chart, brings it back, or says that it counts though it stands out.
func (s *server) PatchReading(c echo.Context, id string, p openapi.PatchReadingParams) error {
	match, err := reply.IfMatchGiven(p.IfMatch, readingState)
	if err != nil {
		return err
	}
	return change(s, c, func(w *book.Writer, in openapi.ReadingPatch) (reply.Answer, error) {
		var r fleet.Reading
		var err error
		asides := contract.Has(c, "set_aside")
		if !asides && in.Confirmed == nil {
			var f fleet.Faults
			f.Add("", "give set_aside, or confirmed")
			return reply.Answer{}, f.Err()
		}
		if err := w.MatchReading(id, match); err != nil {
			return reply.Answer{}, err
		}
		if asides {
			r, err = w.SetAside(id, reasonOf(in.SetAside))
		}
		if err == nil && in.Confirmed != nil {
			r, err = w.Confirm(id, *in.Confirmed)
		}
		if err != nil {
			return reply.Answer{}, err
		}
		return readingAnswer(http.StatusOK, r)
	})
}

// reasonOf is why something is set aside, nil where it is brought back.
func reasonOf(p *openapi.SetAsidePatch) *string {
	if p == nil {
		return nil
	}
	return &p.Reason
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
