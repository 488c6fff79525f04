package store

import (
	"bytes"
	"context"
	"database/sql"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store/storetest"
)

func TestStore_IsMadeAndFoundAgain(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	for _, name := range []string{"fleet.db", "my fleet.db", "what?.db", "50%20.db", "no#1.db", "a&b=c;d.db",
		"größe.db"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), name)
			s, err := Open(context.Background(), path, Options{})
			require.NoError(t, err)
			salt := s.KeySalt()
			assert.Len(t, salt, 32)
			write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
			require.NoError(t, s.Close())
			require.NoError(t, s.Close(), "closing twice")

			files, err := os.ReadDir(filepath.Dir(path))
			require.NoError(t, err)
			require.Len(t, files, 1, "nothing stays beside the file: %v", files)
			assert.Equal(t, name, files[0].Name())

			s = openAt(t, path)
			assert.Equal(t, salt, s.KeySalt())
			read(t, s, func(r *Reads) error {
				sled, err := r.Sled("bluestem")
				assert.Equal(t, sledOf("bluestem", "A"), sled)
				return err
			})
			revision, err := s.Revision(context.Background())
			require.NoError(t, err)
			assert.EqualValues(t, 1, revision)
		})
	}
}

func TestStore_TakesAnEmptyFileForANewDatabase(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	path := filepath.Join(t.TempDir(), "fleet.db")
	require.NoError(t, os.WriteFile(path, nil, 0o644))
	assert.NoError(t, openAt(t, path).Ping(context.Background()))
}

func TestStore_IsTheOnlyOwnerOfItsFile(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	s := openNew(t)
	link := filepath.Join(t.TempDir(), "link.db")
	require.NoError(t, os.Symlink(s.path, link))
	for _, path := range []string{s.path, link} {
		_, err := Open(context.Background(), path, Options{})
		requireLine(t, err, s.path, "in use by another evenpull")
	}
	require.NoError(t, s.Ping(context.Background()), "the owner is not disturbed")
	require.NoError(t, s.Close())
	openAt(t, link)
}

func TestStore_RefusesAFileAnotherProgramIsWritingTo(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	s := openNew(t)
	require.NoError(t, s.Close())
	db := openRaw(t, s.path)
	db.SetMaxOpenConns(1)
	run(t, db, "PRAGMA locking_mode = EXCLUSIVE", "BEGIN EXCLUSIVE")
	_, err := Open(context.Background(), s.path, Options{}) // waits its five seconds
	requireLine(t, err, s.path, "in use by another program")
}

// Each of these is refused with one line, and not a byte of it is changed, nor is anything left beside it.
func TestStore_LeavesAFileThatCannotBeUsedAsItIs(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	ours := func(t *testing.T, path string) []byte {
		s := openAt(t, path)
		sled := sledOf("bluestem", "A", "B")
		write(t, s, func(tx *Tx) error { return tx.AddSled(sled) })
		write(t, s, func(tx *Tx) error { return tx.AddReadings(readingsOf(sled, 2000)) })
		require.NoError(t, s.Close())
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		return b
	}
	for name, c := range map[string]struct {
		make func(t *testing.T, path string)
		says string
	}{
		"a text": {func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path, []byte("sled,gear,distance_ft\n"), 0o644))
		}, "is not a database"},
		"a longer text": {func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path, bytes.Repeat([]byte("bluestem,A,276.4\n"), 1000), 0o644))
		}, "is not a database"},
		"only the first bytes of a database": {func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path, ours(t, path)[:60], 0o644))
		}, "is not a database"},
		"half a database": {func(t *testing.T, path string) {
			b := ours(t, path)
			require.NoError(t, os.WriteFile(path, b[:len(b)/2], 0o644))
		}, "is damaged"},
		"a database with noise in the middle": {func(t *testing.T, path string) {
			b := ours(t, path)
			for i := len(b) / 3; i < len(b)/2; i++ {
				b[i] = byte(i * 7)
			}
			require.NoError(t, os.WriteFile(path, b, 0o644))
		}, "is damaged"},
		"a database of another program": {func(t *testing.T, path string) {
			raw(t, path, "CREATE TABLE recipes (name TEXT)", "INSERT INTO recipes VALUES ('bread')")
		}, "another program"},
		"a database of another program in write-ahead mode": {func(t *testing.T, path string) {
			raw(t, path, "PRAGMA journal_mode = WAL", "PRAGMA application_id = 42", "CREATE TABLE recipes (name TEXT)")
		}, "another program"},
		"a database of another program with an old journal": {func(t *testing.T, path string) {
			raw(t, path, "PRAGMA journal_mode = PERSIST", "CREATE TABLE recipes (name TEXT)",
				"INSERT INTO recipes VALUES ('bread')")
			require.FileExists(t, path+"-journal")
		}, "another program"},
		"a database of a later version": {func(t *testing.T, path string) {
			ours(t, path)
			raw(t, path, "INSERT INTO migrations VALUES ('9999_tomorrow')")
		}, "newer version"},
		"a file nobody may write to": {func(t *testing.T, path string) {
			ours(t, path)
			require.NoError(t, os.Chmod(path, 0o444))
		}, "is read-only"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "fleet.db")
			c.make(t, path)
			before := folder(t, path)
			_, err := Open(context.Background(), path, Options{})
			requireLine(t, err, path, c.says)
			assert.Equal(t, before, folder(t, path))
		})
	}
}

