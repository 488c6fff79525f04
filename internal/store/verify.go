package store

import (
	"context"
	"crypto/sha256"
	"fmt"
	"maps"
	"slices"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// verifyCopied checks that the database at path, which nobody uses, can be opened and holds the same tables with the
// same rows as the copy in file.
func (s schema) verifyCopied(ctx context.Context, file, path string) error {
	if err := s.inspect(ctx, path); err != nil {
		return err
	}
	want, err := sums(ctx, file)
	if err != nil {
		return err
	}
	is, err := sums(ctx, path)
	if err != nil {
		return err
	}
	for _, table := range slices.Sorted(maps.Keys(want)) {
		if is[table] != want[table] {
			return fleet.Errorf(fleet.Unavailable,
				"%s was put back, and table %s is not there as it is in %s", path, table, file)
		}
	}
	if len(is) != len(want) {
		return fleet.Errorf(fleet.Unavailable, "%s was put back, and has tables that %s does not have", path, file)
	}
	return nil
}

// sums returns a checksum of the rows of each table, in the order in which they are stored, which a copy keeps.
func sums(ctx context.Context, path string) (map[string][sha256.Size]byte, error) {
	db, err := connectReadOnly(path, queryOnly, 1)
	if err != nil {
		return nil, openError(path, err)
	}
	defer disconnect(db)
	db = db.WithContext(ctx)
	var tables []string
	if err := db.Raw("SELECT name FROM sqlite_master WHERE type = 'table'").Scan(&tables).Error; err != nil {
		return nil, openError(path, err)
	}
	all := make(map[string][sha256.Size]byte, len(tables))
	for _, table := range tables {
		if all[table], err = sumOf(db, table); err != nil {
			return nil, openError(path, fmt.Errorf("reading table %s: %w", table, err))
		}
	}
	return all, nil
}

func sumOf(db *gorm.DB, table string) (sum [sha256.Size]byte, err error) {
	rows, err := db.Raw(`SELECT * FROM "` + table + `"`).Rows()
	if err != nil {
		return sum, err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return sum, err
	}
	row, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range row {
		into[i] = &row[i]
	}
	hash := sha256.New()
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return sum, err
		}
		fmt.Fprintf(hash, "%#v\n", row)
	}
	return [sha256.Size]byte(hash.Sum(nil)), rows.Err()
}
