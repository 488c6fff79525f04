package main

import (
	"database/sql"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

const smallMiB = 8

// smallDisk makes a disk of 8 MiB, of memory. It is false where mounting is not allowed.
func smallDisk(t *testing.T) (folder string, grow func(mib int), ok bool) {
	t.Helper()
	return diskOf(t, smallMiB)
}

func diskOf(t *testing.T, mib int) (folder string, grow func(mib int), ok bool) {
	t.Helper()
	folder = t.TempDir()
	size := func(mib int) string { return fmt.Sprintf("size=%dm", mib) }
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, size(mib)); err != nil {
		t.Logf("no disk of memory here (%v)", err)
		return "", nil, false
	}
	t.Cleanup(func() { require.NoError(t, syscall.Unmount(folder, syscall.MNT_DETACH)) })
	return folder, func(mib int) {
		require.NoError(t, syscall.Mount("tmpfs", folder, "tmpfs", syscall.MS_REMOUNT, size(mib)))
	}, true
}

// fullDisk makes a disk of memory for a test that has no other way. Where mounting is not allowed, the test is left
// out, or fails with CI=true.
func fullDisk(t *testing.T, mib int) (folder string, grow func(mib int)) {
	t.Helper()
	folder, grow, ok := diskOf(t, mib)
	if !ok {
		const missing = "a disk that can be filled is made of memory: run this test as a user that may mount file " +
			"systems"
		if os.Getenv("CI") == "true" {
			t.Fatal(missing)
		}
		t.Skip(missing)
	}
	return folder, grow
}

// fill leaves so many bytes free on the disk of a folder, and returns what gives the others back.
func fill(t *testing.T, folder string, free int64) (giveRoom func()) {
	t.Helper()
	name := filepath.Join(folder, "everything-else")
	file, err := os.Create(name)
	require.NoError(t, err)
	defer file.Close()
	_, err = io.Copy(file, io.LimitReader(rand.NewChaCha8([32]byte{}), freeOn(t, folder)-free))
	require.NoError(t, err)
	require.LessOrEqual(t, freeOn(t, folder), free)
	return func() { require.NoError(t, os.Remove(name)) }
}

func freeOn(t *testing.T, folder string) int64 {
	t.Helper()
	var about unix.Statfs_t
	require.NoError(t, unix.Statfs(folder, &about))
	return int64(about.Bavail) * about.Bsize
}

// fileLimit lets no file of a process grow beyond some MiB, as a quota does.
func fileLimit(t *testing.T, p *process, mib uint64) {
	t.Helper()
	var now unix.Rlimit
	require.NoError(t, unix.Prlimit(p.cmd.Process.Pid, unix.RLIMIT_FSIZE, nil, &now))
	now.Cur = mib << 20
	require.NoError(t, unix.Prlimit(p.cmd.Process.Pid, unix.RLIMIT_FSIZE, &now, nil))
}

// filling sends readings with long notes, one after the other, until there is no more room for even one, and returns
// how many were stored.
func filling(t *testing.T, p *process) (stored int) {
	t.Helper()
	note := strings.Repeat("wind from the grandstand; ", 15)
	rows := strings.Repeat("bluestem,B,0,262,2025-05-10,"+note+"\n", 200)
	for refused := 0; refused < 3; {
		got := p.do(csvPost("/v1/readings?repeated=keep", "sled,gear,start_ft,distance_ft,measured_on,note\n"+rows))
		if got.StatusCode == http.StatusCreated {
			stored += into[openapi.Accepted](t, got, 201).Accepted
			continue
		}
		requireFull(t, got)
		refused++
	}
	for refused := 0; refused < 3; {
		reading := readingOf("B", 262)
		reading["note"] = note
		got := p.do(post("/v1/sleds/bluestem/readings", reading))
		if got.StatusCode == http.StatusCreated {
			stored++
			refused = 0
			continue
		}
		requireFull(t, got)
		refused++
	}
	return stored
}

func requireFull(t *testing.T, got response) {
	t.Helper()
	problem := problemOf(t, got, http.StatusInsufficientStorage)
	require.Contains(t, problem.Detail, "the storage is full; nothing was changed")
}

func readingCount(t *testing.T, p *program) int {
	t.Helper()
	return into[openapi.Sled](t, p.do(get("/v1/sleds/bluestem")), 200).Readings
}

