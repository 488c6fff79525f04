package spreadsheet

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"

	"evenpull/api/internal/reply"
	"evenpull/internal/fleet"
)

// Encode writes rows as CSV (RFC 4180), the heading first.
func Encode(rows [][]string) reply.Answer {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	_ = w.WriteAll(rows) // a bytes.Buffer takes everything
	return reply.Of(reply.TypeCSV+"; charset=utf-8", b.Bytes())
}

// Distance is a distance to 0.1.
func Distance(feet float64, units fleet.Units) string { return decimals(units.From(feet), 1) }

// Position is where a box stands, to 0.01: rails are marked more finely than distances are measured.
func Position(feet float64, units fleet.Units) string {
	text := strings.TrimRight(decimals(units.From(feet), 2), "0")
	return strings.TrimSuffix(text, ".")
}

// Weight is a weight to one pound or kilogram.
func Weight(lb float64, units fleet.Units) string { return decimals(units.FromPounds(lb), 0) }

func decimals(v float64, places int) string {
	text := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// Optional is a Distance, a Position or a Weight, or an empty cell.
func Optional(v *float64, units fleet.Units, written func(float64, fleet.Units) string) string {
	if v == nil {
		return ""
	}
	return written(*v, units)
}

// Number is a number to its last digit, or an empty cell.
func Number(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}
