package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestCheck_FindsWhatIsWrongWithAFile(t *testing.T) {
	t.Parallel()
	for what, c := range map[string]struct {
		damage func(t *testing.T, path string)
		found  string
	}{
		"nothing": {func(*testing.T, string) {}, ""},
		"noise in the middle": {func(t *testing.T, path string) {
			b, err := os.ReadFile(path)
			require.NoError(t, err)
			for i := len(b) / 3; i < len(b)/2; i++ {
				b[i] = byte(i * 7)
			}
			require.NoError(t, os.WriteFile(path, b, 0o644))
		}, "the file is damaged"},
		"half of it": {func(t *testing.T, path string) {
			about, err := os.Stat(path)
			require.NoError(t, err)
			require.NoError(t, os.Truncate(path, about.Size()/2))
		}, "the file is damaged"},
		"an index that has lost an entry": {func(t *testing.T, path string) {
			raw(t, path, "PRAGMA writable_schema = 1",
				"UPDATE sqlite_master SET sql = 'CREATE INDEX readings_by_gear ON readings (sled_id, start_ft)' "+
					"WHERE name = 'readings_by_gear'")
		}, "the file is damaged"},
		"a reading of a gear that is gone": {func(t *testing.T, path string) {
			raw(t, path, "PRAGMA foreign_keys = 0", "DELETE FROM gears WHERE label = 'B'")
		}, "row 2 of table readings names something in table gears that is not there"},
		"a history that can be changed": {func(t *testing.T, path string) {
			raw(t, path, "DROP TRIGGER history_is_not_changed")
		}, "the schema lacks trigger history_is_not_changed"},
		"a trigger of somebody else": {func(t *testing.T, path string) {
			raw(t, path, "CREATE TRIGGER more AFTER INSERT ON readings BEGIN UPDATE readings SET distance_ft = 1; END")
		}, "the schema has trigger more, which is none of this program"},
		"an index on other columns": {func(t *testing.T, path string) {
			raw(t, path, "DROP INDEX readings_by_date", "CREATE INDEX readings_by_date ON readings (sled_id)")
		}, "the schema has another index readings_by_date than this program made"},
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			s := openFile(t)
			sled := sledOf("bluestem", "A", "B")
			write(t, s, func(tx *Tx) error {
				return errors.Join(tx.AddSled(sled), tx.AddReadings(readingsOf(sled, 2000)))
			})
			require.NoError(t, s.Close())
			c.damage(t, s.path)
			before := folder(t, s.path)
			got, err := Check(context.Background(), s.path)
			require.NoError(t, err)
			assert.Empty(t, got.Behind)
			assert.Equal(t, before, folder(t, s.path), "looking changes nothing")
			if c.found == "" {
				assert.Empty(t, got.Found)
				return
			}
			require.NotEmpty(t, got.Found)
			assert.Contains(t, got.Found[0], c.found)
			assert.LessOrEqual(t, len(got.Found), 2*maxFound+1)
			assert.NotContains(t, got.Found[0], "\n")
		})
	}
}

func TestCheck_RefusesAFileThatIsNoFleet(t *testing.T) {
	t.Parallel()
	in := t.TempDir()
	text := filepath.Join(in, "notes.txt")
	require.NoError(t, os.WriteFile(text, []byte("by hand"), 0o644))
	recipes := filepath.Join(in, "recipes.db")
	raw(t, recipes, "CREATE TABLE recipes (name TEXT)")
	log := filepath.Join(in, "log.db")
	raw(t, log, "PRAGMA journal_mode = WAL", "CREATE TABLE recipes (name TEXT)")
	newer := openFile(t)
	require.NoError(t, newer.Close())
	raw(t, newer.path, "INSERT INTO migrations VALUES ('9999_tomorrow')")
	for path, says := range map[string]string{
		text: "is not a database", recipes: "another program", log: "another program", in: "is a folder",
		filepath.Join(in, "none.db"): "there is no file", newer.path: "newer version",
	} {
		_, err := Check(context.Background(), path)
		assert.ErrorContains(t, err, says)
		_, err = OpenReadOnly(context.Background(), path, Options{})
		assert.ErrorContains(t, err, says)
	}
}

// A guest sees every write of the owner, and cannot write itself.
func TestOpenReadOnly_ReadsBesideTheOwner(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	owner := openFile(t)
	guest, err := OpenReadOnly(ctx, owner.path, Options{})
	require.NoError(t, err)
	write(t, owner, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
	found, err := Check(ctx, owner.path)
	require.NoError(t, err)
	assert.Equal(t, Condition{}, found)
	read(t, guest, func(r *Reads) error {
		sled, err := r.Sled("bluestem")
		assert.Equal(t, "The bluestem", sled.Name)
		return err
	})
	assert.Equal(t, owner.KeySalt(), guest.KeySalt())
	err = guest.Write(ctx, func(tx *Tx) error { return tx.AddSled(sledOf("fescue", "1")) })
	assert.Equal(t, fleet.Unavailable, kindOf(t, err))
	require.NoError(t, guest.Close())
	write(t, owner, func(tx *Tx) error { return tx.AddSled(sledOf("fescue", "1")) })
	require.NoError(t, owner.Close())
	assert.Len(t, folder(t, owner.path), 1)

	guest, err = OpenReadOnly(ctx, owner.path, Options{})
	require.NoError(t, err)
	read(t, guest, func(r *Reads) error {
		_, err := r.Sled("fescue")
		return err
	})
	require.NoError(t, guest.Close())
	assert.Len(t, folder(t, owner.path), 1, "a guest alone leaves nothing behind")
}

func TestOpenReadOnly_MigratesNothing(t *testing.T) {
	t.Parallel()
	path, later := released(t, newestReleased), laterVersion(t, withColors)
	before := folder(t, path)
	found, err := schema{later.migrations}.check(context.Background(), path)
	require.NoError(t, err)
	assert.Equal(t, Condition{Behind: newestReleased}, found)
	_, err = OpenReadOnly(context.Background(), path, later)
	require.ErrorContains(t, err, "has the schema "+newestReleased+" of an earlier version")
	assert.Equal(t, before, folder(t, path))
}
