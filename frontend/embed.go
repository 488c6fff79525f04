// Package frontend holds the pages as they are served: plain HTML, CSS and ES modules, without a build step.
package frontend

import (
	"embed"
	"io/fs"
)

//go:embed *.html assets
var files embed.FS

// Files are the pages at the root (index.html, fleet.html, worked-out.html, measuring.html) and everything they
// load under assets/.
func Files() fs.FS { return files }
