package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// Backup copies the database at path into file, whether a program is using it or not. An earlier copy in file is only
// replaced by one that has been checked; anything else that is there is refused.
func Backup(ctx context.Context, path, file string) error {
	if OnServer(path) {
		return notOnServer()
	}
	from, err := locateExisting(path)
	if err != nil {
		return err
	}
	if err := isOurs(from); err != nil {
		return err
	}
	return schema{migrations}.backup(ctx, from, file, func() (*gorm.DB, error) { return connectReadOnly(from, "", 1) })
}

// Backup copies the database of this store as the function Backup does. Writes continue meanwhile.
func (s *Store) Backup(ctx context.Context, file string) error {
	if s.server != nil {
		return notOnServer()
	}
	if s.isClosed() {
		return errClosed()
	}
	if err := s.identity.check(); err != nil {
		return err // of what lies there now no copy was asked for
	}
	return s.schema.backup(ctx, s.path, file, s.connectBeside)
}

// connectBeside opens the file once more, beside the connections that this process already has to it.
func (s *Store) connectBeside() (*gorm.DB, error) {
	return connect(uri(s.path, "mode=ro&_busy_timeout=5000")+s.vfs, 1)
}

func notOnServer() error {
	return fleet.Errorf(fleet.Unavailable, "a database on a server is copied with the server's own pg_dump; "+
		"GET /v1/export carries a fleet over to another database")
}

func (s schema) backup(ctx context.Context, from, file string, open func() (*gorm.DB, error)) error {
	to, err := placeForCopy(from, file)
	if err != nil {
		return err
	}
	copied, err := newPartialCopy(to)
	if err != nil {
		return err
	}
	defer copied.discard()
	if err := s.copyInto(ctx, open, from, copied.name()); err != nil {
		return err
	}
	return replace(copied.name(), to)
}

// placeForCopy returns the absolute path of a copy, and refuses to overwrite anything but an earlier copy.
func placeForCopy(from, file string) (string, error) {
	full, err := absolute(file)
	if err != nil {
		return "", err
	}
	if side, ok := strings.CutPrefix(full, from); ok && (side == "" || side == "-wal" || side == "-shm" ||
		side == "-journal" || side == ".lock") {
		return "", fleet.Errorf(fleet.Unavailable, "%s belongs to the database itself: give another file for the copy",
			full)
	}
	about, err := os.Stat(full)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return full, nil
	case err != nil:
		return "", fmt.Errorf("looking at %s: %w", full, err)
	case about.IsDir():
		return "", fleet.Errorf(fleet.Unavailable, "%s is a folder: name a file in it", full)
	case !about.Mode().IsRegular():
		return "", fleet.Errorf(fleet.Unavailable, "%s is not a file: give another one", full)
	case about.Size() == 0:
		return full, nil
	}
	if its, err := os.Stat(from); err == nil && os.SameFile(its, about) {
		return "", fleet.Errorf(fleet.Unavailable, "%s is the database itself: give another file for the copy", full)
	}
	b, err := firstBytes(full)
	switch {
	case err != nil:
		return "", err
	case !b.isDatabase() || b.applicationID() != applicationID:
		return "", fleet.Errorf(fleet.Unavailable, "%s is there already and is no copy of a fleet: give another file",
			full)
	case b.inLogMode():
		return "", fleet.Errorf(fleet.Unavailable,
			"%s is a database that the program works on, not a copy: give another file", full)
	}
	return full, nil
}

// IsCopy says whether a file looks like a finished copy: by its header, and by the length that the header gives.
func IsCopy(file string) bool {
	about, err := os.Stat(file)
	if err != nil || !about.Mode().IsRegular() {
		return false
	}
	b, err := firstBytes(file)
	return err == nil && b.isDatabase() && b.applicationID() == applicationID && !b.inLogMode() &&
		b.pages()*b.pageSize() == about.Size()
}

// copyInto copies a database into an empty or a new file, and checks the copy.
//
// VACUUM INTO reads one state of the database, however long it takes, and keeps no writer waiting; SQLite's
// page-by-page copy would begin again whenever another process writes. It reads every row, so that what is damaged does
// not pass into the copy unseen, and what it makes lies by itself, without a write-ahead log, as small as can be.
func (s schema) copyInto(ctx context.Context, open func() (*gorm.DB, error), from, to string) error {
	db, err := open()
	if err != nil {
		return openError(from, err)
	}
	err = db.WithContext(ctx).Exec("VACUUM INTO ?", to).Error
	if err = errors.Join(err, disconnect(db)); err != nil {
		return copyError(from, to, err)
	}
	if err := toDisk(to); err != nil {
		return copyError(from, to, err)
	}
	found, err := s.check(ctx, to)
	if err != nil {
		return fmt.Errorf("checking the copy of %s: %w", from, err)
	}
	if len(found.Found) > 0 {
		return fleet.Errorf(fleet.Unavailable, "the copy of %s is not whole, and was thrown away: %s", from,
			found.Found[0])
	}
	return nil
}

func copyError(from, to string, err error) error {
	if isFull(err) {
		return noRoom("the copy in "+filepath.Dir(to), err)
	}
	return openError(from, err)
}

// replace puts a file in the place of another, so that a power cut leaves the one or the other.
func replace(name, to string) error {
	if err := os.Rename(name, to); err != nil {
		return fmt.Errorf("putting the copy in its place: %w", err)
	}
	return toDisk(filepath.Dir(to))
}

// toDisk waits until a file or a folder is on the disk (fsync).
func toDisk(path string) error {
	file, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("writing %s to the disk: %w", path, err)
	}
	return wrapped(errors.Join(file.Sync(), file.Close()), "writing %s to the disk", path)
}
