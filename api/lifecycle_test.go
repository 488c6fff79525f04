package main

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	_ "github.com/mattn/go-sqlite3" // to make databases that are not ours
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// asProgram makes this test's own binary be the program, so that it can be really killed without building another.
const asProgram = "EVENPULL_TEST_BE_THE_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
		return
	}
	os.Exit(m.Run())
}

// process is the program in a process of its own.
type process struct {
	*program
	cmd *exec.Cmd
}

// command is the program as a command that has not been started.
func command(t *testing.T, db string, args ...string) (cmd *exec.Cmd, stdout, stderr *output) {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	cmd = exec.Command(self, append([]string{"--addr", "127.0.0.1:0", "--db", db}, args...)...)
	cmd.Env = append(os.Environ(), asProgram+"=1", "EVENPULL_MANAGER_KEY="+testKey)
	stdout, stderr = new(output), new(output)
	cmd.Stdout, cmd.Stderr = stdout, stderr
	return cmd, stdout, stderr
}

func spawn(t *testing.T, db string, args ...string) *process {
	t.Helper()
	return spawnAs(t, func(*exec.Cmd) {}, db, args...)
}

// spawnAs starts the program as a process that is changed before it starts.
func spawnAs(t *testing.T, change func(*exec.Cmd), db string, args ...string) *process {
	t.Helper()
	cmd, stdout, stderr := command(t, db, args...)
	change(cmd)
	require.NoError(t, cmd.Start())
	p := &process{cmd: cmd, program: &program{t: t, key: testKey, db: db, stdout: stdout, stderr: stderr}}
	p.stop = sync.OnceValue(func() int { return p.end(syscall.SIGTERM) })
	t.Cleanup(func() { p.stop() })
	require.Eventually(t, func() bool {
		line := startLine.FindStringSubmatch(stdout.String())
		if line != nil {
			p.address = line[1]
		}
		return line != nil
	}, 30*time.Second, 5*time.Millisecond, "%s", stderr)
	return p
}

// end sends a signal and returns the exit code, -1 for a process that was killed.
func (p *process) end(signal syscall.Signal) int {
	_ = p.cmd.Process.Signal(signal)
	_ = p.cmd.Wait()
	return p.cmd.ProcessState.ExitCode()
}

// kill ends the process as a power cut does.
func (p *process) kill() {
	p.stop = sync.OnceValue(func() int { return p.end(syscall.SIGKILL) })
	p.stop()
}

// Several write at once and the process is killed under them, round after round. Whatever was acknowledged is there
// afterward; whatever was not, is there wholly or not at all.
func TestLifecycle_KillLosesNothingThatWasAcknowledged(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	acknowledged := map[string]openapi.Reading{}
	p := spawn(t, db)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	const rounds, writers = 5, 4
	for round := range rounds {
		var mu sync.Mutex
		var all sync.WaitGroup
		var count atomic.Int64
		for writer := range writers {
			all.Go(func() {
				for i := 0; ; i++ {
					reading := readingOf("B", 200+float64(writer)+float64(i%90))
					reading["note"] = fmt.Sprintf("round %d, writer %d, number %d", round, writer, i)
					got, err := p.try(post("/v1/sleds/bluestem/readings", reading))
					if err != nil {
						return // killed
					}
					kept := into[openapi.Reading](t, got, 201)
					mu.Lock()
					acknowledged[kept.Id] = kept
					mu.Unlock()
					count.Add(1)
				}
			})
		}
		assert.Eventually(t, func() bool { return count.Load() > 10+int64(7*round) }, 30*time.Second, time.Millisecond)
		p.kill()
		all.Wait()

		p = spawn(t, db)
		stored := allReadings(t, p.program, "bluestem")
		for id, reading := range acknowledged {
			assert.Equal(t, reading, stored[id], "a reading that was acknowledged")
		}
		assert.LessOrEqual(t, len(stored), len(acknowledged)+(round+1)*writers, "more than were sent")
	}
	assert.Greater(t, len(acknowledged), 50)

	table := p.do(get("/v1/table?reference=bluestem"))
	p.kill() // with nothing under way
	p = spawn(t, db)
	assert.Equal(t, string(table.body), string(p.do(get("/v1/table?reference=bluestem")).body))
	assert.Equal(t, exitWell, p.stop(), "%s", p.stderr)
}

