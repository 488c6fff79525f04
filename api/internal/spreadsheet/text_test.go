package spreadsheet

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// No cell begins a formula, and whatever is guarded comes back as it was.
func TestText_IsTakenBackAsItWas(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"": "", "B": "B", "3 low": "3 low", "4-": "4-", "'": "'", "'til noon": "'til noon", "''": "''",
		"=1+1": "'=1+1", "+3": "'+3", "-2": "'-2", "@SUM(A1)": "'@SUM(A1)", "\tx": "'\tx",
		"'=1": "''=1", "''-2": "'''-2",
		"\n=1": "'\n'=1", " =1": "' =1", "\u00a0@x": "'\u00a0@x", "＝1": "'＝1", "－1": "'－1", "1=1": "1=1",
		"a -1": "a -1",
		// for programs that expect another separator
		"a;=1": "a;'=1", "a; =1": "a;' =1", "a;'=1": "a;''=1", ";;-1\t+2": ";;'-1\t'+2",
		"- wet\n- dry": "'- wet\n'- dry", "\t=1": "'\t'=1",
		"a;b": "a;b", "a,=1": "a,=1", "a\n\nb": "a\n\nb", "a;": "a;", "a;'b": "a;'b", "\xff;=\xff": "\xff;'=\xff",
	} {
		assert.Equal(t, want, Text(text), text)
		assert.Equal(t, text, plainText(Text(text)), text)
	}
	assert.Equal(t, "-2", plainText("'-2"))
	assert.Equal(t, "-2", plainText("-2"), "typed by hand")
}

// looksLikeFormula says whether a spreadsheet may take a cell for a formula as it is.
func looksLikeFormula(cell string) bool {
	return strings.ContainsAny(firstOf(cell), "=+-@\t\r\n＝＋－＠")
}

// firstOf is the first character of a cell behind spaces, as a spreadsheet may look at it.
func firstOf(cell string) string {
	for _, r := range strings.TrimLeft(cell, " \u00a0") {
		return string(r)
	}
	return ""
}

func FuzzText(f *testing.F) {
	for _, seed := range []string{"", "'", "=1", "'=1", "''@", "-", "ä", " =", "＋", "' =", "a;=1", ";'\n -\t'+"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		cell := Text(text)
		if looksLikeFormula(cell) {
			t.Fatalf("%q begins a formula", cell)
		}
		for _, part := range strings.FieldsFunc(" "+cell,
			func(r rune) bool { return strings.ContainsRune(";\t\r\n", r) })[1:] {
			if strings.ContainsAny(firstOf(part), "=+-@＝＋－＠") {
				t.Fatalf("%q begins a formula for some", cell)
			}
		}
		if back := plainText(cell); back != text {
			t.Fatalf("%q came back as %q", text, back)
		}
	})
}
