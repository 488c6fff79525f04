package main

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"evenpull/api/internal/contract"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// demoShow is a show of the demo: what POST /v1/shows takes and, beside its fields, what was noted of its classes.
// as_run holds lists of what POST …/as-run takes and outcomes holds what PUT …/outcome takes, both by the class's id.
type demoShow struct {
	input    openapi.ShowInput
	asRun    map[string][]asRunInput
	outcomes map[string]fleet.Outcome
}

// stillAhead is a date in the first year in which it has not gone by, so that the demo has a show to look forward to
// whenever it is loaded.
func stillAhead(date string, now time.Time) string {
	on, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date // refused where it is stored
	}
	for on.Format(time.DateOnly) < now.Format(time.DateOnly) {
		on = on.AddDate(1, 0, 0)
	}
	return on.Format(time.DateOnly)
}

// readDemoShow reads a show. One of which nothing is noted is put ahead of now.
func readDemoShow(item any, k *contract.Contract, now time.Time) (s demoShow, err error) {
	fields, _ := item.(map[string]any) // what is no object has no fields, and lacks those that are needed
	fields = maps.Clone(fields)
	asRun, _ := fields["as_run"].(map[string]any)
	outcomes, _ := fields["outcomes"].(map[string]any)
	delete(fields, "as_run")
	delete(fields, "outcomes")
	if err := k.Fill(&s.input, fields, "ShowInput"); err != nil {
		return s, err
	}
	s.asRun, s.outcomes = map[string][]asRunInput{}, map[string]fleet.Outcome{}
	for class, value := range asRun {
		lines, _ := value.([]any)
		for _, line := range lines {
			var input asRunInput
			if err := k.Fill(&input, line, "AsRunInput"); err != nil {
				return s, fmt.Errorf("as_run of %s: %w", class, err)
			}
			s.asRun[class] = append(s.asRun[class], input)
		}
	}
	for class, value := range outcomes {
		var input fleet.Outcome
		if err := k.Fill(&input, value, "Outcome"); err != nil {
			return s, fmt.Errorf("outcome of %s: %w", class, err)
		}
		s.outcomes[class] = input
	}
	if len(s.asRun) == 0 && len(s.outcomes) == 0 {
		s.input.Date = stillAhead(s.input.Date, now)
	}
	return s, nil
}

// add stores a show with what was noted of it.
func (s demoShow) add(w *book.Writer) error {
	show, err := w.AddShow(decodeShow(s.input))
	if err != nil {
		return err
	}
	for _, class := range slices.Sorted(maps.Keys(s.asRun)) {
		for _, input := range s.asRun[class] {
			if _, err := w.AddAsRun(show.ID, class, input.AsRun, input.SheetRevision); err != nil {
				return fmt.Errorf("as run in %s: %w", class, err)
			}
		}
	}
	for _, class := range slices.Sorted(maps.Keys(s.outcomes)) {
		if _, err := w.PutOutcome(show.ID, class, s.outcomes[class]); err != nil {
			return fmt.Errorf("outcome of %s: %w", class, err)
		}
	}
	return nil
}
