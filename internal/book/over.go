package book

import (
	"encoding/json"
	"errors"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// overFrom is the hour of the day after its date from which a show is over by itself: late enough that no show still
// runs, early enough for the next day's readings. An assumption of our own.
const overFrom = 12

// lastOver is the date up to which shows are over by themselves, by the clock where this program runs.
func lastOver(now time.Time) string {
	days := -1
	if now.Hour() < overFrom {
		days = -2
	}
	return now.AddDate(0, 0, days).Format(time.DateOnly)
}

// show is a show as people see it: over when its sheet is kept, or by its date unless somebody opened it again.
func (b *Book) show(s store.Show) fleet.Show {
	s.Show.Over = s.Over || !s.Reopened && s.Date <= lastOver(b.now())
	return s.Show
}

// closePast keeps the sheets of shows that are over by their date. Nothing has been written since they were, so that
// they are kept as they stood then. One that cannot be written down stays open, rather than keeping everybody from writing.
func (w *Writer) closePast() error {
	past, err := w.tx.OpenShows(lastOver(w.b.now()))
	if err != nil {
		return err
	}
	for _, s := range past {
		var beyondNumbers *json.UnsupportedValueError
		err := w.keepSheet(s.Show, fleet.TheProgram())
		switch {
		case errors.As(err, &beyondNumbers):
			w.b.log.Error("a show that is over keeps no sheet", "show", s.ID, "error", err)
		case err != nil:
			return err
		}
	}
	return nil
}

// keepSheet closes a show, for who, with its sheet as this write sees it.
func (w *Writer) keepSheet(show fleet.Show, who fleet.Actor) error {
	now, err := w.state()
	if err != nil {
		return err
	}
	classes, err := w.tx.ClassesByID(show.Classes)
	if err != nil {
		return err
	}
	rows, night := now.translateAll(show, classes, show.Sled, false)
	sheet, err := freeze(plan{now.page(show.Sled).notebook.Sled.Name, night, rows})
	if err != nil {
		return err
	}
	if err := w.tx.CloseShow(show.ID, sheet); err != nil {
		return err
	}
	return w.recordFor(who, fleet.ActClosed, fleet.OfSheet, show.ID, []string{show.Sled}, nil, keptSheetOf(sheet))
}
