package site

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
)

var (
	moduleScript = regexp.MustCompile(`<script type="module" src="/(assets/[^"]+)">`)
	styleSheet   = regexp.MustCompile(`\s*<link rel="stylesheet" href="(/assets/[^"]+)">`)
	staticImport = regexp.MustCompile(`(?m)^(?:import|export)\s(?:[^'"]*?\sfrom\s*)?'(\.{1,2}/[\w./]+)';?$`)
	headEnds     = []byte("</head>")
)

// preloads are links for a page's head that name every module that the page's scripts come to import. A browser finds
// imports only in what it has loaded, one floor after the other, and over a poor line each costs a journey there and
// back; named here, they are all asked for at once. They give way to the style sheets, before which nothing is painted.
// later are modules that a script imports as it runs.
func preloads(files fs.FS, html []byte, later ...string) ([]byte, error) {
	found := slices.Clone(later)
	for _, name := range later {
		if err := imports(files, name, &found); err != nil {
			return nil, err
		}
	}
	for _, script := range moduleScript.FindAllSubmatch(html, -1) {
		if err := imports(files, string(script[1]), &found); err != nil {
			return nil, err
		}
	}
	slices.Sort(found)
	var links bytes.Buffer
	for _, name := range found {
		fmt.Fprintf(&links, "  <link rel=\"modulepreload\" href=\"/%s\" fetchpriority=\"low\">\n", name)
	}
	return links.Bytes(), nil
}

// imports adds what a module imports, directly or not, to those found so far.
func imports(files fs.FS, name string, found *[]string) error {
	text, err := fs.ReadFile(files, name)
	if err != nil {
		return fmt.Errorf("following the imports of the pages: %w", err)
	}
	for _, of := range staticImport.FindAllSubmatch(text, -1) {
		module := path.Join(path.Dir(name), string(of[1]))
		if slices.Contains(*found, module) {
			continue
		}
		*found = append(*found, module)
		if err := imports(files, module, found); err != nil {
			return err
		}
	}
	return nil
}
