package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// ownerOnly is who may use a database and whatever belongs to it, copies included: the user that the program runs as.
// SQLite gives the files that it puts beside a database the same rights.
const ownerOnly fs.FileMode = 0o600

// closeToOthers takes from files what others may do with them. Those that are not there are left out.
func closeToOthers(names ...string) error {
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
