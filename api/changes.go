package main

import (
	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// ListChanges lists a sled's changes of parts, newest first.
func (s *server) ListChanges(c echo.Context, sled string, _ openapi.ListChangesParams) error {
	changes, revision, err := s.book.Changes(c.Request().Context(), sled)
	if err != nil {
		return err
	}
	return s.cache.SendJSON(c, revision, openapi.ChangeList{Items: mapSlice(changes, encodeChange)})
}

// AddChange notes a change of parts.
func (s *server) AddChange(c echo.Context, sled string, _ openapi.AddChangeParams) error {
	return add(s, c, changeResource, func(w *book.Writer, in changeInput) (book.ChangeView, error) {
		return addChange(w, sled, in)
	})
}

// DeleteChange takes a change back.
func (s *server) DeleteChange(c echo.Context, change string, p openapi.DeleteChangeParams) error {
	return drop(s, c, changeResource, p.IfMatch, func(w *book.Writer, match func(book.ChangeView) error) error {
		stored := func(c fleet.Change) error { return match(book.ChangeView{Change: c}) }
		if err := w.MatchChange(change, stored); err != nil {
			return err
		}
		return w.RemoveChange(change)
	})
}

// changeResource is a change of parts, which is noted and taken back, and never another in between.
var changeResource = resource[book.ChangeView, openapi.Change]{
	path: "/v1/changes/", id: func(c book.ChangeView) string { return c.ID }, encode: encodeChange,
	state: func(c book.ChangeView) (name, state string) {
		return "the change of parts", reply.StateOf(0, c.CreatedAt)
	},
	match: reply.IfMatchGiven[book.ChangeView],
}

// changeInput is a change of parts as it is sent. The names in JSON are those of fleet.Change.
type changeInput struct {
	fleet.Change
	Driveline drivelineInput `json:"driveline"`
}

func addChange(w *book.Writer, sled string, in changeInput) (book.ChangeView, error) {
	var faults fleet.Faults
	in.Change.Driveline = in.Driveline.decode(&faults)
	view, err := w.AddChange(sled, in.Change)
	return view, faults.Join(err)
}

func encodeChange(c book.ChangeView) openapi.Change {
	return openapi.Change{
		Id: c.ID, Sled: c.Sled, MadeOn: c.MadeOn, What: c.What, Driveline: encodeDriveline(c.Driveline),
		TravelFt: c.TravelFt,
		Effect:   openapi.ChangeEffect(c.Effect), MovesPct: c.MovesPct, CreatedAt: c.CreatedAt,
		EndsWeighings: nilIfZero(c.EndsWeighings),
		Gears: mapSlice(c.Gears, func(g fleet.Gear) openapi.ChangedGear {
			return openapi.ChangedGear{Label: g.Label, Ratio: g.Ratio, Range: nilIfZero(g.Range)}
		}),
	}
}
