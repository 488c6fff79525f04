package book

import (
	"encoding/json"
	"errors"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// overFromHour is the hour of the day after its date from which a show is over by itself: late enough that no show
// still runs, early enough for the next day's readings. An assumption of our own.
const overFromHour = 12

// lastOverDate is the date up to which shows are over by themselves, by the clock where this program runs.
func lastOverDate(now time.Time) string {
	days := -1
	if now.Hour() < overFromHour {
		days = -2
	}
	return now.AddDate(0, 0, days).Format(time.DateOnly)
}

// show is a show as people see it: over when it has a closed sheet, or by its date unless somebody opened it again.
func (b *Book) show(s store.Show) fleet.Show {
	s.Show.Over = s.Over || !s.Reopened && s.Date <= lastOverDate(b.now())
	return s.Show
}

// closeDueShows closes the shows that are over by their date. Nothing has been written since they were, so their sheets
// are stored as they stood then. A show whose sheet cannot be encoded stays open: it must not stop other writes.
func (w *Writer) closeDueShows() error {
	past, err := w.tx.OpenShows(lastOverDate(w.b.now()))
	if err != nil {
		return err
	}
	for _, s := range past {
		var beyondNumbers *json.UnsupportedValueError
		err := w.closeShow(s.Show, fleet.TheProgram())
		switch {
		case errors.As(err, &beyondNumbers):
			w.b.log.Error("a show that is over keeps no sheet", "show", s.ID, "error", err)
		case err != nil:
			return err
		}
	}
	return nil
}

// closeShow closes a show, for who, with its sheet as this write sees it.
func (w *Writer) closeShow(show fleet.Show, who fleet.Actor) error {
	snap, err := w.snapshot()
	if err != nil {
		return err
	}
	classes, err := w.tx.ClassesByID(show.Classes)
	if err != nil {
		return err
	}
	rows, night := snap.translateAll(show, classes, show.Sled, false)
	sheet, err := encodeClosedSheet(closedSheetOn(snap.sledState(show.Sled).Sled, night, rows))
	if err != nil {
		return err
	}
	if err := w.tx.AddClosedSheet(show.ID, sheet); err != nil {
		return err
	}
	return w.recordFor(who, fleet.ActClosed, fleet.OfSheet, show.ID, bookedBy(show), nil, sheet)
}
