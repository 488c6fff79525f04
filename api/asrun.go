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
	return add(s, c, asRunResource, func(w *book.Writer, in asRunInput) (fleet.AsRun, error) {
		return w.AddAsRun(show, class, in.AsRun, in.SheetRevision)
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
		func(w *book.Writer, match func(fleet.Outcome) error, in fleet.Outcome) (fleet.Outcome, error) {
			if err := w.MatchOutcome(show, class, match); err != nil {
				return fleet.Outcome{}, err
			}
			return w.PutOutcome(show, class, in)
		})
}

// outcomeResource is how a class went. It is read on its sheet.
var outcomeResource = resource[fleet.Outcome, openapi.Outcome]{
	encode: encodeOutcome, state: outcomeState, match: reply.IfMatchGiven[fleet.Outcome],
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

// asRunInput is a line as it is sent. The names in JSON are those of fleet.AsRun.
type asRunInput struct {
	fleet.AsRun
	SheetRevision *int64 `json:"sheet_revision"` // of the show, on the sheet that the operator saw
}

func encodeAsRun(a fleet.AsRun) openapi.AsRun {
	return openapi.AsRun{
		Id: a.ID, Sled: a.Sled, FromHook: a.FromHook, Gear: a.Gear, StartFt: a.StartFt, PullOff: a.PullOff,
		Weights: nilIfZero(a.Weights), InBoxLb: a.InBoxLb, OnPanLb: a.OnPanLb,
		Note: nilIfZero(a.Note), TopOutFt: a.TopOutFt, ShowChanged: a.Changed, CreatedAt: a.CreatedAt,
	}
}

func encodeOutcome(o fleet.Outcome) openapi.Outcome {
	return openapi.Outcome{
		LongestFt: o.LongestFt, Hooks: o.Hooks, FullPulls: o.FullPulls, Felt: nilIfZero(openapi.OutcomeFelt(o.Felt)),
		Note: nilIfZero(o.Note),
	}
}
