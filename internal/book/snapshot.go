package book

import (
	"context"
	"fmt"
	"slices"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/store"
)

// snapshot is the whole fleet at one revision, in memory. It never changes: a write makes a new one, which shares
// with the old what the write did not touch.
type snapshot struct {
	revision      int64
	ids           []string // of all sleds, ascending
	sleds         *pages
	repeatability calibrate.Repeatability
	variances     calibrate.Variances
}

// page is one sled's notebook with its part in the fleet's repeatability, and its charts, fitted when first asked for.
type page struct {
	notebook calibrate.Notebook
	timeline fleet.Timeline
	share    calibrate.Share
	fits     *fits
	v        calibrate.Variances // of the snapshot that it is looked at in
}

func (p page) chart() *calibrate.Chart { return p.fits.of(p.notebook, p.v) }

func (p page) side() match.Side { return match.Side{Sled: p.notebook.Sled, Chart: p.chart()} }

// sled returns a sled's page, or NotFound.
func (s *snapshot) sled(id string) (page, error) {
	p, ok := s.lookup(id)
	if !ok {
		return page{}, store.NoSled(id)
	}
	return p, nil
}

func (s *snapshot) lookup(id string) (page, bool) {
	p, ok := s.sleds.get(id)
	p.v = s.variances
	return p, ok
}

// page is the page of a sled that is known to be there.
func (s *snapshot) page(id string) page {
	p, _ := s.lookup(id)
	return p
}

// inUse lists the ids of the sleds that are not retired, but for one.
func (s *snapshot) inUse(but string) []string {
	ids := make([]string, 0, len(s.ids))
	for _, id := range s.ids {
		if id != but && !s.page(id).notebook.Sled.Retired {
			ids = append(ids, id)
		}
	}
	return ids
}

// current is the fleet at the last acknowledged revision or a later one.
func (b *Book) current(ctx context.Context) (*snapshot, error) {
	revision, err := b.store.Revision(ctx)
	if err != nil {
		return nil, fmt.Errorf("asking for the revision: %w", err)
	}
	if kept := b.kept.Load(); kept != nil && kept.revision >= revision {
		return kept, nil
	}
	select {
	case <-b.refreshing:
	case <-ctx.Done():
		return nil, fmt.Errorf("waiting for the fleet to be read: %w", ctx.Err())
	}
	defer func() { b.refreshing <- struct{}{} }()
	kept := b.kept.Load()
	if kept != nil && kept.revision >= revision { // somebody else has just read it
		return kept, nil
	}
	if kept == nil {
		kept = &snapshot{}
	}
	next, err := b.refresh(ctx, kept)
	if err != nil {
		return nil, fmt.Errorf("reading the fleet: %w", err)
	}
	b.publish(next)
	return next, nil
}

// view lets look see the fleet and what is stored at one and the same revision. It must not write.
func (b *Book) view(ctx context.Context, look func(now *snapshot, r *store.Reads) error) error {
	kept, err := b.current(ctx)
	if err != nil {
		return err
	}
	return b.store.Read(ctx, func(r *store.Reads) error {
		// There may have been writes since: caught up with here, so that no stream of writes can keep a reader from its
		// answer.
		now, err := b.catchUp(r, kept, nil)
		if err != nil {
			return err
		}
		return look(now, r)
	})
}

// refresh reads what was written since a snapshot.
func (b *Book) refresh(ctx context.Context, old *snapshot) (next *snapshot, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) error {
		next, err = b.catchUp(r, old, nil)
		return err
	})
	return next, err
}

// catchUp makes the snapshot of what r sees out of an older one. Sleds in also are read again though no revision tells
// of them.
func (b *Book) catchUp(r *store.Reads, old *snapshot, also []string) (*snapshot, error) {
	touched, revision, err := r.Touched(old.revision)
	if err != nil {
		return nil, err
	}
	touched = append(touched, also...)
	slices.Sort(touched)
	touched = slices.Compact(touched)
	if len(touched) == 0 && old.sleds != nil {
		next := *old
		next.revision = revision
		return &next, nil
	}
	notes, err := r.Load(touched)
	if err != nil {
		return nil, err
	}
	changes := make(map[string]*page, len(touched))
	for _, id := range touched {
		changes[id] = nil // those that are still there come back below
	}
	for _, n := range notes {
		notebook := notebookOf(n.Timeline, n.Readings)
		changes[n.Sled.ID] = &page{notebook: notebook, timeline: n.Timeline, share: calibrate.ShareOf(notebook, b.assumed), fits: &fits{}}
	}
	next := &snapshot{revision: revision, ids: old.ids, sleds: old.sleds.with(changes)}
	if next.sleds.differ(old.sleds, touched) {
		next.ids = next.sleds.ids()
	}
	next.repeatability, next.variances = calibrate.Pool(next.sleds.total, b.assumed)
	return next, nil
}
