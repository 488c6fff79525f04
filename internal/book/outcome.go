package book

import (
	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// PutOutcome notes how a class went at a show and returns it as stored; an empty one takes back what was noted. A show or
// a class that is not there is NotFound, an outcome against the rules Invalid.
func (w *Writer) PutOutcome(show, class string, o fleet.Outcome) (fleet.Outcome, error) {
	if _, err := w.entry(show, class); err != nil {
		return fleet.Outcome{}, err
	}
	o.Tidy()
	if err := o.Check().Err(); err != nil {
		return fleet.Outcome{}, err
	}
	at := store.Entry{Show: show, Class: class}
	if o == (fleet.Outcome{}) {
		return o, w.tx.DeleteOutcome(at)
	}
	return o, w.tx.PutOutcome(at, o)
}
