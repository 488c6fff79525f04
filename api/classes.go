package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListClasses lists all classes by id.
func (s *server) ListClasses(c echo.Context, p openapi.ListClassesParams) error {
	classes, next, err := s.book.Classes(c.Request().Context(), valueOr(p.After, ""), valueOr(p.Limit, defaultLimit))
	return sendPage(c, classes, next, err, encodeClass)
}

// GetClass gives one class.
func (s *server) GetClass(c echo.Context, id string, _ openapi.GetClassParams) error {
	class, err := s.book.Class(c.Request().Context(), id)
	return classResource.send(c, class, err)
}

// AddClass adds a class.
func (s *server) AddClass(c echo.Context, _ openapi.AddClassParams) error {
	return add(s, c, classResource, func(w *book.Writer, in classInput) (book.ClassView, error) {
		class, err := w.AddClass(in.Class)
		return viewOfClass(w, class, err)
	})
}

// PutClass replaces a class.
func (s *server) PutClass(c echo.Context, id string, p openapi.PutClassParams) error {
	return change(s, c, classResource, p.IfMatch,
		func(w *book.Writer, match func(book.ClassView) error, in classInput) (book.ClassView, error) {
			class, err := w.ReplaceClass(id, ofStoredClass(match), in.Class, in.Renew)
			return viewOfClass(w, class, err)
		})
}

// DeleteClass deletes a class that no show lists.
func (s *server) DeleteClass(c echo.Context, id string, p openapi.DeleteClassParams) error {
	return drop(s, c, classResource, p.IfMatch, func(w *book.Writer, match func(book.ClassView) error) error {
		return w.RemoveClass(id, ofStoredClass(match))
	})
}

var classResource = resource[book.ClassView, openapi.Class]{
	path: "/v1/classes/", id: func(c book.ClassView) string { return c.ID }, encode: encodeClass,
	state: func(c book.ClassView) (name, state string) { return c.Name, reply.StateOf(c.Revision, c.CreatedAt) },
	match: reply.IfMatch[book.ClassView],
}

// ofStoredClass is match for a class as it is stored.
func ofStoredClass(match func(book.ClassView) error) func(fleet.Class) error {
	return func(c fleet.Class) error { return match(book.ClassView{Class: c}) }
}

// viewOfClass is a class as the write that has just stored it sees it.
func viewOfClass(w *book.Writer, class fleet.Class, err error) (book.ClassView, error) {
	if err != nil {
		return book.ClassView{}, err
	}
	return w.View(class)
}

// classInput is a class as it is sent. The names in JSON are those of fleet.Class.
type classInput struct {
	fleet.Class
	Renew bool `json:"renew"` // what its settings stand for
}

func encodeClass(c book.ClassView) openapi.Class {
	return openapi.Class{
		Id: c.ID, Name: c.Name, Setting: encodeHome(c.Setting,
			c.TodayFt), UsedBy: nilIfZero(c.UsedBy), Weights: nilIfZero(c.Weights),
		EndsFt: c.EndsFt, Notes: nilIfZero(c.Notes), Revision: int(c.Revision), CreatedAt: c.CreatedAt,
		UpdatedAt: c.UpdatedAt,
		PullOff: mapPointer(c.PullOff, func(h fleet.HomeSetting) openapi.HomeSetting {
			return encodeHome(h, c.PullOffTodayFt)
		}),
	}
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