func allReadings(t *testing.T, p *program, sled string) map[string]openapi.Reading {
	t.Helper()
	all := map[string]openapi.Reading{}
	for next := ""; ; {
		page := into[openapi.ReadingPage](t, p.do(get("/v1/sleds/"+sled+"/readings?limit=500"+next)), 200)
		for _, r := range page.Items {
			all[r.Id] = r
		}
		if page.Next == nil {
			return all
		}
		next = "&after=" + *page.Next
	}
}

// A large import that is killed has happened wholly or not at all.
func TestLifecycle_KillNeverLeavesHalfAnImport(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	p := spawn(t, db)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	const rows = 20_000
	sheet := heading + strings.Repeat("bluestem,B,0,262,2025-05-10\n", rows)
	expected := 0
	for _, wait := range []time.Duration{0, 50 * time.Millisecond, 150 * time.Millisecond, 400 * time.Millisecond} {
		done := make(chan bool, 1)
		go func() {
			got, err := p.try(csvPost("/v1/readings", sheet))
			done <- err == nil && got.StatusCode == 201
		}()
		select {
		case acknowledged := <-done:
			require.True(t, acknowledged)
			expected += rows
			p.kill()
		case <-time.After(wait):
			p.kill()
			if <-done {
				expected += rows
			}
		}
		p = spawn(t, db)
		got := into[openapi.Sled](t, p.do(get("/v1/sleds/bluestem")), 200).Readings
		if got == expected+rows { // stored, and killed before it could say so
			expected = got
		}
		require.Equal(t, expected, got)
	}
}

// SIGTERM: nothing new is taken, what is under way is finished and kept, and the exit code is 0.
func TestLifecycle_TerminationFinishesWhatIsUnderWay(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	p := spawn(t, db)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)

	body, send := io.Pipe()
	answer := make(chan response, 1)
	go func() {
		defer close(answer)
		// With Expect, nothing of the body is sent before the program has begun to read it.
		got, err := p.try(csvPost("/v1/readings", "").withBody(body).with("Expect", "100-continue"))
		if assert.NoError(t, err) {
			answer <- got
		}
		body.Close()
	}()
	_, err := io.WriteString(send, heading+"bluestem,B,0,262,2025-05-10\n")
	require.NoError(t, err)

	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
	require.Eventually(t, func() bool { return !answers(p.address) }, 10*time.Second, 5*time.Millisecond,
		"it takes nothing new")
	require.NoError(t, p.cmd.Process.Signal(syscall.Signal(0)), "it ended under a request")

	_, err = io.WriteString(send, "bluestem,C,0,250,2025-05-10\n")
	require.NoError(t, err)
	require.NoError(t, send.Close())
	got, answered := <-answer
	require.True(t, answered)
	assert.Equal(t, 2, into[openapi.Accepted](t, got, 201).Accepted)
	require.NoError(t, p.cmd.Wait())
	p.stop = func() int { return exitWell }
	assert.Equal(t, exitWell, p.cmd.ProcessState.ExitCode())
	for _, beside := range []string{"-wal", "-shm", ".lock"} {
		assert.NoFileExists(t, db+beside, "a clean end leaves one file")
	}

	again := spawn(t, db)
	assert.Equal(t, 2, into[openapi.Sled](t, again.do(get("/v1/sleds/bluestem")), 200).Readings)
	assert.Equal(t, exitWell, again.end(syscall.SIGINT))
	again.stop = func() int { return exitWell }
}

// uploadThatStays sends the beginning of an upload and leaves it under way. It returns once the program reads it.
func uploadThatStays(t *testing.T, p *process) {
	t.Helper()
	conn, err := net.Dial("tcp", strings.TrimPrefix(p.address, "http://"))
	require.NoError(t, err)
	t.Cleanup(func() { conn.Close() })
	_, err = fmt.Fprintf(conn, "POST /v1/readings HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer %s\r\n"+
		"Content-Type: text/csv\r\nContent-Length: 1000000\r\nExpect: 100-continue\r\n\r\n", testKey)
	require.NoError(t, err)
	said, err := bufio.NewReader(conn).ReadString('\n')
	require.NoError(t, err)
	require.Contains(t, said, "100 Continue")
	_, err = io.WriteString(conn, heading)
	require.NoError(t, err)
}