// A tool that had the file open outside write-ahead mode may have been killed: its journal is undone, not refused.
func TestStore_UndoesAJournalLeftBehind(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	s := openNew(t)
	write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
	require.NoError(t, s.Close())
	db := openRaw(t, s.path)
	db.SetMaxOpenConns(1)
	run(t, db, "PRAGMA journal_mode = DELETE", "PRAGMA cache_size = 2", "BEGIN", "UPDATE sleds SET name = 'half done'",
		"WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 20000) INSERT INTO touched "+
			"SELECT 'sled ' || i, 9 FROM n")
	killed := filepath.Join(t.TempDir(), "fleet.db")
	for _, side := range []string{"", "-journal"} {
		b, err := os.ReadFile(s.path + side)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(killed+side, b, 0o644))
	}
	require.NoError(t, db.Close())
	s = openAt(t, killed)
	read(t, s, func(r *Reads) error {
		sled, err := r.Sled("bluestem")
		assert.Equal(t, "The bluestem", sled.Name)
		require.NoError(t, err)
		ids, _, err := r.Touched(0)
		assert.Equal(t, []string{"bluestem"}, ids)
		return err
	})
}

func TestStore_RefusesAPlaceWhereNoFileCanBe(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	dir := t.TempDir()
	_, err := Open(context.Background(), filepath.Join(dir, "missing", "fleet.db"), Options{})
	requireLine(t, err, "missing/fleet.db", "folder")
	_, err = Open(context.Background(), dir, Options{})
	requireLine(t, err, dir, "is a folder")
	closed := filepath.Join(dir, "closed")
	require.NoError(t, os.Mkdir(closed, 0o555))
	_, err = Open(context.Background(), filepath.Join(closed, "fleet.db"), Options{})
	requireLine(t, err, closed, "cannot be written to")
	files, err := os.ReadDir(closed)
	require.NoError(t, err)
	assert.Empty(t, files)
}

// A schema made by the migrations is the schema the rows are written for: every column of every row is there.
func TestSchema_FitsTheRows(t *testing.T) {
	t.Parallel()
	s := openNew(t)
	rows := []any{
		&sledRow{}, &gearRow{}, &readingRow{}, &touchedRow{}, &stateRow{}, &keyRow{}, &idempotencyRow{},
		&classRow{}, &showRow{}, &showClassRow{}, &asRunRow{}, &outcomeRow{}, &closedSheetRow{}, &changeRow{},
	}
	for _, row := range rows {
		statement := s.reader.Model(row).Statement
		require.NoError(t, statement.Parse(row))
		types, err := s.reader.Migrator().ColumnTypes(row)
		require.NoError(t, err)
		var columns []string
		for _, c := range types {
			columns = append(columns, c.Name())
		}
		assert.ElementsMatch(t, statement.Schema.DBNames, columns, statement.Table)
	}
	if storetest.OnServer() {
		return // it has checked every reference as it was written
	}
	var broken []map[string]any
	require.NoError(t, s.reader.Raw("PRAGMA foreign_key_check").Scan(&broken).Error)
	assert.Empty(t, broken)
}

func TestStore_IsSetForSafety(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	s := openNew(t)
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1",
		"busy_timeout": "5000", "application_id": "1163284048"} {
		var got string
		require.NoError(t, s.writer.Raw("PRAGMA "+pragma).Scan(&got).Error)
		assert.Equal(t, want, got, pragma)
	}
	assert.Error(t, s.reader.Exec("DELETE FROM state").Error, "readers cannot write")
}

func requireLine(t *testing.T, err error, path, says string) {
	t.Helper()
	require.Error(t, err)
	assert.Contains(t, err.Error(), path)
	assert.Contains(t, err.Error(), says)
	assert.NotContains(t, err.Error(), "\n")
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, fleet.Unavailable, e.Kind)
	assert.Contains(t, e.Detail, path)
}

func openRaw(t *testing.T, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite3", path)
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	return db
}

func run(t *testing.T, db *sql.DB, statements ...string) {
	t.Helper()
	for _, s := range statements {
		_, err := db.Exec(s)
		require.NoError(t, err, s)
	}
}

// raw carries out statements as another program would, and is gone afterward.
func raw(t *testing.T, path string, statements ...string) {
	t.Helper()
	db := openRaw(t, path)
	db.SetMaxOpenConns(1)
	run(t, db, statements...)
	require.NoError(t, db.Close())
}

// folder is every file in the folder of a path, with its bytes.
func folder(t *testing.T, path string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	files := map[string]string{}
	for _, e := range entries {
		b, err := os.ReadFile(filepath.Join(filepath.Dir(path), e.Name()))
		require.NoError(t, err)
		files[e.Name()] = string(b)
	}
	return files
}

// A process that is just being started has all files of this one open for a moment. None of them keeps a database
// locked.
func TestStore_ClosesItsFileWhileProcessesStart(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	s := openNew(t)
	require.NoError(t, s.Close())
	over := make(chan struct{})
	var starting sync.WaitGroup
	for range 4 {
		starting.Go(func() {
			for {
				select {
				case <-over:
					return
				default:
					assert.NoError(t, exec.Command("/bin/true").Run())
				}
			}
		})
	}
	for range 40 {
		s, err := Open(context.Background(), s.path, Options{})
		if !assert.NoError(t, err) {
			break
		}
		if !assert.NoError(t, s.Close()) {
			break
		}
	}
	close(over)
	starting.Wait()
}
