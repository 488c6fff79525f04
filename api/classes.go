package main

import (
	"crypto/sha256"
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListClasses lists all classes by id.
func (s *server) ListClasses(c echo.Context, p openapi.ListClassesParams) error {
	classes, next, err := s.book.Classes(c.Request().Context(), valueOr(p.After, ""), valueOr(p.Limit, defaultLimit))
	if err != nil {
		return err
	}
	return sendJSON(c, http.StatusOK, openapi.ClassPage{Items: mapSlice(classes, encodeClass), Next: nilIfZero(next)})
}

// GetClass gives one class.
func (s *server) GetClass(c echo.Context, id string, _ openapi.GetClassParams) error {
	class, err := s.book.Class(c.Request().Context(), id)
	if err != nil {
		return err
	}
	a, err := classAnswer(http.StatusOK, class)
	if err != nil {
		return err
	}
	return send(c, a)
}

// AddClass adds a class.
func (s *server) AddClass(c echo.Context, _ openapi.AddClassParams) error {
	input, err := decode[openapi.ClassInput](c)
	if err != nil {
		return err
	}
	return s.once(c, sha256.Sum256(sentIn(c).raw), func(w *book.Writer) (answer, error) {
		class, err := w.AddClass(decodeClass(input))
		if err != nil {
			return answer{}, err
		}
		view, err := w.View(class)
		if err != nil {
			return answer{}, err
		}
		a, err := classAnswer(http.StatusCreated, view)
		a.location = "/v1/classes/" + url.PathEscape(class.ID)
		return a, err
	})
}

// PutClass replaces a class.
func (s *server) PutClass(c echo.Context, id string, p openapi.PutClassParams) error {
	match, err := matching(valueOr(p.IfMatch, ""), classState)
	if err != nil {
		return err
	}
	input, err := decode[openapi.ClassInput](c)
	if err != nil {
		return err
	}
	return s.write(c, func(w *book.Writer) (answer, error) {
		class, err := w.ReplaceClass(id, match, decodeClass(input), valueOr(input.Renew, false))
		if err != nil {
			return answer{}, err
		}
		view, err := w.View(class)
		if err != nil {
			return answer{}, err
		}
		return classAnswer(http.StatusOK, view)
	})
}

// DeleteClass deletes a class that no show lists.
func (s *server) DeleteClass(c echo.Context, id string, p openapi.DeleteClassParams) error {
	match, err := matching(valueOr(p.IfMatch, ""), classState)
	if err != nil {
		return err
	}
	return s.write(c, func(w *book.Writer) (answer, error) {
		return answer{status: http.StatusNoContent}, w.RemoveClass(id, match)
	})
}

func classState(c fleet.Class) (name, state string) { return c.Name, stateOf(c.Revision, c.CreatedAt) }

func classAnswer(status int, c book.ClassView) (answer, error) {
	a, err := jsonAnswer(status, encodeClass(c))
	_, state := classState(c.Class)
	a.etag = strongETag(state, a.body)
	return a, err
}

func decodeClass(in openapi.ClassInput) fleet.Class {
	c := fleet.Class{
		Name: in.Name, Setting: decodeSetting(in.Setting), UsedBy: valueOr(in.UsedBy, ""), Weights: valueOr(in.Weights, ""), Notes: valueOr(in.Notes, ""),
	}
	if in.PullOff != nil {
		c.PullOff = new(decodeSetting(*in.PullOff))
	}
	return c
}

func decodeSetting(in openapi.SettingInput) fleet.HomeSetting {
	return fleet.HomeSetting{Setting: fleet.Setting{Sled: in.Sled, Gear: in.Gear, StartFt: valueOr(in.StartFt, 0)}}
}

func encodeClass(c book.ClassView) openapi.Class {
	out := openapi.Class{
		Id: c.ID, Name: c.Name, Setting: encodeHome(c.Setting, c.TodayFt), UsedBy: nilIfZero(c.UsedBy), Weights: nilIfZero(c.Weights),
		Notes: nilIfZero(c.Notes), Revision: int(c.Revision), CreatedAt: c.CreatedAt, UpdatedAt: c.UpdatedAt,
	}
	if c.PullOff != nil {
		out.PullOff = new(encodeHome(*c.PullOff, c.PullOffTodayFt))
	}
	return out
}

func encodeHome(h fleet.HomeSetting, today *float64) openapi.HomeSetting {
	out := openapi.HomeSetting{
		Sled: h.Sled, Gear: h.Gear, StartFt: h.StartFt, StoodForFt: h.TopOutFt, PlusMinusFt: h.PlusMinusFt, NotedOn: h.NotedOn, TodayFt: today,
	}
	if today != nil && h.TopOutFt != nil {
		out.MovedFt = new(*today - *h.TopOutFt)
	}
	return out
}
