package frontend_test

import (
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/frontend"
)

// layers are the folders of assets that pages share, the highest first. A module imports from its own folder and from
// lower layers. Every other folder belongs to a page and is above them all.
var layers = [][]string{{"upload"}, {"frame"}, {"offline"}, {"account", "model"}, {"lib"}}

const maxColumns = 140 // of a line of JavaScript

var (
	anyImport   = regexp.MustCompile(`\b(?:from|import)\s*\(?\s*'(\.{1,2}/[^']+)'`) // types and dynamic imports, too
	valueImport = regexp.MustCompile(`(?m)^import\s(?:[^'"]*?\sfrom\s*)?'(\.{1,2}/[^']+)'`)
	pageAsset   = regexp.MustCompile(`(?:src|href)="/(assets/[^"]+\.(?:js|css))"`)
)

// scripts are the JavaScript files by path.
func scripts(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	require.NoError(t, fs.WalkDir(frontend.Files(), ".", func(name string, _ fs.DirEntry, err error) error {
		if err != nil || path.Ext(name) != ".js" {
			return err
		}
		text, err := fs.ReadFile(frontend.Files(), name)
		all[name] = string(text)
		return err
	}))
	require.Greater(t, len(all), 50, "the walk must find the modules")
	return all
}

// layerOf is the index of a module's layer, -1 for pages, and the folder of the module in assets.
func layerOf(module string) (layer int, folder string) {
	folder, _, _ = strings.Cut(strings.TrimPrefix(module, "assets/"), "/")
	return slices.IndexFunc(layers, func(folders []string) bool { return slices.Contains(folders, folder) }), folder
}

// imported are the paths of the modules that a module imports.
func imported(imports *regexp.Regexp, name, text string) []string {
	var found []string
	for _, of := range imports.FindAllStringSubmatch(text, -1) {
		found = append(found, path.Join(path.Dir(name), of[1]))
	}
	return found
}

func TestAssets_ImportFromTheirOwnFolderOrALowerLayer(t *testing.T) {
	t.Parallel()
	all := scripts(t)
	for name, text := range all {
		layer, folder := layerOf(name)
		for _, module := range imported(anyImport, name, text) {
			assert.Contains(t, all, module, "%s imports what is not there", name)
			below, its := layerOf(module)
			assert.True(t, its == folder || below > layer, "%s imports %s", name, module)
		}
	}
}

func TestAssets_ImportWithoutCircles(t *testing.T) {
	t.Parallel()
	all := scripts(t)
	const under, done = 1, 2
	state := map[string]int{}
	var visit func(name string, from []string)
	visit = func(name string, from []string) {
		from = append(from, name)
		assert.NotEqual(t, under, state[name], "a circle of imports: %v", from)
		if state[name] != 0 {
			return
		}
		state[name] = under
		for _, module := range imported(valueImport, name, all[name]) {
			visit(module, from)
		}
		state[name] = done
	}
	for name := range all {
		visit(name, nil)
	}
}

func TestAssets_HaveLinesOfAtMost140Columns(t *testing.T) {
	t.Parallel()
	for name, text := range scripts(t) {
		number := 0
		for line := range strings.Lines(text) {
			number++
			assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), maxColumns, "%s:%d", name,
				number)
		}
	}
}

// A page has the styles and the script of its own folder, and those that pages share.
func TestAssets_OfADocumentAreOfOneFolderAndTheShared(t *testing.T) {
	t.Parallel()
	documents, err := fs.Glob(frontend.Files(), "*.html")
	require.NoError(t, err)
	require.NotEmpty(t, documents)
	for _, name := range documents {
		text, err := fs.ReadFile(frontend.Files(), name)
		require.NoError(t, err)
		folders := map[string]bool{}
		for _, asset := range pageAsset.FindAllStringSubmatch(string(text), -1) {
			_, err := fs.Stat(frontend.Files(), asset[1])
			require.NoError(t, err, name)
			if layer, folder := layerOf(asset[1]); layer < 0 {
				folders[folder] = true
			}
		}
		assert.LessOrEqual(t, len(folders), 1, "%s: %v", name, folders)
	}
}
