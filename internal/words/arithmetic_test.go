package words_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// code is what a string in the arithmetic may be: a code that programs go by, or no letters at all.
var code = regexp.MustCompile(`^([a-z0-9]+(-[a-z0-9]+)*|\P{L}*)$`)

// makesWords are the packages that codes could be put together with.
var makesWords = []string{"bytes", "embed", "evenpull/internal/words", "fmt", "strconv", "strings", "text/template",
	"text/tabwriter"}

// forProgrammers are the calls whose text only programmers read.
var forProgrammers = map[string]bool{"errors.New": true, "panic": true}

func TestArithmetic_HoldsNoSentence(t *testing.T) {
	t.Parallel()
	for _, folder := range []string{"calibrate", "match", "driveline", "jointnormal"} {
		files, err := filepath.Glob(filepath.Join("..", folder, "*.go"))
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			text, err := os.ReadFile(name)
			require.NoError(t, err)
			for _, found := range sentences(t, name, string(text)) {
				assert.Fail(t, "the arithmetic returns codes and numbers; words go to package words", "%s", found)
			}
		}
	}
}

// sentences are the strings in a Go file that are no code, and what it imports that makes words.
func sentences(t *testing.T, name, text string) (found []string) {
	t.Helper()
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, name, text, parser.SkipObjectResolution)
	require.NoError(t, err)
	for _, i := range file.Imports {
		if path, err := strconv.Unquote(i.Path.Value); err != nil || slices.Contains(makesWords, path) {
			found = append(found, files.Position(i.Pos()).String()+": imports "+path)
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			n.Tag = nil
		case *ast.CallExpr:
			return !forProgrammers[called(n.Fun)]
		case *ast.BasicLit:
			if n.Kind == token.STRING {
				said, err := strconv.Unquote(n.Value)
				require.NoError(t, err)
				if !code.MatchString(said) {
					found = append(found, files.Position(n.Pos()).String()+": "+n.Value)
				}
			}
		}
		return true
	})
	return found
}

func called(f ast.Expr) string {
	switch f := f.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		if of, is := f.X.(*ast.Ident); is {
			return of.Name + "." + f.Sel.Name
		}
	}
	return ""
}

func TestSentences_AreFoundHoweverTheyAreWritten(t *testing.T) {
	t.Parallel()
	for _, body := range []string{
		`const s = "Measure it again."`,
		`func f(gear string) string { return "gear " + gear }`,
		"const s = `full back`",
		`func f() string { return "too" + " " + "late." }`,
		`var s = []string{"Gear", "stands", "out"}`,
		`import "fmt"`,
		`import . "strings"`,
		`import w "evenpull/internal/words"`,
	} {
		assert.NotEmpty(t, sentences(t, "x.go", "package x\n"+body), body)
	}
	for _, body := range []string{
		`const s = "reading-out-of-line"`,
		`var err = errors.New("the readings do not determine every parameter")`,
		`const day = "\uffff"`,
		"type t struct { A int `json:\"a,omitempty\"` }",
		`import "math"`,
	} {
		assert.Empty(t, sentences(t, "x.go", "package x\n"+body), body)
	}
}
