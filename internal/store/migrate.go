package store

import (
	"context"
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/go-gormigrate/gormigrate/v2"
	"gorm.io/gorm"
)

// applicationID marks a SQLite file as ours; the first migration sets it.
const applicationID = 0x45564E50

//go:embed migrations/*.sql
var migrations embed.FS

// migrationIDs lists the migrations this program knows, oldest first. A migration's id is its file's name.
func migrationIDs() ([]string, error) {
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil {
		return nil, fmt.Errorf("listing the migrations: %w", err)
	}
	ids := make([]string, len(names))
	for i, name := range names {
		ids[i] = strings.TrimSuffix(path.Base(name), ".sql")
	}
	slices.Sort(ids)
	return ids, nil
}

// migrate runs the migrations that have not run yet, all in one transaction: killed half-way, nothing has happened.
func (s *Store) migrate(ctx context.Context) error {
	ids, err := migrationIDs()
	if err != nil {
		return err
	}
	steps := make([]*gormigrate.Migration, len(ids))
	for i, id := range ids {
		steps[i] = &gormigrate.Migration{ID: id, Migrate: func(tx *gorm.DB) error {
			sql, err := migrations.ReadFile("migrations/" + id + ".sql")
			if err != nil {
				return fmt.Errorf("reading migration %s: %w", id, err)
			}
			if err := tx.Exec(string(sql)).Error; err != nil {
				return fmt.Errorf("running migration %s: %w", id, err)
			}
			s.log.InfoContext(ctx, "migrated the database", "file", s.path, "to", id)
			return nil
		}}
	}
	return s.writer.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		// gormigrate would make this table by looking at a struct; a plain statement leaves nothing to guess.
		if err := tx.Exec("CREATE TABLE IF NOT EXISTS migrations (id TEXT PRIMARY KEY NOT NULL)").Error; err != nil {
			return fmt.Errorf("making the table of migrations: %w", err)
		}
		return gormigrate.New(tx, &gormigrate.Options{
			TableName: "migrations", IDColumnName: "id", ValidateUnknownMigrations: true,
		}, steps).Migrate()
	})
}
