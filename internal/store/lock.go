package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"

	"evenpull/internal/fleet"
)

// lock shows that this process owns a database file. The kernel releases it when the process ends, however it ends.
//
// It has two parts, because a database is used by its name and by its file. SQLite names the files beside it after its
// name: so the name is locked, on a file of its own that exists before the database does. The file itself may have
// other names, and the file that locks the name may be removed: so the database is locked too, where the system can do
// that beside SQLite's locks.
type lock struct {
	name *os.File
	file *os.File // nil while there is no database
}

func takeLock(path string) (*lock, error) {
	name, err := lockName(path)
	if err != nil {
		return nil, err
	}
	l := &lock{name: name}
	if err = l.takeFile(path, 0); errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	if err == nil && !hasBytes(path) {
		err = refuseShared(path)
	}
	if err != nil {
		return nil, errors.Join(err, l.release())
	}
	return l, nil
}

func lockName(path string) (*os.File, error) {
	name := path + ".lock"
	for {
		file, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, ownerOnly)
		if err != nil {
			return nil, unwritable(path, fmt.Errorf("making %s: %w", name, err))
		}
		err = syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if err != nil {
			file.Close()
			if errors.Is(err, syscall.EWOULDBLOCK) {
				return nil, inUse(path)
			}
			return nil, fmt.Errorf("locking %s: %w", name, err)
		}
		// The previous owner may have removed the file between the opening and the locking: then this lock is on a file
		// that others cannot find.
		if isAt(file, name) {
			return file, nil
		}
		file.Close()
	}
}

// refuseShared refuses a database that is gone while a process goes on using it under its old name.
func refuseShared(path string) error {
	memory, err := os.OpenFile(path+"-shm", os.O_RDWR, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("looking at %s-shm: %w", path, err)
	}
	defer memory.Close()
	const inUseByte = 128 // locked by everybody who has the database open: UNIX_SHM_DMS in SQLite's os_unix.c
	is := syscall.Flock_t{Type: syscall.F_WRLCK, Whence: io.SeekStart, Start: inUseByte, Len: 1}
	if err := syscall.FcntlFlock(memory.Fd(), syscall.F_GETLK, &is); err != nil {
		return fmt.Errorf("looking at %s-shm: %w", path, err)
	}
	if is.Type != syscall.F_UNLCK {
		return inUse(path)
	}
	return nil
}

// isAt says whether an open file is the one of that name.
func isAt(file *os.File, name string) bool {
	there, err := os.Stat(name)
	if err != nil {
		return false
	}
	its, err := file.Stat()
	return err == nil && os.SameFile(there, its)
}

// takeFile locks the database itself; with os.O_CREATE it makes an empty one where there is none.
func (l *lock) takeFile(path string, flag int) error {
	if l.file != nil {
		return nil
	}
	file, err := os.OpenFile(path, os.O_RDWR|flag, ownerOnly)
	switch {
	case errors.Is(err, fs.ErrPermission):
		return readOnly(path, err)
	case err != nil:
		return fmt.Errorf("opening %s: %w", path, err)
	}
	err = lockBeside(file)
	switch {
	case errors.Is(err, syscall.EAGAIN), errors.Is(err, syscall.EACCES):
		return errors.Join(inUse(path), file.Close())
	case err != nil:
		return errors.Join(fmt.Errorf("locking %s: %w", path, err), file.Close())
	}
	l.file = file
	return nil
}

func inUse(path string) error {
	return fleet.Errorf(fleet.Unavailable,
		"%s is in use by another evenpull: stop that one first, or give this one another file", path)
}

// release must come after the end of every connection: closing a file releases all locks that SQLite has on it in this
// process. The file that locks the name is removed while it is still locked, so that no two processes ever hold locks
// of one name.
func (l *lock) release() error {
	if l == nil {
		return nil
	}
	var errs []error
	if l.file != nil {
		errs = append(errs, unlockBeside(l.file), l.file.Close())
	}
	if isAt(l.name, l.name.Name()) {
		errs = append(errs, os.Remove(l.name.Name()))
	}
	return errors.Join(append(errs, l.name.Close())...)
}
