package book

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// History returns a part of the list of who changed what, newest first, and the cursor of the next part, "" for the
// last: of all entries, those about a sled, those of the key with that name, or both. Long entries make a part shorter
// than limit. A sled that never existed is NotFound, one that was removed is not; a wrong cursor is Invalid.
func (b *Book) History(ctx context.Context, sled, who, after string, limit int) ([]fleet.Entry, string, error) {
	who = strings.TrimSpace(norm.NFC.String(who)) // as names are stored
	return list(ctx, b, func(r *store.Reads) ([]fleet.Entry, string, error) {
		if sled != "" {
			if err := checkSledEverExisted(r, sled); err != nil {
				return nil, "", err
			}
		}
		return r.History(sled, who, after, limit)
	})
}

func checkSledEverExisted(r *store.Reads, sled string) error {
	if any, err := r.AnyHistory(sled); any || err != nil {
		return err
	}
	_, err := r.Sled(sled)
	return err
}

// record adds an entry to the history, in the transaction of this write. before and after are nil where there is
// nothing. If that fails, the write is rolled back, whatever its caller does with the error.
func (w *Writer) record(act, kind, subject string, sleds []string, before, after any) error {
	return w.recordFor(w.who, act, kind, subject, sleds, before, after)
}

func (w *Writer) recordFor(who fleet.Actor, act, kind, subject string, sleds []string, before, after any) error {
	e := fleet.Entry{
		At: w.now, KeyID: who.KeyID, Who: who.Name, Role: who.Role,
		Act: act, Kind: kind, Subject: subject, Sleds: sleds,
	}
	var err error
	if before != nil {
		e.Before, err = json.Marshal(before)
	}
	if after != nil && err == nil {
		e.After, err = json.Marshal(after)
	}
	if err == nil {
		err = w.tx.Record(e)
	}
	if err != nil {
		w.failed = fmt.Errorf("adding %s %s %s to the history: %w", kind, subject, act, err)
	}
	return w.failed
}

// actOn says what was done to a sled by its document.
func actOn(before, after fleet.Sled) string {
	switch {
	case after.Retired && !before.Retired:
		return fleet.ActRetired
	case before.Retired && !after.Retired:
		return fleet.ActBroughtBack
	}
	return fleet.ActChanged
}

// sledsOf lists the sleds that classes are used to; a class that is set to a distance has none.
func sledsOf(classes ...fleet.Class) (ids []string) {
	for _, c := range classes {
		ids = append(ids, c.Setting.Sled)
		if c.PullOff != nil {
			ids = append(ids, c.PullOff.Sled)
		}
	}
	return slices.DeleteFunc(ids, func(id string) bool { return id == "" })
}

// batchEntry is what the history holds of readings that came at once and are set aside or brought back together.
type batchEntry struct {
	Rows     int    `json:"rows"`
	SetAside int    `json:"set_aside"` // how many of them are
	Reason   string `json:"reason,omitempty"`
	// readings they had replaced, which count again or no longer do, by id
	Replaced []string `json:"replaced,omitempty"`
}

// recordClosedSheetGone records that the closed sheet of a show, if it has one, is removed.
func (w *Writer) recordClosedSheetGone(act string, show fleet.Show) error {
	sheets, err := w.tx.ClosedSheets([]string{show.ID})
	if err != nil {
		return err
	}
	sheet, closed := sheets[show.ID]
	if !closed {
		return nil
	}
	return w.record(act, fleet.OfSheet, show.ID, bookedBy(show), sheet, nil)
}
