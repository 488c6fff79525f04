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

// ListSleds lists all sleds by id.
func (s *server) ListSleds(c echo.Context, p openapi.ListSledsParams) error {
	sleds, next, err := s.book.Sleds(c.Request().Context(), valueOr(p.After, ""), valueOr(p.Limit, defaultLimit))
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK, openapi.SledPage{Items: mapSlice(sleds, encodeSled), Next: nilIfZero(next)})
}

// GetSled gives one sled.
func (s *server) GetSled(c echo.Context, id string, _ openapi.GetSledParams) error {
	sled, err := s.book.Sled(c.Request().Context(), id)
	if err != nil {
		return err
	}
	return sendDocument(c, sled, sledAnswer)
}

// AddSled adds a sled.
func (s *server) AddSled(c echo.Context, _ openapi.AddSledParams) error {
	return create(s, c, func(w *book.Writer, in openapi.SledInput) (reply.Answer, error) {
		sled, err := addSled(w, in)
		if err != nil {
			return reply.Answer{}, err
		}
		a, err := sledAnswer(http.StatusCreated, sled)
		a.Location = "/v1/sleds/" + url.PathEscape(sled.ID)
		return a, err
	})
}

// PutSled corrects what was noted about a sled.
func (s *server) PutSled(c echo.Context, id string, p openapi.PutSledParams) error {
	match, err := reply.IfMatch(p.IfMatch, sledState)
	if err != nil {
		return err
	}
	return change(s, c, func(w *book.Writer, in openapi.SledCorrection) (reply.Answer, error) {
		var faults fleet.Faults
		sled, err := w.CorrectSled(id, match, decodeCorrection(in, &faults))
		if err := faults.Join(err); err != nil {
			return reply.Answer{}, err
		}
		return sledAnswer(http.StatusOK, sled)
	})
}

// DeleteSled deletes a sled without readings, and retires one that has some.
func (s *server) DeleteSled(c echo.Context, id string, p openapi.DeleteSledParams) error {
	match, err := reply.IfMatch(p.IfMatch, sledState)
	if err != nil {
		return err
	}
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		sled, retired, err := w.RemoveSled(id, match)
		if err != nil || !retired {
			return reply.NoContent(), err
		}
		return sledAnswer(http.StatusOK, sled)
	})
}

func sledState(s fleet.Sled) (name, state string) {
	return s.Name, reply.StateOf(s.Revision, s.CreatedAt)
}

func sledAnswer(status int, sled fleet.Sled) (reply.Answer, error) {
	_, state := sledState(sled)
	return reply.Document(status, encodeSled(sled), state)
}

func addSled(w *book.Writer, in openapi.SledInput) (fleet.Sled, error) {
	var faults fleet.Faults
	sled, err := w.AddSled(decodeSled(in, &faults))
	return sled, faults.Join(err)
}

func decodeSled(in openapi.SledInput, faults *fleet.Faults) fleet.Sled {
	return fleet.Sled{
		Name: in.Name, Owner: valueOr(in.Owner, ""), TravelFt: in.TravelFt, TakeUpFt: valueOr(in.TakeUpFt, 0),
		RailMarkFt: valueOr(in.RailMarkFt, fleet.DefaultRailMarkFt), Notes: valueOr(in.Notes, ""),
		Gears: mapSlice(in.Gears, func(g openapi.Gear) fleet.Gear {
			return fleet.Gear{Label: g.Label, Ratio: g.Ratio, Range: valueOr(g.Range, "")}
		}),
		Driveline: decodeDriveline(in.Driveline, faults), Loading: decodeLoading(in.Loading),
	}
}

func decodeCorrection(in openapi.SledCorrection, faults *fleet.Faults) book.Correction {
	return book.Correction{
		Sled: fleet.Sled{
			Name: in.Name, Owner: valueOr(in.Owner, ""), TravelFt: in.TravelFt, TakeUpFt: valueOr(in.TakeUpFt, 0),
			RailMarkFt: valueOr(in.RailMarkFt, fleet.DefaultRailMarkFt), Notes: valueOr(in.Notes,
				""), Retired: valueOr(in.Retired, false),
			Gears: mapSlice(in.Gears, func(g openapi.GearCorrection) fleet.Gear {
				return fleet.Gear{Label: g.Label, Ratio: g.Ratio, Range: valueOr(g.Range, "")}
			}),
			Driveline: decodeDriveline(in.Driveline, faults), Loading: decodeLoading(in.Loading),
		},
		Was: mapSlice(in.Gears, func(g openapi.GearCorrection) string { return valueOr(g.Was, "") }),
	}
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
