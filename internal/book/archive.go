package book

import (
	"context"
	"encoding/json"
	"io"

	"evenpull/internal/archive"
	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// Export writes the whole fleet as one JSON document, as it is at one moment (see archive.Export).
func (b *Book) Export(ctx context.Context, out io.Writer) error {
	return b.store.Read(ctx, func(r *store.Reads) error { return archive.Export(ctx, outgoing{r}, out) })
}

// Import fills an empty database with a fleet that Export wrote: all or nothing. It is a Conflict where there is a sled, and else what
// archive.Import says.
func (w *Writer) Import(document io.Reader) (archive.Imported, error) {
	if found, err := w.tx.AnySled(); err != nil {
		return archive.Imported{}, err
	} else if found {
		return archive.Imported{}, fleet.Errorf(fleet.Conflict, "there is a fleet in this database already: a fleet comes into an empty one only")
	}
	count, sleds, err := archive.Import(document, incoming{w.tx}, w.now, checkFrozen)
	if err != nil {
		w.failed = err // some may be written already: the whole write must not stand
		return archive.Imported{}, err
	}
	return count, w.record(fleet.ActImported, fleet.OfFleet, "", sleds, nil, map[string]int{
		"sleds": count.Sleds, "readings": count.Readings, "classes": count.Classes, "shows": count.Shows,
	})
}

// outgoing is the stored fleet as it goes into a document.
type outgoing struct{ *store.Reads }

// EachShow implements archive.Source.
func (o outgoing) EachShow(do func(archive.Show) error) error {
	return o.Reads.EachShow(func(s store.WholeShow) error {
		out := archive.Show{Show: s.Show.Show, Reopened: s.Reopened, AsRun: s.AsRun, Outcomes: s.Outcomes}
		if s.ClosedSheet != nil {
			out.Sheet = &archive.Sheet{Format: s.ClosedSheet.Format, Document: json.RawMessage(s.ClosedSheet.Document)}
		}
		return do(out)
	})
}

// incoming stores a fleet as it comes out of a document.
type incoming struct{ *store.Tx }

// AddShow implements archive.Fleet.
func (in incoming) AddShow(s archive.Show) error {
	if err := in.Tx.AddShow(store.Show{Show: s.Show, Reopened: s.Reopened}); err != nil {
		return err
	}
	for _, a := range s.AsRun {
		if err := in.AddAsRun(a); err != nil {
			return err
		}
	}
	for class, o := range s.Outcomes {
		if err := in.PutOutcome(store.ShowClass{Show: s.ID, Class: class}, o); err != nil {
			return err
		}
	}
	if s.Sheet == nil {
		return nil
	}
	return in.CloseShow(s.ID, store.ClosedSheet{Format: s.Sheet.Format, Document: string(s.Sheet.Document)})
}
