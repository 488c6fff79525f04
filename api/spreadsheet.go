package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
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
	remarks := []string{restsOn(n.Basis, n.StatedBy)}
	if n.OutOfReach != nil && *n.OutOfReach {
		remarks = append(remarks, "out of reach")
	}
	if n.ComparedAt == match.FullBack {
		remarks = append(remarks, "compared at full back")
	}
	if n.Confidence == match.TossUp && a.RunnerUp != nil {
		remarks = append(remarks, "or gear "+a.RunnerUp.Gear)
	}
	return []string{
		guarded(n.Gear), rounded(n.DifferenceFt, units), rounded(plusMinus(*n), units), string(n.Confidence),
		strings.Join(remarks, "; "),
	}
}

// restsOn is what a number rests on, in words. It begins with a letter, whatever else is in it.
func restsOn(b fleet.Basis, statedBy string) string {
	switch {
	case b == fleet.StatedBasis && statedBy != "":
		return "stated by " + statedBy
	case b == fleet.Extended:
		return "beyond what was measured"
	case b == fleet.Carried:
		return "from before the change"
	case b == fleet.Geared:
		return "from the ratios"
	case b == fleet.Unknown || b == "":
		return "not known"
	}
	return string(b)
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

// formulaStarts are what a spreadsheet takes for the beginning of a formula.
const formulaStarts = "=+-@\t\r"

// guarded keeps a spreadsheet from taking text for a formula: an apostrophe before it makes it text. Text that begins with
// apostrophes and then so gets another one, so that unguarded gives back every text as it was.
func guarded(text string) string {
	if looksLikeFormula(strings.TrimLeft(text, "'")) {
		return "'" + text
	}
	return text
}

// unguarded takes back what guarded has added.
func unguarded(cell string) string {
	if text, apostrophe := strings.CutPrefix(cell, "'"); apostrophe && looksLikeFormula(strings.TrimLeft(text, "'")) {
		return text
	}
	return cell
}

func looksLikeFormula(text string) bool {
	return text != "" && strings.ContainsRune(formulaStarts, rune(text[0]))
}
