package book

import (
	"reflect"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// PutOutcome notes how a class went at a show and returns it as stored; an empty one takes back what was noted. A show
// or a class that is not there is NotFound, an outcome against the rules Invalid.
func (w *Writer) PutOutcome(show, class string, o fleet.Outcome) (fleet.Outcome, error) {
	s, err := w.entry(show, class)
	if err != nil {
		return fleet.Outcome{}, err
	}
	o.Tidy()
	if err := o.Check().Err(); err != nil {
		return fleet.Outcome{}, err
	}
	at := store.ShowClass{Show: show, Class: class}
	outcomes, err := w.tx.Outcomes([]string{show})
	if err != nil {
		return fleet.Outcome{}, err
	}
	old, noted := outcomes[at]
	if reflect.DeepEqual(o, old) { // an empty one is as good as none
		return o, nil
	}
	var before, after any
	act, put := fleet.ActAdded, w.tx.PutOutcome
	if noted {
		act, before = fleet.ActChanged, old
	}
	if o == (fleet.Outcome{}) {
		act, put = fleet.ActRemoved, func(at store.ShowClass, _ fleet.Outcome) error { return w.tx.DeleteOutcome(at) }
	} else {
		after = o
	}
	if err := put(at, o); err != nil {
		return fleet.Outcome{}, err
	}
	return o, w.record(act, fleet.OfOutcome, show+"/"+class, bookedBy(s.Show), before, after)
}
