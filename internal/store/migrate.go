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

// migrationsTable is made by a plain statement; gormigrate would make it by looking at a struct.
const migrationsTable = "CREATE TABLE IF NOT EXISTS migrations (id TEXT PRIMARY KEY NOT NULL)"

// migrate runs the migrations that have not run yet, all in one transaction: killed half-way, nothing has happened. Before
// it touches a database with something in it, it keeps a copy.
func (s *Store) migrate(ctx context.Context) error {
	ids, err := migrationIDs()
	if err != nil {
		return err
	}
	if err := s.copyBefore(ctx, ids); err != nil {
		return err
	}
	steps := make([]*gormigrate.Migration, len(ids))
	for i, id := range ids {
		steps[i] = &gormigrate.Migration{ID: id, Migrate: func(tx *gorm.DB) error {
			if err := runMigration(tx, id); err != nil {
				return err
			}
			s.log.InfoContext(ctx, "migrated the database", "file", s.path, "to", id)
			return nil
		}}
	}
	return s.writer.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if err := tx.Exec(migrationsTable).Error; err != nil {
			return fmt.Errorf("making the table of migrations: %w", err)
		}
		return gormigrate.New(tx, &gormigrate.Options{
			TableName: "migrations", IDColumnName: "id", ValidateUnknownMigrations: true,
		}, steps).Migrate()
	})
}

func runMigration(db *gorm.DB, id string) error {
	sql, err := migrations.ReadFile("migrations/" + id + ".sql")
	if err != nil {
		return fmt.Errorf("reading migration %s: %w", id, err)
	}
	if err := db.Exec(string(sql)).Error; err != nil {
		return fmt.Errorf("running migration %s: %w", id, err)
	}
	return nil
}

// copyBefore keeps a copy of a database that is to be migrated, if there is anything in it. Its name says before which
// migration; a start that is tried again and again replaces it, so that it cannot fill the disk.
func (s *Store) copyBefore(ctx context.Context, ids []string) error {
	db := s.writer.WithContext(ctx)
	done, err := migrationsDone(db)
	if err != nil || len(done) == 0 {
		return err
	}
	next := slices.IndexFunc(ids, func(id string) bool { return !slices.Contains(done, id) })
	if next < 0 {
		return nil
	}
	if empty, err := holdsNothing(db); empty || err != nil {
		return err
	}
	kept := s.path + ".before-" + ids[next] + ".db"
	if err := backup(ctx, s.path, kept, s.connectBeside); err != nil {
		return fmt.Errorf("keeping a copy before the database is brought up to date: %w", err)
	}
	s.log.InfoContext(ctx, "kept a copy before the database is brought up to date", "file", s.path, "copy", kept)
	return nil
}

// holdsNothing says whether no table has a row, but for those that the migrations themselves put there.
func holdsNothing(db *gorm.DB) (bool, error) {
	var tables []string
	err := db.Raw(`SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT IN ('migrations', 'state') AND name NOT LIKE 'sqlite\_%' ESCAPE '\'`).Scan(&tables).Error
	if err != nil {
		return false, fmt.Errorf("listing the tables: %w", err)
	}
	for _, table := range tables {
		var any bool
		if err := db.Raw(`SELECT EXISTS (SELECT 1 FROM "` + table + `")`).Scan(&any).Error; err != nil {
			return false, fmt.Errorf("looking into table %s: %w", table, err)
		}
		if any {
			return false, nil
		}
	}
	return true, nil
}
