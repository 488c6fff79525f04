package main

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// killedFleet is a database whose program was killed, with what lay in its folder at earlier times.
type killedFleet struct {
	folder  string
	db      string   // with its log
	copied  string   // a copy that the program made
	at      []string // what the fleet answered when it was copied
	earlier string   // the file as it lay there after an earlier run that ended well
	running string   // the file as it lay there during the last run
	last    []string // what the fleet answered before the kill
}

// killFleet loads the demo and writes in three runs, of which the last is killed.
func killFleet(t *testing.T) (k killedFleet) {
	t.Helper()
	k.folder = t.TempDir()
	k.db, k.copied = filepath.Join(k.folder, "fleet.db"), filepath.Join(k.folder, "copy.db")
	apart := t.TempDir()
	k.earlier, k.running = filepath.Join(apart, "earlier.db"), filepath.Join(apart, "running.db")
	p := spawn(t, k.db, "--demo")
	k.at = wholeFleet(t, p.program)
	require.NoError(t, asProcess(t, "backup", k.copied, "--db", k.db).Run())
	require.Equal(t, exitWell, p.stop())
	duplicate(t, k.db, k.earlier)
	p = spawn(t, k.db)
	noteReadings(t, p, 5)
	require.Equal(t, exitWell, p.stop())
	p = spawn(t, k.db)
	duplicate(t, k.db, k.running)
	// So much that SQLite folds the log into the file and begins it anew.
	into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=keep",
		longReadings(3000))), 201)
	noteReadings(t, p, 30)
	k.last = wholeFleet(t, p.program)
	p.kill()
	require.FileExists(t, k.db+"-wal")
	return k
}

func noteReadings(t *testing.T, p *process, n int) {
	t.Helper()
	for range n {
		into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
	}
}

// asProcess is the program with a command, as a process of its own.
func asProcess(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self, args...)
	cmd.Env = append(os.Environ(), asProgram+"=1")
	return cmd
}

// again is the fleet in a folder of its own, for a test that goes on differently.
func (k killedFleet) again(t *testing.T) killedFleet {
	t.Helper()
	folder := t.TempDir()
	for _, name := range []string{"fleet.db", "fleet.db-wal", "fleet.db-shm", "copy.db"} {
		duplicate(t, filepath.Join(k.folder, name), filepath.Join(folder, name))
	}
	k.folder, k.db, k.copied = folder, filepath.Join(folder, "fleet.db"), filepath.Join(folder, "copy.db")
	return k
}

func duplicate(t *testing.T, from, to string) {
	t.Helper()
	b, err := os.ReadFile(from)
	require.NoError(t, err)
	write(t, to, b)
}

// answersOf starts the program on a database and returns what the fleet answers.
func answersOf(t *testing.T, db string) []string {
	t.Helper()
	p := spawn(t, db)
	answers := wholeFleet(t, p.program)
	require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
	return answers
}

// People follow the advice to move a database away, after the program was killed, and leave its log. What is put back
// then is the copy and nothing else, and the log is not lost.
func TestRestore_SetsAnOrphanWALAside(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	k := killFleet(t)
	for what, touch := range map[string]func(t *testing.T, k killedFleet) (old string){
		"the database is moved away": func(t *testing.T, k killedFleet) string {
			require.NoError(t, os.Rename(k.db, k.db+".old"))
			return k.db + ".old"
		},
		"the database is removed": func(t *testing.T, k killedFleet) string {
			require.NoError(t, os.Remove(k.db))
			return ""
		},
		"the database is emptied": func(t *testing.T, k killedFleet) string {
			require.NoError(t, os.Truncate(k.db, 0))
			return ""
		},
		"another lies in its place": func(t *testing.T, k killedFleet) string {
			require.NoError(t, os.Rename(k.db, k.db+".old"))
			duplicate(t, k.earlier, k.db)
			return k.db + ".old"
		},
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			k := k.again(t)
			old := touch(t, k)
			said, err := asProcess(t, "restore", k.copied, "--db", k.db).CombinedOutput()
			require.NoError(t, err, "%s", said)
			assert.Contains(t, does(t, "check", "--db", k.db), "is whole")
			assert.Equal(t, k.at, answersOf(t, k.db), "as it was copied, and nothing more")
			for _, before := range regexp.MustCompile(`before is kept in (\S+)`).FindAllSubmatch(said, -1) {
				assert.Equal(t, k.at, answersOf(t, string(before[1])), "what lay there, without the log of another")
			}
			if old == "" {
				return
			}
			log := regexp.MustCompile(`kept in (\S+)-wal`).FindSubmatch(said)
			require.NotNil(t, log, "%s", said)
			require.NoError(t, os.Rename(old, string(log[1])))
			assert.Equal(t, k.last, answersOf(t, string(log[1])),
				"the database beside its log again has all that was acknowledged")
		})
	}
}

