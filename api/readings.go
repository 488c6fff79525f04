package main

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"

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
	return sendPage(c, readings, next, err, encodeReading)
}

// GetReading gives one reading.
func (s *server) GetReading(c echo.Context, id string, _ openapi.GetReadingParams) error {
	r, err := s.book.Reading(c.Request().Context(), id)
	return readingResource.send(c, r, err)
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

var readingResource = resource[fleet.Reading, reading]{
	path: "/v1/readings/", id: func(r fleet.Reading) string { return r.ID }, encode: encodeReading, state: readingState,
	match: reply.IfMatchGiven[fleet.Reading],
}

// AddReading adds one reading.
func (s *server) AddReading(c echo.Context, sled string, p openapi.AddReadingParams) error {
	return add(s, c, readingResource, func(w *book.Writer, in fleet.Reading) (fleet.Reading, error) {
		return w.AddReading(sled, in, book.Answers{KeepUnlikely: p.Unlikely != nil})
	})
}

// PatchReading leaves a reading out of the chart, brings it back, or says that it counts though it stands out.
func (s *server) PatchReading(c echo.Context, id string, p openapi.PatchReadingParams) error {
	return change(s, c, readingResource, p.IfMatch,
		func(w *book.Writer, match func(fleet.Reading) error, in openapi.ReadingPatch) (r fleet.Reading, err error) {
			asides := contract.Has(c, "set_aside")
			if !asides && in.Confirmed == nil {
				return r, fleet.InvalidField("", "give set_aside, or confirmed")
			}
			if err := w.MatchReading(id, match); err != nil {
				return r, err
			}
			if asides {
				r, err = w.SetAside(id, reasonOf(in.SetAside))
			}
			if err == nil && in.Confirmed != nil {
				r, err = w.Confirm(id, *in.Confirmed)
			}
			return r, err
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
