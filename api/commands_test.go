package main

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store"
	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// told runs the program with a command, inside the test.
func told(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	out, errs := new(output), new(output)
	code = runProgram(context.Background(), args, func(string) string { return "" }, out, errs)
	return code, out.String(), errs.String()
}

// does is told for a command that must succeed.
func does(t *testing.T, args ...string) (stdout string) {
	t.Helper()
	code, stdout, stderr := told(t, args...)
	require.Equal(t, exitWell, code, "%v: %s%s", args, stdout, stderr)
	return stdout
}

// refuses is told for a command that must fail, with one line on stderr.
func refuses(t *testing.T, says string, args ...string) {
	t.Helper()
	code, _, stderr := told(t, args...)
	assert.Equal(t, exitFailed, code, args)
	assert.Contains(t, stderr, says, args)
	assert.True(t, strings.HasPrefix(stderr, "evenpull: "), stderr)
	assert.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
}

// longReadings is a file of readings with long notes: much to write, and little for the charts to work out, which under
// the race detector takes minutes for 20,000 of one gear.
func longReadings(n int) string {
	return "sled,gear,start_ft,distance_ft,measured_on,note\n" +
		strings.Repeat("bluestem,B,0,262,2025-05-10,"+strings.Repeat("dry and hard ", 115)+"\n", n)
}

// wholeFleet is what the program answers to questions that take in the whole fleet.
func wholeFleet(t *testing.T, p *program) (answers []string) {
	t.Helper()
	for _, path := range []string{"/v1/sleds", "/v1/table?reference=bluestem", "/v1/sleds/bluestem/readings?limit=500",
		"/v1/shows", "/v1/classes"} {
		got := p.do(get(path))
		require.Equal(t, 200, got.StatusCode, "%s", got.body)
		answers = append(answers, string(got.body))
	}
	return answers
}

// A fleet is copied beside the running program, goes on, and is put back as it was copied.
func TestCommands_BackUpAndRestoreAFleet(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	db, copied := filepath.Join(t.TempDir(), "fleet.db"), filepath.Join(t.TempDir(), "copy.db")
	p := startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey}, "--demo")
	before := wholeFleet(t, p)
	assert.Contains(t, does(t, "backup", copied, "--db", db), "the copy is checked")
	assert.Contains(t, does(t, "check", "--db", db), db+" is whole", "beside the running program")
	assert.Contains(t, does(t, "check", "--db", copied), "is whole")
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
	since := wholeFleet(t, p)
	require.NotEqual(t, before, since)

	refuses(t, "in use by another evenpull", "restore", copied, "--db", db)
	refuses(t, "in use by another evenpull", "new-key", "--db", db)
	refuses(t, "belongs to the database itself", "backup", db, "--db", db)
	assert.Equal(t, since, wholeFleet(t, p), "and it goes on")
	require.Equal(t, exitWell, p.stop())

	kept := regexp.MustCompile(`kept in (\S+)`).FindStringSubmatch(does(t, "restore", copied, "--db", db))
	require.NotNil(t, kept)
	p = startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
	assert.Equal(t, before, wholeFleet(t, p))
	require.Equal(t, exitWell, p.stop())
	does(t, "restore", kept[1], "--db", db)
	p = startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
	assert.Equal(t, since, wholeFleet(t, p))
}

func TestCommands_CheckFindsAFleetThatIsNotWhole(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	db := filepath.Join(t.TempDir(), "fleet.db")
	p := startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey}, "--demo")
	require.Equal(t, exitWell, p.stop())
	good, err := os.ReadFile(db)
	require.NoError(t, err)
	for what, c := range map[string]struct {
		damage func(path string)
		found  []string
		says   string
	}{
		"a sheet of rubbish": {func(path string) {
			statement(t, path, "UPDATE closed_sheets SET document = '{' WHERE rowid = (SELECT MIN(rowid) FROM "+
				"closed_sheets)")
		},
			[]string{"its sheet cannot be read"}, "one thing is wrong with "},
		"references to nothing": {func(path string) {
			statement(t, path, "PRAGMA foreign_keys = 0; DELETE FROM gears WHERE sled_id = 'fescue'")
		},
			[]string{"names something in table gears that is not there"}, "things are wrong with "},
		"noise": {func(path string) {
			b := bytes.Clone(good)
			copy(b[len(b)/3:], bytes.Repeat([]byte{0xA5}, len(b)/3))
			write(t, path, b)
		}, []string{"the file is damaged"}, " wrong with "},
	} {
		path := filepath.Join(t.TempDir(), "fleet.db")
		write(t, path, good)
		c.damage(path)
		code, stdout, stderr := told(t, "check", "--db", path)
		assert.Equal(t, exitFailed, code, what)
		for _, f := range c.found {
			assert.Contains(t, stdout, f, what)
		}
		assert.Contains(t, stderr, c.says+path, what)
		assert.Equal(t, 1, strings.Count(stderr, "\n"), what)
	}
	refuses(t, "there is no file", "check", "--db", filepath.Join(t.TempDir(), "none.db"))
}

