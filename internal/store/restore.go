package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/mattn/go-sqlite3"

	"evenpull/internal/fleet"
)

// Restore puts the copy in file in the place of the database at path, which nobody may be using. The database that was
// there stays beside it; kept is where, "" where there was none. Killed at any moment, it leaves the one or the other in
// place, and what was there before is still there.
func Restore(ctx context.Context, file, path string, now time.Time) (kept string, err error) {
	if OnServer(path) {
		return "", fleet.Errorf(fleet.Unavailable, "a database on a server is put back with the server's own pg_restore or psql")
	}
	if path, err = locate(path); err != nil {
		return "", err
	}
	if file, err = locateExisting(file); err != nil {
		return "", err
	}
	if file == path {
		return "", fleet.Errorf(fleet.Unavailable, "%s is the database itself: give the file of a copy", file)
	}
	lock, err := takeLock(path)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, lock.release()) }()

	found, err := Check(ctx, file)
	if err != nil {
		return "", err
	}
	if len(found.Found) > 0 {
		return "", fleet.Errorf(fleet.Unavailable, "%s is not whole, and was not put back: %s", file, found.Found[0])
	}
	// A copy of the copy: what stands in the place of the database is never half there, and the file given stays as it is.
	ready := path + ".restoring"
	removeCopy(ready) // left by a restore that was killed; the lock says that no other is under way
	defer removeCopy(ready)
	if err := copyInto(ctx, guestDSN(file), file, ready); err != nil {
		return "", err
	}
	if kept, err = setAside(ctx, path, now); err != nil {
		return "", err
	}
	return kept, replace(ready, path)
}

// setAside gives the database at path a second name beside it, and sees to it that the file is whole without a log, so that
// another can take its place.
func setAside(ctx context.Context, path string, now time.Time) (kept string, err error) {
	if !hasBytes(path) {
		return "", nil
	}
	b, err := firstBytes(path)
	if err != nil {
		return "", err
	}
	if b.isDatabase() && b.applicationID() != applicationID && b.applicationID() != 0 {
		return "", foreign(path)
	}
	var s sqlite3.Error
	switch err := foldLog(ctx, path); {
	case errors.As(err, &s) && (s.Code == sqlite3.ErrBusy || s.Code == sqlite3.ErrLocked):
		return "", openError(path, err)
	case ctx.Err() != nil:
		return "", ctx.Err()
	case err != nil: // damaged, which may be why it is to be replaced: its log is kept with it
	}
	kept = free(path + ".before-restore-" + now.UTC().Format("2006-01-02T150405Z"))
	sides := []string{"-wal", "-journal"}
	for _, side := range append([]string{""}, sides...) {
		if side != "" && !hasBytes(path+side) {
			continue
		}
		if err := keepAs(path+side, kept+side); err != nil {
			return "", err
		}
	}
	if err := toDisk(filepath.Dir(path)); err != nil {
		return "", err
	}
	// From here on the database is safe under its second name. A log left beside the new file would be taken for its own.
	for _, side := range append(sides, "-shm") {
		if err := os.Remove(path + side); err != nil && !errors.Is(err, os.ErrNotExist) {
			return "", fmt.Errorf("removing %s: %w", path+side, err)
		}
	}
	return kept, toDisk(filepath.Dir(path))
}

// free is a name that nothing has yet: the one given, or that with a number.
func free(name string) string {
	next := name
	for n := 2; ; n++ {
		if _, err := os.Lstat(next); errors.Is(err, os.ErrNotExist) || n > 1000 {
			return next
		}
		next = fmt.Sprintf("%s-%d", name, n)
	}
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
		return nil
	}
	if errors.Is(err, os.ErrExist) {
		return fmt.Errorf("keeping %s: %w", name, err)
	}
	from, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("keeping %s: %w", name, err)
	}
	defer from.Close()
	to, err := os.OpenFile(second, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return fmt.Errorf("keeping %s: %w", name, err)
	}
	_, err = io.Copy(to, from)
	if err = errors.Join(err, to.Sync(), to.Close()); err != nil {
		return errors.Join(fmt.Errorf("keeping %s: %w", name, err), os.Remove(second))
	}
	return nil
}
