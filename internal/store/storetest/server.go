package storetest

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// port is a part of the name of the socket only; the server listens to no network.
const port = "5432"

// superuser is the one user of a server; everybody on the machine who may use the socket is let in as this one.
const superuser = "postgres"

// Server is a PostgreSQL server that lives no longer than the process that started it.
type Server struct {
	programs string // folder of initdb and postgres
	folder   string // of this server: data, socket, log
	as       *syscall.Credential
	fsync    bool
	process  *exec.Cmd
	ended    chan struct{} // closed when process has ended
	alive    *os.File      // while this is open, the server may run
	made     atomic.Int64
}

// Option changes how a server is run.
type Option func(*Server)

// WithoutFsync makes a server that does not wait for the disk.
func WithoutFsync(v *Server) { v.fsync = false }

// Postgres starts a server of the test's own, which may be killed and started again; it ends with the test. Tests that
// need a server run with CI=true, and where all tests are on one. Without its programs they are left out, or fail with
// CI=true.
func Postgres(t testing.TB, options ...Option) *Server {
	t.Helper()
	v, err := prepare(find(t), options...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(v.end)
	v.Start(t)
	return v
}

// find returns the folder of the server's programs.
func find(t testing.TB) string {
	t.Helper()
	if _, test := t.(*testing.T); test && os.Getenv("CI") != "true" && !OnServer() {
		t.Skip("on a database server, with CI=true or EVENPULL_TEST_DB=postgres")
	}
	if path, err := exec.LookPath("initdb"); err == nil {
		if real, err := filepath.EvalSymlinks(path); err == nil {
			path = real
		}
		if _, err := os.Stat(filepath.Join(filepath.Dir(path), "postgres")); err == nil {
			return filepath.Dir(path)
		}
	}
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/postgres")
	if len(found) > 0 {
		return filepath.Dir(found[len(found)-1])
	}
	const missing = "no PostgreSQL server to test with: install postgresql (its initdb and postgres are looked for " +
		"on the PATH and in /usr/lib/postgresql)"
	if os.Getenv("CI") == "true" {
		t.Fatal(missing)
	}
	t.Skip(missing)
	return ""
}

// prepare makes a server that is not running yet.
func prepare(programs string, options ...Option) (v *Server, err error) {
	folder, err := os.MkdirTemp("", "evenpull-postgres-")
	if err != nil {
		return nil, fmt.Errorf("making a folder for a server: %w", err)
	}
	v = &Server{programs: programs, folder: folder, fsync: true}
	for _, o := range options {
		o(v)
	}
	if err := v.watch(); err != nil {
		return nil, errors.Join(err, os.RemoveAll(folder))
	}
	defer func() {
		if err != nil {
			v.alive.Close()
		}
	}()
	if os.Geteuid() == 0 { // the server does not run as root
		if v.as, err = unprivileged(); err != nil {
			return nil, err
		}
		if err := os.Chown(folder, int(v.as.Uid), int(v.as.Gid)); err != nil {
			return nil, fmt.Errorf("giving %s away: %w", folder, err)
		}
	}
	// A language's order of text where there is one, so that what is to be ordered byte by byte has to say so.
	err = v.run("initdb", "-D", v.data(), "-U", superuser, "-A", "trust", "--no-sync", "-E", "UTF8",
		"--locale=C", "--lc-ctype=C.UTF-8", "--locale-provider=icu", "--icu-locale=en-US")
	if err != nil {
		os.RemoveAll(v.data())
		err = v.run("initdb", "-D", v.data(), "-U", superuser, "-A", "trust", "--no-sync", "-E", "UTF8", "--locale=C")
	}
	return v, err
}

// unprivileged is the user that servers run as on this machine.
func unprivileged() (*syscall.Credential, error) {
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, errUID := strconv.ParseUint(u.Uid, 10, 32)
		gid, errGID := strconv.ParseUint(u.Gid, 10, 32)
		if err := errors.Join(errUID, errGID); err != nil {
			return nil, fmt.Errorf("looking for the user %s: %w", name, err)
		}
		return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, nil
	}
	return nil, errors.New("a PostgreSQL server does not run as root, and there is neither a user postgres nor a " +
		"user nobody")
}

func (v *Server) data() string { return filepath.Join(v.folder, "data") }

// command is one of the server's programs, in a session of its own so that an interrupt from the keyboard does not
// reach it.
func (v *Server) command(name string, args ...string) *exec.Cmd {
	c := exec.Command(filepath.Join(v.programs, name), args...)
	c.Dir = v.folder
	c.Env = []string{"PATH=" + os.Getenv("PATH"), "LC_ALL=C"}
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Credential: v.as}
	return c
}

func (v *Server) run(name string, args ...string) error {
	if out, err := v.command(name, args...).CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w: %s", name, err, out)
	}
	return nil
}

