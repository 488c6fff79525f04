package book

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"evenpull/internal/calibrate"
	"evenpull/internal/panload"
	"evenpull/internal/store"
)

// snapshot is the whole fleet in memory at one revision. It never changes: a write makes a new one, which shares what
// the write did not touch. The zero value has not been read yet.
type snapshot struct {
	revision      int64
	sleds         *sledTree
	repeatability calibrate.Repeatability
	variances     calibrate.Variances
	panSpread     panload.Spread // of weighings
	panFits       *sync.Map      // pan loads by the id of their sled
	demo          demoPool
}

// sled returns a sled, or NotFound.
func (s *snapshot) sled(id string) (sledState, error) {
	state, ok := s.lookup(id)
	if !ok {
		return sledState{}, store.NoSled(id)
	}
	return state, nil
}

func (s *snapshot) lookup(id string) (sledState, bool) {
	state, ok := s.sleds.get(id)
	state.measuredBy(s)
	return state, ok
}

// weighed says whether any sled was.
func (s *snapshot) weighed() bool {
	return s.sleds != nil && s.sleds.pan.Weighed || s.demo.sleds != nil && s.demo.sleds.pan.Weighed
}

// sledState returns a sled that is known to be there.
func (s *snapshot) sledState(id string) sledState {
	state, _ := s.lookup(id)
	return state
}

// inUse lists the ids of the sleds that are not retired, except for one.
func (s *snapshot) inUse(except string) []string {
	isOut := func(id string) bool { return id == except || s.sledState(id).Sled.Retired }
	return slices.DeleteFunc(slices.Clone(s.sleds.ids), isOut)
}

// covers says whether the snapshot is of a revision or a later one.
func (s *snapshot) covers(revision int64) bool { return s.sleds != nil && s.revision >= revision }

// current is the fleet at the last acknowledged revision or a later one.
func (b *Book) current(ctx context.Context) (*snapshot, error) {
	revision, err := b.store.Revision(ctx)
	if err != nil {
		return nil, fmt.Errorf("reading the revision: %w", err)
	}
	if latest := b.latest.Load(); latest.covers(revision) {
		return latest, nil
	}
	select {
	case <-b.refreshing:
	case <-ctx.Done():
		return nil, fmt.Errorf("waiting for the fleet to be read: %w", ctx.Err())
	}
	defer func() { b.refreshing <- struct{}{} }()
	latest := b.latest.Load()
	if latest.covers(revision) { // another goroutine has just read it
		return latest, nil
	}
	next, err := read(ctx, b, func(r *store.Reads) (*snapshot, error) { return b.catchUp(r, latest, nil) })
	if err != nil {
		return nil, fmt.Errorf("reading the fleet: %w", err)
	}
	b.publish(next)
	return next, nil
}

// currentSled is the fleet as it is, and one sled of it, or NotFound.
func (b *Book) currentSled(ctx context.Context, id string) (*snapshot, sledState, error) {
	snap, err := b.current(ctx)
	if err != nil {
		return nil, sledState{}, err
	}
	state, err := snap.sled(id)
	return snap, state, err
}

// withSnapshot calls look with the fleet and what is stored, both at one revision. look must not write.
func (b *Book) withSnapshot(ctx context.Context, look func(snap *snapshot, r *store.Reads) error) error {
	latest, err := b.current(ctx)
	if err != nil {
		return err
	}
	return b.store.Read(ctx, func(r *store.Reads) error {
		// Writes since then are caught up with in this transaction, so that no stream of writes can hold up a reader.
		snap, err := b.catchUp(r, latest, nil)
		if err != nil {
			return err
		}
		return look(snap, r)
	})
}

// catchUp makes the snapshot of what r sees from an older one. The sleds in also are read again, whatever their
// revisions say.
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
	load := func() ([]store.Notes, error) { return r.Load(touched) }
	if old.sleds == nil {
		load = r.LoadAll
	}
	notes, err := load()
	if err != nil {
		return nil, err
	}
	changes := make(map[string]*sledState, len(touched))
	for _, id := range touched {
		changes[id] = nil // those that are still there follow
	}
	for i, state := range newSledStates(notes, b.assumed) {
		changes[notes[i].Sled.ID] = state
	}
	demo := old.demo.with(changes, b.assumed)
	next := &snapshot{revision: revision, sleds: old.sleds.with(changes), panFits: new(sync.Map), demo: demo}
	next.panSpread = panload.Pool(next.sleds.pan)
	next.repeatability, next.variances = calibrate.Pool(next.sleds.total, b.assumed)
	return next, nil
}

// newSledStates are the sleds in memory, in the order of their notes, worked out on all cores. A panic is the caller's.
func newSledStates(notes []store.Notes, a calibrate.Assumption) []*sledState {
	states := make([]*sledState, len(notes))
	var next atomic.Int64
	var failed atomic.Pointer[any]
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(notes)) {
		wg.Go(func() {
			defer func() {
				if why := recover(); why != nil {
					failed.Store(&why)
				}
			}()
			for i := next.Add(1) - 1; i < int64(len(notes)); i = next.Add(1) - 1 {
				states[i] = newSledState(notes[i], a)
			}
		})
	}
	wg.Wait()
	if why := failed.Load(); why != nil {
		panic(*why)
	}
	return states
}

// publish makes a snapshot the latest one, unless there is a newer one.
func (b *Book) publish(next *snapshot) {
	for {
		latest := b.latest.Load()
		if latest.covers(next.revision) || b.latest.CompareAndSwap(latest, next) {
			return
		}
	}
}
