package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/mattn/go-sqlite3"
	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// Replaced holds the new names of the files that a restore has set aside, "" for those that were not there.
type Replaced struct {
	Database string // where it could not be made whole without its log, the log lies beside it
	Orphan   string // a log that belongs to neither: it lies there as if beside its own database
}

// Restore puts the copy in file in the place of the database at path, which nobody may be using. Killed at any moment,
// it leaves the one or the other in place, and what was there before is still there.
func Restore(ctx context.Context, file, path string, now time.Time) (Replaced, error) {
	return schema{migrations}.restore(ctx, file, path, now)
}

func (s schema) restore(ctx context.Context, file, path string, now time.Time) (replaced Replaced, err error) {
	if OnServer(path) {
		return replaced, fleet.Errorf(fleet.Unavailable,
			"a database on a server is put back with the server's own pg_restore or psql")
	}
	if path, err = locate(path); err != nil {
		return replaced, err
	}
	if file, err = locateExisting(file); err != nil {
		return replaced, err
	}
	if file == path {
		return replaced, fleet.Errorf(fleet.Unavailable, "%s is the database itself: give the file of a copy", file)
	}
	lock, err := takeLock(path)
	if err != nil {
		return replaced, err
	}
	defer func() { err = errors.Join(err, lock.release()) }()

	found, err := s.check(ctx, file)
	if err != nil {
		return replaced, err
	}
	if len(found.Found) > 0 {
		return replaced, fleet.Errorf(fleet.Unavailable, "%s is not whole, and was not put back: %s", file,
			found.Found[0])
	}
	r := restoring{schema: s, file: file, path: path, now: now}
	defer func() { r.ready.discard() }()
	for _, step := range r.steps() {
		if err := step(ctx); err != nil {
			return r.replaced, err
		}
	}
	return r.replaced, nil
}

// restoring is a restore in progress.
type restoring struct {
	schema     schema
	file, path string
	now        time.Time
	ready      partialCopy
	replaced   Replaced
}

// steps lists the steps of a restore, which may be interrupted in or after each. Once the database has a second name,
// SQLite would take the files beside its first name for those of the new file. It would apply a journal unasked, so the
// journal is removed before the new file comes; a start of this program recognizes a foreign log, so the log is removed
// after.
func (r *restoring) steps() []func(context.Context) error {
	return []func(context.Context) error{
		r.copy,
		r.setAside,
		func(context.Context) error { return removeSides(r.path, "-journal") },
		func(context.Context) error { return replace(r.ready.name(), r.path) },
		func(context.Context) error { return removeSides(r.path, "-wal", "-shm") },
		func(ctx context.Context) error { return r.schema.verifyCopied(ctx, r.file, r.path) },
	}
}

// copy makes a copy of the given file, so that the place of the database never holds half a file, and the given file
// stays as it is.
func (r *restoring) copy(ctx context.Context) (err error) {
	if r.ready, err = newPartialCopy(r.path); err != nil {
		return err
	}
	return r.schema.copyInto(ctx, func() (*gorm.DB, error) {
		return connectReadOnly(r.file, "", 1)
	}, r.file, r.ready.name())
}

// setAside gives the database, and the files beside it, a second name, so that another database can take its place.
func (r *restoring) setAside(ctx context.Context) error {
	own, err := checkpointOwnLog(ctx, r.path)
	if err != nil {
		return err
	}
	name := r.path + beforeRestore + r.now.UTC().Format("2006-01-02T150405Z")
	if !own && hasBytes(r.path+"-wal") {
		r.replaced.Orphan = freeName(name+"-orphan") + "-wal"
		if err := secondName(r.path+"-wal", r.replaced.Orphan); err != nil {
			return err
		}
	}
	name = freeName(name)
	for _, side := range dataSides {
		if !hasBytes(r.path+side) || !own && side == "-wal" {
			continue
		}
		if err := secondName(r.path+side, name+side); err != nil {
			return err
		}
		if side == "" {
			r.replaced.Database = name
		}
	}
	return toDisk(filepath.Dir(r.path))
}

