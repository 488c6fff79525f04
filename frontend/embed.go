// Package frontend holds the pages as they are served: plain HTML, CSS and ES modules, without a build step.
package frontend

import (
	"embed"
	"io/fs"
)

//go:embed *.html frame.tmpl *.js assets
var files embed.FS

// Files are the pages at the root, as templates of html/template with what they share in frame.tmpl, the service worker
// sw.js, and everything they load under assets/.
func Files() fs.FS { return files }
