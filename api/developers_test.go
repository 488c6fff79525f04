package main

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	inCode   = regexp.MustCompile("`([^`\n]+)`")
	repoPath = regexp.MustCompile(`^(?:api|frontend|internal|openapi|testdata|\.ci)/[\w./-]+$|^[A-Z]+\.md$`)
	fenced   = regexp.MustCompile("(?s)```.*?```")
)

func developers(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../DEVELOPERS.md")
	require.NoError(t, err)
	return string(text)
}

// section is what stands below a heading of the second level.
func section(t *testing.T, text, heading string) string {
	t.Helper()
	_, below, found := strings.Cut(text, "\n## "+heading+"\n")
	require.True(t, found, heading)
	own, _, _ := strings.Cut(below, "\n## ")
	return own
}

// named are the words in code style, paths of the repository apart from the rest.
func named(text string) (paths, words []string) {
	for _, found := range inCode.FindAllStringSubmatch(text, -1) {
		switch {
		case strings.Contains(found[1], "NNNN"): // of a file that is to be made
		case repoPath.MatchString(found[1]):
			paths = append(paths, found[1])
		default:
			words = append(words, found[1])
		}
	}
	return paths, words
}

func TestDevelopers_NamesPathsThatExist(t *testing.T) {
	t.Parallel()
	paths, _ := named(fenced.ReplaceAllString(developers(t), ""))
	require.Greater(t, len(paths), 80)
	for _, name := range paths {
		_, err := os.Stat(path.Join("..", name))
		assert.NoError(t, err)
	}
}

func TestDevelopers_SaysWhatToLookForInTheFilesItNames(t *testing.T) {
	t.Parallel()
	rows := regexp.MustCompile(`(?m)^\|([^|]*)\|([^|]*)\|([^|]*)\|$`).
		FindAllStringSubmatch(section(t, developers(t), "Where to change what"), -1)
	require.Greater(t, len(rows), 20)
	for _, row := range rows[2:] { // below the heading and its line
		files, _ := named(row[2])
		_, words := named(row[3])
		require.NotEmpty(t, files, row[1])
		require.NotEmpty(t, words, row[1])
		var text strings.Builder
		for _, name := range files {
			one, err := os.ReadFile(path.Join("..", name))
			require.NoError(t, err, row[1])
			text.Write(one)
		}
		for _, word := range words {
			assert.True(t, strings.Contains(text.String(), word), "%s: %s in %v", row[1], word, files)
		}
	}
}

// The tree of the layout has every package, and no folder that is not there.
func TestDevelopers_ShowsTheTreeThatThereIs(t *testing.T) {
	t.Parallel()
	drawn := fenced.FindString(section(t, developers(t), "Layout"))
	var parents, shown []string
	for _, line := range regexp.MustCompile(`(?m)^( *)([\w.]+)/(?: |$)`).FindAllStringSubmatch(drawn, -1) {
		parents = append(parents[:len(line[1])/2], line[2])
		folder := strings.Join(parents, "/")
		shown = append(shown, folder)
		assert.DirExists(t, path.Join("..", folder))
	}
	require.Greater(t, len(shown), 20)
	for _, root := range []string{"api", "internal"} {
		require.NoError(t, filepath.WalkDir(path.Join("..", root), func(name string, e fs.DirEntry, err error) error {
			if err != nil || e.IsDir() || path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
				return err
			}
			// What only tests use, such as store/storetest, goes with the package it is below.
			if folder := strings.TrimPrefix(path.Dir(filepath.ToSlash(name)), "../"); !strings.HasSuffix(folder,
				"test") {
				assert.True(t, slices.Contains(shown, folder), folder)
			}
			return nil
		}))
	}
	pages, err := os.ReadDir("../frontend/assets")
	require.NoError(t, err)
	for _, page := range pages {
		if page.IsDir() {
			assert.Regexp(t, `\b`+page.Name()+`\b`, drawn)
		}
	}
}

func TestDevelopers_GlossaryIsSorted(t *testing.T) {
	t.Parallel()
	var terms []string
	for _, row := range regexp.MustCompile(`(?m)^\| ([^|]+) \|`).
		FindAllStringSubmatch(section(t, developers(t), "Glossary"), -1)[1:] {
		terms = append(terms, strings.ToLower(row[1]))
	}
	assert.True(t, slices.IsSorted(terms), "%v", terms)
}
