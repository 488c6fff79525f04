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

// ListClasses lists all classes by id.
func (s *server) ListClasses(c echo.Context, p openapi.ListClassesParams) error {
	classes, next, err := s.book.Classes(c.Request().Context(), valueOr(p.After, ""), valueOr(p.Limit, defaultLimit))
	if err != nil {
		return err
	}
	return reply.SendJSON(c, http.StatusOK,
		openapi.ClassPage{Items: mapSlice(classes, encodeClass), Next: nilIfZero(next)})
}

// GetClass gives one class.
func (s *server) GetClass(c echo.Context, id string, _ openapi.GetClassParams) error {
	class, err := s.book.Class(c.Request().Context(), id)
	if err != nil {
		return err
	}
	return sendDocument(c, class, classAnswer)
}

// AddClass adds a class.
func (s *server) AddClass(c echo.Context, _ openapi.AddClassParams) error {
	return create(s, c, func(w *book.Writer, in openapi.ClassInput) (reply.Answer, error) {
		class, err := w.AddClass(decodeClass(in))
		if err != nil {
			return reply.Answer{}, err
		}
		a, err := writtenClass(w, http.StatusCreated, class)
		a.Location = "/v1/classes/" + url.PathEscape(class.ID)
		return a, err
	})
}

// PutClass replaces a class.
func (s *server) PutClass(c echo.Context, id string, p openapi.PutClassParams) error {
	match, err := reply.IfMatch(p.IfMatch, classState)
	if err != nil {
		return err
	}
	return change(s, c, func(w *book.Writer, in openapi.ClassInput) (reply.Answer, error) {
		class, err := w.ReplaceClass(id, match, decodeClass(in), valueOr(in.Renew, false))
		if err != nil {
			return reply.Answer{}, err
		}
		return writtenClass(w, http.StatusOK, class)
	})
}

// DeleteClass deletes a class that no show lists.
func (s *server) DeleteClass(c echo.Context, id string, p openapi.DeleteClassParams) error {
	match, err := reply.IfMatch(p.IfMatch, classState)
	if err != nil {
		return err
	}
	return s.write(c, func(w *book.Writer) (reply.Answer, error) { return reply.NoContent(), w.RemoveClass(id, match) })
}

func classState(c fleet.Class) (name, state string) {
	return c.Name, reply.StateOf(c.Revision, c.CreatedAt)
}

// writtenClass answers with a class as the write that has just stored it sees it.
func writtenClass(w *book.Writer, status int, class fleet.Class) (reply.Answer, error) {
	view, err := w.View(class)
	if err != nil {
		return reply.Answer{}, err
	}
	return classAnswer(status, view)
}

func classAnswer(status int, c book.ClassView) (reply.Answer, error) {
	_, state := classState(c.Class)
	return reply.Document(status, encodeClass(c), state)
}

func decodeClass(in openapi.ClassInput) fleet.Class {
	c := fleet.Class{
		Name: in.Name, EndsFt: in.EndsFt, Setting: decodeSetting(in.Setting), UsedBy: valueOr(in.UsedBy, ""),
		Weights: valueOr(in.Weights,
			""), Notes: valueOr(in.Notes, ""),
	}
	if in.PullOff != nil {
		c.PullOff = new(decodeSetting(*in.PullOff))
	}
	return c
}

func decodeSetting(in openapi.SettingInput) fleet.HomeSetting {
	return fleet.HomeSetting{
		Setting: fleet.Setting{Sled: valueOr(in.Sled, ""), Gear: valueOr(in.Gear, ""),
			StartFt: valueOr(in.StartFt, 0)},
		StoodFor: fleet.StoodFor{TopOutFt: in.TopOutFt},
		InBoxLb:  in.InBoxLb, OnPanLb: in.OnPanLb,
	}
}

func encodeClass(c book.ClassView) openapi.Class {
	out := openapi.Class{
		Id: c.ID, Name: c.Name, Setting: encodeHome(c.Setting,
			c.TodayFt), UsedBy: nilIfZero(c.UsedBy), Weights: nilIfZero(c.Weights),
		EndsFt: c.EndsFt, Notes: nilIfZero(c.Notes), Revision: int(c.Revision), CreatedAt: c.CreatedAt,
		UpdatedAt: c.UpdatedAt,
	}
	if c.PullOff != nil {
		out.PullOff = new(encodeHome(*c.PullOff, c.PullOffTodayFt))
	}
	return out
}

func encodeHome(h fleet.HomeSetting, today *float64) openapi.HomeSetting {
	out := openapi.HomeSetting{
		Sled: nilIfZero(h.Sled), Gear: nilIfZero(h.Gear), StartFt: h.StartFt, StoodForFt: h.TopOutFt,
		PlusMinusFt: h.PlusMinusFt,
		NotedOn:     h.NotedOn, TodayFt: today, InBoxLb: h.InBoxLb, OnPanLb: h.OnPanLb,
	}
	if h.IsDistance() {
		out.TopOutFt = h.TopOutFt
	}
	if today != nil && h.TopOutFt != nil {
		out.MovedFt = new(*today - *h.TopOutFt)
	}
	return out
}
