package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store/storetest"
)

// released makes a database as the program stored it when a migration was the newest: testdata/schema-0001.sql for
// 0001_initial.
func released(t *testing.T, id string) (path string) {
	t.Helper()
	number, _, _ := strings.Cut(id, "_")
	return loaded(t, "testdata/schema-"+number+".sql")
}

// loaded makes a database from a dump.
func loaded(t *testing.T, dump string) (path string) {
	t.Helper()
	statements, err := os.ReadFile(dump)
	require.NoError(t, err, "each migration needs a small fleet as the program stores it with that schema")
	path = filepath.Join(t.TempDir(), "fleet.db")
	raw(t, path, string(statements))
	return path
}

// newestReleased is the last migration of this version.
var newestReleased = schema{migrations}.newest()

// laterID is the migration of a version that comes after this one.
const laterID = "9000_later"

// laterVersion has one migration more than this version, for SQLite and for PostgreSQL.
func laterVersion(t *testing.T, statements string) Options {
	t.Helper()
	later := fstest.MapFS{}
	for _, kind := range []string{"sqlite", "postgres"} {
		names, err := fs.Glob(migrations, "migrations/"+kind+"/*.sql")
		require.NoError(t, err)
		for _, name := range names {
			b, err := fs.ReadFile(migrations, name)
			require.NoError(t, err)
			later[name] = &fstest.MapFile{Data: b}
		}
		later["migrations/"+kind+"/"+laterID+".sql"] = &fstest.MapFile{Data: []byte(statements)}
	}
	return Options{Now: func() time.Time { return noon }, migrations: later}
}

// withColors adds to a table, makes another and changes rows.
const withColors = `ALTER TABLE sleds ADD COLUMN color TEXT NOT NULL DEFAULT '';
	CREATE TABLE colors (name TEXT PRIMARY KEY NOT NULL);
	INSERT INTO colors VALUES ('red');
	UPDATE sleds SET color = 'red' WHERE id = 'bluestem';`

func openWith(t testing.TB, db string, o Options) *Store {
	t.Helper()
	s, err := Open(context.Background(), db, o)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	return s
}

