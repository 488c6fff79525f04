package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"unicode/utf8"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/words"
)

// csvAnswer encodes rows as CSV (RFC 4180).
func csvAnswer(rows [][]string) (answer, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	if err := w.WriteAll(rows); err != nil {
		return answer{}, fmt.Errorf("encoding CSV: %w", err)
	}
	return answer{status: http.StatusOK, contentType: typeCSV + "; charset=utf-8", etag: etagOf(b.Bytes()), body: b.Bytes()}, nil
}

// answerCells are an answer as cells: gear, difference, plus-or-minus, how sure, and what else there is to say.
func answerCells(a match.Answer, units fleet.Units) []string {
	n := a.Nearest
	if n == nil {
		return []string{"", "", "", "", "not known"}
	}
	remarks := []string{words.Basis(n.Basis, guardedBehind(n.StatedBy))}
	if n.OutOfReach != nil && *n.OutOfReach {
		remarks = append(remarks, "out of reach")
	}
	if n.ComparedAt == match.FullBack {
		remarks = append(remarks, "compared at full back")
	}
	if n.Confidence == match.TossUp && a.RunnerUp != nil {
		remarks = append(remarks, "or gear "+guardedBehind(a.RunnerUp.Gear))
	}
	return []string{
		guarded(n.Gear), rounded(n.DifferenceFt, units), rounded(plusMinus(*n), units), string(n.Confidence),
		strings.Join(remarks, "; "),
	}
}

// rounded is a distance to 0.1.
func rounded(feet float64, units fleet.Units) string { return decimals(feet, units, 1) }

// position is where a box stands, to 0.01: rails are marked more finely than distances are measured.
func position(feet float64, units fleet.Units) string {
	text := strings.TrimRight(decimals(feet, units, 2), "0")
	return strings.TrimSuffix(text, ".")
}

func decimals(feet float64, units fleet.Units, places int) string {
	text := strconv.FormatFloat(units.From(feet), 'f', places, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// maybe is a distance to 0.1, or an empty cell.
func maybe(feet *float64, units fleet.Units) string {
	if feet == nil {
		return ""
	}
	return rounded(*feet, units)
}

// exact is a number to its last digit, or an empty cell.
func exact(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}

// What a spreadsheet takes for the beginning of a formula (OWASP, "CSV Injection"), the wide forms of an East Asian keyboard
// among them; and what more it may drop where a cell begins.
const (
	formulaStarts = "=+-@＝＋－＠"
	droppedStarts = "\t\r\n"
)

// cellEnds end a cell for a program that expects another separator than the comma, as in many countries.
const cellEnds = ";\t\r\n"

// guarded keeps a spreadsheet from taking text for a formula: an apostrophe before it makes it text. Text that begins with
// apostrophes and then so gets another one, so that unguarded gives back every text as it was. The same is done wherever
// another program may see a cell begin.
func guarded(text string) string {
	if beginsFormula(text, formulaStarts+droppedStarts) {
		return "'" + guardedBehind(text)
	}
	return guardedBehind(text)
}

// guardedBehind guards text that stands behind words of ours.
func guardedBehind(text string) string {
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

// unguarded takes back what guarded has added.
func unguarded(cell string) string {
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
