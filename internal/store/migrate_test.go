package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// released makes a database as the program kept it when a migration was the newest: testdata/schema-0003.sql for
// 0003_driveline.
func released(t *testing.T, id string) (path string) {
	t.Helper()
	number, _, _ := strings.Cut(id, "_")
	dump, err := os.ReadFile("testdata/schema-" + number + ".sql")
	require.NoError(t, err, "%s needs a small fleet as the program keeps it with that schema, to be upgraded for ever after", id)
	path = filepath.Join(t.TempDir(), "fleet.db")
	raw(t, path, string(dump))
	return path
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

func TestEachReleasedSchemaIsBroughtUpToDateWithAllThatIsInIt(t *testing.T) {
	t.Parallel()
	ids, err := migrationIDs()
	require.NoError(t, err)
	for i, id := range ids {
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			path := released(t, id)
			before := rows(t, path)
			require.Len(t, before["migrations"], i+1)
			require.Len(t, before["sleds"], 3)
			require.Len(t, before["readings"], 41)
			found, err := Check(context.Background(), path)
			require.NoError(t, err)
			assert.Empty(t, found.Found, "the fleet kept for the tests is as the migrations up to %s make it", id)
			newest := i == len(ids)-1
			assert.Equal(t, newest, found.Behind == "")

			s := openAt(t, path)
			requireTheFleet(t, s, before)
			require.NoError(t, s.Close())
			requireKept(t, before, rows(t, path))
			found, err = Check(context.Background(), path)
			require.NoError(t, err)
			assert.Equal(t, Condition{}, found)

			kept, err := filepath.Glob(path + ".before-*")
			require.NoError(t, err)
			if newest {
				assert.Empty(t, kept, "nothing was to be done")
				return
			}
			require.Equal(t, []string{path + ".before-" + ids[i+1] + ".db"}, kept)
			assert.Equal(t, before, rows(t, kept[0]), "the copy is the database as it was")

			require.NoError(t, openAt(t, path).Close())
			again, err := filepath.Glob(path + ".before-*")
			require.NoError(t, err)
			assert.Equal(t, kept, again, "a second start migrates nothing")
		})
	}
}

// requireTheFleet reads the fleet of testdata as the book does, whatever the schema it comes from.
func requireTheFleet(t *testing.T, s *Store, before map[string][]map[string]any) {
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
		assert.Equal(t, map[fleet.Ended]int{fleet.ToppedOut: 38, fleet.StoppedShort: 1, fleet.PastTop: 1, fleet.Stated: 1}, kinds)
		aside := slices.IndexFunc(notes[1].Readings, func(r fleet.Reading) bool { return r.SetAside != nil })
		require.GreaterOrEqual(t, aside, 0)
		assert.Equal(t, "digits swapped", notes[1].Readings[aside].SetAside.Reason)
		assert.Equal(t, 627.1, notes[1].Readings[aside].DistanceFt)
		if before["classes"] != nil {
			requireTheShows(t, r)
		}
		if before["changes"] != nil {
			assert.Len(t, notes[0].Timeline.Changes, 1)
			assert.Equal(t, 1.1, *notes[1].Timeline.Changes[0].Gears[0].Ratio)
			assert.Equal(t, "low", notes[1].Sled.Gears[2].Range)
		}
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
func TestAReleasedMigrationStaysAsItIs(t *testing.T) {
	t.Parallel()
	written, err := os.ReadFile("testdata/migrations.sha256")
	require.NoError(t, err)
	var are strings.Builder
	for _, folder := range []string{"migrations", "migrations/postgres"} {
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

func TestADatabaseWithNothingInItIsBroughtUpToDateWithoutACopy(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "fleet.db")
	first, err := migrations.ReadFile("migrations/0001_fleet.sql")
	require.NoError(t, err)
	raw(t, path, migrationsTable, string(first), "INSERT INTO migrations VALUES ('0001_fleet')")
	require.NoError(t, openAt(t, path).Close())
	assert.Len(t, folder(t, path), 1)
}

func TestWithoutACopyNothingIsMigrated(t *testing.T) {
	t.Parallel()
	path := released(t, "0001_fleet")
	before := rows(t, path)
	require.NoError(t, os.Mkdir(path+".before-0002_shows.db", 0o755))
	_, err := Open(context.Background(), path, Options{})
	require.ErrorContains(t, err, "keeping a copy before the database is brought up to date")
	assert.NotContains(t, err.Error(), "\n")
	assert.Equal(t, before, rows(t, path))
	require.NoError(t, os.Remove(path+".before-0002_shows.db"))
	log := new(bytes.Buffer)
	s, err := Open(context.Background(), path, Options{Log: slog.New(slog.NewTextHandler(log, nil))})
	require.NoError(t, err)
	require.NoError(t, s.Close())
	assert.Contains(t, log.String(), path+".before-0002_shows.db", "the log says where the copy is")
	assert.Less(t, strings.Index(log.String(), "kept a copy"), strings.Index(log.String(), "migrated the database"))
}
