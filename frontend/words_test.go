package frontend_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"html"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/frontend"
)

// What nobody says aloud at the track, and what is said in its place.
var notSaid = map[string]*regexp.Regexp{
	"Note a pull as a reading":               regexp.MustCompile(`(?i)\bpulls? (a )?readings?\b`),
	"none":                                   regexp.MustCompile(`(?i)\bnought\b|\bwould need none\b`),
	"anybody who has it can sign in with it": regexp.MustCompile(`(?i)\bwhoever has it\b|\ball that it may\b`),
	"comes back 2 % slower, or 8 % faster": regexp.MustCompile(
		`(?i)\breturns \$?\{?[^,.]*\} to\b|\b(slower|faster) to\b`),
	"is used to; that is": regexp.MustCompile(`(?i)\b(stands?|stood) for\b`),
	"by the parts and by the tape": regexp.MustCompile(
		`(?i)\bgeared against measured\b|\bmeasured over geared\b|\bas geared\b`),
	"known from":             regexp.MustCompile(`\bBasis\b|\b[Tt]he basis\b|\bbasis (of|then|today)\b`),
	"from hook 1 on":         regexp.MustCompile(`(?i)\bhooks (\$\{[a-z]+\}|[0-9]+|%d) on\b`),
	"later or earlier alike": regexp.MustCompile(`(?i)\bsigns left out\b`),
	"moved by the ratio":     regexp.MustCompile(`(?i)\breadings are carried\b|\bit carries nothing\b`),
	"neither a robot's nor a lawyer's word: say it": regexp.MustCompile(
		`(?i)\b(utilize|aforementioned|herein|hereby|thereof|in order to)\b`),
}

// explained is what stands beside the word take-up wherever it is said.
var (
	takeUp    = regexp.MustCompile(`(?i)\btake-up\b`)
	explained = regexp.MustCompile(`(?i)before (the|its) box (begins to move|moves)`)
)

var (
	pageHead   = regexp.MustCompile(`(?s)<head>.*?</head>|<[^>]*>`)
	jsComments = regexp.MustCompile(`(?m)^\s*(//|/?\*).*$| // .*$`)
	jsStrings  = regexp.MustCompile("'((?:[^'\\\\\n]|\\\\.)*)'|`([^`]*)`")
)

// Every text of the pages and of what the program says in words is plain: none of the phrases above, and the take-up
// never without what it is.
func TestWords_AreWhatPeopleSayAtTheTrack(t *testing.T) {
	t.Parallel()
	texts := 0
	plain := func(where, text string) {
		texts++
		for better, phrase := range notSaid {
			assert.Empty(t, phrase.FindString(text), "%s: %q: say %q", where, text, better)
		}
	}
	require.NoError(t, fs.WalkDir(frontend.Files(), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		body, err := fs.ReadFile(frontend.Files(), name)
		if err != nil {
			return err
		}
		switch filepath.Ext(name) {
		case ".html":
			text := html.UnescapeString(pageHead.ReplaceAllString(string(body), " "))
			for line := range strings.Lines(text) {
				plain(name, strings.TrimSpace(line))
			}
			assert.True(t, !takeUp.MatchString(text) || explained.MatchString(text),
				"%s: take-up is not explained", name)
		case ".js":
			for _, found := range jsStrings.FindAllStringSubmatch(jsComments.ReplaceAllString(string(body), ""), -1) {
				text := found[1] + found[2]
				plain(name, text)
				assert.True(t, !takeUp.MatchString(text) || explained.MatchString(text), "%s: %q", name, text)
			}
		}
		return nil
	}))
	files, err := filepath.Glob("../internal/words/*.go")
	require.NoError(t, err)
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		source, err := os.ReadFile(file)
		require.NoError(t, err)
		parsed, err := parser.ParseFile(token.NewFileSet(), file, source, parser.SkipObjectResolution)
		require.NoError(t, err)
		ast.Inspect(parsed, func(n ast.Node) bool {
			if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
				text, err := strconv.Unquote(l.Value)
				require.NoError(t, err)
				plain(file, text)
				assert.True(t, !takeUp.MatchString(text) || explained.MatchString(text), "%s: %q", file, text)
			}
			return true
		})
	}
	assert.Greater(t, texts, 3000, "the texts must have been found")
}

// Each phrase is one that the test would find.
func TestWords_FindWhatIsNotSaid(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"Make a pull a reading", "zero would need none",
		"whoever has it may do all that it may", "returns ${least} to ${most}", "2.2 % slower to 8.3 % faster",
		"the top-out it stands for", "Geared against measured", "Basis", "Hooks 1 on", "hooks ${from} on"} {
		found := false
		for _, phrase := range notSaid {
			found = found || phrase.MatchString(text)
		}
		assert.True(t, found, text)
	}
}
