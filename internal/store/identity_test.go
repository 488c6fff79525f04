package store

import (
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// A process may go on writing to a file that is no longer where it was, as if nothing had happened. This one does not:
// it says so, goes on reading, and writes again as soon as the file is back.
func TestWrite_IsRefusedWhenTheFileIsNotInItsPlace(t *testing.T) {
	t.Parallel()
	for what, c := range map[string]struct {
		does, undo func(t *testing.T, path string)
		says       string
	}{
		"the file is made read-only": {
			func(t *testing.T, path string) { require.NoError(t, os.Chmod(path, 0o444)) },
			func(t *testing.T, path string) { require.NoError(t, os.Chmod(path, 0o644)) },
			"can only be read",
		},
		"its log is made read-only": {
			func(t *testing.T, path string) { require.NoError(t, os.Chmod(path+"-wal", 0o444)) },
			func(t *testing.T, path string) { require.NoError(t, os.Chmod(path+"-wal", 0o644)) },
			"can only be read",
		},
		"the file is moved away": {
			func(t *testing.T, path string) { require.NoError(t, os.Rename(path, path+".away")) },
			func(t *testing.T, path string) { require.NoError(t, os.Rename(path+".away", path)) },
			"moved, removed or replaced",
		},
		"its log is moved away": {
			func(t *testing.T, path string) { require.NoError(t, os.Rename(path+"-wal", path+".away")) },
			func(t *testing.T, path string) { require.NoError(t, os.Rename(path+".away", path+"-wal")) },
			"moved, removed or replaced",
		},
		"a copy is put over it": {
			func(t *testing.T, path string) {
				require.NoError(t, os.Rename(path, path+".away"))
				require.NoError(t, os.WriteFile(path, []byte("another"), 0o644))
			},
			func(t *testing.T, path string) { require.NoError(t, os.Rename(path+".away", path)) },
			"moved, removed or replaced",
		},
		"its folder is moved away": {
			func(t *testing.T, path string) {
				require.NoError(t, os.Rename(filepath.Dir(path), filepath.Dir(path)+".away"))
			},
			func(t *testing.T, path string) {
				require.NoError(t, os.Rename(filepath.Dir(path)+".away", filepath.Dir(path)))
			},
			"moved, removed or replaced",
		},
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			folder := filepath.Join(t.TempDir(), "data")
			require.NoError(t, os.Mkdir(folder, 0o755))
			s := openAt(t, filepath.Join(folder, "fleet.db"))
			write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
			add := func() error {
				return s.Write(context.Background(), func(tx *Tx) error { return tx.AddSled(sledOf("fescue", "1")) })
			}
			c.does(t, s.path)
			err := add()
			assert.Equal(t, fleet.Unavailable, kindOf(t, err))
			assert.ErrorContains(t, err, c.says)
			read(t, s, func(r *Reads) error {
				_, err := r.Sled("bluestem")
				return err
			})
			assert.EqualValues(t, 1, revisionOf(t, s))
			c.undo(t, s.path)
			require.NoError(t, add())
			assert.EqualValues(t, 2, revisionOf(t, s))
		})
	}
}

func TestBackup_RefusesWhatWasPutInTheDatabasesPlace(t *testing.T) {
	t.Parallel()
	file, _ := twoFleets(t)
	s := openFile(t)
	write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("timothy", "A")) })
	require.NoError(t, os.Rename(s.path, s.path+".away"))
	other, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(s.path, other, 0o600))
	to := filepath.Join(t.TempDir(), "copy.db")
	assert.ErrorContains(t, s.Backup(context.Background(), to), "moved, removed or replaced")
	assert.NoFileExists(t, to)
	require.NoError(t, os.Rename(s.path+".away", s.path))
	require.NoError(t, s.Backup(context.Background(), to))
	sleds, _ := stored(t, to)
	assert.Equal(t, []string{"timothy"}, sleds)
}

// All connections are to the file that was opened, however many questions come at once after another was put in its
// place.
func TestReads_StayWithTheFileThatWasOpened(t *testing.T) {
	t.Parallel()
	_, other := twoFleets(t)
	s := openFile(t)
	write(t, s, func(tx *Tx) error { return tx.AddSled(sledOf("bluestem", "A")) })
	require.NoError(t, os.Rename(s.path, s.path+".away"))
	require.NoError(t, os.Rename(s.path+"-wal", s.path+".away-wal"))
	require.NoError(t, os.Rename(other, s.path))
	var at sync.WaitGroup
	at.Add(readers)
	var all sync.WaitGroup
	for range readers {
		all.Go(func() {
			assert.NoError(t, s.Read(context.Background(), func(r *Reads) error {
				at.Done()
				at.Wait() // each in a connection of its own
				ids, _, err := r.Touched(0)
				assert.Equal(t, []string{"bluestem"}, ids)
				return err
			}))
		})
	}
	all.Wait()
}