// What does not come to an end after SIGTERM is cut, and the exit code says so.
func TestLifecycle_TerminationCutsWhatStaysUnderWay(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	p := spawn(t, db)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	uploadThatStays(t, p)
	assert.Equal(t, exitFailed, p.stop())
	assert.Equal(t, "evenpull: "+errCut.Error()+"\n", lastLine(p.stderr.String()))

	again := spawn(t, db)
	assert.Zero(t, into[openapi.Sled](t, again.do(get("/v1/sleds/bluestem")), 200).Readings)
	assert.Equal(t, exitWell, again.stop(), "%s", again.stderr)
}

func TestLifecycle_SecondSignalEndsAtOnce(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	p := spawn(t, db)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	uploadThatStays(t, p)
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
	require.Eventually(t, func() bool { return !answers(p.address) }, 10*time.Second, 5*time.Millisecond)
	assert.Equal(t, exitFailed, p.end(syscall.SIGTERM))
	p.stop = func() int { return exitFailed }
	assert.Contains(t, lastLine(p.stderr.String()), "told twice to end")

	again := spawn(t, db)
	assert.Equal(t, 200, again.do(get("/v1/sleds/bluestem")).StatusCode)
	assert.Equal(t, exitWell, again.stop(), "%s", again.stderr)
}

// A connection that was made before SIGTERM and sends its upload after it gets no answer, and nothing is stored.
func TestLifecycle_TerminationTakesNoNewUpload(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	p := spawn(t, db)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	uploadThatStays(t, p)
	conn, err := net.Dial("tcp", strings.TrimPrefix(p.address, "http://"))
	require.NoError(t, err)
	defer conn.Close()
	_, err = io.WriteString(conn, "POST /v1/readings HTTP/1.1\r\nHost: x\r\n") // so that it is no idle connection
	require.NoError(t, err)
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
	require.Eventually(t, func() bool { return !answers(p.address) }, 10*time.Second, 5*time.Millisecond)
	body := heading + "bluestem,B,0,262,2025-05-10\n"
	_, err = fmt.Fprintf(conn, "Authorization: Bearer %s\r\nContent-Type: text/csv\r\nContent-Length: %d\r\n\r\n%s",
		testKey, len(body), body)
	if err == nil {
		said, _ := io.ReadAll(conn)
		assert.Empty(t, said)
	}
	assert.Equal(t, exitFailed, p.stop(), "the upload that was under way is cut")
	again := spawn(t, db)
	assert.Zero(t, into[openapi.Sled](t, again.do(get("/v1/sleds/bluestem")), 200).Readings)
}

// answers says whether somebody listens at an address.
func answers(address string) bool {
	conn, err := net.Dial("tcp", strings.TrimPrefix(address, "http://"))
	if err == nil {
		conn.Close()
	}
	return err == nil
}

// lastLine is the last line of a text, with its end.
func lastLine(text string) string {
	lines := strings.SplitAfter(text, "\n")
	return lines[max(0, len(lines)-2)]
}

func (r request) withBody(body any) request {
	r.body = body
	return r
}

func TestLifecycle_RestartGivesTheSameTable(t *testing.T) {
	t.Parallel()
	db := storetest.DB(t)
	questions := []request{
		get("/v1/table?reference=bluestem"), get("/v1/table.csv?reference=bluestem&units=m"),
		get("/v1/sleds/bluestem/chart"),
		get("/v1/equivalents?sled=bluestem&gear=C"), get("/v1/sleds"),
	}
	var first []string
	for range 2 {
		p := spawn(t, db, "--demo")
		var answers []string
		for _, q := range questions {
			got := p.do(q)
			require.Equal(t, http.StatusOK, got.StatusCode, "%s", got.body)
			answers = append(answers, got.Header.Get("ETag")+string(got.body))
		}
		if first == nil {
			first = answers
		}
		assert.Equal(t, first, answers)
		require.Equal(t, exitWell, p.stop(), "%s", p.stderr)
	}
}

