package store

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
)

// Reads is one consistent view of the database.
type Reads struct {
	db *gorm.DB
}

// Tx is one write under way. It sees what it has written.
type Tx struct {
	Reads
	s       *Store
	touched map[string]struct{}
}

// Read lets do look at one consistent state of the database. It waits for no writer.
func (s *Store) Read(ctx context.Context, do func(*Reads) error) error {
	if s.isClosed() {
		return errClosed()
	}
	return explain(s.reader.WithContext(ctx).Transaction(func(db *gorm.DB) error { return do(&Reads{db}) }))
}

// Write carries out do as a whole or not at all: an error or a panic of do undoes everything. It waits for the write
// before it, no longer than ctx allows. What do has touched moves the revision by one.
func (s *Store) Write(ctx context.Context, do func(*Tx) error) error {
	if s.isClosed() {
		return errClosed()
	}
	select {
	case <-s.writing:
	case <-s.closed:
		return errClosed()
	case <-ctx.Done():
		return fmt.Errorf("waiting for another write to end: %w", context.Cause(ctx))
	}
	defer func() { s.writing <- struct{}{} }()
	revision := s.revision.Load()
	err := s.writer.WithContext(ctx).Transaction(func(db *gorm.DB) error {
		tx := &Tx{Reads: Reads{db}, s: s, touched: map[string]struct{}{}}
		if err := do(tx); err != nil {
			return err
		}
		if len(tx.touched) > 0 {
			revision++
			return tx.mark(revision)
		}
		return nil
	})
	if err != nil {
		return explain(err)
	}
	s.revision.Store(revision) // only now: nobody may know of a revision that a crash could take back
	return nil
}

// Revision is the fleet's revision after the last write that was acknowledged.
func (s *Store) Revision(ctx context.Context) (int64, error) {
	if s.isClosed() {
		return 0, errClosed()
	}
	return s.revision.Load(), ctx.Err()
}

type touchedRow struct {
	SledID   string `gorm:"primaryKey"`
	Revision int64
}

func (touchedRow) TableName() string { return "touched" }

func (tx *Tx) touch(sled string) { tx.touched[sled] = struct{}{} }

// mark notes the revision, and at which one each touched sled was written last.
func (tx *Tx) mark(revision int64) error {
	rows := make([]touchedRow, 0, len(tx.touched))
	for id := range tx.touched {
		rows = append(rows, touchedRow{id, revision})
	}
	slices.SortFunc(rows, func(a, b touchedRow) int { return strings.Compare(a.SledID, b.SledID) })
	upsert := clause.OnConflict{Columns: []clause.Column{{Name: "sled_id"}}, DoUpdates: clause.AssignmentColumns([]string{"revision"})}
	if err := tx.db.Clauses(upsert).CreateInBatches(rows, chunk).Error; err != nil {
		return fmt.Errorf("noting which sleds were touched: %w", err)
	}
	if err := tx.db.Model(&stateRow{}).Where("id = 1").Update("revision", revision).Error; err != nil {
		return fmt.Errorf("moving the revision: %w", err)
	}
	return nil
}

// Touched lists the sleds written after a revision, by id, those that are gone included, and the revision of this
// view. After revision 0 it lists every sled there ever was.
func (r *Reads) Touched(after int64) (ids []string, revision int64, err error) {
	var state stateRow
	if err := r.db.Take(&state).Error; err != nil {
		return nil, 0, fmt.Errorf("asking for the revision: %w", err)
	}
	err = r.db.Model(&touchedRow{}).Where("revision > ?", after).Order("sled_id").Pluck("sled_id", &ids).Error
	if err != nil {
		return nil, 0, fmt.Errorf("asking which sleds were touched: %w", err)
	}
	return ids, state.Revision, nil
}
