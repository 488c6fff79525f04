package pagetest

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	managerKey   = "a-key-for-the-browser-tests"
	databaseName = "fleet.db"
)

var (
	startLine = regexp.MustCompile(`Evenpull is at (http://[^/]+)/`)
	linkLine  = regexp.MustCompile(`This link signs a browser in .*: http://[^/]+(/\S+)`)
)

// server is the running program.
type server struct {
	cmd    *exec.Cmd
	stdout io.Reader
	stderr *strings.Builder
	base   string // http://host:port
	link   string // path and fragment of the link that signs a browser in, printed by the first start without a key
}

// preparedDemo is a database with the demo fleet. Without CI=true programs start with a copy of it, which takes less
// than to load the fleet for each.
var preparedDemo = sync.OnceValues(func() (file []byte, err error) {
	dir, err := os.MkdirTemp("", "evenpull-demo")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	s, err := launch(managerKey, dir, "--demo")
	if err != nil {
		return nil, err
	}
	if err := s.end(); err != nil {
		return nil, err
	}
	return os.ReadFile(filepath.Join(dir, databaseName))
})

// start starts the program over a new database in a folder, with the manager's key.
func start(dir string, args ...string) (*server, error) {
	return startWith(managerKey, dir, args...)
}

// startWith is start with another key, or none.
func startWith(key, dir string, args ...string) (*server, error) {
	if !inFull && slices.Contains(args, "--demo") {
		file, err := preparedDemo()
		if err != nil {
			return nil, err
		}
		if err := os.WriteFile(filepath.Join(dir, databaseName), file, 0o600); err != nil {
			return nil, err
		}
	}
	return launch(key, dir, args...)
}

// launch starts the program over the database in a folder.
func launch(key, dir string, args ...string) (*server, error) {
	cmd := exec.Command(program, append(args, "--addr", "127.0.0.1:0", "--db", filepath.Join(dir, databaseName))...)
	cmd.Env = append(os.Environ(), "EVENPULL_MANAGER_KEY="+key)
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	s := &server{cmd: cmd, stdout: stdout, stderr: &strings.Builder{}}
	cmd.Stderr = s.stderr
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	lines := bufio.NewScanner(stdout)
	for lines.Scan() {
		if at := startLine.FindStringSubmatch(lines.Text()); at != nil {
			s.base = at[1]
			return s, nil
		}
		if link := linkLine.FindStringSubmatch(lines.Text()); link != nil {
			s.link = link[1]
		}
	}
	return nil, errors.Join(fmt.Errorf("the program did not start: %s", s.stderr), cmd.Wait())
}

// end ends the program, which must do so cleanly.
func (s *server) end() error {
	if err := s.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		return err
	}
	_, _ = io.Copy(io.Discard, s.stdout)
	if err := s.cmd.Wait(); err != nil {
		return fmt.Errorf("the program must end cleanly: %w: %s", err, s.stderr)
	}
	return nil
}

// site is a running program as one test sees it.
type site struct {
	t        *testing.T
	base     string
	readOnly bool // others look at it too
}

// serve starts the program with a database of its own, with the demo fleet or empty, and ends it with the test.
func serve(t *testing.T, args ...string) site {
	t.Helper()
	needBrowser(t)
	running, err := start(t.TempDir(), args...)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, running.end()) })
	return site{t: t, base: running.base}
}

func needBrowser(t *testing.T) {
	t.Helper()
	if browser == nil {
		leaveOut(t, noBrowser)
	}
}

// sharedProgram is the program with the demo fleet that all tests share that only read.
type sharedProgram struct {
	once    sync.Once
	running *server
	dir     string
	err     error
	before  string // its history when it was ready
	evening string // the id of a show of eight classes, in ten days, with one line of what was set
	harvest string // the id of a show of one class, Farm 9500, in 2099
}

// sharedDemo is the demo fleet with two shows, for tests that read and sign in, but write nothing.
func sharedDemo(t *testing.T) site {
	t.Helper()
	needBrowser(t)
	demo.once.Do(func() { demo.start(t) })
	require.NoError(t, demo.err)
	require.NotEmpty(t, demo.before, "the shared program could not be filled")
	return site{t: t, base: demo.running.base, readOnly: true}
}

// start starts and fills it, for the first test that needs it.
func (d *sharedProgram) start(t *testing.T) {
	if d.dir, d.err = os.MkdirTemp("", "evenpull-demo"); d.err != nil {
		return
	}
	if d.running, d.err = start(d.dir, "--demo", "--public-url", "https://sleds.example"); d.err != nil {
		return
	}
	s := site{t: t, base: d.running.base}
	d.evening = s.evening("Harvest pull", 10, "timothy")
	s.call("POST", "/v1/shows/"+d.evening+"/classes/antique-5-500-lb/as-run",
		map[string]any{"from_hook": 1, "gear": "high 2"}, nil)
	d.harvest = harvestPull(s)
	items := s.inspected("timothy", "Chains and their attachment", "Guards and covers", "Blocks secured")
	s.looksOver("timothy", d.evening, items[0], map[string]any{"well": false, "note": "a link is cracked"})
	s.looksOver("timothy", d.evening, items[1], map[string]any{"well": true})
	d.before, d.err = history(d.running.base)
}

// end ends the program, and complains where a test has written to it.
func (d *sharedProgram) end() error {
	if d.running == nil {
		return nil
	}
	now, err := history(d.running.base)
	if err == nil && now != d.before {
		err = fmt.Errorf("a test has written to the program that is shared: %s", now)
	}
	return errors.Join(err, d.running.end(), os.RemoveAll(d.dir))
}

// history is the latest entry of a program's history, as it answers.
func history(base string) (string, error) {
	req, err := http.NewRequest(http.MethodGet, base+"/v1/history?limit=1", nil)
	if err != nil {
		return "", err
	}
	req.Header.Set("Authorization", "Bearer "+managerKey)
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return "", err
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	return string(body), err
}

// in is the same site for a subtest.
func (s site) in(t *testing.T) site {
	s.t = t
	return s
}

// call uses the API as a program would and decodes the answer.
func (s site) call(method, path string, body, into any) {
	s.t.Helper()
	require.False(s.t, s.readOnly && method != http.MethodGet,
		"%s %s: others share this program; serve one for this test", method, path)
	text, err := json.Marshal(body)
	require.NoError(s.t, err)
	req, err := http.NewRequestWithContext(s.t.Context(), method, s.base+path, strings.NewReader(string(text)))
	require.NoError(s.t, err)
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	req.Header.Set("Authorization", "Bearer "+managerKey)
	res, err := http.DefaultClient.Do(req)
	require.NoError(s.t, err)
	defer res.Body.Close()
	answer, err := io.ReadAll(res.Body)
	require.NoError(s.t, err)
	require.Less(s.t, res.StatusCode, 300, "%s %s: %s", method, path, answer)
	if into != nil {
		require.NoError(s.t, json.Unmarshal(answer, into))
	}
}
