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

// Kept is what a restore has kept of what was there before, by the files' new names, "" for what was not there.
type Kept struct {
	Database string // where it could not be made whole without its log, the log lies beside it
	Orphan   string // a log that belongs to neither: it lies there as if beside its own database
}

// Restore puts the copy in file in the place of the database at path, which nobody may be using. Killed at any moment,
// it leaves the one or the other in place, and what was there before is still there.
func Restore(ctx context.Context, file, path string, now time.Time) (kept Kept, err error) {
	if OnServer(path) {
		return kept, fleet.Errorf(fleet.Unavailable, "a database on a server is put back with the server's own pg_restore or psql")
	}
	if path, err = locate(path); err != nil {
		return kept, err
	}
	if file, err = locateExisting(file); err != nil {
		return kept, err
	}
	if file == path {
		return kept, fleet.Errorf(fleet.Unavailable, "%s is the database itself: give the file of a copy", file)
	}
	lock, err := takeLock(path)
	if err != nil {
		return kept, err
	}
	defer func() { err = errors.Join(err, lock.release()) }()

	found, err := Check(ctx, file)
	if err != nil {
		return kept, err
	}
	if len(found.Found) > 0 {
		return kept, fleet.Errorf(fleet.Unavailable, "%s is not whole, and was not put back: %s", file, found.Found[0])
	}
	r := restoring{file: file, path: path, now: now}
	defer func() { r.ready.discard() }()
	for _, step := range r.steps() {
		if err := step(ctx); err != nil {
			return r.kept, err
		}
	}
	return r.kept, nil
}

// restoring is a restore under way.
type restoring struct {
	file, path string
	now        time.Time
	ready      part
	kept       Kept
}

// steps may be cut short after any of them, or in it. Once the database has a second name, what lies beside its first
// would be taken for the new file's own: a journal without a question, a log not by this program. So the one goes
// before the new file comes, the other after.
func (r *restoring) steps() []func(context.Context) error {
	return []func(context.Context) error{
		r.copy,
		r.setAside,
		func(context.Context) error { return removeSides(r.path, "-journal") },
		func(context.Context) error { return replace(r.ready.name(), r.path) },
		func(context.Context) error { return removeSides(r.path, "-wal", "-shm") },
		func(ctx context.Context) error { return isCopied(ctx, r.file, r.path) },
	}
}

// copy makes a copy of the copy: what stands in the place of the database is never half there, and the file given stays
// as it is.
func (r *restoring) copy(ctx context.Context) (err error) {
	if r.ready, err = newPart(r.path); err != nil {
		return err
	}
	return copyInto(ctx, func() (*gorm.DB, error) { return connectGuest(r.file, "", 1) }, r.file, r.ready.name())
}

// setAside gives the database, and what lies beside it, a second name, so that another can take its place.
func (r *restoring) setAside(ctx context.Context) error {
	own, err := fold(ctx, r.path)
	if err != nil {
		return err
	}
	name := r.path + beforeRestore + r.now.UTC().Format("2006-01-02T150405Z")
	if !own && hasBytes(r.path+"-wal") {
		r.kept.Orphan = free(name+"-orphan") + "-wal"
		if err := keepAs(r.path+"-wal", r.kept.Orphan); err != nil {
			return err
		}
	}
	name = free(name)
	for _, side := range keptSides {
		if !hasBytes(r.path+side) || !own && side == "-wal" {
			continue
		}
		if err := keepAs(r.path+side, name+side); err != nil {
			return err
		}
		if side == "" {
			r.kept.Database = name
		}
	}
	return toDisk(filepath.Dir(r.path))
}

// fold sees to it that a database is whole without its log, if it can be, and says whether the log beside it is its
// own.
func fold(ctx context.Context, path string) (own bool, err error) {
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
	switch err := foldLog(ctx, path); {
	case errors.As(err, &s) && (s.Code == sqlite3.ErrBusy || s.Code == sqlite3.ErrLocked):
		return false, openError(path, err)
	case ctx.Err() != nil:
		return false, ctx.Err()
	}
	return true, nil // or it is damaged, which may be why it is to be replaced: its log is kept with it
}

// beforeRestore follows the name of a database in that of the one that a restore has replaced.
const beforeRestore = ".before-restore-"

// keptSides end the names of the files that hold something: the database, its log, and the journal that another program
// may have left.
var keptSides = []string{"", "-wal", "-journal"}

// free is a name that nothing has yet, nor a file beside it: the one given, or that with a number.
func free(name string) string {
	next := name
	taken := func(side string) bool {
		_, err := os.Lstat(next + side)
		return err == nil
	}
	for n := 2; slices.ContainsFunc(keptSides, taken) && n < 1000; n++ {
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

// finishRestore is for a start after a restore that was killed between its last two steps: the copy is in its place,
// and the log of the database before, which is kept under another name already, still lies beside it.
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

// foldLog takes the database for itself, which nobody else may have open, and writes what is in its log into the file.
func foldLog(ctx context.Context, path string) error {
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

// keepAs gives a file a second name, or makes a copy of it where the file system knows no second names.
func keepAs(name, second string) error {
	err := os.Link(name, second)
	if err == nil {
		return closeToOthers(second)
	}
	if errors.Is(err, os.ErrExist) {
		return fmt.Errorf("keeping %s: %w", name, err)
	}
	from, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("keeping %s: %w", name, err)
	}
	defer from.Close()
	to, err := os.OpenFile(second, os.O_WRONLY|os.O_CREATE|os.O_EXCL, ownerOnly)
	if err != nil {
		return fmt.Errorf("keeping %s: %w", name, err)
	}
	_, err = io.Copy(to, from)
	if err = errors.Join(err, to.Sync(), to.Close()); err != nil {
		return errors.Join(fmt.Errorf("keeping %s: %w", name, err), os.Remove(second))
	}
	return nil
}
