package spreadsheet

import (
	"strings"
	"unicode/utf8"
)

// What a spreadsheet takes for the beginning of a formula (OWASP, "CSV Injection"), the wide forms of an East Asian
// keyboard among them; and what more it may drop where a cell begins.
const (
	formulaStarts = "=+-@＝＋－＠"
	droppedStarts = "\t\r\n"
)

// cellEnds end a cell for a program that expects another separator than the comma, as in many countries.
const cellEnds = ";\t\r\n"

// Text keeps a spreadsheet from taking text for a formula: an apostrophe before it makes it text. Text that begins with
// apostrophes and then so gets another one, so that plainText gives back every text as it was. The same is done
// wherever another program may see a cell begin.
func Text(text string) string {
	if beginsFormula(text, formulaStarts+droppedStarts) {
		return "'" + TextWithin(text)
	}
	return TextWithin(text)
}

// TextWithin guards text that stands behind words of ours.
func TextWithin(text string) string {
	if !strings.ContainsAny(text, cellEnds) {
		return text
	}
	var b strings.Builder
	for i := range len(text) {
		b.WriteByte(text[i])
		if strings.IndexByte(cellEnds, text[i]) >= 0 && beginsFormula(text[i+1:], formulaStarts) {
			b.WriteByte('\'')
		}
	}
	return b.String()
}

// plainText takes back what Text has added.
func plainText(cell string) string {
	if !strings.Contains(cell, "'") {
		return cell
	}
	var b strings.Builder
	starts := formulaStarts + droppedStarts
	begins := true
	for i := range len(cell) {
		if !begins || cell[i] != '\'' || !beginsFormula(cell[i+1:], starts) {
			b.WriteByte(cell[i])
		}
		begins = strings.IndexByte(cellEnds, cell[i]) >= 0
		starts = formulaStarts
	}
	return b.String()
}

// beginsFormula looks behind apostrophes, and behind spaces, which a spreadsheet may drop first.
func beginsFormula(text, starts string) bool {
	first, _ := utf8.DecodeRuneInString(strings.TrimLeft(strings.TrimLeft(text, "'"), " \u00a0"))
	return strings.ContainsRune(starts, first)
}
