package book

import (
	"context"
	"io"

	"evenpull/internal/archive"
	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// ExportSled writes one sled as a document for another crew (see archive.ExportSled). A sled that is not there is
// NotFound; one of which nobody has noted whose it is, one that is a guest here, and one with more readings or
// weighings than another crew could take in, are a Conflict.
func (b *Book) ExportSled(ctx context.Context, id string, out io.Writer) error {
	var d archive.SledDocument
	err := b.withSnapshot(ctx, func(snap *snapshot, r *store.Reads) (err error) {
		if d.Timeline, err = r.Timeline(id); err != nil {
			return err
		}
		s := d.Timeline.Today()
		switch {
		case s.Guest != nil:
			return fleet.Errorf(fleet.Conflict, "%s is a guest here: only its owner, %s, can give it to another crew",
				s.Name, s.Guest.Owner)
		case s.Owner == "":
			return fleet.Errorf(fleet.Conflict, "note first whose sled %s is, as its owner", s.Name)
		}
		if err := archive.CheckSize(s); err != nil {
			return err
		}
		state := snap.sledState(id)
		d.Guest = fleet.Guest{Owner: s.Owner, AsOf: b.timestamp(), WeighingLb: state.panSpread.Lb,
			WeighingDF: state.panSpread.DF}
		calibrate.MarkOf(state.variances, &d.Guest)
		if d.Readings, err = r.AllReadings(id); err != nil {
			return err
		}
		d.Weighings, err = r.AllWeighings(id)
		return err
	})
	if err != nil {
		return err
	}
	return archive.ExportSled(ctx, d, out)
}
