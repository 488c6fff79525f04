package store

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
)

// Reads is one consistent view of the database.
type Reads struct {
	db *gorm.DB
}

// Tx is one write in progress. It sees what it has written.
type Tx struct {
	Reads
	s       *Store
	next    int64 // the fleet's revision once this write is carried out, if it writes anything of the fleet
	touched map[string]struct{}
	touches int
	moved   bool // something of the fleet was written, if no sled
}

// Read runs do on one consistent state of the database. It waits for no writer.
func (s *Store) Read(ctx context.Context, do func(*Reads) error) error {
	if s.isClosed() {
		return errClosed()
	}
	look := func(db *gorm.DB) error {
		return db.Transaction(func(tx *gorm.DB) error { return do(&Reads{tx}) }, s.server.readTxOptions()...)
	}
	if s.server != nil {
		return explain(s.server.onConnection(ctx, s.reader, look))
	}
	return explain(look(s.reader.WithContext(ctx)))
}

// Write runs do as a whole or not at all: an error or a panic of do undoes everything. It waits for the write before
// it, as long as ctx allows. If do has changed the fleet, the revision increases by one.
func (s *Store) Write(ctx context.Context, do func(*Tx) error) error {
	return s.write(ctx, func(ctx context.Context) error { return s.transact(ctx, do) })
}

// write waits for the write before it, and runs carryOut while no other can begin.
func (s *Store) write(ctx context.Context, carryOut func(context.Context) error) error {
	if s.isClosed() {
		return errClosed()
	}
	waited, err := s.waitForTurn(ctx)
	if err != nil {
		return err
	}
	defer func() { s.writing <- struct{}{} }()
	if waited && s.server != nil && s.server.silent.Load() {
		return noAnswer(errors.New("the write before this one has waited for the server in vain"))
	}
	if err := s.identity.checkWritable(); err != nil {
		return err
	}
	err = carryOut(ctx)
	if err == nil {
		s.reserve.fill()
	}
	return err
}

// waitForTurn waits for the write before this one, with a server no longer than that may be silent, and says whether
// there was one.
func (s *Store) waitForTurn(ctx context.Context) (waited bool, err error) {
	select {
	case <-s.writing:
		return false, nil
	default:
	}
	var late <-chan time.Time // never, with a file
	if s.server != nil {
		late = time.After(s.server.mostSilence)
	}
	select {
	case <-s.writing:
		return true, nil
	case <-late:
		return true, unavailable(nil, "other writes take too long just now; nothing was changed, try again")
	case <-s.closed:
		return true, errClosed()
	case <-ctx.Done():
		return true, fmt.Errorf("waiting for another write to end: %w", context.Cause(ctx))
	}
}

// transact is one transaction that writes.
func (s *Store) transact(ctx context.Context, do func(*Tx) error) error {
	revision, whole := s.revision.Load(), false
	err := s.writer.WithContext(ctx).Transaction(func(db *gorm.DB) (err error) {
		if s.server != nil {
			revision, err = s.server.lockForWrite(db)
		} else {
			err = raiseStamp(db)
		}
		if err != nil {
			return err
		}
		tx := &Tx{Reads: Reads{db}, s: s, next: revision + 1, touched: map[string]struct{}{}}
		if err := do(tx); err != nil {
			return err
		}
		if len(tx.touched) > 0 || tx.moved {
			revision++
			if err := tx.mark(revision); err != nil {
				return err
			}
		}
		whole = true
		return nil
	})
	if err != nil && whole && s.server != nil {
		err = s.server.inDoubt(err)
	}
	err = explain(err)
	if s.lock != nil {
		s.truncateLog(ctx, isFull(err))
	}
	if err != nil {
		return err
	}
	s.revision.Store(revision) // only now: nobody may know of a revision that a crash could take back
	return nil
}

// Revision is the fleet's revision after the last write that was acknowledged, by whichever process.
func (s *Store) Revision(ctx context.Context) (int64, error) {
	if s.isClosed() {
		return 0, errClosed()
	}
	if s.server != nil {
		waiting, done := context.WithTimeout(ctx, s.server.mostSilence)
		defer done()
		revision, err := s.server.reads.revision(waiting, s.askRevision)
		if err != nil && waiting.Err() != nil && ctx.Err() == nil { // it waited for another question first
			return 0, noAnswer(err)
		}
		return revision, err
	}
	return s.revision.Load(), ctx.Err()
}

type touchedRow struct {
	SledID   string `gorm:"primaryKey"`
	Revision int64
}

func (touchedRow) TableName() string { return "touched" }

func (tx *Tx) touch(sled string) {
	tx.touched[sled] = struct{}{}
	tx.touches++
}

// move moves the revision for what is written of classes and shows.
func (tx *Tx) move() { tx.moved = true }

// Touching lists the sleds that this write has touched so far, by id, and how often it touched any.
func (tx *Tx) Touching() (ids []string, times int) {
	return slices.Sorted(maps.Keys(tx.touched)), tx.touches
}

// Moves says whether this write has changed anything of the fleet so far, and which revision the fleet will then have.
func (tx *Tx) Moves() (moves bool, revision int64) {
	return len(tx.touched) > 0 || tx.moved, tx.next
}

// mark stores the new revision, also as that of each touched sled.
func (tx *Tx) mark(revision int64) error {
	ids, _ := tx.Touching()
	upsert := clause.OnConflict{Columns: []clause.Column{{Name: "sled_id"}},
		DoUpdates: clause.AssignmentColumns([]string{"revision"})}
	for some := range slices.Chunk(ids, chunk) {
		rows := mapSlice(some, func(id string) touchedRow { return touchedRow{id, revision} })
		if err := tx.db.Clauses(upsert).Create(rows).Error; err != nil {
			return fmt.Errorf("noting which sleds were touched: %w", err)
		}
	}
	return wrapped(tx.db.Model(&stateRow{}).Where("id = 1").Update("revision", revision).Error, "moving the revision")
}

// Touched lists the sleds written after a revision, by id, those that are gone included, and the revision of this
// view. After revision 0 it lists every sled there ever was.
func (r *Reads) Touched(after int64) (ids []string, revision int64, err error) {
	var state stateRow
	if err := r.db.Take(&state).Error; err != nil {
		return nil, 0, fmt.Errorf("asking for the revision: %w", err)
	}
	err = r.db.Model(&touchedRow{}).Where("revision > ?", after).Order("sled_id").Pluck("sled_id", &ids).Error
	return ids, state.Revision, wrapped(err, "asking which sleds were touched")
}