// checkpointOwnLog writes the log of a database into its file, where it can, and says whether the log beside it is its
// own.
func checkpointOwnLog(ctx context.Context, path string) (own bool, err error) {
	if !hasBytes(path) {
		return false, nil
	}
	b, err := firstBytes(path)
	if err != nil {
		return false, err
	}
	if !b.isDatabase() {
		return true, nil // damaged, as far as anybody knows
	}
	if b.applicationID() != applicationID && b.applicationID() != 0 {
		return false, foreign(path)
	}
	if own, err := ownLog(path); !own || err != nil {
		return false, err
	}
	var s sqlite3.Error
	switch err := checkpointAlone(ctx, path); {
	case errors.As(err, &s) && (s.Code == sqlite3.ErrBusy || s.Code == sqlite3.ErrLocked):
		return false, openError(path, err)
	case ctx.Err() != nil:
		return false, ctx.Err()
	}
	return true, nil // or it is damaged, which may be why it is to be replaced: its log is kept with it
}

// beforeRestore stands between the name of a database and the time, in the name of one that a restore has replaced.
const beforeRestore = ".before-restore-"

// dataSides are the suffixes of the files that hold data: the database, its log, and the journal that another program
// may have left.
var dataSides = []string{"", "-wal", "-journal"}

// freeName returns the given name, or it with a number, so that neither the file nor one beside it exists.
func freeName(name string) string {
	next := name
	taken := func(side string) bool {
		_, err := os.Lstat(next + side)
		return err == nil
	}
	for n := 2; slices.ContainsFunc(dataSides, taken) && n < 1000; n++ {
		next = fmt.Sprintf("%s-%d", name, n)
	}
	return next
}

// removeSides removes files from beside a database.
func removeSides(path string, sides ...string) error {
	for _, side := range sides {
		if err := os.Remove(path + side); err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("removing %s: %w", path+side, err)
		}
	}
	return toDisk(filepath.Dir(path))
}

// finishRestore completes, at a start, a restore that was killed between its last two steps: the copy is in its place,
// and the log of the earlier database, which is stored under another name already, is still beside it.
func finishRestore(path string) error {
	if !hasBytes(path) {
		return nil
	}
	if b, err := firstBytes(path); err != nil || !b.isDatabase() {
		return err
	}
	if own, err := ownLog(path); own || err != nil {
		return err
	}
	log, err := os.Stat(path + "-wal")
	if err != nil {
		return nil
	}
	names, err := namesIn(filepath.Dir(path), filepath.Base(path)+beforeRestore, "-wal")
	if err != nil {
		return err
	}
	for _, name := range names {
		if its, err := os.Stat(name); err == nil && os.SameFile(its, log) {
			return removeSides(path, "-wal", "-shm")
		}
	}
	return nil
}

// checkpointAlone opens a database that nobody else may have open, and writes its log into the file.
func checkpointAlone(ctx context.Context, path string) error {
	db, err := connect(uri(path, "mode=rw&_busy_timeout=5000&_locking_mode=EXCLUSIVE"), 1)
	if err != nil {
		return err
	}
	db = db.WithContext(ctx)
	for _, statement := range []string{"BEGIN EXCLUSIVE", "COMMIT", "PRAGMA wal_checkpoint(TRUNCATE)"} {
		if err = db.Exec(statement).Error; err != nil {
			break
		}
	}
	return errors.Join(err, disconnect(db))
}

// secondName makes a hard link to a file, or a copy where the file system has no hard links.
func secondName(name, second string) error {
	err := os.Link(name, second)
	if err == nil {
		return restrictToOwner(second)
	}
	if !errors.Is(err, os.ErrExist) {
		err = copyFile(name, second)
	}
	return wrapped(err, "keeping %s", name)
}

func copyFile(name, second string) error {
	from, err := os.Open(name)
	if err != nil {
		return err
	}
	defer from.Close()
	to, err := os.OpenFile(second, os.O_WRONLY|os.O_CREATE|os.O_EXCL, ownerOnly)
	if err != nil {
		return err
	}
	_, err = io.Copy(to, from)
	if err = errors.Join(err, to.Sync(), to.Close()); err != nil {
		err = errors.Join(err, os.Remove(second))
	}
	return err
}
