package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"syscall"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// OpenReadOnly opens a database for reading that another process may be using. It takes no lock, makes no file and runs
// no migration: a schema that needs one is refused.
func OpenReadOnly(ctx context.Context, db string, o Options) (*Store, error) {
	s := newStore(o)
	open := s.openFileReadOnly
	if OnServer(db) {
		open = s.openServerReadOnly
	}
	if err := open(ctx, db); err != nil {
		return nil, errors.Join(err, s.release())
	}
	s.writer = s.reader // which refuses to write
	s.writing <- struct{}{}
	return s, nil
}

func (s *Store) openFileReadOnly(ctx context.Context, path string) (err error) {
	if s.path, err = locateExisting(path); err != nil {
		return err
	}
	if err := isOurs(s.path); err != nil {
		return err
	}
	if s.reader, err = connectReadOnly(s.path, queryOnly, readers); err != nil {
		return openError(s.path, err)
	}
	behind, err := s.schema.behind(s.reader.WithContext(ctx), s.path)
	if err != nil {
		return openError(s.path, err)
	}
	if behind != "" {
		return fleet.Errorf(fleet.Unavailable,
			"%s has the schema %s of an earlier version: start the program once to bring it up to date", s.path, behind)
	}
	return openError(s.path, s.readState(ctx))
}

func (s *Store) openServerReadOnly(ctx context.Context, db string) (err error) {
	if err := s.useServer(db); err != nil {
		return err
	}
	defer func() { err = s.server.openError(s.path, err) }()
	if s.reader, err = s.server.connect(serverReadPool); err != nil {
		return err
	}
	applied, err := s.schema.inspectServer(s.reader.WithContext(ctx), s.path)
	if err != nil {
		return err
	}
	if len(applied) < len(s.schema.ids()) {
		return fleet.Errorf(fleet.Unavailable, "%s is not up to date: start the program once to bring it there", s.path)
	}
	return s.readState(ctx)
}

// locateExisting returns the absolute path of a file that must exist.
func locateExisting(path string) (string, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return "", fmt.Errorf("finding %s: %w", path, err)
	}
	real, err := filepath.EvalSymlinks(full)
	if errors.Is(err, fs.ErrNotExist) {
		return "", fleet.Errorf(fleet.Unavailable, "there is no file %s", full)
	}
	if err != nil {
		return "", fmt.Errorf("finding %s: %w", full, err)
	}
	about, err := os.Stat(real)
	switch {
	case err != nil:
		return "", fmt.Errorf("looking at %s: %w", real, err)
	case about.IsDir():
		return "", fleet.Errorf(fleet.Unavailable, "%s is a folder: name a file in it", real)
	case !about.Mode().IsRegular():
		return "", fleet.Errorf(fleet.Unavailable, "%s is not a file: give another one", real)
	}
	return real, nil
}

// readOnlyDSN opens a file that another process may own. The file is opened for writing where that is allowed, although
// nothing is written: the last connection to close removes the write-ahead log, and one that may only read would leave
// it behind.
func readOnlyDSN(path string) string {
	how := "mode=ro"
	switch {
	case isWritable(path) && isWritable(filepath.Dir(path)):
		how = "mode=rw"
	case !hasBytes(path + "-wal"):
		how = "mode=ro&immutable=1" // no side files can be made, and none are needed
	}
	return uri(path, how+"&_busy_timeout=5000")
}

// connectReadOnly opens a file for reading. Where a database that nobody uses cannot be opened as usual, because there
// is no room for the shared-memory file beside it, the file is read without one. how holds further settings of the
// connections.
func connectReadOnly(path, how string, most int) (*gorm.DB, error) {
	db, err := connectAndRead(readOnlyDSN(path)+how, most)
	if isFull(err) && !hasBytes(path+"-wal") {
		return connectAndRead(uri(path, "mode=ro&immutable=1")+how, most)
	}
	return db, err
}

// connectAndRead opens a file and reads from it once.
func connectAndRead(dsn string, most int) (*gorm.DB, error) {
	db, err := connect(dsn, most)
	if err != nil {
		return nil, err
	}
	var version int64
	if err := db.Raw("PRAGMA schema_version").Scan(&version).Error; err != nil {
		return nil, errors.Join(err, disconnect(db))
	}
	return db, nil
}

const queryOnly = "&_query_only=1"

func isWritable(path string) bool {
	const writing = 2 // W_OK of access(2)
	return syscall.Access(path, writing) == nil
}

// disconnect closes what connect has opened.
func disconnect(db *gorm.DB) error {
	pool, err := db.DB()
	if err != nil {
		return err
	}
	if err := pool.Close(); !errors.Is(err, net.ErrClosed) { // one that was given up is closed already
		return err
	}
	return nil
}