func TestLifecycle_DatabaseThatCannotBeUsedIsOneClearLineAndLeftAlone(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	whole := filepath.Join(t.TempDir(), "whole.db")
	p := spawn(t, whole, "--demo")
	require.Equal(t, exitWell, p.stop())
	good, err := os.ReadFile(whole)
	require.NoError(t, err)
	for _, c := range []struct {
		what string
		make func(t *testing.T, path string)
		says string
	}{
		{"a text file", func(t *testing.T,
			path string) {
			write(t, path, bytes.Repeat([]byte("not a database\n"), 500))
		}, "not a database"},
		{"a short file", func(t *testing.T, path string) { write(t, path, []byte("SQLite")) }, "not a database"},
		{"a damaged database", func(t *testing.T, path string) {
			broken := bytes.Clone(good)
			copy(broken[len(broken)/3:], bytes.Repeat([]byte{0xA5}, len(broken)/3))
			write(t, path, broken)
		}, "damaged"},
		{"half a database", func(t *testing.T, path string) { write(t, path, good[:len(good)/2]) }, "damaged"},
		{"a read-only database", func(t *testing.T, path string) {
			write(t, path, good)
			require.NoError(t, os.Chmod(path, 0o444))
		}, "read-only"},
		{"a database of a newer version", func(t *testing.T, path string) {
			write(t, path, good)
			statement(t, path, "INSERT INTO migrations (id) VALUES ('9999_from_the_future')")
		}, "newer version"},
		{"a database of another program",
			func(t *testing.T, path string) {
				statement(t, path,
					"CREATE TABLE recipes (id INTEGER)")
			}, "another program"},
		{"a folder", func(t *testing.T, path string) { require.NoError(t, os.Mkdir(path, 0o755)) }, "folder"},
	} {
		folder := t.TempDir()
		path := filepath.Join(folder, "fleet.db")
		c.make(t, path)
		before := listing(t, folder)
		line := fails(t, path, "--demo")
		assert.Contains(t, line, c.says, c.what)
		assert.Contains(t, line, "fleet.db", c.what)
		assert.Equal(t, before, listing(t, folder), "%s was touched", c.what)
	}
	assert.Contains(t, fails(t, filepath.Join(t.TempDir(), "nowhere", "fleet.db")), "does not exist")
}

func TestLifecycle_DatabaseInUseIsOneClearLine(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t)
	db := filepath.Join(t.TempDir(), "fleet.db")
	p := spawn(t, db, "--demo")
	assert.Contains(t, fails(t, db), "in use")
	assert.Equal(t, http.StatusOK, p.do(get("/v1/table?reference=bluestem")).StatusCode, "the first goes on")
}

func TestLifecycle_AddressInUseIsOneClearLine(t *testing.T) {
	t.Parallel()
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer taken.Close()
	db := filepath.Join(t.TempDir(), "fleet.db")
	line := fails(t, db, "--addr", taken.Addr().String())
	assert.Contains(t, line, taken.Addr().String()+" is in use")
	assert.NoFileExists(t, db)
}

// A time zone that is not known is not taken for UTC.
func TestStart_RefusesATimeZoneThatIsNotKnown(t *testing.T) {
	t.Parallel()
	noZone := filepath.Join(t.TempDir(), "zone")
	write(t, noZone, []byte("no time zone"))
	for _, zone := range []string{"Nowhere/Atall", "CET-1CEST,M3.5.0,M10.5.0/3", ":Nowhere", noZone, "/no/such/file",
		"../etc"} {
		stderr := new(output)
		db := filepath.Join(t.TempDir(), "fleet.db")
		env := map[string]string{"TZ": zone}
		code := runProgram(context.Background(), []string{"--addr", "127.0.0.1:0", "--db", db},
			func(name string) string { return env[name] }, new(output), stderr)
		assert.Equal(t, exitFailed, code, zone)
		assert.Regexp(t, `^evenpull: TZ [^\n]+ no time zone[^\n]*\n$`, stderr.String())
		assert.NoFileExists(t, db)
	}
	for _, zone := range []string{"", "UTC", ":Pacific/Kiritimati", "America/Chicago", "EST5EDT"} {
		assert.NoError(t, checkTimeZone(zone), zone)
	}
}

