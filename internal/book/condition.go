package book

import (
	"slices"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Each of these calls ifMatch with what is stored under an id, before a change of it, and returns the error of ifMatch,
// or NotFound.

// MatchReading calls ifMatch with a reading.
func (w *Writer) MatchReading(id string, ifMatch func(fleet.Reading) error) error {
	_, err := matching(w.tx.Reading, id, ifMatch)
	return err
}

// MatchWeighing calls ifMatch with a weighing.
func (w *Writer) MatchWeighing(id string, ifMatch func(fleet.Weighing) error) error {
	_, err := matching(w.tx.Weighing, id, ifMatch)
	return err
}

// MatchBatch calls ifMatch with the readings that came with one request.
func (w *Writer) MatchBatch(id string, ifMatch func(Batch) error) error {
	_, err := matching(func(id string) (Batch, error) { return batchOf(&w.tx.Reads, id) }, id, ifMatch)
	return err
}

// MatchChange calls ifMatch with a change of parts.
func (w *Writer) MatchChange(id string, ifMatch func(fleet.Change) error) error {
	sled, err := w.tx.SledOfChange(id)
	if err != nil {
		return err
	}
	t, err := w.tx.Timeline(sled)
	if err != nil {
		return err
	}
	return ifMatch(t.Changes[indexOfChange(t, id)])
}

// MatchAsRun calls ifMatch with a line of what was set at a show. Where there is none it calls nothing, and the change
// itself says NotFound.
func (w *Writer) MatchAsRun(show, class, id string, ifMatch func(fleet.AsRun) error) error {
	lines, err := w.tx.AsRun([]string{show})
	if err != nil {
		return err
	}
	of := lines[store.ShowClass{Show: show, Class: class}]
	if i := slices.IndexFunc(of, func(a fleet.AsRun) bool { return a.ID == id }); i >= 0 {
		return ifMatch(of[i])
	}
	return nil
}

// MatchOutcome calls ifMatch with how a class went at a show, the empty outcome while nobody has noted it.
func (w *Writer) MatchOutcome(show, class string, ifMatch func(fleet.Outcome) error) error {
	outcomes, err := w.tx.Outcomes([]string{show})
	if err != nil {
		return err
	}
	return ifMatch(outcomes[store.ShowClass{Show: show, Class: class}])
}
