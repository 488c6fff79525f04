package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// part is a copy that is being made. A process that is killed leaves it lying there: SQLite can only write to a file
// that has a name. It is locked while its process lives, so that the next to make a copy in the folder can tell what
// may go.
type part struct{ file *os.File }

const (
	partPrefix = "evenpull-"
	partSuffix = ".part"
)

// newPart makes an empty one in the folder of the file that it is to become, and removes what was left there.
func newPart(to string) (part, error) {
	folder := filepath.Dir(to)
	_ = RemoveUnfinishedCopies(folder) // one that cannot be removed is in nobody's way
	for {
		file, err := os.CreateTemp(folder, partPrefix+"copy-*"+partSuffix)
		if err != nil {
			return part{}, fleetError(err,
				"no file can be made in the folder of %s: make it writable, or give a file in another one", to)
		}
		p := part{file}
		// Where files cannot be locked, the copy is made all the same; what a killed one leaves then stays.
		err = syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EWOULDBLOCK) && isAt(file, p.name()) {
			return p, nil
		}
		file.Close() // taken for one that was left, before it was locked
	}
}

func (p part) name() string { return p.file.Name() }

// discard removes it, unless it has become what it was to be.
func (p part) discard() {
	if p.file == nil {
		return
	}
	if isAt(p.file, p.name()) {
		removePart(p.name())
	}
	p.file.Close()
}

func removePart(name string) error {
	os.Remove(name + "-journal")
	return os.Remove(name)
}

// RemoveUnfinishedCopies removes from a folder what processes that were killed while they made copies have left there.
func RemoveUnfinishedCopies(folder string) error {
	names, err := namesIn(folder, partPrefix, partSuffix)
	if err != nil {
		return err
	}
	var errs []error
	for _, name := range names {
		errs = append(errs, removeIfLeft(name))
	}
	return errors.Join(errs...)
}

func removeIfLeft(name string) error {
	file, err := os.OpenFile(name, os.O_RDWR|syscall.O_NOFOLLOW, 0)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("removing a copy that was not finished: %w", err)
	}
	defer file.Close()
	if syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) != nil || !isAt(file, name) {
		return nil // it is being made
	}
	if err := removePart(name); err != nil {
		return fmt.Errorf("removing a copy that was not finished: %w", err)
	}
	return nil
}

// namesIn lists the files in a folder whose names begin and end so.
func namesIn(folder, prefix, suffix string) (names []string, err error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, fmt.Errorf("looking into %s: %w", folder, err)
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), prefix) && strings.HasSuffix(e.Name(), suffix) {
			names = append(names, filepath.Join(folder, e.Name()))
		}
	}
	return names, nil
}
