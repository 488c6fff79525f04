package main

import (
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListShows lists all shows, newest date first.
func (s *server) ListShows(c echo.Context, p openapi.ListShowsParams) error {
	shows, next, err := s.book.Shows(c.Request().Context(), valueOr(p.After, ""), valueOr(p.Limit, defaultLimit))
	return sendPage(c, shows, next, err, s.encodeShow)
}

// GetShow gives one show.
func (s *server) GetShow(c echo.Context, id string, _ openapi.GetShowParams) error {
	show, err := s.book.Show(c.Request().Context(), id)
	return s.showResource().send(c, show, err)
}

// AddShow adds a show.
func (s *server) AddShow(c echo.Context, _ openapi.AddShowParams) error {
	return add(s, c, s.showResource(), func(w *book.Writer, in openapi.ShowInput) (fleet.Show, error) {
		return w.AddShow(decodeShow(in))
	})
}

// PutShow replaces a show; another sled re-translates every class at once.
func (s *server) PutShow(c echo.Context, id string, p openapi.PutShowParams) error {
	return change(s, c, s.showResource(), p.IfMatch,
		func(w *book.Writer, match func(fleet.Show) error, in openapi.ShowInput) (fleet.Show, error) {
			return w.ReplaceShow(id, match, decodeShow(in))
		})
}

// DeleteShow deletes a show of which nothing was noted as run.
func (s *server) DeleteShow(c echo.Context, id string, p openapi.DeleteShowParams) error {
	return drop(s, c, s.showResource(), p.IfMatch, func(w *book.Writer, match func(fleet.Show) error) error {
		return w.RemoveShow(id, match)
	})
}

// showState also holds whether the show is over, which it gets to be by the clock too: whoever still saw it open must
// not open it again by a change of its notes.
func showState(s fleet.Show) (name, state string) {
	state = reply.StateOf(s.Revision, s.CreatedAt)
	if s.Over {
		state += "-over"
	}
	return s.Name, state
}

func (s *server) showResource() resource[fleet.Show, openapi.Show] {
	return resource[fleet.Show, openapi.Show]{
		path: "/v1/shows/", id: func(s fleet.Show) string { return s.ID }, encode: s.encodeShow, state: showState,
		match: reply.IfMatch[fleet.Show],
	}
}

func decodeShow(in openapi.ShowInput) fleet.Show {
	return fleet.Show{
		Name: in.Name, Date: in.Date, Place: valueOr(in.Place, ""), Zone: valueOr(in.Zone, ""),
		Promoter: valueOr(in.Promoter, ""), Sled: valueOr(in.Sled, ""), Classes: in.Classes,
		FullPullFt: in.FullPullFt, Notes: valueOr(in.Notes, ""), Over: valueOr(in.Over, false),
	}
}

func (s *server) encodeShow(show fleet.Show) openapi.Show {
	return openapi.Show{
		Id: show.ID, Name: show.Name, Date: show.Date, Place: nilIfZero(show.Place), Zone: show.Zone,
		Promoter: nilIfZero(show.Promoter), Sled: nilIfZero(show.Sled), Classes: notNil(show.Classes),
		FullPullFt: show.FullPullFt, Notes: nilIfZero(show.Notes),
		Over:       show.Over,
		PullersUrl: s.pullersURL(show.ID), Revision: int(show.Revision), CreatedAt: show.CreatedAt,
		UpdatedAt: show.UpdatedAt,
	}
}

// pullersURL is where the QR code of a show leads, nil while nobody said where the pages are seen from outside.
func (s *server) pullersURL(show string) *string {
	if s.publicURL == "" {
		return nil
	}
	return new(strings.TrimRight(s.publicURL, "/") + "/pullers?" + url.Values{"show": {show}}.Encode())
}
