package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// spreadsheetAnswer is the table as CSV (RFC 4180): a row for each gear of the reference, columns for each other
// sled. Distances are rounded to 0.1 in the units asked for, which the headings name.
func spreadsheetAnswer(t book.Table, units fleet.Units) (answer, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	distance := func(name string) string { return name + "_" + string(units) }
	heading := []string{"gear", distance("top_out"), distance("low"), distance("high"), "rests on"}
	for _, s := range t.Sleds {
		heading = append(heading, s.ID+" gear", s.ID+" "+distance("difference"), s.ID+" "+distance("plus_minus"), s.ID+" confidence", s.ID+" remarks")
	}
	rows := [][]string{append(heading, "caution")}
	for _, r := range t.Rows {
		row := []string{guarded(r.Asked.Gear), "", "", "", restsOn(r.Asked.Basis, r.Asked.StatedBy)}
		if r.Asked.Known() {
			row[1], row[2], row[3] = rounded(r.Asked.TopOutFt, units), rounded(r.Asked.LowFt, units), rounded(r.Asked.HighFt, units)
		}
		for _, s := range t.Sleds {
			row = append(row, spreadsheetCells(r.On[s.ID], units)...)
		}
		rows = append(rows, append(row, caution))
	}
	if err := w.WriteAll(rows); err != nil {
		return answer{}, fmt.Errorf("encoding the table as CSV: %w", err)
	}
	return answer{status: http.StatusOK, contentType: typeCSV + "; charset=utf-8", etag: etagOf(b.Bytes()), body: b.Bytes()}, nil
}

func spreadsheetCells(a match.Answer, units fleet.Units) []string {
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

func rounded(feet float64, units fleet.Units) string {
	text := strconv.FormatFloat(units.From(feet), 'f', 1, 64)
	if text == "-0.0" {
		return "0.0"
	}
	return text
}

// guarded keeps a spreadsheet from taking a label for a formula: a leading apostrophe makes it text.
func guarded(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}
