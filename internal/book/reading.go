package book

import (
	"errors"
	"fmt"
	"time"

	"evenpull/internal/fleet"
)

// replacedReason is why a reading that was corrected no longer counts.
const replacedReason = "replaced by a corrected reading"

// AddReading stores a reading of a sled and returns it as stored; the reading it replaces is set aside. A sled that is
// not there is NotFound, one that is retired a Conflict, a reading against the rules Invalid, and one that is asked
// about and not answered a Conflict with its code.
func (w *Writer) AddReading(sled string, r fleet.Reading, answers Answers) (fleet.Reading, error) {
	t, err := w.tx.Timeline(sled)
	if err != nil {
		return fleet.Reading{}, err
	}
	if t.Base.Retired {
		return fleet.Reading{}, fleet.Errorf(fleet.Conflict, "%s", retiredMessage(t.Base))
	}
	faults, replaced, err := w.check().reading(&r, t, false)
	if err != nil {
		return fleet.Reading{}, err
	}
	if err := faults.Err(); err != nil {
		return fleet.Reading{}, err
	}
	w.asNew(&r)
	d := newDoubts(w, Request{Answers: answers})
	if _, err := d.take(0, r); err != nil {
		return fleet.Reading{}, err
	}
	kept, err := d.settle()
	if err != nil {
		return fleet.Reading{}, err
	}
	if len(kept) > 0 {
		r.ConfirmedAt = &w.now
	}
	if err := w.tx.AddReadings([]fleet.Reading{r}); err != nil {
		return fleet.Reading{}, err
	}
	err = w.record(fleet.ActAdded, fleet.OfReading, r.ID, []string{sled}, nil, r)
	if err != nil || !stillCounts(replaced) {
		return r, err
	}
	after, err := w.supersede(*replaced, w.now)
	if err != nil {
		return fleet.Reading{}, err
	}
	return r, w.recordReading(fleet.ActSetAside, *replaced, after)
}

func retiredMessage(s fleet.Sled) string {
	return fmt.Sprintf("%s is retired and takes no more readings; "+
		"bring it back first, by saving it with \"retired\": false", s.Name)
}

// asNew gives a reading its id and time, and makes it count.
func (w *Writer) asNew(r *fleet.Reading) {
	r.ID, r.SetAside, r.CreatedAt = w.b.newID(), nil, w.now
}

// stillCounts says whether there is a reading that another replaces and that is not set aside yet. One that is set
// aside keeps its reason.
func stillCounts(replaced *fleet.Reading) bool { return replaced != nil && replaced.SetAside == nil }

// supersede sets a reading aside that another, made at that time, has replaced, and returns it as it then is.
func (w *Writer) supersede(r fleet.Reading, at time.Time) (fleet.Reading, error) {
	r.SetAside = &fleet.SetAside{Reason: replacedReason, At: at}
	return r, w.tx.SetAside(r, r.SetAside)
}

// recordReading makes an entry of its own for what becomes of a reading, where another replaces it too, so that the
// history of a reading says why it does not count.
func (w *Writer) recordReading(act string, before, after fleet.Reading) error {
	return w.record(act, fleet.OfReading, after.ID, []string{after.Sled}, before, after)
}

// SetAside leaves a reading out of the chart for a reason, or brings it back where reason is nil, and returns it as
// stored. A reading that is not there is NotFound; an empty or overlong reason Invalid; one that goes against the
// sled as it was on its date cannot come back: a Conflict.
func (w *Writer) SetAside(reading string, reason *string) (fleet.Reading, error) {
	before, err := w.tx.Reading(reading)
	if err != nil {
		return fleet.Reading{}, err
	}
	after := before
	act, err := w.setAside(note{
		what: "reading", sled: before.Sled, on: before.MeasuredOn, aside: &after.SetAside,
		owners: before.OwnerSetAside, checkOn: after.CheckOn,
	}, reason)
	if err != nil || act == "" {
		return before, err
	}
	if err := w.tx.SetAside(after, after.SetAside); err != nil {
		return fleet.Reading{}, err
	}
	return after, w.recordReading(act, before, after)
}

// note is a reading or a weighing, as far as setting it aside goes.
type note struct {
	what, sled, on string
	aside          **fleet.SetAside // changed in place, after checkOn
	owners         *fleet.SetAside  // of a guest
	checkOn        func(fleet.Sled, time.Time) *fleet.Faults
}

// setAside gives a note a reason why it does not count, or brings it back where reason is nil, and says which act that
// is, "" where nothing changes.
func (w *Writer) setAside(n note, reason *string) (act string, err error) {
	was := *n.aside
	switch {
	case reason != nil:
		text, err := fleet.TidyReason(*reason)
		*n.aside = &fleet.SetAside{Reason: text, At: w.now}
		return fleet.ActSetAside, err
	case was == nil:
		return "", nil
	case n.owners != nil && *was == *n.owners:
		return "", fleet.Errorf(fleet.Conflict, "the sled's owner set this %s aside, and can bring it back", n.what)
	}
	t, err := w.tx.Timeline(n.sled)
	if err != nil {
		return "", err
	}
	if err := n.checkOn(t.Until(n.on).Today(), w.now).Err(); err != nil {
		return "", cannotRestore(n.what, err)
	}
	*n.aside = n.owners
	return fleet.ActBroughtBack, nil
}

// Confirm says that a reading counts though it stands out, or that nobody says so any more, and returns it as stored. A
// reading that is not there is NotFound.
func (w *Writer) Confirm(reading string, counts bool) (fleet.Reading, error) {
	r, err := w.tx.Reading(reading)
	if err != nil || counts == (r.ConfirmedAt != nil) {
		return r, err
	}
	if err := checkOwnReading(r); err != nil {
		return fleet.Reading{}, err
	}
	before, act := r, fleet.ActUnconfirmed
	if r.ConfirmedAt = nil; counts {
		act, r.ConfirmedAt = fleet.ActConfirmed, &w.now
	}
	if err := w.tx.Confirm(r.Sled, []string{r.ID}, r.ConfirmedAt); err != nil {
		return fleet.Reading{}, err
	}
	return r, w.recordReading(act, before, r)
}

func cannotRestore(what string, err error) error {
	var e *fleet.Error
	if !errors.As(err, &e) || e.Kind != fleet.Invalid {
		return err
	}
	return fleet.Errorf(fleet.Conflict, "the %s does not go with the sled as it is noted for its date, "+
		"so it cannot count: %s", what, details(e.Faults))
}
