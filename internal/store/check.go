package store

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/mattn/go-sqlite3"
	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// Condition is what a look through a database file has found.
type Condition struct {
	Found  []string // what is wrong, a line each; empty for a file that is whole
	Behind string   // the schema it has, where that is of an earlier version of this program
}

// Check looks through the file at path, which another process may be using: every page, every reference from row to row,
// and whether the schema is the one that this program made. A file that is not ours, or of a newer version, is an error.
func Check(ctx context.Context, path string) (Condition, error) {
	path, err := locateExisting(path)
	if err != nil {
		return Condition{}, err
	}
	if err := isOurs(path); err != nil {
		return Condition{}, err
	}
	db, err := connectGuest(path, onlyQueries, 1)
	if isDamage(err) {
		return Condition{Found: []string{damageFound(err)}}, nil
	}
	if err != nil {
		return Condition{}, openError(path, err)
	}
	defer disconnect(db)
	c, err := examine(db.WithContext(ctx), path)
	return c, openError(path, err)
}

// isOurs refuses a file that cannot be a database of this program, by its first bytes, and one with the log of another.
func isOurs(path string) error {
	b, err := firstBytes(path)
	switch {
	case err != nil:
		return err
	case !b.isDatabase():
		return fleet.Errorf(fleet.Unavailable, "%s is not a database", path)
	// While it was being made it may have been killed, and its first page stands in the log.
	case b.applicationID() != applicationID && !hasBytes(path+"-wal"):
		return foreign(path)
	}
	return refuseOrphans(path)
}

// mostFound is how much of one kind is listed.
const mostFound = 20

// examine looks through a database. Damage is found; only what keeps it from looking is an error.
func examine(db *gorm.DB, path string) (c Condition, err error) {
	for _, look := range []func(*gorm.DB) ([]string, error){
		func(db *gorm.DB) ([]string, error) { return nil, refuseForeign(db, path) },
		brokenPages, brokenReferences, schemaChanges,
		func(db *gorm.DB) (found []string, err error) {
			c.Behind, err = schemaBehind(db, path)
			return nil, err
		},
	} {
		found, err := look(db)
		switch {
		case isDamage(err):
			c.Found = append(c.Found, damageFound(err))
			return c, nil
		case err != nil:
			return c, err
		}
		c.Found = append(c.Found, found...)
	}
	return c, nil
}

func isDamage(err error) bool {
	var s sqlite3.Error
	return errors.As(err, &s) && (s.Code == sqlite3.ErrCorrupt || s.Code == sqlite3.ErrNotADB)
}

func damageFound(err error) string {
	return "the file is damaged: " + strings.Join(strings.Fields(err.Error()), " ")
}

func refuseForeign(db *gorm.DB, path string) error {
	var id uint32
	if err := db.Raw("PRAGMA application_id").Scan(&id).Error; err != nil {
		return fmt.Errorf("asking whose database it is: %w", err)
	}
	if id != applicationID {
		return foreign(path)
	}
	return nil
}

func brokenPages(db *gorm.DB) ([]string, error) {
	var found []string
	if err := db.Raw(fmt.Sprintf("PRAGMA integrity_check(%d)", mostFound)).Scan(&found).Error; err != nil {
		return nil, fmt.Errorf("looking through the pages: %w", err)
	}
	if slices.Equal(found, []string{"ok"}) {
		return nil, nil
	}
	for i, f := range found {
		found[i] = damageFound(errors.New(f))
	}
	return found, nil
}

func brokenReferences(db *gorm.DB) ([]string, error) {
	var broken []struct {
		Table  string
		RowID  *int64 `gorm:"column:rowid"`
		Parent string
	}
	if err := db.Raw("PRAGMA foreign_key_check").Scan(&broken).Error; err != nil {
		return nil, fmt.Errorf("following the references: %w", err)
	}
	var found []string
	for i, b := range broken {
		if i == mostFound {
			return append(found, fmt.Sprintf("and %d more rows name what is not there", len(broken)-i)), nil
		}
		row := "a row"
		if b.RowID != nil {
			row = fmt.Sprintf("row %d", *b.RowID)
		}
		found = append(found, fmt.Sprintf("%s of table %s names something in table %s that is not there", row, b.Table, b.Parent))
	}
	return found, nil
}

