package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// OpenForReading opens a database that another process may be using, only to read. It takes no lock, makes nothing and
// brings nothing up to date: a schema that this program would have to change first is refused.
func OpenForReading(ctx context.Context, db string, o Options) (*Store, error) {
	s := newStore(o)
	open := s.visitFile
	if OnServer(db) {
		open = s.visitServer
	}
	if err := open(ctx, db); err != nil {
		return nil, errors.Join(err, s.release())
	}
	s.writer = s.reader // which refuses to write
	s.writing <- struct{}{}
	return s, nil
}

func (s *Store) visitFile(ctx context.Context, path string) (err error) {
	if s.path, err = locateExisting(path); err != nil {
		return err
	}
	if err := isOurs(s.path); err != nil {
		return err
	}
	if s.reader, err = connectGuest(s.path, onlyQueries, readers); err != nil {
		return openError(s.path, err)
	}
	behind, err := schemaBehind(s.reader.WithContext(ctx), s.path)
	if err != nil {
		return openError(s.path, err)
	}
	if behind != "" {
		return fleet.Errorf(fleet.Unavailable, "%s has the schema %s of an earlier version: start the program once to bring it up to date", s.path, behind)
	}
	return openError(s.path, s.readState(ctx))
}

func (s *Store) visitServer(ctx context.Context, db string) (err error) {
	s.path = Name(db)
	config, err := readURL(db)
	if err != nil {
		return err
	}
	ids, err := migrationIDs()
	if err != nil {
		return err
	}
	s.server = &server{config: config, newest: ids[len(ids)-1]}
	if s.reader, err = s.server.connect(serverReaders); err != nil {
		return s.server.openError(s.path, err)
	}
	look := s.reader.WithContext(ctx)
	if err := lookInsideServer(look, s.path, ids); err != nil {
		return s.server.openError(s.path, err)
	}
	var done []string
	if look.Migrator().HasTable("migrations") {
		if err := look.Table("migrations").Order("id").Pluck("id", &done).Error; err != nil {
			return s.server.openError(s.path, err)
		}
	}
	if len(done) < len(ids) {
		return fleet.Errorf(fleet.Unavailable, "%s is not up to date: start the program once to bring it there", s.path)
	}
	return s.server.openError(s.path, s.readState(ctx))
}

// locateExisting follows path to a file that must be there.
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

// guestDSN is how a file is read that another process may own. It is opened for writing where that is allowed, although
// nothing is written: of several connections the last to close tidies up the write-ahead log, and one that may only read
// would leave it lying there.
func guestDSN(path string) string {
	how := "mode=ro"
	switch {
	case mayWrite(path) && mayWrite(filepath.Dir(path)):
		how = "mode=rw"
	case !hasBytes(path + "-wal"):
		how = "mode=ro&immutable=1" // no side files can be made, and none are needed
	}
	return uri(path, how+"&_busy_timeout=5000")
}

// connectGuest opens a file to read it. Where a database that nobody uses cannot be opened as usual because there is no
// room for the memory that processes share beside it, it is read as it lies there. How is what else the connections are
// to be.
func connectGuest(path, how string, most int) (*gorm.DB, error) {
	db, err := connectLooking(guestDSN(path)+how, most)
	if isFull(err) && !hasBytes(path+"-wal") {
		return connectLooking(uri(path, "mode=ro&immutable=1")+how, most)
	}
	return db, err
}

// connectLooking opens a file and looks into it.
func connectLooking(dsn string, most int) (*gorm.DB, error) {
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

const onlyQueries = "&_query_only=1"

func mayWrite(path string) bool {
	const writing = 2 // W_OK of access(2)
	return syscall.Access(path, writing) == nil
}

// disconnect closes what connect has opened.
func disconnect(db *gorm.DB) error {
	pool, err := db.DB()
	if err != nil {
		return err
	}
	return pool.Close()
}
