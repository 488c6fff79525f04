package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"evenpull/internal/fleet"
)

// refuseOrphans refuses a database that is missing while files that belong to it exist, and one whose log belongs to
// another database. SQLite would delete the first log and mix the second into the database.
func refuseOrphans(path string) error {
	if !hasBytes(path) {
		sides := []string{"-wal"}
		is := "is empty"
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
			sides, is = append(sides, "-journal"), "is not there"
		}
		left := withBytes(path, sides...)
		if len(left) == 0 {
			return nil
		}
		return fleet.Errorf(fleet.Unavailable, "%s %s, but what belongs to it is (%s): "+
			"put it back in its place, restore a copy of it, or move that away as well", path, is,
			strings.Join(left, ", "))
	}
	if own, err := ownLog(path); own || err != nil {
		return err
	}
	return fleet.Errorf(fleet.Unavailable, "%s-wal is the log of another database, not of %s: "+
		"put that one back in its place, restore a copy, or move the log away", path, path)
}

// withBytes lists the files beside a database that are not empty.
func withBytes(path string, sides ...string) (names []string) {
	for _, side := range sides {
		if hasBytes(path + side) {
			names = append(names, filepath.Base(path+side))
		}
	}
	return names
}

// moveAway says which files to move so that there is room for a new database.
func moveAway(path string) string {
	if left := withBytes(path, "-wal", "-shm", "-journal"); len(left) > 0 {
		return "move it away together with " + strings.Join(left, ", ") + " and a new database is made"
	}
	return "move it away and a new database is made"
}