// schemaBehind names the last migration that was run where a later one is to follow. A schema of a newer version is an
// error.
func schemaBehind(db *gorm.DB, path string) (string, error) {
	known, err := migrationIDs()
	if err != nil {
		return "", err
	}
	done, err := migrationsDone(db)
	if err != nil {
		return "", err
	}
	for _, id := range done {
		if !slices.Contains(known, id) {
			return "", fleet.Errorf(fleet.Unavailable, "%s was written by a newer version of this program (it has %s): use that version or a later one", path, id)
		}
	}
	switch {
	case len(done) == 0:
		return "", fleet.Errorf(fleet.Unavailable, "%s has nothing in it", path)
	case len(done) < len(known):
		return done[len(done)-1], nil
	}
	return "", nil
}

// migrationsDone lists the migrations that were run, oldest first.
func migrationsDone(db *gorm.DB) (done []string, err error) {
	var tables int64
	if err := db.Raw("SELECT COUNT(*) FROM sqlite_master WHERE name = 'migrations'").Scan(&tables).Error; err != nil {
		return nil, fmt.Errorf("looking for the table of migrations: %w", err)
	}
	if tables == 0 {
		return nil, nil
	}
	if err := db.Raw("SELECT id FROM migrations ORDER BY id").Scan(&done).Error; err != nil {
		return nil, fmt.Errorf("listing the migrations that were run: %w", err)
	}
	return done, nil
}

// schemaChanges finds where a schema is not what the migrations that were run on it have made, such as a trigger that
// somebody dropped.
func schemaChanges(db *gorm.DB) ([]string, error) {
	done, err := migrationsDone(db)
	if err != nil {
		return nil, err
	}
	known, err := migrationIDs()
	if err != nil {
		return nil, err
	}
	if !slices.Equal(done, known[:min(len(done), len(known))]) {
		return nil, nil // of a newer version, which is refused elsewhere
	}
	is, err := schemaOf(db)
	if err != nil {
		return nil, err
	}
	meant, err := schemaAfter(db.Statement.Context, done)
	if err != nil {
		return nil, err
	}
	var found []string
	for _, name := range slices.Sorted(maps.Keys(meant)) {
		switch sql, there := is[name]; {
		case !there:
			found = append(found, "the schema lacks "+name)
		case sql != meant[name]:
			found = append(found, "the schema has another "+name+" than this program made")
		}
	}
	for _, name := range slices.Sorted(maps.Keys(is)) {
		if _, ours := meant[name]; !ours {
			found = append(found, "the schema has "+name+", which is none of this program")
		}
	}
	return found, nil
}

// schemaOf is what a schema is made of: for each table, index, trigger and view the statement that made it.
func schemaOf(db *gorm.DB) (map[string]string, error) {
	var parts []struct{ Type, Name, SQL string }
	if err := db.Raw(`SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite\_%' ESCAPE '\'`).Scan(&parts).Error; err != nil {
		return nil, fmt.Errorf("reading the schema: %w", err)
	}
	schema := make(map[string]string, len(parts))
	for _, p := range parts {
		schema[p.Type+" "+p.Name] = p.SQL
	}
	return schema, nil
}

// schemaAfter is the schema that migrations make, tried in memory.
func schemaAfter(ctx context.Context, ids []string) (map[string]string, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	db, err := connect("file::memory:", 1)
	if err != nil {
		return nil, fmt.Errorf("making a schema in memory: %w", err)
	}
	defer disconnect(db)
	db = db.WithContext(ctx)
	if err := db.Exec(migrationsTable).Error; err != nil {
		return nil, fmt.Errorf("making a schema in memory: %w", err)
	}
	for _, id := range ids {
		if err := runMigration(db, id); err != nil {
			return nil, err
		}
	}
	return schemaOf(db)
}