// Where the machine has no time zones, as in an image with nothing but the program, those that it carries hold: here
// Go is kept from finding any other, by a mount of nothing over each place where it looks.
func TestStart_CarriesItsTimeZones(t *testing.T) {
	t.Parallel()
	if os.Geteuid() != 0 {
		t.Skip("it hides the time zones of the machine from one process, which takes the right to mount")
	}
	self, err := os.Executable()
	require.NoError(t, err)
	const hide = `for place in /usr/share/zoneinfo /usr/share/lib/zoneinfo /usr/lib/locale/TZ /etc/zoneinfo "$GOTIME";
		do if [ -d "$place" ]; then mount -t tmpfs none "$place" || exit 9; fi; done; exec "$0" "$@"`
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	said := new(output)
	db := filepath.Join(t.TempDir(), "fleet.db")
	cmd := exec.Command("sh", "-c", hide, self, "--addr", "127.0.0.1:0", "--db", db)
	cmd.SysProcAttr = &syscall.SysProcAttr{Unshareflags: syscall.CLONE_NEWNS}
	cmd.Env = append(os.Environ(), asProgram+"=1", "EVENPULL_MANAGER_KEY="+testKey, "TZ=Pacific/Kiritimati",
		"GOTIME="+filepath.Join(strings.TrimSpace(string(goroot)), "lib", "time"))
	cmd.Stdout, cmd.Stderr = said, said
	require.NoError(t, cmd.Start())
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	require.Eventually(t, func() bool {
		return startLine.MatchString(said.String()) || strings.Contains(said.String(), "evenpull: ")
	}, 30*time.Second, 5*time.Millisecond)
	require.Regexp(t, startLine, said.String())
	address := startLine.FindStringSubmatch(said.String())[1]
	_, err = client.Get(address + "/no-such-page") // so that it logs a line with the time
	require.NoError(t, err)
	require.Eventually(t, func() bool { return strings.Contains(said.String(), "+14:00") }, 10*time.Second,
		5*time.Millisecond, "%s", said)
}

// A program that is told to end before it has begun ends well.
func TestLifecycle_TerminationAtTheStartIsNoFailure(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	stderr := new(output)
	db := filepath.Join(t.TempDir(), "fleet.db")
	code := runProgram(ctx, []string{"--addr", "127.0.0.1:0", "--db", db}, func(string) string { return "" },
		new(output), stderr)
	assert.Equal(t, exitWell, code, "%s", stderr)
}

// fails starts the program, which must end with exit code 1, nothing on stdout, and one line on stderr: it is
// returned.
func fails(t *testing.T, db string, args ...string) string {
	t.Helper()
	cmd, stdout, stderr := command(t, db, args...)
	require.NoError(t, cmd.Start())
	defer time.AfterFunc(time.Minute, func() { _ = cmd.Process.Kill() }).Stop() // it serves
	require.Error(t, cmd.Wait(), "%s", stdout)
	assert.Equal(t, exitFailed, cmd.ProcessState.ExitCode())
	assert.Empty(t, stdout.String())
	line := stderr.String()
	assert.True(t, strings.HasPrefix(line, "evenpull: "), line)
	assert.Equal(t, 1, strings.Count(line, "\n"), line)
	return line
}

func write(t *testing.T, path string, body []byte) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, body, 0o644))
}

func statement(t *testing.T, path, statement string) {
	t.Helper()
	db, err := sql.Open("sqlite3", path)
	require.NoError(t, err)
	_, err = db.Exec(statement)
	require.NoError(t, err)
	require.NoError(t, db.Close())
}

// listing is every file of a folder with its bytes.
func listing(t *testing.T, folder string) map[string]string {
	t.Helper()
	all := map[string]string{}
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		if e.IsDir() {
			all[e.Name()] = "a folder"
			continue
		}
		body, err := os.ReadFile(filepath.Join(folder, e.Name()))
		require.NoError(t, err)
		all[e.Name()] = string(body)
	}
	return all
}