func TestCheck_OfAnEarlierVersionIsMadeOnACopyBroughtUpToDate(t *testing.T) {
	t.Parallel()
	db := databaseOf(t, "schema-0001.sql")
	before := listing(t, filepath.Dir(db))
	copied, err := broughtUpToDate(context.Background(), db, t.TempDir())
	require.NoError(t, err)
	assert.NotEqual(t, db, copied)
	assert.Equal(t, before, listing(t, filepath.Dir(db)))
	found, err := checkBook(context.Background(), settings{Assumed: usualAssumption}, copied)
	require.NoError(t, err)
	assert.Empty(t, found)
}

func TestCheck_RefusesADatabaseFromBeforeTheFirstRelease(t *testing.T) {
	t.Parallel()
	db := databaseOf(t, "before-release.sql")
	before := listing(t, filepath.Dir(db))
	for _, command := range [][]string{
		{"check"}, {"backup", filepath.Join(t.TempDir(), "copy.db")}, {"new-key", "--name", "Spare"}, {},
	} {
		refuses(t, "was written before the first release", append(command, "--db", db)...)
		assert.Equal(t, before, listing(t, filepath.Dir(db)), command)
	}
}

// databaseOf makes a database from a dump of package store.
func databaseOf(t *testing.T, dump string) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "fleet.db")
	text, err := os.ReadFile("../internal/store/testdata/" + dump)
	require.NoError(t, err)
	statement(t, path, string(text))
	return path
}

func TestCommands_CheckADatabaseOnAServer(t *testing.T) {
	t.Parallel()
	db := storetest.URL(t)
	refuses(t, "is not up to date", "check", "--db", db)
	p := startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey}, "--demo")
	assert.Contains(t, does(t, "check", "--db", db), store.Name(db)+" is whole")
	require.Equal(t, exitWell, p.stop())
}

// A lost manager key is replaced on the machine itself, and the new one is as good as the first.
func TestCommands_MakeANewManagerKey(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	p := startOn(t, db, nil)
	first := regexp.MustCompile(`is (evenpull-\S+)`).FindStringSubmatch(p.stdout.String())
	require.NotNil(t, first)
	p.key = first[1]
	smallFleet(t, p)
	require.Equal(t, exitWell, p.stop())

	made := regexp.MustCompile(`is (evenpull-\S+)`).FindStringSubmatch(does(t, "new-key", "--db", db, "--name",
		"Spare"))
	require.NotNil(t, made)
	require.NotEqual(t, first[1], made[1])
	p = startOn(t, db, nil)
	assert.NotContains(t, p.stdout.String(), "The manager key", "there is one")
	p.key = made[1]
	keys := into[openapi.KeyList](t, p.do(get("/v1/keys").with("Authorization", "Bearer "+p.key)), 200)
	var names []string
	for _, k := range keys.Items {
		names = append(names, k.Name)
	}
	assert.Contains(t, names, "Spare")
	p.key = first[1]
	into[openapi.Reading](t, p.do(post("/v1/sleds/bluestem/readings", readingOf("B", 262))), 201)
	require.Equal(t, exitWell, p.stop())

	missing := filepath.Join(t.TempDir(), "none.db")
	refuses(t, "there is no file", "new-key", "--db", missing)
	assert.NoFileExists(t, missing)
}

// A restore is killed at any moment, again and again. The program then starts on the fleet from before or on the one
// that was put back, and never on anything else.
func TestCommands_LoseNothingWhenARestoreIsKilled(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	db, copied := filepath.Join(t.TempDir(), "fleet.db"), filepath.Join(t.TempDir(), "copy.db")
	p := startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey}, "--demo")
	put := wholeFleet(t, p)
	does(t, "backup", copied, "--db", db)
	into[openapi.Accepted](t, p.do(csvPost("/v1/readings",
		longReadings(500))), 201)
	old := wholeFleet(t, p)
	require.Equal(t, exitWell, p.stop())
	seed := uint64(numberFrom(t, "EVENPULL_SEED", int(time.Now().UnixNano()%1_000_000)))
	t.Logf("EVENPULL_SEED=%d", seed)
	draw := rand.New(rand.NewPCG(seed, 1))
	self, err := os.Executable()
	require.NoError(t, err)
	killed, through := 0, 0
	for range 8 {
		cmd := exec.Command(self, "restore", copied, "--db", db)
		cmd.Env = append(os.Environ(), asProgram+"=1")
		require.NoError(t, cmd.Start())
		pause(draw, 120*time.Millisecond)
		_ = cmd.Process.Signal(syscall.SIGKILL)
		if cmd.Wait() != nil {
			killed++
		}
		does(t, "check", "--db", db)
		p = startOn(t, db, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
		is := wholeFleet(t, p)
		require.Equal(t, exitWell, p.stop())
		if is[2] == put[2] {
			through++
			assert.Equal(t, put, is)
			backs, err := filepath.Glob(db + ".before-restore-*")
			require.NoError(t, err)
			require.NotEmpty(t, backs, "what was there is still there")
			fresh := filepath.Join(t.TempDir(), "fleet.db")
			does(t, "restore", backs[0], "--db", fresh)
			p = startOn(t, fresh, map[string]string{"EVENPULL_MANAGER_KEY": testKey})
			assert.Equal(t, old, wholeFleet(t, p))
			require.Equal(t, exitWell, p.stop())
			for _, b := range backs {
				require.NoError(t, os.Remove(b))
			}
			require.NoError(t, os.Remove(db))
			does(t, "restore", fresh, "--db", db)
			continue
		}
		assert.Equal(t, old, is)
	}
	t.Logf("killed %d of 8 times, %d were through", killed, through)
}
