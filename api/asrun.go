package main

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// AddAsRun notes what was really set, from which hook on.
func (s *server) AddAsRun(c echo.Context, show, class string, _ openapi.AddAsRunParams) error {
	return create(s, c, func(w *book.Writer, in openapi.AsRunInput) (reply.Answer, error) {
		line, seen := decodeAsRun(in)
		line, err := w.AddAsRun(show, class, line, seen)
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.Done(http.StatusCreated, encodeAsRun(line)) // a line is read on its sheet, not by itself
	})
}

// DeleteAsRun takes back a line noted by mistake.
func (s *server) DeleteAsRun(c echo.Context, show, class, line string) error {
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		return reply.NoContent(),
			w.RemoveAsRun(show, class, line)
	})
}

// PutOutcome notes how a class went.
func (s *server) PutOutcome(c echo.Context, show, class string) error {
	return change(s, c, func(w *book.Writer, in openapi.Outcome) (reply.Answer, error) {
		outcome, err := w.PutOutcome(show, class, decodeOutcome(in))
		if err != nil {
			return reply.Answer{}, err
		}
		return reply.Done(http.StatusOK, encodeOutcome(&outcome)) // it is read on its sheet, not by itself
	})
}

// decodeAsRun gives a line, and the revision of the show on the sheet that the operator saw.
func decodeAsRun(in openapi.AsRunInput) (line fleet.AsRun, seen *int64) {
	if in.SheetRevision != nil {
		seen = new(int64(*in.SheetRevision))
	}
	return fleet.AsRun{
		FromHook: in.FromHook, Gear: in.Gear, StartFt: valueOr(in.StartFt, 0), PullOff: valueOr(in.PullOff, false),
		Weights: valueOr(in.Weights, ""), InBoxLb: in.InBoxLb, OnPanLb: in.OnPanLb, Note: valueOr(in.Note, ""),
	}, seen
}

func encodeAsRun(a fleet.AsRun) openapi.AsRun {
	return openapi.AsRun{
		Id: a.ID, Sled: a.Sled, FromHook: a.FromHook, Gear: a.Gear, StartFt: a.StartFt, PullOff: a.PullOff,
		Weights: nilIfZero(a.Weights), InBoxLb: a.InBoxLb, OnPanLb: a.OnPanLb,
		Note: nilIfZero(a.Note), TopOutFt: a.TopOutFt, ShowChanged: a.Changed, CreatedAt: a.CreatedAt,
	}
}

func decodeOutcome(in openapi.Outcome) fleet.Outcome {
	return fleet.Outcome{
		LongestFt: in.LongestFt, Hooks: in.Hooks, FullPulls: in.FullPulls, Felt: fleet.Felt(valueOr(in.Felt,
			"")), Note: valueOr(in.Note, ""),
	}
}

func encodeOutcome(o *fleet.Outcome) *openapi.Outcome {
	if o == nil {
		return nil
	}
	return &openapi.Outcome{
		LongestFt: o.LongestFt, Hooks: o.Hooks, FullPulls: o.FullPulls, Felt: nilIfZero(openapi.OutcomeFelt(o.Felt)),
		Note: nilIfZero(o.Note),
	}
}
