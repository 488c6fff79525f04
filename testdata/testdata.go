// Package testdata carries the invented demo fleet inside the program, as files that the bulk importer itself
// reads. No sled, owner, class, show or place in it is real.
package testdata

import (
	"embed"
	"io/fs"
)

//go:embed demo
var files embed.FS

// Demo is the demo fleet: sleds.json (a list of sleds as they are posted), readings.csv (as posted in bulk, distances
// in feet), set-aside.json (which of those readings do not count, each named by its sled, gear, start_ft, distance_ft
// and measured_on, with the reason), weighings.csv (as posted in bulk, in feet and pounds), changes.json (a list of
// changes of parts as they are posted, each with the sled's id beside), classes.json (a list of classes as they are
// posted) and shows.json (a list of shows as they are posted, each with as_run and outcomes beside: what was noted of
// its classes, by the class's id).
func Demo() fs.FS {
	demo, err := fs.Sub(files, "demo")
	if err != nil {
		panic(err) // "demo" is a valid path, so this cannot happen
	}
	return demo
}
