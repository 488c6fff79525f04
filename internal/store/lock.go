package store

import (
	"errors"
	"fmt"
	"os"
	"syscall"

	"evenpull/internal/fleet"
)

// lock says that this process owns a database file. It is held on a file beside the database, not on the database
// itself: SQLite keeps POSIX locks on that one, and POSIX drops all of a process's locks on a file as soon as the
// process closes any descriptor of it. The kernel lets go of the lock when the process ends, however it ends.
type lock struct {
	file *os.File
}

func takeLock(path string) (*lock, error) {
	name := path + ".lock"
	for {
		file, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|syscall.O_CLOEXEC, 0o644)
		if err != nil {
			return nil, unwritable(path, fmt.Errorf("making %s: %w", name, err))
		}
		err = syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if err != nil {
			file.Close()
			if errors.Is(err, syscall.EWOULDBLOCK) {
				return nil, fleet.Errorf(fleet.Unavailable,
					"%s is in use by another evenpull: stop that one first, or give this one another file", path)
			}
			return nil, fmt.Errorf("locking %s: %w", name, err)
		}
		// The owner before may have removed the file between the opening and the locking: then this lock is on
		// nothing that others can see.
		if still, err := os.Stat(name); err == nil {
			if mine, err := file.Stat(); err == nil && os.SameFile(still, mine) {
				return &lock{file}, nil
			}
		}
		file.Close()
	}
}

// release removes the file while the lock still holds, so that no two processes ever hold locks of the same name.
func (l *lock) release() error {
	if l == nil {
		return nil
	}
	return errors.Join(os.Remove(l.file.Name()), l.file.Close())
}
