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

// History returns a page of who changed what, newest first, and the cursor of the next page, "" on the last: all of it, or only what
// is about a sled, or what the key of that name did, where one is given, or both. What is long makes a page shorter than limit. A
// sled that never was is NotFound, one that was removed is not; a cursor that is none is Invalid.
func (b *Book) History(ctx context.Context, sled, who, after string, limit int) (entries []fleet.Entry, next string, err error) {
	who = strings.TrimSpace(norm.NFC.String(who)) // as names are stored
	err = b.store.Read(ctx, func(r *store.Reads) error {
		if sled != "" {
			if err := everThere(r, sled); err != nil {
				return err
			}
		}
		entries, next, err = r.History(sled, who, after, limit)
		return err
	})
	return entries, next, err
}

// everThere is NotFound for a sled that is not there and of which nothing is told.
func everThere(r *store.Reads, sled string) error {
	if told, err := r.AnyHistory(sled); told || err != nil {
		return err
	}
	_, err := r.Sled(sled)
	return err
}

// record leaves an entry in the history, in the transaction of this write. before and after are nil where there is nothing. If it
// cannot be left, the write does not stand, whatever becomes of the error.
func (w *Writer) record(act, kind, subject string, sleds []string, before, after any) error {
	return w.recordFor(w.who, act, kind, subject, sleds, before, after)
}

func (w *Writer) recordFor(who fleet.Actor, act, kind, subject string, sleds []string, before, after any) error {
	err := w.leave(fleet.Entry{
		At: w.now, KeyID: who.KeyID, Who: who.Name, Role: who.Role, Act: act, Kind: kind, Subject: subject, Sleds: sleds,
	}, before, after)
	if err != nil {
		w.failed = fmt.Errorf("leaving %s %s %s in the history: %w", kind, subject, act, err)
	}
	return w.failed
}

func (w *Writer) leave(e fleet.Entry, before, after any) (err error) {
	if e.Before, err = written(before); err != nil {
		return err
	}
	if e.After, err = written(after); err != nil {
		return err
	}
	return w.tx.Record(e)
}

func written(what any) (json.RawMessage, error) {
	if what == nil {
		return nil, nil
	}
	return json.Marshal(what)
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

// manyAtOnce is what the history says of many readings that came at once.
type manyAtOnce struct {
	Rows     int            `json:"rows"`
	Sleds    map[string]int `json:"sleds"`               // how many of each
	SetAside []string       `json:"set_aside,omitempty"` // readings that were replaced and counted until then, by id
}

// manyLater is what it says of them when they are set aside or brought back together.
type manyLater struct {
	Rows     int      `json:"rows"`
	SetAside int      `json:"set_aside"` // how many of them are
	Reason   string   `json:"reason,omitempty"`
	Replaced []string `json:"replaced,omitempty"` // readings that they had replaced and that count again, or no longer do, by id
}

// keptSheet is a kept sheet as the history has it.
type keptSheet struct {
	Format   int             `json:"format"`
	Document json.RawMessage `json:"document"`
}

func keptSheetOf(s store.ClosedSheet) keptSheet {
	return keptSheet{s.Format, json.RawMessage(s.Document)}
}

// recordSheetGone records that the sheet of a show, if it is kept, is let go.
func (w *Writer) recordSheetGone(act string, show fleet.Show) error {
	sheets, err := w.tx.ClosedSheets([]string{show.ID})
	if err != nil {
		return err
	}
	sheet, kept := sheets[show.ID]
	if !kept {
		return nil
	}
	return w.record(act, fleet.OfSheet, show.ID, []string{show.Sled}, keptSheetOf(sheet), nil)
}