// A disk gets full under the program. What was stored can be read, nothing is half there, and as soon as there is room
// again writing goes on without a restart.
func TestStorage_ThatIsFullIsReportedAndLosesNothing(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	t.Run("a disk of 8 MiB", func(t *testing.T) {
		t.Parallel()
		folder, grow, ok := smallDisk(t)
		if !ok {
			return // the limit below does the same to the program
		}
		db := filepath.Join(folder, "fleet.db")
		fillsUp(t, spawn(t, db), func() { grow(64) })
	})
	t.Run("files that may not grow beyond 8 MiB", func(t *testing.T) {
		t.Parallel()
		p := spawn(t, filepath.Join(t.TempDir(), "fleet.db"))
		fileLimit(t, p, smallMiB)
		fillsUp(t, p, func() { fileLimit(t, p, 64) })
	})
}

func fillsUp(t *testing.T, p *process, giveRoom func()) {
	smallFleet(t, p.program)
	was := readingCount(t, p.program)
	stored := filling(t, p)
	assert.Greater(t, stored, 1000)
	assert.Equal(t, was+stored, readingCount(t, p.program), "what was acknowledged is there, and nothing else")
	assert.Len(t, allReadings(t, p.program, "bluestem"), was+stored)
	for _, question := range []string{"/readyz", "/v1/table?reference=bluestem", "/v1/sleds/bluestem/chart",
		"/v1/equivalents?sled=bluestem&gear=B"} {
		assert.Equal(t, 200, p.do(get(question)).StatusCode, question)
	}
	sizes := func() (text string) {
		for _, side := range []string{"", "-wal"} {
			if about, err := os.Stat(p.db + side); err == nil {
				text += fmt.Sprintf("  %s %d KiB", filepath.Base(p.db+side), about.Size()>>10)
			}
		}
		return text
	}
	t.Logf("full after %d readings:%s; evenpull check says: %s", stored, sizes(),
		strings.TrimSpace(does(t, "check", "--db", p.db)))

	giveRoom()
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
	for range 10 {
		stored += into[openapi.Accepted](t,
			p.do(csvPost("/v1/readings?repeated=keep",
				heading+strings.Repeat("bluestem,B,0,262,2025-05-10\n", 200))), 201).Accepted
	}
	assert.Equal(t, was+stored+1, readingCount(t, p.program))
	t.Logf("room again, and %d more readings:%s", 2001, sizes())
	require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
	assert.Contains(t, does(t, "check", "--db", p.db), "is whole")
	assert.NotContains(t, p.stderr.String(), "panic")
}

// A key that somebody has lost cannot wait until there is room.
func TestStorage_ThatIsFullLetsKeysEndAndBrowsersSignOut(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	folder, _ := fullDisk(t, smallMiB)
	p := spawn(t, filepath.Join(folder, "fleet.db"))
	smallFleet(t, p.program)
	var keys []newKey
	var cookies []*http.Cookie
	for range 5 {
		keys = append(keys, addKey(t, p.program, "Crew", openapi.Operator))
		cookies = append(cookies, signIn(t, p.program, keys[len(keys)-1].Key), signIn(t, p.program, testKey))
	}
	filling(t, p)
	giveRoom := fill(t, folder, 0)
	isSignedIn := func(cookie *http.Cookie) bool {
		return into[openapi.Session](t, p.do(get("/v1/session").signedIn(cookie)), 200).SignedIn
	}
	for n, key := range keys {
		for _, cookie := range cookies[2*n : 2*n+2] {
			require.True(t, isSignedIn(cookie))
			require.Equal(t, 204, p.do(remove("/v1/session").signedIn(cookie)).StatusCode, "%s", p.stderr)
			require.False(t, isSignedIn(cookie))
		}
		got := p.do(remove("/v1/keys/" + key.Id))
		require.Equal(t, 204, got.StatusCode, "%s", got.body)
		requireFull(t, p.do(csvPost("/v1/readings?repeated=keep", manyRows(20_000))))
	}
	p.kill()
	if giveRoom(); !startsOn(t, p.db) {
		t.Fatal("it does not start with room")
	}
	p = spawn(t, p.db)
	for n, key := range keys {
		problemOf(t, p.do(remove("/v1/sleds/none").as(key.Key)), http.StatusUnauthorized)
		assert.False(t, isSignedIn(cookies[2*n+1]))
	}
	require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
	assert.Contains(t, does(t, "check", "--db", p.db), "is whole")
}

