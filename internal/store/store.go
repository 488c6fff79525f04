// Package store keeps the fleet in a SQLite file or in a PostgreSQL database: rows, migrations, transactions. It knows
// nothing of what the numbers mean. What it hands out and takes in are the types of package fleet; its own rows stay
// inside.
//
// One process owns a file; several may share a database on a server. Writes run one after another, across all
// processes; reads have their own pool of connections and wait for no writer.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/logger"

	"evenpull/internal/fleet"
)

// readers is the number of connections to a file that read. Most requests do not need one: they are answered from
// memory.
const readers = 4

// Options are what a Store needs from outside. Both have defaults.
type Options struct {
	Now func() time.Time
	Log *slog.Logger

	migrations fs.FS // those of this version, but for tests
}

// Store is one open database. Safe for use by many goroutines.
type Store struct {
	path     string  // of the file; on a server, its address without user and password
	server   *server // nil for a file
	now      func() time.Time
	log      *slog.Logger
	schema   schema
	lock     *lock    // of a file that this process owns
	identity identity // of that file
	reserve  reserve  // beside that file
	vfs      string   // how SQLite gets at it, "" as usual
	writer   *gorm.DB
	reader   *gorm.DB
	writing  chan struct{} // holds one token: whoever has it may write
	revision atomic.Int64
	salt     []byte
	closing  sync.Once
	closed   chan struct{}
}

// Open opens a database, makes it when there is none, and brings its schema up to date. db is a file or the URL of a
// database on a PostgreSQL server. What cannot be used is left as it is; the error is one line that names it, without
// its password, and says what to do.
func Open(ctx context.Context, db string, o Options) (*Store, error) {
	s := newStore(o)
	open := s.openFile
	if OnServer(db) {
		open = s.openServer
	}
	if err := open(ctx, db); err != nil {
		return nil, errors.Join(err, s.release())
	}
	s.writing <- struct{}{}
	return s, nil
}

// newStore is a store that is not open yet.
func newStore(o Options) *Store {
	s := &Store{
		now: o.Now, log: o.Log, schema: schema{o.migrations}, writing: make(chan struct{}, 1),
		closed: make(chan struct{}),
	}
	if o.migrations == nil {
		s.schema = schema{migrations}
	}
	if s.now == nil {
		s.now = time.Now
	}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	return s
}

func (s *Store) openFile(ctx context.Context, path string) (err error) {
	if s.path, err = locate(path); err != nil {
		return err
	}
	// The lock comes first: a file looked at while its owner writes to it may seem damaged.
	if s.lock, err = takeLock(s.path); err != nil {
		return err
	}
	_ = RemoveUnfinishedCopies(filepath.Dir(s.path)) // one that cannot be removed is in nobody's way
	if err := finishRestore(s.path); err != nil {
		return err
	}
	if err := s.schema.inspect(ctx, s.path); err != nil {
		return err
	}
	if err := s.lock.takeFile(s.path, os.O_CREATE); err != nil {
		return err
	}
	if err := restrictToOwner(s.path, s.path+"-wal", s.path+"-shm", s.path+".lock"); err != nil {
		s.log.WarnContext(ctx, "others may read the database", "file", s.path, "error", err)
	}
	err = s.connectFile(ctx)
	if isFull(err) {
		// There is no room for the shared-memory file of SQLite. Without it, one process can use the database.
		s.vfs = "&vfs=unix-excl"
		if err = errors.Join(s.disconnect(), s.connectFile(ctx)); err == nil {
			os.Remove(s.path + "-shm") // as far as there was room for it; nobody else has the file open now
		}
	}
	if err == nil {
		s.reserve.in = s.lock.name
		s.reserve.fill()
	}
	return openError(s.path, err)
}

func (s *Store) connectFile(ctx context.Context) (err error) {
	if s.writer, err = connect(writerDSN(s.path)+s.vfs, 1); err != nil {
		return err
	}
	if err := s.copyBeforeMigration(ctx); err != nil {
		return err
	}
	if err := s.migrate(ctx); err != nil {
		return err
	}
	full := renewStamp(ctx, s.writer)
	if full != nil && !isFull(full) {
		return full
	}
	if s.reader, err = connect(readerDSN(s.path)+s.vfs, readers); err != nil {
		return err
	}
	if err := openAll(ctx, s.reader, readers); err != nil {
		return err
	}
	if s.identity, err = identify(s.path); err != nil {
		return err
	}
	if err := s.readState(ctx); err != nil {
		return err
	}
	if full != nil || s.vfs != "" {
		s.log.WarnContext(ctx, "there is no room left for the database: what is stored can be read, "+
			"and writes are refused until there is some", "file", s.path, "others can read it meanwhile", s.vfs == "")
	}
	return nil
}

// readState reads the row of table state at the start.
func (s *Store) readState(ctx context.Context) error {
	var state stateRow
	if err := s.reader.WithContext(ctx).Take(&state).Error; err != nil {
		return fmt.Errorf("asking the database for its state: %w", err)
	}
	s.revision.Store(state.Revision)
	s.salt = state.KeySalt
	return nil
}

// pooled opens a database on a pool of at most that many connections, which stay open, and closes the pool where it
// cannot.
func pooled(of gorm.Dialector, pool *sql.DB, most int) (*gorm.DB, error) {
	pool.SetMaxOpenConns(most)
	pool.SetMaxIdleConns(most)
	db, err := gorm.Open(of, &gorm.Config{
		Logger:                 logger.Discard, // errors are returned, and logged by whoever answers for them
		SkipDefaultTransaction: true,           // Read and Write open their own
	})
	if err != nil {
		return nil, errors.Join(err, pool.Close())
	}
	return db, nil
}

// stateRow is the one row of table state.
type stateRow struct {
	ID       int64 `gorm:"primaryKey"`
	Revision int64
	KeySalt  []byte
}

func (stateRow) TableName() string { return "state" }

// KeySalt is this database's own salt for the hashes of keys.
func (s *Store) KeySalt() []byte { return s.salt }

// Ping says whether the database answers.
func (s *Store) Ping(ctx context.Context) error {
	return s.Read(ctx, func(r *Reads) error {
		return wrapped(r.db.Take(&stateRow{}).Error, "asking the database for its state")
	})
}

// Close ends what is running, writes the write-ahead log into the file and closes it, or the connections to the server.
// A second Close does nothing.
func (s *Store) Close() (err error) {
	s.closing.Do(func() {
		close(s.closed)
		<-s.writing // never given back
		if s.lock != nil {
			// Where that fails, as on a full disk, nothing is lost: the log stays beside the file for the next start.
			if err := s.writer.Exec("PRAGMA wal_checkpoint(TRUNCATE)").Error; err != nil {
				s.log.Warn("the write-ahead log was not folded into the file, and stays beside it", "file", s.path,
					"error", err)
			}
		}
		err = s.release()
	})
	return err
}

func (s *Store) isClosed() bool {
	select {
	case <-s.closed:
		return true
	default:
		return false
	}
}

// release closes whatever is open.
func (s *Store) release() error { return errors.Join(s.disconnect(), s.lock.release()) }

// disconnect closes the connections. The readers go first, so that the writer is the last and cleans up.
func (s *Store) disconnect() error {
	var errs []error
	for _, db := range []*gorm.DB{s.reader, s.writer} {
		if db != nil {
			errs = append(errs, disconnect(db))
		}
	}
	return errors.Join(errs...)
}

func errClosed() error { return fleet.Errorf(fleet.Unavailable, "the database is closed") }
