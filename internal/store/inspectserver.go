package store

import (
	"context"
	"fmt"
	"log/slog"
	"slices"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// oldestServer is the oldest server that has all that is used here, as its server_version_num. (gen_random_uuid came with it.)
const oldestServer = 130000

// inspect refuses a database that cannot hold a fleet, whatever is in it.
func (v *server) inspect(ctx context.Context, db *gorm.DB, name string, log *slog.Logger) error {
	var set struct {
		Version  int
		Encoding string
		Schema   string
		Fsync    string
	}
	err := db.WithContext(ctx).Raw(`SELECT current_setting('server_version_num')::int AS version, current_setting('server_encoding') AS encoding,
		COALESCE(current_schema(), '') AS "schema", current_setting('fsync') AS fsync`).Scan(&set).Error
	switch {
	case err != nil:
		return err
	case set.Version < oldestServer:
		return fleet.Errorf(fleet.Unavailable, "the database server of %s is too old: it needs PostgreSQL %d or later", name, oldestServer/10000)
	case set.Encoding != "UTF8":
		return fleet.Errorf(fleet.Unavailable, "%s keeps text as %s: make a database with the encoding UTF8", name, set.Encoding)
	case set.Schema == "":
		return fleet.Errorf(fleet.Unavailable, "%s has no schema for the user %q to keep tables in: make one, or name one with search_path in the address",
			name, v.config.User)
	}
	if set.Fsync != "on" {
		log.WarnContext(ctx, "the database server does not wait for its disk: a power cut can lose what was acknowledged", "database", name, "fsync", set.Fsync)
	}
	return nil
}

// lookInsideServer refuses a database with the tables of another program, or of a newer version of this one.
func lookInsideServer(db *gorm.DB, name string, known []string) error {
	var tables []string
	err := db.Raw(`SELECT relname FROM pg_catalog.pg_class JOIN pg_catalog.pg_namespace AS space ON space.oid = relnamespace
		WHERE nspname = current_schema() AND relkind IN ('r', 'p', 'v', 'm', 'f') ORDER BY relname`).Scan(&tables).Error
	if err != nil {
		return fmt.Errorf("listing the tables: %w", err)
	}
	if len(tables) == 0 {
		return nil
	}
	if !slices.Contains(tables, "migrations") || !slices.Contains(tables, "state") {
		return foreignTables(name)
	}
	var columns []string
	err = db.Raw(`SELECT table_name || '.' || column_name FROM information_schema.columns
		WHERE table_schema = current_schema() AND table_name IN ('migrations', 'state')`).Scan(&columns).Error
	if err != nil {
		return fmt.Errorf("listing columns: %w", err)
	}
	if !slices.Contains(columns, "migrations.id") || !slices.Contains(columns, "state.key_salt") {
		return foreignTables(name)
	}
	var done []string
	if err := db.Raw("SELECT id FROM migrations ORDER BY id").Scan(&done).Error; err != nil {
		return fmt.Errorf("listing the migrations that were run: %w", err)
	}
	if !slices.Contains(done, known[0]) {
		return foreignTables(name)
	}
	for _, id := range done {
		if !slices.Contains(known, id) {
			return fleet.Errorf(fleet.Unavailable, "%s was written by a newer version of this program (it has %s): use that version or a later one", name, id)
		}
	}
	return nil
}

func foreignTables(name string) error {
	return fleet.Errorf(fleet.Unavailable, "%s holds tables of another program: give an empty database, or a schema of its own with search_path in the address", name)
}