// Killed while the disk is full, the program may not come up again on it; with room it does, with everything it
// acknowledged.
func TestStorage_ThatIsFullLosesNothingByAKill(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	folder, grow, mounted := smallDisk(t)
	if !mounted {
		folder, grow = t.TempDir(), func(int) {}
	}
	db := filepath.Join(folder, "fleet.db")
	p := spawn(t, db)
	if !mounted {
		fileLimit(t, p, smallMiB)
	}
	smallFleet(t, p.program)
	stored := readingCount(t, p.program) + filling(t, p)
	p.kill()
	if mounted && !startsOn(t, db) {
		t.Log("it does not start while the disk is full")
	}
	grow(64)
	p = spawn(t, db)
	assert.Equal(t, stored, readingCount(t, p.program))
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
	require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
	assert.Contains(t, does(t, "check", "--db", db), "is whole")
}

// After a clean stop nothing lies beside the database, and for what belongs there while the program runs there is no
// room. It starts all the same, to read.
func TestStart_ReadsOnAFullDisk(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	folder, _ := fullDisk(t, smallMiB)
	db := filepath.Join(folder, "fleet.db")
	p := spawn(t, db, "--demo")
	was := wholeFleet(t, p.program)
	require.Equal(t, exitWell, p.stop())
	giveRoom := fill(t, folder, 0)
	copied := filepath.Join(t.TempDir(), "copy.db")
	does(t, "backup", copied, "--db", db) // the first that one would do
	assert.Contains(t, does(t, "check", "--db", db), "is whole")

	nights := t.TempDir()
	p = spawn(t, db, "--backup-dir", nights)
	assert.Equal(t, was, wholeFleet(t, p.program))
	assert.Equal(t, 200, p.do(get("/readyz")).StatusCode)
	require.Eventually(t, func() bool {
		copies, err := filepath.Glob(filepath.Join(nights, "*Z.db"))
		return err == nil && len(copies) == 1
	}, 30*time.Second, 5*time.Millisecond, "it copies itself elsewhere: %s", p.stderr)
	for range 3 {
		requireFull(t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))))
	}
	assert.Equal(t, was, wholeFleet(t, p.program))
	assert.Equal(t, 1, strings.Count(p.stderr.String(), "there is no room left for the database"), "%s", p.stderr)
	assert.Equal(t, exitWell, p.stop(), "%s", p.stderr)
	assert.Len(t, listing(t, folder), 2, "a clean end leaves the database alone, and what fills the disk")
	p = spawn(t, db)
	p.kill() // and it starts again
	p = spawn(t, db)

	giveRoom()
	before := readingCount(t, p.program)
	for n := range 100 {
		into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
		require.Equal(t, before+n+1, readingCount(t, p.program))
	}
	p.kill()
	p = spawn(t, db)
	assert.Equal(t, before+100, readingCount(t, p.program), "what was acknowledged then is as safe as ever")
	assert.NotContains(t, p.stderr.String(), "no room left")
	require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
	assert.Contains(t, does(t, "check", "--db", db), "is whole")
}

// A large notebook is read while there is no room for temporary files.
func TestAnswers_NeedNoTemporaryFile(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	folder, _ := fullDisk(t, 40)
	db := filepath.Join(folder, "fleet.db")
	p := spawn(t, db, "--demo")
	for range 10 {
		sheet := heading + strings.Repeat("bluestem,B,0,262,2025-05-10\nbluestem,C,0,250,2025-05-11\n", 1000)
		into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=keep", sheet)), 201)
	}
	shows := into[openapi.ShowPage](t, p.do(get("/v1/shows")), 200).Items
	require.NotEmpty(t, shows)
	require.Equal(t, exitWell, p.stop())
	fill(t, folder, 64<<10)

	p = spawnAs(t, func(c *exec.Cmd) { c.Env = append(c.Env, "TMPDIR="+folder, "SQLITE_TMPDIR="+folder) }, db)
	manager := "Bearer " + testKey
	for _, path := range []string{
		"/readyz", "/v1/table?reference=bluestem", "/v1/equivalents?sled=bluestem&gear=C", "/v1/sleds",
		"/v1/sleds/bluestem",
		"/v1/sleds/bluestem/chart", "/v1/sleds/bluestem/readings?limit=500", "/v1/shows",
		"/v1/shows/" + shows[0].Id + "/sheet",
		"/v1/shows/" + shows[0].Id + "/candidates", "/v1/classes", "/v1/history?limit=500", "/v1/export", "/metrics",
	} {
		got := p.do(get(path).with("Authorization", manager))
		assert.Equal(t, 200, got.StatusCode, "%s: %.300s", path, got.body)
	}
	require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
}

