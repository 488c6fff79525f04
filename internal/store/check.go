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

// Condition is the result of a check of a database file.
type Condition struct {
	Found  []string // what is wrong, a line each; empty for a file that is whole
	Behind string   // the schema it has, where that is of an earlier version of this program
}

// Check examines the file at path, which another process may be using: every page, every reference from row to row, and
// whether the schema is the one that this program made. A file that is not a fleet, of a newer version or from before
// the first release is an error.
func Check(ctx context.Context, path string) (Condition, error) {
	return schema{migrations}.check(ctx, path)
}

func (s schema) check(ctx context.Context, path string) (Condition, error) {
	path, err := locateExisting(path)
	if err != nil {
		return Condition{}, err
	}
	if err := isOurs(path); err != nil {
		return Condition{}, err
	}
	db, err := connectReadOnly(path, queryOnly, 1)
	if isDamage(err) {
		return Condition{Found: []string{damageFound(err)}}, nil
	}
	if err != nil {
		return Condition{}, openError(path, err)
	}
	defer disconnect(db)
	c, err := s.examine(db.WithContext(ctx), path)
	return c, openError(path, err)
}

// isOurs refuses a file that is not a database of this program, by its header, and one whose log belongs to another.
func isOurs(path string) error {
	b, err := firstBytes(path)
	switch {
	case err != nil:
		return err
	case !b.isDatabase():
		return fleet.Errorf(fleet.Unavailable, "%s is not a database", path)
	// The program may have been killed while it made the file: then the first page is in the log.
	case b.applicationID() != applicationID && !hasBytes(path+"-wal"):
		return foreign(path)
	}
	return refuseOrphans(path)
}

// maxFound limits how many faults of one kind are listed.
const maxFound = 20

// examine checks a database. Damage is reported as found; only what prevents the check is an error.
func (s schema) examine(db *gorm.DB, path string) (c Condition, err error) {
	for _, look := range []func(*gorm.DB) ([]string, error){
		func(db *gorm.DB) ([]string, error) { return nil, refuseForeign(db, path) },
		brokenPages, brokenReferences,
		func(db *gorm.DB) ([]string, error) { return s.changes(db, path) },
		func(db *gorm.DB) (found []string, err error) {
			c.Behind, err = s.behind(db, path)
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
	if err := db.Raw(fmt.Sprintf("PRAGMA integrity_check(%d)", maxFound)).Scan(&found).Error; err != nil {
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
		if i == maxFound {
			return append(found, fmt.Sprintf("and %d more rows name what is not there", len(broken)-i)), nil
		}
		row := "a row"
		if b.RowID != nil {
			row = fmt.Sprintf("row %d", *b.RowID)
		}
		found = append(found, fmt.Sprintf("%s of table %s names something in table %s that is not there", row,
			b.Table, b.Parent))
	}
	return found, nil
}

// behind returns the last migration that was run where a later one is missing, and "" where none is.
func (s schema) behind(db *gorm.DB, path string) (string, error) {
	applied, err := s.applied(db, path)
	switch {
	case err != nil:
		return "", err
	case len(applied) == 0:
		return "", fleet.Errorf(fleet.Unavailable, "%s has nothing in it", path)
	case len(applied) < len(s.ids()):
		return applied[len(applied)-1], nil
	}
	return "", nil
}

// changes lists where a schema differs from what its migrations made, such as a trigger that somebody dropped.
func (s schema) changes(db *gorm.DB, path string) ([]string, error) {
	applied, err := s.applied(db, path)
	if err != nil {
		return nil, err
	}
	is, err := schemaOf(db)
	if err != nil {
		return nil, err
	}
	meant, err := s.after(db.Statement.Context, applied)
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

// schemaOf maps each table, index, trigger and view to the statement that made it.
func schemaOf(db *gorm.DB) (map[string]string, error) {
	var parts []struct{ Type, Name, SQL string }
	if err := db.Raw(`SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL
		AND name NOT LIKE 'sqlite\_%' ESCAPE '\'`).Scan(&parts).Error; err != nil {
		return nil, fmt.Errorf("reading the schema: %w", err)
	}
	schema := make(map[string]string, len(parts))
	for _, p := range parts {
		schema[p.Type+" "+p.Name] = p.SQL
	}
	return schema, nil
}

// after returns the schema that migrations make, run on a database in memory.
func (s schema) after(ctx context.Context, ids []string) (map[string]string, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	db, err := connect("file::memory:", 1)
	if err != nil {
		return nil, fmt.Errorf("making a schema in memory: %w", err)
	}
	defer disconnect(db)
	db = db.WithContext(ctx)
	if err := s.makeTable(db); err != nil {
		return nil, err
	}
	for _, id := range ids {
		if err := s.run(db, id); err != nil {
			return nil, err
		}
	}
	return schemaOf(db)
}
