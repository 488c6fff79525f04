package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
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
		_, state := asRunState(line)
		return reply.Document(http.StatusCreated, encodeAsRun(line), state) // a line is read on its sheet
	})
}

// DeleteAsRun takes back a line noted by mistake.
func (s *server) DeleteAsRun(c echo.Context, show, class, line string, p openapi.DeleteAsRunParams) error {
	match, err := reply.IfMatchGiven(p.IfMatch, asRunState)
	if err != nil {
		return err
	}
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		if err := w.MatchAsRun(show, class, line, match); err != nil {
			return reply.Answer{}, err
		}
		return reply.NoContent(), w.RemoveAsRun(show, class, line)
	})
}

// asRunState is of a line, which is noted and taken back, and never another in between.
func asRunState(a fleet.AsRun) (name, state string) { return "the line", reply.StateOf(0, a.CreatedAt) }

// PutOutcome notes how a class went.
func (s *server) PutOutcome(c echo.Context, show, class string, p openapi.PutOutcomeParams) error {
	match, err := reply.IfMatchGiven(p.IfMatch, outcomeState)
	if err != nil {
		return err
	}
	return change(s, c, func(w *book.Writer, in openapi.Outcome) (reply.Answer, error) {
		if err := w.MatchOutcome(show, class, match); err != nil {
			return reply.Answer{}, err
		}
		outcome, err := w.PutOutcome(show, class, decodeOutcome(in))
		if err != nil {
			return reply.Answer{}, err
		}
		_, state := outcomeState(outcome)
		return reply.Document(http.StatusOK, encodeOutcome(&outcome), state) // it is read on its sheet
	})
}

// outcomeState is what an outcome says.
func outcomeState(o fleet.Outcome) (name, state string) {
	text, err := json.Marshal(o)
	if err != nil { // numbers that were checked, and text: it cannot
		return "the outcome", ""
	}
	sum := sha256.Sum256(text)
	return "the outcome", hex.EncodeToString(sum[:8])
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
