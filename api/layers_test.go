package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// below is what each package may import of ours, tests aside. Whoever adds to it says in DEVELOPERS.md why. The
// packages that are not listed import nothing of ours.
var below = map[string][]string{
	"api/internal/contract":            {"api/internal/reply", "internal/fleet", "internal/strictjson"},
	"api/internal/guard":               {"api/internal/reply", "internal/fleet"},
	"api/internal/observe":             {"internal/fleet"},
	"api/internal/reply":               {"internal/fleet", "openapi"},
	"api/internal/site":                {"api/internal/reply", "internal/fleet", "openapi"},
	"api/internal/spreadsheet":         {"api/internal/reply", "internal/fleet"},
	"internal/archive":                 {"internal/fleet", "internal/strictjson"},
	"internal/calibrate":               {"internal/driveline", "internal/fleet", "internal/jointnormal"},
	"internal/calibrate/calibratetest": {"internal/calibrate", "internal/fleet"},
	"internal/driveline":               {"internal/fleet"},
	"internal/match":                   {"internal/calibrate", "internal/fleet", "internal/jointnormal"},
	"internal/panload":                 {"internal/fleet"},
	"internal/plotting":                {"internal/fleet"},
	"internal/store":                   {"internal/fleet"},
	"internal/strictjson":              {"internal/fleet"},
	"internal/words": {"internal/calibrate", "internal/driveline", "internal/fleet", "internal/match",
		"internal/panload"},
}

// meets are the two packages where the others meet: they may import whatever is below them.
var meets = []string{"api", "internal/book"}

func TestLayers_EachImportsOnlyWhatIsBelowIt(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	err := filepath.WalkDir("..", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return err
		}
		of := filepath.ToSlash(strings.TrimPrefix(path.Dir(name), "../"))
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		require.NoError(t, err)
		for _, i := range file.Imports {
			what, _ := strconv.Unquote(i.Path.Value)
			what, ours := strings.CutPrefix(what, "evenpull/")
			if !ours || of == "api" {
				continue
			}
			seen[of] = true
			assert.False(t, what == "api" || what == "internal/book", "%s imports %s", name, what)
			if !slices.Contains(meets, of) {
				assert.Contains(t, below[of], what, "%s", name)
			}
		}
		return nil
	})
	require.NoError(t, err)
	for of := range below {
		assert.True(t, seen[of], "%s is there, and imports something of ours", of)
	}
}