// A restore beside an orphan log is killed at any moment. Then nothing starts and the log lies where it lay, or the
// copy starts and the log is kept.
func TestRestore_KilledBesideAnOrphanWALLosesNothing(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	k := killFleet(t)
	log, err := os.ReadFile(k.db + "-wal")
	require.NoError(t, err)
	seed := uint64(numberFrom(t, "EVENPULL_SEED", int(time.Now().UnixNano()%1_000_000)))
	t.Logf("EVENPULL_SEED=%d", seed)
	draw := rand.New(rand.NewPCG(seed, 4))
	rounds, through := 8, 0
	if testing.Short() {
		rounds = 2
	}
	long := time.Duration(0)
	for round := range rounds + 1 {
		k := k.again(t)
		require.NoError(t, os.Remove(k.db))
		c := asProcess(t, "restore", k.copied, "--db", k.db)
		require.NoError(t, c.Start())
		if began := time.Now(); round == 0 { // to learn how long it takes
			require.NoError(t, c.Wait())
			long = time.Since(began)
		} else {
			pause(draw, long)
			_ = c.Process.Kill()
			_ = c.Wait()
		}
		if _, err := os.Stat(k.db); err != nil {
			assert.Contains(t, fails(t, k.db), "what belongs to it is (fleet.db-wal)")
			assert.Equal(t, string(log), listing(t, k.folder)["fleet.db-wal"])
			does(t, "restore", k.copied, "--db", k.db)
		} else {
			through++
		}
		assert.Equal(t, k.at, answersOf(t, k.db))
		kept, err := filepath.Glob(k.db + ".before-restore-*-orphan-wal")
		require.NoError(t, err)
		require.NotEmpty(t, kept)
		for _, name := range kept {
			assert.Equal(t, string(log), listing(t, k.folder)[filepath.Base(name)])
		}
	}
	t.Logf("%d of %d were through", through, rounds+1)
}

