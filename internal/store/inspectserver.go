package store

import (
	"context"
	"fmt"
	"log/slog"
	"slices"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// oldestServer is the oldest supported server, as its server_version_num: gen_random_uuid came with it.
const oldestServer = 130000

// inspect refuses a database that cannot hold a fleet, whatever is in it.
func (v *server) inspect(ctx context.Context, db *gorm.DB, name string, log *slog.Logger) error {
	var set struct {
		Version  int
		Encoding string
		Schema   string
		Fsync    string
	}
	err := db.WithContext(ctx).Raw(`SELECT current_setting('server_version_num')::int AS version,
		current_setting('server_encoding') AS encoding,
		COALESCE(current_schema(), '') AS "schema", current_setting('fsync') AS fsync`).Scan(&set).Error
	switch {
	case err != nil:
		return err
	case set.Version < oldestServer:
		return fleet.Errorf(fleet.Unavailable, "the database server of %s is too old: it needs PostgreSQL %d or later",
			name, oldestServer/10000)
	case set.Encoding != "UTF8":
		return fleet.Errorf(fleet.Unavailable, "%s keeps text as %s: make a database with the encoding UTF8", name,
			set.Encoding)
	case set.Schema == "":
		return fleet.Errorf(fleet.Unavailable, "%s has no schema for the user %q to keep tables in: make one, "+
			"or name one with search_path in the address",
			name, v.config.User)
	}
	if set.Fsync != "on" {
		log.WarnContext(ctx, "the database server does not wait for its disk: a power cut can lose what was "+
			"acknowledged", "database", name, "fsync", set.Fsync)
	}
	return nil
}

// lockForMigration holds off the migrations and the writes of other processes until the transaction has ended. It
// refuses a database that this version must not change.
func (v *server) lockForMigration(tx *gorm.DB, name string, known schema) error {
	// Another process may take longer to migrate than a write would wait for.
	if err := tx.Exec("SET LOCAL lock_timeout = 0").Error; err != nil {
		return fmt.Errorf("preparing to migrate: %w", err)
	}
	if err := tx.Exec("SELECT pg_advisory_xact_lock(?)", applicationID).Error; err != nil {
		return fmt.Errorf("waiting for another migration to end: %w", err)
	}
	applied, err := known.inspectServer(tx, name)
	if err != nil || len(applied) == 0 || len(applied) == len(known.ids()) {
		return err
	}
	return wrapped(tx.Exec("LOCK TABLE state IN ACCESS EXCLUSIVE MODE").Error, "holding off writes")
}

// inspectServer lists the migrations that were run on a database. It refuses one with the tables of another program, or
// of a version that this one does not know.
func (s schema) inspectServer(db *gorm.DB, name string) (applied []string, err error) {
	var columns []string
	err = db.Raw(`SELECT relname || '.' || COALESCE(attname, '') FROM pg_catalog.pg_class
		JOIN pg_catalog.pg_namespace AS space ON space.oid = relnamespace
		LEFT JOIN pg_catalog.pg_attribute ON attrelid = pg_class.oid AND attnum > 0
		WHERE nspname = current_schema() AND relkind IN ('r', 'p', 'v', 'm', 'f')`).Scan(&columns).Error
	switch {
	case err != nil:
		return nil, fmt.Errorf("listing tables and columns: %w", err)
	case len(columns) == 0:
		return nil, nil
	case !slices.Contains(columns, "migrations.id") || !slices.Contains(columns, "state.key_salt"):
		return nil, foreignTables(name)
	}
	applied, err = s.applied(db, name)
	if err == nil && !slices.Contains(applied, s.ids()[0]) {
		return nil, foreignTables(name)
	}
	return applied, err
}

func foreignTables(name string) error {
	return fleet.Errorf(fleet.Unavailable, "%s holds tables of another program: give an empty database, "+
		"or a schema of its own with search_path in the address", name)
}
