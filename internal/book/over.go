package book

import (
	"cmp"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// overFromHour is the hour of the day after its date from which a show is over by itself: late enough that no show
// still runs, early enough for the next day's readings. An assumption of our own.
const overFromHour = 12

// lastOverDate is the date up to which shows in a zone are over by themselves.
func lastOverDate(now time.Time, zone *time.Location) string {
	now = now.In(zone)
	days := -1
	if now.Hour() < overFromHour {
		days = -2
	}
	return now.AddDate(0, 0, days).Format(time.DateOnly)
}

// easternmost is the zone where a day begins first, Pacific/Kiritimati (IANA time zone database).
func easternmost() *time.Location { return time.FixedZone("UTC+14", 14*3600) }

// isPast says whether a show is over by its date and the clock of its place.
func (b *Book) isPast(s fleet.Show) bool {
	now := b.now()
	return s.Date <= lastOverDate(now, easternmost()) && s.Date <= lastOverDate(now, zoneOf(s))
}

// zoneOf is the zone of a show. A name that this machine does not know, though it was known where it was stored, is
// taken for UTC.
func zoneOf(s fleet.Show) *time.Location {
	zone, err := fleet.Zone(s.Zone)
	if err != nil {
		return time.UTC
	}
	return zone
}

// today is the date at the first of some shows, oldest first, that is not over, else at the last; where there is none,
// it is the server's.
func (b *Book) today(shows []store.Show) string {
	zone := b.zone
	if i := slices.IndexFunc(shows, func(s store.Show) bool { return !b.show(s).Over }); i >= 0 {
		zone = zoneOf(shows[i].Show)
	} else if len(shows) > 0 {
		zone = zoneOf(shows[len(shows)-1].Show)
	}
	return b.now().In(zone).Format(time.DateOnly)
}

// show is a show as people see it: over when it has a closed sheet, or by its date unless somebody opened it again.
func (b *Book) show(s store.Show) fleet.Show {
	s.Show.Over = s.Over || !s.Reopened && b.isPast(s.Show)
	return s.Show
}

// closeDueShows closes the shows that are over by their date. Nothing has been written since they were, so their sheets
// are stored as they stood then. A show whose sheet cannot be encoded stays open: it must not stop other writes.
func (w *Writer) closeDueShows() error {
	past, err := w.tx.OpenShows(lastOverDate(w.b.now(), easternmost()))
	if err != nil {
		return err
	}
	for _, s := range past {
		if !w.b.isPast(s.Show) {
			continue
		}
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
	snap, errSnap := w.snapshot()
	classes, errClasses := w.tx.ClassesByID(show.Classes)
	if err := cmp.Or(errSnap, errClasses); err != nil {
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
