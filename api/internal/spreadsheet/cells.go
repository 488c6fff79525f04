package spreadsheet

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"evenpull/api/internal/reply"
	"evenpull/internal/fleet"
)

// Encode writes rows as CSV (RFC 4180), the heading first.
func Encode(rows [][]string) (reply.Answer, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	if err := w.WriteAll(rows); err != nil {
		return reply.Answer{}, fmt.Errorf("encoding CSV: %w", err)
	}
	return reply.Of(reply.TypeCSV+"; charset=utf-8", b.Bytes()), nil
}

// Distance is a distance to 0.1.
func Distance(feet float64, units fleet.Units) string { return decimals(feet, units, 1) }

// Position is where a box stands, to 0.01: rails are marked more finely than distances are measured.
func Position(feet float64, units fleet.Units) string {
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

// OptionalDistance is a distance to 0.1, or an empty cell.
func OptionalDistance(feet *float64, units fleet.Units) string {
	if feet == nil {
		return ""
	}
	return Distance(*feet, units)
}

// Number is a number to its last digit, or an empty cell.
func Number(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}

// Weight is a weight to one pound or kilogram.
func Weight(lb float64, units fleet.Units) string {
	text := strconv.FormatFloat(units.FromPounds(lb), 'f', 0, 64)
	if text == "-0" {
		return "0"
	}
	return text
}

// OptionalWeight is Weight, or an empty cell.
func OptionalWeight(lb *float64, units fleet.Units) string {
	if lb == nil {
		return ""
	}
	return Weight(*lb, units)
}
