// Package frontend holds the pages as they are served: plain HTML, CSS and ES modules, without a build step.
package frontend

import (
	"embed"
	"io/fs"
)

//go:embed *.html *.js assets
var files embed.FS

// Files are the pages at the root, the service worker sw.js, and everything they load under assets/.
func Files() fs.FS { return files }
