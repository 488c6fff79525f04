package book

import (
	"context"
	"io"

	"evenpull/internal/archive"
	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Export writes the whole fleet as one JSON document, as it is at one moment (see archive.Export).
func (b *Book) Export(ctx context.Context, out io.Writer) error {
	return b.store.Read(ctx, func(r *store.Reads) error { return archive.Export(ctx, r, out) })
}

// Import fills an empty database with a fleet that Export wrote: all or nothing. It is a Conflict where there is a
// sled, a class or a show, otherwise its errors are those of archive.Import.
func (w *Writer) Import(document io.Reader) (archive.Imported, error) {
	if err := w.checkEmpty("a fleet"); err != nil {
		return archive.Imported{}, err
	}
	count, sleds, err := archive.Import(document, w.tx, w.now, checkClosedSheet)
	if err != nil {
		w.failed = err // part of it may be written: the whole write is rolled back
		return archive.Imported{}, err
	}
	after := map[string]int{
		"sleds": count.Sleds, "readings": count.Readings, "classes": count.Classes, "shows": count.Shows,
	}
	if count.Weighings > 0 {
		after["weighings"] = count.Weighings
	}
	return count, w.record(fleet.ActImported, fleet.OfFleet, "", sleds, nil, after)
}

// checkEmpty is a Conflict where there is a sled, a class or a show; what says what needs an empty database.
func (w *Writer) checkEmpty(what string) error {
	found, err := w.tx.HasFleet()
	if err == nil && found {
		err = fleet.Errorf(fleet.Conflict, "there is a fleet in this database already: "+
			"%s comes into an empty one only", what)
	}
	return err
}