// start starts the server and waits until it answers.
func (v *Server) start() error {
	log, err := os.OpenFile(filepath.Join(v.folder, "log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	if err != nil {
		return fmt.Errorf("opening the server's log: %w", err)
	}
	defer log.Close()
	fsync := "off"
	if v.fsync {
		fsync = "on"
	}
	v.process = v.command("postgres", "-D", v.data(), "-k", v.folder, "-p", port, "-c", "listen_addresses=",
		"-c", "fsync="+fsync, "-c", "max_connections=300", "-c", "shared_buffers=32MB")
	v.process.Stdout, v.process.Stderr = log, log
	if err := v.process.Start(); err != nil {
		return fmt.Errorf("starting a server: %w", err)
	}
	process, ended := v.process, make(chan struct{})
	v.ended = ended
	go func() {
		_ = process.Wait()
		close(ended)
	}()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	for {
		conn, err := pgx.Connect(ctx, v.url("postgres"))
		if err == nil {
			return conn.Close(ctx)
		}
		select {
		case <-ended:
			return fmt.Errorf("a server did not start: %s", v.log())
		case <-ctx.Done():
			return fmt.Errorf("a server does not answer: %w: %s", err, v.log())
		case <-time.After(20 * time.Millisecond): // it tells nobody that it is ready
		}
	}
}

func (v *Server) log() []byte {
	said, _ := os.ReadFile(filepath.Join(v.folder, "log"))
	return said
}

func (v *Server) url(database string) string {
	return "postgres://" + superuser + "@/" + database + "?" + url.Values{"host": {v.folder}, "port": {port}}.Encode()
}

// URL makes an empty database and returns its URL. It is removed when the test ends, if the server runs then.
func (v *Server) URL(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("test%d", v.made.Add(1))
	if err := v.execute("CREATE DATABASE " + name + v.quickly()); err != nil {
		t.Fatalf("making a database: %v", err)
	}
	t.Cleanup(func() { _ = v.execute("DROP DATABASE " + name + " WITH (FORCE)") })
	return v.url(name)
}

// URLOn is URL for a database whose tables are in a folder, such as a small disk.
func (v *Server) URLOn(t testing.TB, folder string) string {
	t.Helper()
	if v.as != nil {
		if err := os.Chown(folder, int(v.as.Uid), int(v.as.Gid)); err != nil {
			t.Fatalf("giving %s away: %v", folder, err)
		}
		if err := os.Chmod(filepath.Dir(folder), 0o755); err != nil { // a test's own folder is closed to others
			t.Fatalf("opening the way to %s: %v", folder, err)
		}
	}
	name := fmt.Sprintf("test%d", v.made.Add(1))
	for _, statement := range []string{
		fmt.Sprintf("CREATE TABLESPACE %s LOCATION '%s'", name, folder),
		fmt.Sprintf("CREATE DATABASE %s TABLESPACE %s", name, name),
	} {
		if err := v.execute(statement); err != nil {
			t.Fatalf("making a database in %s: %v", folder, err)
		}
	}
	t.Cleanup(func() {
		_ = v.execute("DROP DATABASE " + name + " WITH (FORCE)")
		_ = v.execute("DROP TABLESPACE " + name)
	})
	return v.url(name)
}

// part makes an empty schema and returns the URL of its database with it as the place of tables.
func (v *Server) part(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("part%d", v.made.Add(1))
	if err := v.execute("CREATE SCHEMA " + name); err != nil {
		t.Fatalf("making a schema: %v", err)
	}
	t.Cleanup(func() { _ = v.execute("DROP SCHEMA " + name + " CASCADE") })
	return v.url("postgres") + "&search_path=" + name
}

// quickly copies files in place of logging each block, where the server can (from version 15).
func (v *Server) quickly() string {
	if _, err := os.Stat(v.data()); err == nil && v.version() >= 15 && !v.fsync {
		return " STRATEGY file_copy"
	}
	return ""
}

func (v *Server) version() int {
	said, _ := os.ReadFile(filepath.Join(v.data(), "PG_VERSION"))
	n, _ := strconv.Atoi(strings.TrimSpace(string(said)))
	return n
}

// execute carries out a statement as the superuser of the server.
func (v *Server) execute(statement string) error {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	conn, err := pgx.Connect(ctx, v.url("postgres"))
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, statement)
	return err
}

// Stop makes the server silent without ending it, as one whose machine hangs, and returns what lets it go on.
func (v *Server) Stop(t testing.TB) (goOn func()) {
	t.Helper()
	first := v.process.Process.Pid
	signal := func(s syscall.Signal) {
		_ = syscall.Kill(first, s) // first, so that it starts no further process meanwhile
		for _, pid := range childrenOf(first) {
			_ = syscall.Kill(pid, s)
		}
	}
	signal(syscall.SIGSTOP)
	once := sync.OnceFunc(func() { signal(syscall.SIGCONT) })
	t.Cleanup(once)
	return once
}

// Start starts the server again on the same data.
func (v *Server) Start(t testing.TB) {
	t.Helper()
	if err := v.start(); err != nil {
		t.Fatal(err)
	}
}
