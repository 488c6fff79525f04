package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// ownerOnly is the mode of a database and of all files that belong to it, copies included: only the user that the
// program runs as can use them. SQLite gives the files that it puts beside a database the same mode.
const ownerOnly fs.FileMode = 0o600

// restrictToOwner sets that mode on files. Missing files are left out.
func restrictToOwner(names ...string) error {
	for _, name := range names {
		about, err := os.Stat(name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err == nil && about.Mode().Perm()&^ownerOnly != 0 {
			err = os.Chmod(name, about.Mode().Perm()&ownerOnly)
		}
		if err != nil {
			return fmt.Errorf("keeping %s from others: %w", name, err)
		}
	}
	return nil
}
