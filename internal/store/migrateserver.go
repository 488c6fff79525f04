package store

import (
	"context"
	"embed"
	"fmt"
	"slices"

	"github.com/go-gormigrate/gormigrate/v2"
	"gorm.io/gorm"
)

// serverMigrations are the migrations as PostgreSQL understands them, each under the same name as the one for SQLite.
//
//go:embed migrations/postgres/*.sql
var serverMigrations embed.FS

// migrateServer runs the migrations that have not run yet, all in one transaction. Processes that start at once do it one
// after the other, and those that write wait until it has ended. A copy beforehand is the business of the server's keeper.
func (s *Store) migrateServer(ctx context.Context, ids []string) error {
	return s.writer.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		// Another process may take longer to migrate than a write would be waited for.
		if err := tx.Exec("SET LOCAL lock_timeout = 0").Error; err != nil {
			return fmt.Errorf("preparing to migrate: %w", err)
		}
		if err := tx.Exec("SELECT pg_advisory_xact_lock(?)", applicationID).Error; err != nil {
			return fmt.Errorf("waiting for another migration to end: %w", err)
		}
		if err := lookInsideServer(tx, s.path, ids); err != nil {
			return err
		}
		if err := tx.Exec(`CREATE TABLE IF NOT EXISTS migrations (id TEXT COLLATE "C" PRIMARY KEY NOT NULL)`).Error; err != nil {
			return fmt.Errorf("making the table of migrations: %w", err)
		}
		var done []string
		if err := tx.Table("migrations").Pluck("id", &done).Error; err != nil {
			return fmt.Errorf("listing the migrations that were run: %w", err)
		}
		if len(done) > 0 && !slices.Contains(done, ids[len(ids)-1]) {
			if err := tx.Exec("LOCK TABLE state IN ACCESS EXCLUSIVE MODE").Error; err != nil {
				return fmt.Errorf("holding off writes: %w", err)
			}
		}
		steps := make([]*gormigrate.Migration, len(ids))
		for i, id := range ids {
			steps[i] = &gormigrate.Migration{ID: id, Migrate: func(tx *gorm.DB) error { return s.migrateServerTo(ctx, tx, id) }}
		}
		return gormigrate.New(tx, &gormigrate.Options{
			TableName: "migrations", IDColumnName: "id", ValidateUnknownMigrations: true,
		}, steps).Migrate()
	})
}

func (s *Store) migrateServerTo(ctx context.Context, tx *gorm.DB, id string) error {
	sql, err := serverMigrations.ReadFile("migrations/postgres/" + id + ".sql")
	if err != nil {
		return fmt.Errorf("reading migration %s: %w", id, err)
	}
	if err := tx.Exec(string(sql)).Error; err != nil {
		return fmt.Errorf("running migration %s: %w", id, err)
	}
	s.log.InfoContext(ctx, "migrated the database", "database", s.path, "to", id)
	return nil
}
