package book

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// released makes a database out of a fleet that an earlier program kept: testdata/schema-*.sql of package store.
func released(t *testing.T, dump string) (path string) {
	t.Helper()
	text, err := os.ReadFile(dump)
	require.NoError(t, err)
	path = filepath.Join(t.TempDir(), "fleet.db")
	statements(t, path, string(text))
	return path
}

func statements(t *testing.T, path string, all ...string) {
	t.Helper()
	db, err := sql.Open("sqlite3", path)
	require.NoError(t, err)
	db.SetMaxOpenConns(1)
	for _, s := range all {
		_, err := db.Exec(s)
		require.NoError(t, err, s)
	}
	require.NoError(t, db.Close())
}

func bookAt(t *testing.T, path string) *Book {
	t.Helper()
	s, err := store.Open(context.Background(), path, store.Options{})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	return New(s, Options{Now: func() time.Time { return now }, Assumed: assumed})
}

const newestDump = "../store/testdata/schema-0001.sql"

func TestCheck_FindsWhatCannotBeReadOrComputed(t *testing.T) {
	t.Parallel()
	for what, c := range map[string]struct{ does, found string }{
		"nothing": {"SELECT 1", ""},
		"a sheet of rubbish": {"UPDATE closed_sheets SET document = 'rubbish'",
			"show harvest-pull-2026-07-18: its sheet cannot be read"},
		"a sheet of the future": {"UPDATE closed_sheets SET format = 99",
			"show harvest-pull-2026-07-18: its sheet cannot be read: a sheet is kept in format 99"},
		"a sheet that is gone": {"DELETE FROM closed_sheets",
			"show harvest-pull-2026-07-18: it is over, and its sheet is missing"},
		"a show without a sled": {"UPDATE shows SET sled_id = 'brome' WHERE id = 'next-summer-2099-07-18'",
			`show next-summer-2099-07-18: its sled "brome" is not there`},
		"a class without its gear": {"UPDATE classes SET setting_gear_id = 'none' WHERE id = 'open-4x4'",
			`class open-4x4: its setting is on a gear of sled "fescue" that is not there`},
		"a class without its pull-off": {"UPDATE classes SET pull_off_sled_id = 'brome' WHERE id = 'farm-9500-lb'",
			`class farm-9500-lb: the setting of its pull-off is on a gear of sled "brome" that is not there`},
		"parts of rubbish": {"UPDATE sleds SET driveline = 'rubbish' WHERE id = 'fescue'",
			"sled fescue cannot be read"},
		"a change of rubbish": {"UPDATE changes SET gears = '{' WHERE sled_id = 'bluestem'",
			"sled bluestem cannot be read"},
		"an inspection list of rubbish": {"UPDATE inspection_lists SET items = '[' WHERE sled_id = 'bluestem'",
			"reading the inspection list of bluestem"},
		"numbers beyond numbers": {"UPDATE readings SET distance_ft = 9e999 WHERE sled_id = 'fescue'",
			"the chart of fescue"},
		"a history of rubbish": {
			"INSERT INTO history (at, key_id, who, role, act, kind, subject, after) " +
				"VALUES (1, '', 'nobody', 'manager', 'added', 'sled', 'brome', '{\"name\":')",
			"the history of sled brome: 1 of its entries cannot be read"},
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			path := released(t, newestDump)
			statements(t, path, "PRAGMA foreign_keys = 0", c.does)
			found, err := bookAt(t, path).Check(context.Background())
			require.NoError(t, err)
			if c.found == "" {
				assert.Empty(t, found)
				return
			}
			require.NotEmpty(t, found)
			assert.Contains(t, found[0], c.found)
		})
	}
}

func TestCheck_FindsNothingWrongWithAClassUsedToADistance(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	final := distanceOf(250)
	addClass(t, b, fleet.Class{Name: "Hot Farm", Setting: distanceOf(240), PullOff: &final})
	found, err := b.Check(context.Background())
	require.NoError(t, err)
	assert.Empty(t, found)
}

func TestCheck_FailsWithoutADatabase(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := b.Check(ctx)
	assert.ErrorIs(t, err, context.Canceled)
}
