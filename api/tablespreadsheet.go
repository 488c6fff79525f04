package main

import (
	"evenpull/internal/book"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
)

// tableSpreadsheet is the table as CSV (RFC 4180): a row for each gear of the reference, columns for each other
// sled. Distances are rounded to 0.1 in the units asked for, which the headings name.
func tableSpreadsheet(t book.Table, units fleet.Units) (answer, error) {
	distance := func(name string) string { return name + "_" + string(units) }
	heading := []string{"gear", distance("top_out"), distance("low"), distance("high"), "rests on"}
	for _, s := range t.Sleds {
		heading = append(heading, s.ID+" gear", s.ID+" "+distance("difference"), s.ID+" "+distance("plus_minus"), s.ID+" confidence", s.ID+" remarks")
	}
	rows := [][]string{append(heading, "caution")}
	for _, r := range t.Rows {
		row := []string{guarded(r.Asked.Gear), "", "", "", words.Basis(r.Asked.Basis, guardedBehind(r.Asked.StatedBy))}
		if r.Asked.Known() {
			row[1], row[2], row[3] = rounded(r.Asked.TopOutFt, units), rounded(r.Asked.LowFt, units), rounded(r.Asked.HighFt, units)
		}
		for _, s := range t.Sleds {
			row = append(row, answerCells(r.On[s.ID], units)...)
		}
		rows = append(rows, append(row, caution))
	}
	return csvAnswer(rows)
}
