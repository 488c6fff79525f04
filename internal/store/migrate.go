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

	"evenpull/internal/fleet"
)

// applicationID marks a SQLite file as one of this program; the first migration sets it.
const applicationID = 0x45564E50

// beforeRelease is the first migration of the databases that were written before the first release.
const beforeRelease = "0001_fleet"

//go:embed migrations
var migrations embed.FS

// schema is what a set of migrations makes of a database. It holds a folder of SQL files for each kind of database,
// named as GORM names it, with the same file names in each. A migration's id is the name of its file.
type schema struct{ files fs.FS }

// ids lists the migrations, oldest first.
func (s schema) ids() []string {
	ids, _ := fs.Glob(s.files, "migrations/sqlite/*.sql") // its only error is that of a bad pattern
	for i, name := range ids {
		ids[i] = strings.TrimSuffix(path.Base(name), ".sql")
	}
	return ids
}

func (s schema) newest() string {
	ids := s.ids()
	return ids[len(ids)-1]
}

// makeTable makes the table of migrations. gormigrate would derive it from a struct.
func (s schema) makeTable(db *gorm.DB) error {
	text := map[string]string{"sqlite": "TEXT", "postgres": `TEXT COLLATE "C"`}[db.Name()]
	err := db.Exec("CREATE TABLE IF NOT EXISTS migrations (id " + text + " PRIMARY KEY NOT NULL)").Error
	return wrapped(err, "making the table of migrations")
}

func (s schema) run(db *gorm.DB, id string) error {
	sql, err := fs.ReadFile(s.files, "migrations/"+db.Name()+"/"+id+".sql")
	if err == nil {
		err = db.Exec(string(sql)).Error
	}
	return wrapped(err, "running migration %s", id)
}

// applied lists the migrations that were run on a database, oldest first. One that this version does not know is an
// error.
func (s schema) applied(db *gorm.DB, name string) (applied []string, err error) {
	err = db.Raw("SELECT id FROM migrations ORDER BY id").Scan(&applied).Error
	if err != nil && !strings.Contains(err.Error(), "no such table") { // as SQLite says it
		return nil, fmt.Errorf("listing the migrations that were run: %w", err)
	}
	known := s.ids()
	unknown := slices.IndexFunc(applied, func(id string) bool { return !slices.Contains(known, id) })
	switch {
	case slices.Contains(applied, beforeRelease):
		return nil, fleet.Errorf(fleet.Unavailable, "%s was written before the first release (it has %s): export its "+
			"fleet with the version that wrote it, and import that into a new database", name, applied[len(applied)-1])
	case unknown >= 0:
		return nil, fleet.Errorf(fleet.Unavailable, "%s was written by a newer version of this program (it has %s): "+
			"use that version or a later one", name, applied[unknown])
	}
	return applied, nil
}

// migrate runs the migrations that have not run yet, all in one transaction: after a kill, nothing has happened.
func (s *Store) migrate(ctx context.Context) error {
	ids := s.schema.ids()
	steps := make([]*gormigrate.Migration, len(ids))
	for i, id := range ids {
		steps[i] = &gormigrate.Migration{ID: id, Migrate: func(tx *gorm.DB) error {
			if err := s.schema.run(tx, id); err != nil {
				return err
			}
			s.log.InfoContext(ctx, "migrated the database", "database", s.path, "to", id)
			return nil
		}}
	}
	return s.writer.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if s.server != nil {
			if err := s.server.lockForMigration(tx, s.path, s.schema); err != nil {
				return err
			}
		}
		if err := s.schema.makeTable(tx); err != nil {
			return err
		}
		return gormigrate.New(tx, &gormigrate.Options{
			TableName: "migrations", IDColumnName: "id", ValidateUnknownMigrations: true,
		}, steps).Migrate()
	})
}

// copyBeforeMigration makes a copy of a file that is to be migrated, if it holds anything. Its name says before which
// migration; a start that is tried again replaces it, so that copies cannot fill the disk.
func (s *Store) copyBeforeMigration(ctx context.Context) error {
	db := s.writer.WithContext(ctx)
	applied, err := s.schema.applied(db, s.path)
	if err != nil || len(applied) == 0 {
		return err
	}
	ids := s.schema.ids()
	next := slices.IndexFunc(ids, func(id string) bool { return !slices.Contains(applied, id) })
	if next < 0 {
		return nil
	}
	if empty, err := holdsNothing(db); empty || err != nil {
		return err
	}
	file := s.path + ".before-" + ids[next] + ".db"
	if err := s.Backup(ctx, file); err != nil {
		return fmt.Errorf("keeping a copy before the database is brought up to date: %w", err)
	}
	s.log.InfoContext(ctx, "kept a copy before the database is brought up to date", "database", s.path, "copy", file)
	return nil
}

// holdsNothing says whether no table has a row, but for those that the migrations themselves put there.
func holdsNothing(db *gorm.DB) (bool, error) {
	var tables []string
	err := db.Raw(`SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT IN ('migrations', 'state')
		AND name NOT LIKE 'sqlite\_%' ESCAPE '\'`).Scan(&tables).Error
	if err != nil {
		return false, fmt.Errorf("listing the tables: %w", err)
	}
	for _, table := range tables {
		var any bool
		err := db.Raw(`SELECT EXISTS (SELECT 1 FROM "` + table + `")`).Scan(&any).Error
		if any || err != nil {
			return false, wrapped(err, "looking into table %s", table)
		}
	}
	return true, nil
}
