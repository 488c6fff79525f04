package book

import (
	"context"
	"slices"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// NoteDemo notes that this write loads the invented demo fleet, so that it can be told from what people enter, and
// taken out again. It is a Conflict where there is a sled, a class or a show already; it has to come first.
func (w *Writer) NoteDemo() error {
	if err := w.checkEmpty("the demo"); err != nil {
		return err
	}
	return w.record(fleet.ActAdded, fleet.OfDemo, "", nil, nil, nil)
}

// Demo says whether the demo fleet is in the database.
func (b *Book) Demo(ctx context.Context) (bool, error) {
	demo, err := read(ctx, b, (*store.Reads).Invented)
	return len(demo.Sleds) > 0, err
}

// RemoveDemo takes the demo fleet out, with all that was noted of its sleds since. It is NotFound where there is none,
// and a Conflict where classes or shows of one's own rest on it, unless these are to go with it.
func (w *Writer) RemoveDemo(withDependents bool) error {
	demo, err := w.tx.Invented()
	if err != nil {
		return err
	}
	if len(demo.Sleds) == 0 {
		return fleet.Errorf(fleet.NotFound, "the demo fleet is not in this database")
	}
	classes, shows, err := w.restingOn(demo)
	if err != nil {
		return err
	}
	var names []string
	for _, s := range shows { // before their classes, which they list
		demo.Shows, names = append(demo.Shows, s.ID), append(names, s.Name)
		if err := w.recordClosedSheetGone(fleet.ActRemoved, s); err != nil {
			return err
		}
		if err := w.record(fleet.ActRemoved, fleet.OfShow, s.ID, bookedBy(s), s, nil); err != nil {
			return err
		}
	}
	for _, c := range classes {
		demo.Classes, names = append(demo.Classes, c.ID), append(names, c.Name)
		if err := w.record(fleet.ActRemoved, fleet.OfClass, c.ID, sledsOf(c), c, nil); err != nil {
			return err
		}
	}
	if len(names) > 0 && !withDependents {
		slices.Sort(names)
		return fleet.Errorf(fleet.Conflict, "%s: set on a sled or a class of the demo; change or delete %s first",
			strings.Join(names, ", "), pronoun(len(names)))
	}
	if err := w.tx.DeleteBatch(demo); err != nil {
		return err
	}
	return w.record(fleet.ActRemoved, fleet.OfDemo, "", demo.Sleds, nil, nil)
}

// restingOn lists the classes and shows that are not in t and refer to something that is, or to one another so that
// they do.
func (w *Writer) restingOn(t store.Batch) (classes []fleet.Class, shows []fleet.Show, err error) {
	for {
		more, err := w.tx.Dependents(t)
		if err != nil || len(more.Classes)+len(more.Shows) == 0 {
			return classes, shows, err
		}
		for _, id := range more.Classes {
			c, err := w.tx.Class(id)
			if err != nil {
				return nil, nil, err
			}
			classes = append(classes, c)
		}
		for _, id := range more.Shows {
			s, err := w.tx.Show(id)
			if err != nil {
				return nil, nil, err
			}
			shows = append(shows, w.b.show(s))
		}
		t.Classes, t.Shows = slices.Concat(t.Classes, more.Classes), slices.Concat(t.Shows, more.Shows)
	}
}

func pronoun(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}
