package book

import (
	"iter"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// readingCheck checks readings against what is stored. It is good for one transaction in which no sled changes.
type readingCheck struct {
	reads *store.Reads
	now   time.Time
}

func (w *Writer) check() *readingCheck { return &readingCheck{reads: &w.tx.Reads, now: w.now} }

// all checks rows, and lets take have each that fits as long as all do, with the reading that it replaces.
func (c *readingCheck) all(
	rows iter.Seq[fleet.Row[fleet.Reading]], take func(row fleet.Row[fleet.Reading], replaced *fleet.Reading) error,
) (Checked[fleet.Reading], error) {
	var replaced *fleet.Reading // by the row at hand
	rule := rowCheck[fleet.Reading]{
		sleds: &sledFinder{reads: c.reads},
		sled:  func(r *fleet.Reading) *string { return &r.Sled },
		alone: func(r *fleet.Reading) *fleet.Faults {
			r.Tidy()
			return r.Check(c.now)
		},
		on: func(r *fleet.Reading, t fleet.Timeline, typed bool) (faults *fleet.Faults, err error) {
			faults, replaced, err = c.reading(r, t, typed)
			return faults, err
		},
	}
	return rule.all(rows, func(row fleet.Row[fleet.Reading]) error { return take(row, replaced) })
}

// reading tidies a reading of a sled and judges it by the parts there were on its date. It reports every fault, and the
// reading that this one replaces.
func (c *readingCheck) reading(r *fleet.Reading, t fleet.Timeline, typed bool) (
	faults *fleet.Faults, replaced *fleet.Reading, err error,
) {
	r.Tidy()
	s := t.Until(r.MeasuredOn).Today()
	r.Sled = s.ID
	if typed {
		r.Gear = s.LabelCalled(r.Gear)
	}
	faults = r.CheckOn(s, c.now)
	if g, _, ok := s.GearByLabel(r.Gear); ok {
		r.GearID = g.ID
	}
	if r.Replaces == "" {
		return faults, nil, nil
	}
	other, err := c.reads.Reading(r.Replaces)
	switch {
	case isKind(err, fleet.NotFound):
		faults.Add("replaces", "there is no reading %q", r.Replaces)
	case err != nil:
		return nil, nil, err
	case other.Sled != s.ID:
		faults.Add("replaces", "reading %q is of another sled, %s", r.Replaces, other.Sled)
	case other.FromOwner:
		faults.Add("replaces", "the owner of %s noted that reading, and corrects it", s.Name)
	default:
		return faults, &other, nil
	}
	return faults, nil, nil
}
