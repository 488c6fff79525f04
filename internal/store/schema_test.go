package store

import (
	"context"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
)

// column is a column of a table, in words that both databases share.
type column struct {
	kind     string
	required bool
}

func TestMigration_IsThereForBothDatabases(t *testing.T) {
	t.Parallel()
	files, err := fs.Glob(migrations, "migrations/postgres/*.sql")
	require.NoError(t, err)
	var others []string
	for _, f := range files {
		others = append(others, strings.TrimSuffix(filepath.Base(f), ".sql"))
	}
	assert.Equal(t, schema{migrations}.ids(), others)
}

// The migrations of the two databases are written apart, and end at the same tables, columns, indexes and rules.
func TestSchema_IsTheSameOnBothDatabases(t *testing.T) {
	t.Parallel()
	onServer := openAt(t, storetest.URL(t))
	inFile := openAt(t, filepath.Join(t.TempDir(), "fleet.db"))
	want := columnsOfFile(t, inFile)
	require.Greater(t, len(want), 15)
	got := columnsOnServer(t, onServer)
	for table, columns := range want {
		assert.Equal(t, columns, got[table], "%s", table)
	}
	assert.Len(t, got, len(want), "no other tables")

	// An index that a rule brings along has a name of the database's own.
	indexes := func(s *Store, query string) (names []string) {
		read(t, s, func(r *Reads) error { return r.db.Raw(query).Scan(&names).Error })
		return names
	}
	files := indexes(inFile, "SELECT tbl_name || ' ' || name FROM sqlite_master WHERE type = 'index' "+
		"AND sql IS NOT NULL")
	require.NotEmpty(t, files)
	assert.ElementsMatch(t, files, indexes(onServer, `SELECT tablename || ' ' || indexname FROM pg_indexes
		WHERE schemaname = current_schema() AND indexname NOT IN (SELECT conname FROM pg_constraint)`))

	held := rulesOfFile(t, inFile)
	require.Equal(t, rules{References: 2, Unique: 1, Checks: 6}, held["readings"],
		"as they can be counted in the first migration")
	assert.Equal(t, held, rulesOnServer(t, onServer))

	var inOrderOfALanguage []string
	read(t, onServer, func(r *Reads) error {
		return r.db.Raw(`SELECT table_name || '.' || column_name FROM information_schema.columns
			WHERE table_schema = current_schema() AND data_type = 'text' AND collation_name IS DISTINCT FROM 'C'`).
			Scan(&inOrderOfALanguage).Error
	})
	assert.Empty(t, inOrderOfALanguage, "text is ordered by its bytes")
}

func columnsOfFile(t *testing.T, s *Store) map[string]map[string]column {
	t.Helper()
	var rows []struct {
		Table, Name, Kind string
		Required          bool
	}
	read(t, s, func(r *Reads) error {
		return r.db.Raw(`SELECT m.name AS "table", c.name AS name, lower(c.type) AS kind, c."notnull" AS required
			FROM sqlite_master AS m, pragma_table_info(m.name) AS c WHERE m.type = 'table'`).Scan(&rows).Error
	})
	all := map[string]map[string]column{}
	for _, c := range rows {
		switch {
		case c.Kind == "blob":
			c.Kind = "bytea"
		case c.Kind == "integer" && c.Name == "seq":
			c.Kind = "bigint" // the order of writing, which the database counts: 64 bits in a file
		}
		add(all, c.Table, c.Name, column{c.Kind, c.Required})
	}
	return all
}

func columnsOnServer(t *testing.T, s *Store) map[string]map[string]column {
	t.Helper()
	var rows []struct {
		Table, Name, Kind string
		Required          bool
	}
	read(t, s, func(r *Reads) error {
		return r.db.Raw(`SELECT table_name AS "table", column_name AS name, data_type AS kind,
			is_nullable = 'NO' AS required
			FROM information_schema.columns WHERE table_schema = current_schema()`).Scan(&rows).Error
	})
	all := map[string]map[string]column{}
	for _, c := range rows {
		add(all, c.Table, c.Name, column{c.Kind, c.Required})
	}
	return all
}

func add(all map[string]map[string]column, table, name string, c column) {
	if all[table] == nil {
		all[table] = map[string]column{}
	}
	all[table][name] = c
}

// rules counts what a table holds its rows to.
type rules struct{ References, Unique, Checks int }

func rulesOfFile(t *testing.T, s *Store) map[string]rules {
	t.Helper()
	var rows []struct {
		Name, SQL string
		Rules     rules `gorm:"embedded"`
	}
	read(t, s, func(r *Reads) error {
		return r.db.Raw(`SELECT name, sql,
			(SELECT COUNT(DISTINCT id) FROM pragma_foreign_key_list(m.name)) AS "references",
			(SELECT COUNT(*) FROM pragma_index_list(m.name) WHERE origin = 'u') AS "unique"
			FROM sqlite_master AS m WHERE type = 'table'`).Scan(&rows).Error
	})
	all := map[string]rules{}
	for _, row := range rows {
		row.Rules.Checks = strings.Count(row.SQL, "CHECK (")
		all[row.Name] = row.Rules
	}
	return all
}

func rulesOnServer(t *testing.T, s *Store) map[string]rules {
	t.Helper()
	var rows []struct {
		Name  string
		Rules rules `gorm:"embedded"`
	}
	read(t, s, func(r *Reads) error {
		return r.db.Raw(`SELECT relname AS name, COUNT(*) FILTER (WHERE contype = 'f') AS "references",
			COUNT(*) FILTER (WHERE contype = 'u') AS "unique", COUNT(*) FILTER (WHERE contype = 'c') AS checks
			FROM pg_class LEFT JOIN pg_constraint ON conrelid = pg_class.oid
			WHERE relnamespace = current_schema()::regnamespace AND relkind = 'r' GROUP BY relname`).Scan(&rows).Error
	})
	all := map[string]rules{}
	for _, row := range rows {
		all[row.Name] = row.Rules
	}
	return all
}

// Nothing can change or remove what the history tells, by whatever way it comes.
func TestHistory_OnAServerIsOnlyAddedTo(t *testing.T) {
	t.Parallel()
	s := openAt(t, storetest.URL(t))
	run := func(statement string) error {
		return s.Write(context.Background(), func(tx *Tx) error { return tx.db.Exec(statement).Error })
	}
	require.NoError(t, run(`INSERT INTO history (at, key_id, who, role, act, kind, subject) VALUES (0, '', 'somebody',
		'manager', 'add', 'sled', 'bluestem');
		INSERT INTO history_sleds (seq, sled_id) SELECT seq, 'bluestem' FROM history`))
	for _, statement := range []string{
		"UPDATE history SET who = 'nobody'", "DELETE FROM history_sleds", "DELETE FROM history",
		"UPDATE history_sleds SET sled_id = 'fescue'",
		"TRUNCATE history, history_sleds", "TRUNCATE history_sleds",
	} {
		assert.ErrorContains(t, run(statement), "history is only added to", statement)
	}
	var left int
	read(t, s, func(r *Reads) error {
		return r.db.Raw("SELECT COUNT(*) FROM history JOIN history_sleds USING (seq) WHERE who = 'somebody'").
			Scan(&left).Error
	})
	assert.Equal(t, 1, left)
}
