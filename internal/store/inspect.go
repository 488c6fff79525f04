package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/mattn/go-sqlite3"
	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// absolute returns the absolute path of a file that may not be there yet, whatever links lead to it; its folder must be
// there.
func absolute(path string) (string, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return "", fmt.Errorf("finding %s: %w", path, err)
	}
	folder, err := filepath.EvalSymlinks(filepath.Dir(full))
	if err != nil {
		return "", fleet.Errorf(fleet.Unavailable,
			"the folder for %s does not exist: make it first, or give another file", full)
	}
	full = filepath.Join(folder, filepath.Base(full))
	if real, err := filepath.EvalSymlinks(full); err == nil {
		full = real
	}
	return full, nil
}

// locate returns the absolute path of a database, and refuses a place where the file cannot be used. One file has one
// lock, whatever links lead to it.
func locate(path string) (string, error) {
	full, err := absolute(path)
	if err != nil {
		return "", err
	}
	folder := filepath.Dir(full)
	// Mode bits are looked at as well as tried, because the superuser may write where nobody is meant to.
	if about, err := os.Stat(folder); err == nil && about.Mode()&0o222 == 0 {
		return "", unwritable(full, fmt.Errorf("%s has mode %s", folder, about.Mode()))
	}
	about, err := os.Stat(full)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return full, nil
	case err != nil:
		return "", fmt.Errorf("looking at %s: %w", full, err)
	case about.IsDir():
		return "", fleet.Errorf(fleet.Unavailable, "%s is a folder: name a file in it", full)
	case !about.Mode().IsRegular():
		return "", fleet.Errorf(fleet.Unavailable, "%s is not a file: give another one", full)
	case about.Mode()&0o222 == 0:
		return "", readOnly(full, nil)
	}
	return full, nil
}

// inspect refuses a file that this program must not write to, without changing a byte of it.
func (s schema) inspect(ctx context.Context, path string) error {
	if err := refuseOrphans(path); err != nil {
		return err
	}
	about, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) || err == nil && about.Size() == 0 {
		return nil // to be made
	}
	if err != nil {
		return fmt.Errorf("looking at %s: %w", path, err)
	}
	b, err := firstBytes(path)
	if err != nil {
		return err
	}
	if !b.isDatabase() {
		return fleet.Errorf(fleet.Unavailable, "%s is not a database: give another file, or %s", path, moveAway(path))
	}
	how := "mode=ro"
	switch {
	case hasBytes(path + "-wal"):
		// Left by a process that was killed: the file is only whole together with it.
	case !hasBytes(path + "-journal"):
		// Nobody else is in it and nothing is pending: no side files are needed.
		how += "&immutable=1"
	case b.applicationID() == applicationID || about.Size() <= b.pageSize():
		how = "mode=rw" // killed while it was being made: what was begun has to be undone before it can be read
	default:
		return foreign(path)
	}
	db, err := connect(uri(path, how+"&_busy_timeout=5000"), 1)
	if err != nil {
		return openError(path, err)
	}
	defer disconnect(db)
	return openError(path, s.lookInside(db.WithContext(ctx), path))
}

func (s schema) lookInside(db *gorm.DB, path string) error {
	var id int64
	if err := db.Raw("PRAGMA application_id").Scan(&id).Error; err != nil {
		return err
	}
	var tables []string
	if err := db.Raw("SELECT name FROM sqlite_master").Scan(&tables).Error; err != nil {
		return err
	}
	if len(tables) == 0 && (id == 0 || id == applicationID) {
		return nil // a database without anything in it, as after a kill at the first start
	}
	if id != applicationID {
		return foreign(path)
	}
	var found []string
	if err := db.Raw("PRAGMA quick_check(1)").Scan(&found).Error; err != nil {
		return err
	}
	if !slices.Equal(found, []string{"ok"}) {
		return damaged(path, fmt.Errorf("quick_check: %s", strings.Join(strings.Fields(strings.Join(found, " ")), " ")))
	}
	_, err := s.applied(db, path)
	return err
}

func hasBytes(path string) bool {
	about, err := os.Stat(path)
	return err == nil && about.Size() > 0
}

func foreign(path string) error {
	return fleet.Errorf(fleet.Unavailable, "%s is a database of another program: give another file", path)
}

func readOnly(path string, cause error) error {
	return unavailable(cause, "%s is read-only: make it writable, or give another file", path)
}

func unwritable(path string, cause error) error {
	return unavailable(cause,
		"the folder of %s cannot be written to: make it writable, or give a file in another one", path)
}

func damaged(path string, cause error) error {
	return unavailable(cause, "%s is damaged: restore a copy of it, or %s", path, moveAway(path))
}

// openError says in one line why the file cannot be opened and what to do about it.
func openError(path string, err error) error {
	var known *fleet.Error
	var s sqlite3.Error
	switch {
	case err == nil, errors.As(err, &known), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case !errors.As(err, &s):
		return fmt.Errorf("opening %s: %w", path, err)
	}
	switch s.Code {
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return unavailable(err, "%s is in use by another program: close that one first", path)
	case sqlite3.ErrCorrupt, sqlite3.ErrNotADB:
		return damaged(path, err)
	case sqlite3.ErrReadonly, sqlite3.ErrPerm:
		return readOnly(path, err)
	case sqlite3.ErrFull:
		return noRoom(path, err)
	}
	return fmt.Errorf("opening %s: %w", path, err)
}