// rows is every row of every table by its columns, in the order they were written.
func rows(t *testing.T, path string) map[string][]map[string]any {
	t.Helper()
	db := openRaw(t, path)
	defer db.Close()
	tables, err := db.Query("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
	require.NoError(t, err)
	all := map[string][]map[string]any{}
	for _, table := range texts(t, tables) {
		found, err := db.Query(`SELECT * FROM "` + table + `" ORDER BY rowid`)
		require.NoError(t, err)
		columns, err := found.Columns()
		require.NoError(t, err)
		for found.Next() {
			values, into := make([]any, len(columns)), make([]any, len(columns))
			for i := range values {
				into[i] = &values[i]
			}
			require.NoError(t, found.Scan(into...))
			row := map[string]any{}
			for i, c := range columns {
				row[c] = values[i]
			}
			all[table] = append(all[table], row)
		}
		require.NoError(t, found.Err())
	}
	return all
}

func texts(t *testing.T, found *sql.Rows) (all []string) {
	t.Helper()
	for found.Next() {
		var s string
		require.NoError(t, found.Scan(&s))
		all = append(all, s)
	}
	require.NoError(t, found.Err())
	return all
}

// requireKept wants every row of before in after, with every value it had.
func requireKept(t *testing.T, before, after map[string][]map[string]any) {
	t.Helper()
	for table, rows := range before {
		if table == "migrations" {
			continue
		}
		require.Len(t, after[table], len(rows), table)
		for i, row := range rows {
			for column, value := range row {
				assert.Equal(t, value, after[table][i][column], "%s.%s of row %d", table, column, i)
			}
		}
	}
}

func TestMigration_BringsEachReleasedSchemaUpToDate(t *testing.T) {
	t.Parallel()
	for version, o := range map[string]Options{"this version": {migrations: migrations},
		"a later one": laterVersion(t, withColors)} {
		meant := schema{o.migrations}
		ids := meant.ids()
		for i, id := range (schema{migrations}).ids() {
			t.Run(id+" to "+version, func(t *testing.T) {
				t.Parallel()
				path := released(t, id)
				before := rows(t, path)
				require.Len(t, before["migrations"], i+1)
				require.Len(t, before["sleds"], 3)
				require.Len(t, before["readings"], 41)
				for table, rows := range before {
					require.NotEmpty(t, rows, table)
				}
				newest := i == len(ids)-1
				found, err := meant.check(context.Background(), path)
				require.NoError(t, err)
				assert.Empty(t, found.Found, "the fleet stored for the tests is as the migrations up to %s make it", id)
				assert.Equal(t, newest, found.Behind == "")

				s := openWith(t, path, o)
				requireTheFleet(t, s)
				require.NoError(t, s.Close())
				requireKept(t, before, rows(t, path))
				found, err = meant.check(context.Background(), path)
				require.NoError(t, err)
				assert.Equal(t, Condition{}, found)

				copies, err := filepath.Glob(path + ".before-*")
				require.NoError(t, err)
				if newest {
					assert.Empty(t, copies, "nothing was to be done")
					return
				}
				require.Equal(t, []string{path + ".before-" + ids[i+1] + ".db"}, copies)
				assert.Equal(t, before, rows(t, copies[0]), "the copy is the database as it was")
				about, err := os.Stat(copies[0])
				require.NoError(t, err)
				assert.Equal(t, ownerOnly, about.Mode(), "only its owner can read it")

				s = openWith(t, path, o)
				again, err := filepath.Glob(path + ".before-*")
				require.NoError(t, err)
				assert.Equal(t, copies, again, "a second start migrates nothing")
				write(t, s, func(tx *Tx) error { return tx.AddShow(showOf("pull", "2026-07-18", "bluestem")) })
			})
		}
	}
}

// requireTheFleet reads the fleet of testdata as the book does, whatever the schema it comes from.
func requireTheFleet(t *testing.T, s *Store) {
	t.Helper()
	read(t, s, func(r *Reads) error {
		ids, _, err := r.Touched(0)
		require.NoError(t, err)
		require.Equal(t, []string{"bluestem", "fescue", "timothys-große"}, ids)
		notes, err := r.Load(ids)
		require.NoError(t, err)
		require.Len(t, notes, 3)
		assert.Equal(t, "The Crew", notes[0].Sled.Owner)
		assert.Equal(t, 0.25, notes[0].Sled.TakeUpFt)
		assert.Equal(t, "brake relined;\nmarks repainted – 0,5 ft", notes[0].Sled.Notes)
		assert.Equal(t, []string{"1", "2", "3 low"}, notes[1].Sled.Labels())
		assert.Equal(t, "Timothy's Größe", notes[2].Sled.Name)
		assert.True(t, notes[2].Sled.Retired)
		kinds := map[fleet.Ended]int{}
		for _, n := range notes {
			for _, reading := range n.Readings {
				kinds[reading.Ended]++
				assert.Positive(t, reading.DistanceFt)
			}
		}
		assert.Equal(t, map[fleet.Ended]int{fleet.ToppedOut: 38, fleet.StoppedShort: 1, fleet.PastTop: 1,
			fleet.Stated: 1}, kinds)
		aside := slices.IndexFunc(notes[1].Readings, func(r fleet.Figure) bool { return r.SetAside })
		require.GreaterOrEqual(t, aside, 0)
		misread, err := r.Reading(notes[1].Readings[aside].ID)
		require.NoError(t, err)
		assert.Equal(t, "digits swapped", misread.SetAside.Reason)
		assert.Equal(t, 627.1, misread.DistanceFt)
		requireTheShows(t, r)
		list, err := r.InspectionList("bluestem")
		require.NoError(t, err)
		assert.Equal(t, "Chains – „pins“ too", list.Items[0].What)
		looked, err := r.AllInspections("bluestem")
		require.NoError(t, err)
		require.Len(t, looked, 2)
		assert.Equal(t, "a new link;\nas the maker says", looked[1].Done)
		assert.Len(t, notes[0].Timeline.Changes, 1)
		assert.Equal(t, 1.1, *notes[1].Timeline.Changes[0].Gears[0].Ratio)
		assert.Equal(t, "low", notes[1].Sled.Gears[2].Range)
		return nil
	})
}

func requireTheShows(t *testing.T, r *Reads) {
	t.Helper()
	classes, _, err := r.Classes("", 100)
	require.NoError(t, err)
	require.Len(t, classes, 3)
	farm := classes[0]
	assert.Equal(t, "Farm 9500 lb", farm.Name)
	assert.Equal(t, "C", farm.Setting.Gear)
	require.NotNil(t, farm.Setting.TopOutFt, "a class means what its setting stood for")
	assert.InDelta(t, 255, *farm.Setting.TopOutFt, 10)
	require.NotNil(t, farm.PullOff)
	assert.Equal(t, 1.5, farm.PullOff.StartFt)
	shows, _, err := r.Shows("", 100)
	require.NoError(t, err)
	require.Len(t, shows, 2)
	sheets, err := r.ClosedSheets([]string{"harvest-pull-2026-07-18", "next-summer-2099-07-18"})
	require.NoError(t, err)
	require.Len(t, sheets, 1, "the show that is over keeps its sheet")
	assert.Equal(t, 1, sheets["harvest-pull-2026-07-18"].Format)
	assert.Contains(t, string(sheets["harvest-pull-2026-07-18"].Document), `"class":{"id":"farm-9500-lb"`)
}

// What ran on a database once never changes: the same number would mean another schema here than there.
// testdata/migrations.sha256 is what sha256sum says of the files.
func TestMigration_StaysAsItWasReleased(t *testing.T) {
	t.Parallel()
	written, err := os.ReadFile("testdata/migrations.sha256")
	require.NoError(t, err)
	var are strings.Builder
	for _, folder := range []string{"migrations/postgres", "migrations/sqlite"} {
		names, err := filepath.Glob(folder + "/*.sql")
		require.NoError(t, err)
		for _, name := range names {
			b, err := os.ReadFile(name)
			require.NoError(t, err)
			fmt.Fprintf(&are, "%x  %s\n", sha256.Sum256(b), name)
		}
	}
	assert.Equal(t, string(written), are.String())
}

func TestMigration_OfADatabaseWithNothingInItMakesNoCopy(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	require.NoError(t, s.Close())
	require.NoError(t, openWith(t, s.path, laterVersion(t, withColors)).Close())
	assert.Len(t, folder(t, s.path), 1)
	assert.Len(t, rows(t, s.path)["colors"], 1)
}

func TestMigration_DoesNotRunWithoutACopy(t *testing.T) {
	t.Parallel()
	path := released(t, newestReleased)
	before := rows(t, path)
	copied := path + ".before-" + laterID + ".db"
	require.NoError(t, os.Mkdir(copied, 0o755))
	o := laterVersion(t, withColors)
	_, err := Open(context.Background(), path, o)
	require.ErrorContains(t, err, "keeping a copy before the database is brought up to date")
	assert.NotContains(t, err.Error(), "\n")
	assert.Equal(t, before, rows(t, path))
	require.NoError(t, os.Remove(copied))
	log := new(bytes.Buffer)
	o.Log = slog.New(slog.NewTextHandler(log, nil))
	require.NoError(t, openWith(t, path, o).Close())
	assert.Contains(t, log.String(), copied, "the log says where the copy is")
	assert.Less(t, strings.Index(log.String(), "kept a copy"), strings.Index(log.String(), "migrated the database"))
}

// A migration that fails in the middle leaves the database as it was.
func TestMigration_ThatFailsChangesNothing(t *testing.T) {
	t.Parallel()
	path := released(t, newestReleased)
	before := rows(t, path)
	_, err := Open(context.Background(), path, laterVersion(t, withColors+"INSERT INTO nowhere VALUES (1);"))
	require.ErrorContains(t, err, "running migration "+laterID)
	assert.Equal(t, before, rows(t, path))
	requireTheFleet(t, openAt(t, path))
}

func TestMigration_OfALaterVersionIsRefused(t *testing.T) {
	t.Parallel()
	path := released(t, newestReleased)
	require.NoError(t, openWith(t, path, laterVersion(t, withColors)).Close())
	before := folder(t, path)
	_, err := Open(context.Background(), path, Options{})
	requireLine(t, err, path, "newer version of this program (it has "+laterID+")")
	assert.Equal(t, before, folder(t, path))
}

// Each way to use a database refuses one from before the first release, in one line that says what to do.
func TestMigration_OfADatabaseFromBeforeTheFirstReleaseIsRefused(t *testing.T) {
	t.Parallel()
	path := loaded(t, "testdata/before-release.sql")
	_, other := twoFleets(t)
	before, others := folder(t, path), folder(t, other)
	ctx := context.Background()
	for what, do := range map[string]func() error{
		"a start":           func() error { _, err := Open(ctx, path, Options{}); return err },
		"a later start":     func() error { _, err := Open(ctx, path, laterVersion(t, withColors)); return err },
		"a read":            func() error { _, err := OpenReadOnly(ctx, path, Options{}); return err },
		"a check":           func() error { _, err := Check(ctx, path); return err },
		"a backup":          func() error { return Backup(ctx, path, filepath.Join(t.TempDir(), "copy.db")) },
		"a restore from it": func() error { _, err := Restore(ctx, path, other, noon); return err },
	} {
		err := do()
		require.ErrorContains(t, err, "was written before the first release (it has 0001_fleet)", what)
		assert.ErrorContains(t, err, "export its fleet with the version that wrote it, and import that into a new "+
			"database", what)
		assert.NotContains(t, err.Error(), "\n", what)
		assert.Equal(t, before, folder(t, path), what)
		assert.Equal(t, others, folder(t, other), what)
	}
}

// Two versions share a database on a server. When the later one has migrated it, the earlier one still reads, but no
// longer writes.
func TestMigration_OnAServerIsDoneWhileAnotherVersionRuns(t *testing.T) {
	t.Parallel()
	ctx, db, later := context.Background(), storetest.URL(t), laterVersion(t, withColors)
	earlier := openAt(t, db)
	write(t, earlier, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
	_, err := OpenReadOnly(ctx, db, later)
	requireLine(t, err, Name(db), "is not up to date")
	s := openWith(t, db, later)
	err = earlier.Write(ctx, func(tx *Tx) error { return tx.AddSled(sledOf("fescue", "A")) })
	assert.Equal(t, fleet.Unavailable, kindOf(t, err))
	assert.ErrorContains(t, err, "newer version")
	assert.EqualValues(t, 1, revisionOf(t, earlier))
	write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("fescue", "A")) })
	assert.EqualValues(t, 2, revisionOf(t, earlier))
	var colors []string
	require.NoError(t, s.reader.Raw("SELECT color FROM sleds ORDER BY id").Scan(&colors).Error)
	assert.Equal(t, []string{"red", ""}, colors)
	_, err = Open(ctx, db, Options{})
	requireLine(t, err, Name(db), "newer version of this program (it has "+laterID+")")
}
