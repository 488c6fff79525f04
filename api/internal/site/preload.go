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
	styleSheet   = regexp.MustCompile(`\n  <link rel="stylesheet" href="(/assets/[^"]+)">`)
	staticImport = regexp.MustCompile(`(?m)^(?:import|export)\s(?:[^'"]*?\sfrom\s*)?'(\.{1,2}/[\w./]+)';?$`)
	headEnds     = []byte("</head>")
)

// modules are the scripts among the files of the pages.
type modules struct {
	files   fs.FS
	imports map[string][]string // what each module imports, by its path; read once, many pages come to it
}

func modulesIn(files fs.FS) modules { return modules{files, map[string][]string{}} }

// preloads are links for a page's head that name every module that the page's scripts come to import. A browser finds
// imports only in what it has loaded, one level of imports at a time, and over a poor line each costs a round trip;
// named here, they are all asked for at once. They give way to the style sheets, before which nothing is painted.
// later are modules that a script imports as it runs.
func (m modules) preloads(html []byte, later ...string) ([]byte, error) {
	found := slices.Clone(later)
	for _, name := range later {
		if err := m.follow(name, &found); err != nil {
			return nil, err
		}
	}
	for _, script := range moduleScript.FindAllSubmatch(html, -1) {
		if err := m.follow(string(script[1]), &found); err != nil {
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

// follow adds what a module imports, directly or not, to those found so far.
func (m modules) follow(name string, found *[]string) error {
	imports, err := m.importsOf(name)
	if err != nil {
		return err
	}
	for _, module := range imports {
		if slices.Contains(*found, module) {
			continue
		}
		*found = append(*found, module)
		if err := m.follow(module, found); err != nil {
			return err
		}
	}
	return nil
}

func (m modules) importsOf(name string) ([]string, error) {
	if known, ok := m.imports[name]; ok {
		return known, nil
	}
	text, err := fs.ReadFile(m.files, name)
	if err != nil {
		return nil, fmt.Errorf("following the imports of the pages: %w", err)
	}
	var imports []string
	for _, of := range staticImport.FindAllSubmatch(text, -1) {
		imports = append(imports, path.Join(path.Dir(name), string(of[1])))
	}
	m.imports[name] = imports
	return imports, nil
}
