package main

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// withUmask starts a process with a umask of its own.
func withUmask(umask string) func(*exec.Cmd) {
	return func(c *exec.Cmd) {
		c.Args = append([]string{"sh", "-c", "umask " + umask + `; exec "$0" "$@"`, c.Path}, c.Args[1:]...)
		c.Path = "/bin/sh"
	}
}

// Whatever the umask, and whatever rights files from before have, only the user that the program runs as can read them.
func TestFiles_AreReadableByTheirOwnerAlone(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	for _, umask := range []string{"000", "022"} {
		t.Run("umask "+umask, func(t *testing.T) {
			t.Parallel()
			as := withUmask(umask)
			folder, nights := t.TempDir(), t.TempDir()
			db, copied := filepath.Join(folder, "fleet.db"), filepath.Join(folder, "copy.db")
			does := func(args ...string) {
				c := asProcess(t, args...)
				as(c)
				said, err := c.CombinedOutput()
				require.NoError(t, err, "%s", said)
			}
			p := spawnAs(t, as, db, "--demo", "--backup-dir", nights)
			require.Eventually(t, func() bool { return len(closedFiles(t, nights)) == 1 }, 30*time.Second,
				5*time.Millisecond)
			does("backup", copied, "--db", db)
			assert.Subset(t, closedFiles(t, folder),
				[]string{"fleet.db", "fleet.db-wal", "fleet.db-shm", "fleet.db.lock", "copy.db"})
			p.kill()

			for _, name := range []string{"fleet.db", "fleet.db-wal", "fleet.db-shm", "fleet.db.lock"} {
				require.NoError(t, os.Chmod(filepath.Join(folder, name), 0o666))
			}
			p = spawnAs(t, as, db)
			assert.Subset(t, closedFiles(t, folder),
				[]string{"fleet.db", "fleet.db-wal", "fleet.db-shm", "fleet.db.lock"}, "left by an earlier version")
			require.Equal(t, exitWell, p.stop(), "%s", p.stderr)

			require.NoError(t, os.Chmod(db, 0o644))
			does("restore", copied, "--db", db)
			assert.Len(t, closedFiles(t, folder), 3, "the database, the one from before, the copy")
		})
	}
}

// closedFiles lists the files of a folder, all of which must be readable by their owner alone.
func closedFiles(t *testing.T, folder string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		if about, err := e.Info(); err == nil { // else it was removed just now
			assert.Equal(t, fs.FileMode(0o600), about.Mode(), e.Name())
			names = append(names, e.Name())
		}
	}
	return names
}

// A copy is killed at any moment, again and again. The one from before stays whole, and what the killed ones left is
// gone with the next copy into that folder, or the next start there.
func TestBackup_KilledLeavesNoPart(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	folder := t.TempDir()
	db, copied := filepath.Join(folder, "fleet.db"), filepath.Join(folder, "copy.db")
	p := spawn(t, db, "--demo")
	into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=keep",
		longReadings(3000))), 201)
	began := time.Now()
	require.NoError(t, asProcess(t, "backup", copied, "--db", db).Run())
	long := time.Since(began)
	whole, err := os.ReadFile(copied)
	require.NoError(t, err)
	seed := uint64(numberFrom(t, "EVENPULL_SEED", int(time.Now().UnixNano()%1_000_000)))
	t.Logf("EVENPULL_SEED=%d", seed)
	draw := rand.New(rand.NewPCG(seed, 2))
	parts := func() []string {
		left, err := filepath.Glob(filepath.Join(folder, "*.part*"))
		require.NoError(t, err)
		return left
	}
	killed, left, most := 0, 0, 0
	for range 20 {
		c := asProcess(t, "backup", copied, "--db", db)
		require.NoError(t, c.Start())
		pause(draw, long)
		_ = c.Process.Kill()
		if c.Wait() == nil {
			whole, err = os.ReadFile(copied)
			require.NoError(t, err)
			continue
		}
		killed++
		is, err := os.ReadFile(copied)
		require.NoError(t, err)
		require.True(t, string(whole) == string(is) || len(parts()) == 0, "the copy from before, or a new one")
		whole = is
		if n := len(parts()); n > 0 {
			left++
			most = max(most, n)
		}
	}
	t.Logf("killed %d of 20 times, of which %d left something", killed, left)
	require.NotZero(t, left, "no kill came in the middle")
	assert.LessOrEqual(t, most, 2, "a copy and its journal: each clears up after the one before")
	require.NoError(t, asProcess(t, "backup", filepath.Join(folder, "another.db"), "--db", db).Run())
	assert.Empty(t, parts())
	assert.Contains(t, does(t, "check", "--db", copied), "is whole")

	for len(parts()) == 0 {
		c := asProcess(t, "backup", copied, "--db", db)
		require.NoError(t, c.Start())
		pause(draw, long)
		_ = c.Process.Kill()
		_ = c.Wait()
	}
	p.kill()
	p = spawn(t, db)
	assert.Empty(t, parts(), "a start clears up too")
	require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
}

// Twelve copies are made at once, into one folder, while eight clients write. None fails, none takes another's file for
// one that was left behind, and each holds one state: all that was acknowledged before it began, and nothing half.
func TestBackup_TwelveCopiesUnderLoad(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	db, copies := filepath.Join(t.TempDir(), "fleet.db"), t.TempDir()
	p := spawn(t, db)
	addMeasuredSleds(t, p.program)
	var acknowledged, sent atomic.Int64
	var writing, copying sync.WaitGroup
	var over atomic.Bool
	for n := range 8 {
		writing.Go(func() {
			draw := rand.New(rand.NewPCG(12, uint64(n)))
			for i := 0; !over.Load(); i++ {
				sent.Add(importRows)
				got := p.do(csvPost("/v1/readings?repeated=keep",
					quotedRows(draw, fmt.Sprintf("client %d, import %d", n, i))))
				if !assert.Equal(t, 201, got.StatusCode, "%s", got.body) {
					return
				}
				acknowledged.Add(importRows)
			}
		})
	}
	require.Eventually(t, func() bool { return acknowledged.Load() > 40*importRows }, 30*time.Second, time.Millisecond)
	var least, most [12]int64
	for n := range 12 {
		copying.Go(func() {
			least[n] = acknowledged.Load()
			file := filepath.Join(copies, fmt.Sprintf("copy-%d.db", n%10)) // two replace one another
			said, err := asProcess(t, "backup", file, "--db", db).CombinedOutput()
			assert.NoError(t, err, "%s", said)
			most[n] = sent.Load()
		})
	}
	copying.Wait()
	over.Store(true)
	writing.Wait()
	require.Equal(t, exitWell, p.end(syscall.SIGTERM), "%s", p.stderr)
	p.stop = func() int { return exitWell }
	entries, err := os.ReadDir(copies)
	require.NoError(t, err)
	assert.Len(t, entries, 10, "%v", entries)
	for n := range 10 {
		file := filepath.Join(copies, fmt.Sprintf("copy-%d.db", n))
		assert.Contains(t, does(t, "check", "--db", file), "is whole")
		c := spawn(t, file)
		rows := int64(len(allMeasured(t, c.program)))
		require.Equal(t, exitWell, c.stop())
		assert.Zero(t, rows%importRows, "an import is there in part")
		assert.GreaterOrEqual(t, rows, least[n])
		assert.LessOrEqual(t, rows, max(most[n], most[(n+10)%12]))
	}
	t.Logf("%d readings were written, copies hold %d and more", acknowledged.Load(), least[0])
}
