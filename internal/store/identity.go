package store

import (
	"errors"
	"fmt"
	"os"
)

// identity is where the files of a database were when it was opened.
type identity struct {
	names []string
	were  []os.FileInfo
}

// identify stores which files the database and its log are now.
func identify(path string) (p identity, err error) {
	for _, name := range []string{path, path + "-wal"} {
		about, err := os.Stat(name)
		if err != nil {
			return identity{}, fmt.Errorf("looking at %s: %w", name, err)
		}
		p.names, p.were = append(p.names, name), append(p.were, about)
	}
	return p, nil
}

// checkWritable refuses a write while the files are not where they were, or were made read-only. A process may go on
// writing to a file after it has been removed, replaced or closed to everybody; what it acknowledged then would be
// lost.
func (p identity) checkWritable() error {
	if err := p.check(); err != nil {
		return err
	}
	for _, name := range p.names {
		if about, err := os.Stat(name); err == nil && about.Mode()&0o222 == 0 {
			return unavailable(fmt.Errorf("%s has mode %s", name, about.Mode()),
				"the database can only be read just now; nothing was changed")
		}
	}
	return nil
}

// check looks whether the files are where they were.
func (p identity) check() error {
	for i, name := range p.names {
		about, err := os.Stat(name)
		switch {
		case errors.Is(err, os.ErrNotExist), err == nil && !os.SameFile(about, p.were[i]):
			return unavailable(fmt.Errorf("%s is not the file it was", name),
				"the file of the database was moved, removed or replaced while the program runs; "+
					"nothing was changed; its keeper has to put it back, or start the program again")
		case err != nil:
			return unavailable(err, "the storage does not answer as it should; nothing was changed")
		}
	}
	return nil
}
