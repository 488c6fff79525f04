package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// AddAsRun notes what was really set, from which hook on.
func (s *server) AddAsRun(c echo.Context, show, class string, _ openapi.AddAsRunParams) error {
	return add(s, c, asRunResource, func(w *book.Writer, in openapi.AsRunInput) (fleet.AsRun, error) {
		line, seen := decodeAsRun(in)
		return w.AddAsRun(show, class, line, seen)
	})
}

// DeleteAsRun takes back a line noted by mistake.
func (s *server) DeleteAsRun(c echo.Context, show, class, line string, p openapi.DeleteAsRunParams) error {
	return drop(s, c, asRunResource, p.IfMatch, func(w *book.Writer, match func(fleet.AsRun) error) error {
		if err := w.MatchAsRun(show, class, line, match); err != nil {
			return err
		}
		return w.RemoveAsRun(show, class, line)
	})
}

// asRunResource is a line, which is noted and taken back, and never another in between. It is read on its sheet.
var asRunResource = resource[fleet.AsRun, openapi.AsRun]{
	encode: encodeAsRun,
	state:  func(a fleet.AsRun) (name, state string) { return "the line", reply.StateOf(0, a.CreatedAt) },
	match:  reply.IfMatchGiven[fleet.AsRun],
}

// PutOutcome notes how a class went.
func (s *server) PutOutcome(c echo.Context, show, class string, p openapi.PutOutcomeParams) error {
	return change(s, c, outcomeResource, p.IfMatch,
		func(w *book.Writer, match func(fleet.Outcome) error, in openapi.Outcome) (fleet.Outcome, error) {
			if err := w.MatchOutcome(show, class, match); err != nil {
				return fleet.Outcome{}, err
			}
			return w.PutOutcome(show, class, decodeOutcome(in))
		})
}

// outcomeResource is how a class went. It is read on its sheet.
var outcomeResource = resource[fleet.Outcome, *openapi.Outcome]{
	encode: func(o fleet.Outcome) *openapi.Outcome { return encodeOutcome(&o) }, state: outcomeState,
	match: reply.IfMatchGiven[fleet.Outcome],
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