// A start beside a log that is not the database's own would lose what is in it, or mix it into the database. It
// refuses, touches nothing, and everything is there once the right database is back.
func TestStart_RefusesAnOrphanWAL(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	k := killFleet(t)
	other := filepath.Join(t.TempDir(), "other.db")
	p := spawn(t, other)
	smallFleet(t, p.program)
	require.Equal(t, exitWell, p.stop())
	for what, c := range map[string]struct {
		touch func(t *testing.T, k killedFleet)
		says  string
	}{
		"the database is moved away": {func(t *testing.T, k killedFleet) { require.NoError(t, os.Remove(k.db)) },
			"fleet.db is not there, but what belongs to it is (fleet.db-wal): " +
				"put it back in its place, restore a copy of it, or move that away as well"},
		"the database is emptied": {func(t *testing.T, k killedFleet) { require.NoError(t, os.Truncate(k.db, 0)) },
			"fleet.db is empty, but what belongs to it is (fleet.db-wal)"},
		"a copy lies in its place": {func(t *testing.T, k killedFleet) { duplicate(t, k.copied, k.db) },
			"fleet.db-wal is the log of another database"},
		"the file of an earlier run lies in its place": {func(t *testing.T,
			k killedFleet) {
			duplicate(t, k.earlier, k.db)
		},
			"put that one back in its place, restore a copy, or move the log away"},
		"the file as it was during the run lies in its place": {func(t *testing.T,
			k killedFleet) {
			duplicate(t, k.running, k.db)
		},
			"fleet.db-wal is the log of another database"},
		"the file of another fleet lies in its place": {func(t *testing.T, k killedFleet) { duplicate(t, other, k.db) },
			"fleet.db-wal is the log of another database"},
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			whole := k
			k := k.again(t)
			c.touch(t, k)
			before := listing(t, k.folder)
			assert.Contains(t, fails(t, k.db), c.says)
			assert.Equal(t, before, listing(t, k.folder), "nothing is touched")
			refused := [][]string{{"check", "--db", k.db}, {"backup", k.db + ".copy", "--db", k.db}}
			for _, args := range refused {
				said, err := asProcess(t, args...).CombinedOutput()
				assert.Error(t, err, "%s", said)
				assert.Equal(t, before, listing(t, k.folder), "%v", args)
			}
			duplicate(t, whole.db, k.db)
			assert.Equal(t, k.last, answersOf(t, k.db), "all that was acknowledged")
		})
	}
}

// As it lies after the kill, or after it was moved with its log, the database starts with all that was acknowledged.
func TestStart_TakesUpItsOwnWAL(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	k := killFleet(t)
	moved := filepath.Join(t.TempDir(), "moved.db")
	duplicate(t, k.db, moved)
	duplicate(t, k.db+"-wal", moved+"-wal")
	assert.Equal(t, k.last, answersOf(t, moved))
	assert.Equal(t, k.last, answersOf(t, k.db))
}

// One program owns a database, whatever name it is given under, and whether the file that locks its name is there or
// not.
func TestStart_RefusesADatabaseInUseUnderAnyName(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	folder := t.TempDir()
	db, link := filepath.Join(folder, "fleet.db"), filepath.Join(t.TempDir(), "link.db")
	p := spawn(t, db, "--demo")
	require.NoError(t, asProcess(t, "backup", filepath.Join(folder, "copy.db"), "--db", db).Run())
	require.NoError(t, os.Link(db, link))
	refused := func(what string, dbs ...string) {
		for _, db := range dbs {
			assert.Contains(t, fails(t, db), "in use by another evenpull", what)
			said, err := asProcess(t, "restore", filepath.Join(folder, "copy.db"), "--db", db).CombinedOutput()
			assert.Error(t, err, what)
			assert.Contains(t, string(said), "in use by another evenpull", what)
		}
	}
	refused("as it is", db, link)
	require.NoError(t, os.Remove(db+".lock"))
	refused("without the file that locks its name", db, link)
	noteReadings(t, p, 3)
	was := wholeFleet(t, p.program)

	require.NoError(t, os.Rename(db, db+".moved"))
	refused("moved", db, db+".moved", link)
	require.NoError(t, os.Rename(db+".moved", db))
	statement(t, db, "PRAGMA wal_checkpoint(TRUNCATE)")
	require.NoError(t, os.Rename(db, db+".moved"))
	refused("moved, with nothing in its log", db, db+".moved")
	require.NoError(t, os.Rename(db+".moved", db))
	noteReadings(t, p, 1)
	require.Equal(t, exitWell, p.end(syscall.SIGTERM), "%s", p.stderr)
	p.stop = func() int { return exitWell }

	p = spawn(t, link)
	assert.NotEqual(t, was, wholeFleet(t, p.program), "with the last reading")
	require.Equal(t, exitWell, p.stop())
	assert.Contains(t, does(t, "check", "--db", db), "is whole")
}
