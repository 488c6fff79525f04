// Package testdata carries the invented demo fleet inside the program, as files that the bulk importer itself
// reads. No sled, owner or place in it is real.
package testdata

import (
	"embed"
	"io/fs"
)

//go:embed demo
var files embed.FS

// Demo is the demo fleet: sleds.json (a list of sleds as they are posted), readings.csv (as posted in bulk, distances
// in feet) and set-aside.json (which of those readings do not count, each named by its sled, gear, start_ft,
// distance_ft and measured_on, with the reason).
func Demo() fs.FS {
	demo, err := fs.Sub(files, "demo")
	if err != nil {
		panic(err) // "demo" is a valid path, so this cannot happen
	}
	return demo
}