// startsOn says whether the program starts. Where it does not, it says in one line that there is no room.
func startsOn(t *testing.T, db string) bool {
	t.Helper()
	cmd, stdout, stderr := command(t, db)
	require.NoError(t, cmd.Start())
	ended := make(chan struct{})
	go func() {
		_ = cmd.Wait()
		close(ended)
	}()
	require.Eventually(t, func() bool {
		select {
		case <-ended:
			return true
		default:
			return startLine.MatchString(stdout.String())
		}
	}, 30*time.Second, 5*time.Millisecond)
	_ = cmd.Process.Signal(syscall.SIGTERM)
	<-ended
	if startLine.MatchString(stdout.String()) {
		assert.Equal(t, exitWell, cmd.ProcessState.ExitCode(), "a full disk does not keep it from ending well: %s",
			stderr)
		return true
	}
	assert.Contains(t, stderr.String(), "no room left")
	return false
}

// The file is made read-only under the program.
func TestStorage_ThatIsReadOnlyIsReportedAndWritingGoesOnAfterwards(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	for what, c := range map[string]struct {
		closes func(db string) error
		opens  func(db string) error
	}{
		"by its mode": {
			func(db string) error { return os.Chmod(db, 0o444) },
			func(db string) error { return os.Chmod(db, 0o644) },
		},
		"by the file system": { // which then refuses what the program has long had open
			func(db string) error { return exec.Command("chattr", "+i", db, db+"-wal").Run() },
			func(db string) error { return exec.Command("chattr", "-i", db, db+"-wal").Run() },
		},
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			p := spawn(t, filepath.Join(t.TempDir(), "fleet.db"))
			smallFleet(t, p.program)
			was := readingCount(t, p.program)
			if err := c.closes(p.db); err != nil {
				t.Logf("this file system cannot do it (%v); its mode can", err)
				c.closes, c.opens = func(db string) error {
					return os.Chmod(db,
						0o444)
				}, func(db string) error { return os.Chmod(db, 0o644) }
				require.NoError(t, c.closes(p.db))
			}
			defer c.opens(p.db) // or the folder could not be removed
			for range 2 {
				got := p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262)))
				assert.Contains(t, problemOf(t, got, http.StatusServiceUnavailable).Detail,
					"the database can only be read just now; nothing was changed")
				assert.NotEmpty(t, got.Header.Get("Retry-After"))
			}
			assert.Equal(t, was, readingCount(t, p.program))
			assert.Equal(t, 200, p.do(get("/v1/table?reference=bluestem")).StatusCode)
			require.NoError(t, c.opens(p.db))
			into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
			assert.Equal(t, was+1, readingCount(t, p.program))
			require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
			assert.Contains(t, does(t, "check", "--db", p.db), "is whole")
		})
	}
}

// Another program holds the database for itself for longer than anybody waits.
func TestStorage_LockedByAnotherProgramIsReportedAndWritingGoesOnAfterwards(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	p := start(t)
	smallFleet(t, p)
	was := readingCount(t, p)
	other, err := sql.Open("sqlite3", p.db)
	require.NoError(t, err)
	defer other.Close()
	other.SetMaxOpenConns(1)
	for _, begin := range []string{"BEGIN IMMEDIATE", "BEGIN EXCLUSIVE"} {
		_, err = other.Exec(begin)
		require.NoError(t, err)
		got := p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))) // waits its five seconds
		assert.Contains(t, problemOf(t, got, http.StatusServiceUnavailable).Detail,
			"another program is using the database just now")
		assert.NotEmpty(t, got.Header.Get("Retry-After"))
		assert.Equal(t, was, readingCount(t, p))
		assert.Equal(t, 200, p.do(get("/v1/table?reference=bluestem")).StatusCode)
		_, err = other.Exec("ROLLBACK")
		require.NoError(t, err)
		into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
		was++
		assert.Equal(t, was, readingCount(t, p))
	}
}

// The database is moved away under the program, and another put in its place.
func TestStorage_MovedAwayIsReportedAndNothingIsWrittenToIt(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	p := start(t)
	smallFleet(t, p)
	was := readingCount(t, p)
	require.NoError(t, os.Rename(p.db, p.db+".away"))
	write(t, p.db, []byte("another"))
	got := p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262)))
	assert.Contains(t, problemOf(t, got, http.StatusServiceUnavailable).Detail, "moved, removed or replaced")
	assert.Equal(t, was, readingCount(t, p))
	require.NoError(t, os.Rename(p.db+".away", p.db))
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
}
