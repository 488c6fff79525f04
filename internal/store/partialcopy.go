package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// partialCopy is a copy that is being made. A process that is killed leaves it behind, because SQLite can only write to
// a file that has a name. It is locked while its process lives, so that the next copy in the folder can tell which ones
// to remove.
type partialCopy struct{ file *os.File }

const (
	partPrefix = "evenpull-"
	partSuffix = ".part"
)

// newPartialCopy makes an empty one in the folder of the finished copy, and removes those that killed processes left
// there.
func newPartialCopy(to string) (partialCopy, error) {
	folder := filepath.Dir(to)
	_ = RemoveUnfinishedCopies(folder) // one that cannot be removed is in nobody's way
	for {
		file, err := os.CreateTemp(folder, partPrefix+"copy-*"+partSuffix)
		if err != nil {
			return partialCopy{}, unavailable(err,
				"no file can be made in the folder of %s: make it writable, or give a file in another one", to)
		}
		p := partialCopy{file}
		// Where files cannot be locked, the copy is made without a lock, and those that killed processes left stay.
		err = syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EWOULDBLOCK) && isAt(file, p.name()) {
			return p, nil
		}
		file.Close() // taken for one that was left, before it was locked
	}
}

func (p partialCopy) name() string { return p.file.Name() }

// discard removes it, unless it has been renamed to the finished copy.
func (p partialCopy) discard() {
	if p.file == nil {
		return
	}
	if isAt(p.file, p.name()) {
		removePartialCopy(p.name())
	}
	p.file.Close()
}

func removePartialCopy(name string) error {
	os.Remove(name + "-journal")
	return os.Remove(name)
}

// RemoveUnfinishedCopies removes from a folder the partial copies that killed processes left there.
func RemoveUnfinishedCopies(folder string) error {
	names, err := namesIn(folder, partPrefix, partSuffix)
	if err != nil {
		return err
	}
	var errs []error
	for _, name := range names {
		errs = append(errs, removeIfAbandoned(name))
	}
	return errors.Join(errs...)
}

func removeIfAbandoned(name string) error {
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
	return wrapped(removePartialCopy(name), "removing a copy that was not finished")
}

// namesIn lists the files in a folder by the start and the end of their names.
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
