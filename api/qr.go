package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/fleet"
	"evenpull/internal/plotting"
	"evenpull/openapi"
)

// DrawQR draws the pullers' link of a show as a QR code.
func (s *server) DrawQR(c echo.Context, id string, _ openapi.DrawQRParams) error {
	show, err := s.book.Show(c.Request().Context(), id)
	if err != nil {
		return err
	}
	link := s.pullersURL(show.ID)
	if link == nil {
		return errNoPublicURL()
	}
	drawing, err := plotting.DrawQR(*link, "Tonight's settings at "+show.Name)
	if err != nil {
		return err
	}
	return reply.Send(c, reply.Of(reply.TypeSVG, drawing))
}

// errNoPublicURL refuses to make a link for phones where nobody can know what they are to open.
func errNoPublicURL() error {
	return fleet.Errorf(fleet.Conflict,
		"nobody has said at which address these pages are seen from outside; start with --public-url")
}
