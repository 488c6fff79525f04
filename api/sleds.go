package main

import (
	"cmp"
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListSleds lists all sleds by id.
func (s *server) ListSleds(c echo.Context, p openapi.ListSledsParams) error {
	sleds, next, err := s.book.Sleds(c.Request().Context(), valueOr(p.After, ""), valueOr(p.Limit, defaultLimit))
	return sendPage(c, sleds, next, err, encodeSled)
}

// GetSled gives one sled.
func (s *server) GetSled(c echo.Context, id string, _ openapi.GetSledParams) error {
	sled, err := s.book.Sled(c.Request().Context(), id)
	return sledResource.send(c, sled, err)
}

// AddSled adds a sled.
func (s *server) AddSled(c echo.Context, _ openapi.AddSledParams) error {
	return add(s, c, sledResource, addSled)
}

// PutSled corrects what was noted about a sled.
func (s *server) PutSled(c echo.Context, id string, p openapi.PutSledParams) error {
	return change(s, c, sledResource, p.IfMatch,
		func(w *book.Writer, match func(fleet.Sled) error, in sledCorrection) (fleet.Sled, error) {
			var faults fleet.Faults
			sled, err := w.CorrectSled(id, match, in.correction(&faults))
			return sled, faults.Join(err)
		})
}

// DeleteSled deletes a sled without readings, and retires one that has some.
func (s *server) DeleteSled(c echo.Context, id string, p openapi.DeleteSledParams) error {
	match, err := sledResource.match(p.IfMatch, sledResource.state)
	if err != nil {
		return err
	}
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		sled, retired, err := w.RemoveSled(id, match)
		if err != nil || !retired {
			return reply.NoContent(), err
		}
		return sledResource.answer(http.StatusOK, sled, nil)
	})
}

var sledResource = resource[fleet.Sled, openapi.Sled]{
	path: "/v1/sleds/", id: func(s fleet.Sled) string { return s.ID }, encode: encodeSled,
	state: func(s fleet.Sled) (name, state string) { return s.Name, reply.StateOf(s.Revision, s.CreatedAt) },
	match: reply.IfMatch[fleet.Sled],
}

func addSled(w *book.Writer, in sledInput) (fleet.Sled, error) {
	var faults fleet.Faults
	sled, err := w.AddSled(in.sled(&faults))
	return sled, faults.Join(err)
}

// sledInput is a sled as it is sent. The names in JSON are those of fleet.Sled.
type sledInput struct {
	fleet.Sled
	Driveline drivelineInput `json:"driveline"`
}

func (in sledInput) sled(faults *fleet.Faults) fleet.Sled {
	in.RailMarkFt = cmp.Or(in.RailMarkFt, fleet.DefaultRailMarkFt)
	in.Sled.Driveline = in.Driveline.decode(faults)
	return in.Sled
}

// sledCorrection is a sled as it is corrected.
type sledCorrection struct {
	sledInput
	Gears []struct {
		fleet.Gear
		Was string `json:"was"` // its label before, "" where it is the same
	} `json:"gears"`
}

func (in sledCorrection) correction(faults *fleet.Faults) book.Correction {
	c := book.Correction{Sled: in.sled(faults)}
	for _, g := range in.Gears {
		c.Sled.Gears, c.Was = append(c.Sled.Gears, g.Gear), append(c.Was, g.Was)
	}
	return c
}

func encodeSled(s fleet.Sled) openapi.Sled {
	return openapi.Sled{
		Id: s.ID, Name: s.Name, Owner: nilIfZero(s.Owner), TravelFt: s.TravelFt, TakeUpFt: s.TakeUpFt,
		RailMarkFt: s.RailMarkFt, Notes: nilIfZero(s.Notes), Guest: encodeGuest(s.Name, s.Guest),
		Retired: s.Retired, Invented: nilIfZero(s.Invented), Readings: s.Readings,
		Gears: mapSlice(s.Gears, func(g fleet.Gear) openapi.Gear {
			return openapi.Gear{Label: g.Label, Ratio: g.Ratio, Range: nilIfZero(g.Range)}
		}),
		Driveline: encodeDriveline(s.Driveline), Loading: encodeLoading(s.Loading), Weighings: nilIfZero(s.Weighings),
		Revision: int(s.Revision), CreatedAt: s.CreatedAt, UpdatedAt: s.UpdatedAt,
	}
}
