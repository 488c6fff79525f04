// Package storetest gives tests databases to work on: SQLite files, or databases on a PostgreSQL server of the tests'
// own, which is started when first needed and gone when the tests are. It knows nothing of what is kept in them.
package storetest

import (
	"os"
	"path/filepath"
	"sync"
	"testing"
)

// variable chooses where tests keep what they keep: "postgres" for a server, anything else for a file.
const variable = "EVENPULL_TEST_DB"

// OnServer says whether the tests run on PostgreSQL.
func OnServer() bool { return os.Getenv(variable) == "postgres" }

// OnFileOnly leaves a test out that is about SQLite files where the tests run on PostgreSQL.
func OnFileOnly(t testing.TB) {
	t.Helper()
	if OnServer() {
		t.Skip("about SQLite files; these tests run on PostgreSQL")
	}
}

// DB names an empty database of the test's own, as store.Open takes it: a file that is still to be made, or the URL of
// a schema in a database that all tests of the process share, which is as good and made in no time.
func DB(t testing.TB) string {
	t.Helper()
	if !OnServer() {
		return filepath.Join(t.TempDir(), "fleet.db")
	}
	return shared(t).part(t)
}

// URL names an empty database of the test's own on the server that all tests of the process share. Where there are no
// programs to run a server with, the test is left out, or fails with CI=true.
func URL(t testing.TB) string {
	t.Helper()
	return shared(t).URL(t)
}

// shared is one server for the whole process, which ends with the process. It does not wait for the disk: no test on it
// pulls the plug.
func shared(t testing.TB) *Server {
	t.Helper()
	programs := find(t)
	one.Do(func() {
		if one.server, one.err = prepare(programs, WithoutFsync); one.err == nil {
			one.err = one.server.start()
		}
	})
	if one.err != nil {
		t.Fatal(one.err)
	}
	return one.server
}

// one is the shared server: tests of a package have nothing else in common that could hold it.
var one struct {
	sync.Once
	server *Server
	err    error
}
