package main

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
)

func rowsOf(t *testing.T, text string) []book.Row {
	t.Helper()
	s, err := openImportSheet(strings.NewReader(text))
	require.NoError(t, err)
	var rows []book.Row
	for row := range s.rows() {
		rows = append(rows, row)
	}
	return rows
}

func TestRowsAreCountedAsASpreadsheetShowsThem(t *testing.T) {
	t.Parallel()
	const head = "sled,gear,distance_ft,measured_on,note"
	for _, c := range []struct {
		what, text string
		want       []int
	}{
		{"plain rows", head + "\na,b,1,d,\na,b,1,d,\n", []int{2, 3}},
		{"without a line end at the end", head + "\na,b,1,d,", []int{2}},
		{"with CRLF", head + "\r\na,b,1,d,\r\na,b,1,d,\r\n", []int{2, 3}},
		{"after the mark of UTF-8", "\ufeff" + head + "\na,b,1,d,\n", []int{2}},
		{"after empty lines", head + "\n\n\na,b,1,d,\n\na,b,1,d,\n", []int{4, 6}},
		{"after rows of nothing but commas", head + "\n,,,,\na,b,1,d,\n", []int{3}},
		{"after a cell on three lines", head + "\na,b,1,d,\"x\ny\nz\"\na,b,1,d,\n", []int{2, 3}},
		{"after two such cells and an empty line", head + "\na,\"b\nb\",1,d,\"x\ny\"\n\na,b,1,d,\n", []int{2, 4}},
		{"after a heading on two lines", "sled,gear,distance_ft,measured_on,\"note\n\"\na,b,1,d,\n", []int{2}},
		{"with quotes that do not match in between", head + "\na,b\"b,1,d,\na,b,1,d,\n", []int{2, 3}},
	} {
		var got []int
		for _, row := range rowsOf(t, c.text) {
			got = append(got, row.Number)
		}
		assert.Equal(t, c.want, got, c.what)
	}
}

func TestCellsAreReadAsTheyAreMeant(t *testing.T) {
	t.Parallel()
	rows := rowsOf(t, "sled,gear,start_ft,distance_m,measured_on,tyre_psi,\n bluestem , 3 low ,.5,1e2,2025-05-10,90.,\n")
	require.Len(t, rows, 1)
	require.NoError(t, rows[0].Faults.Err())
	psi := 90.0
	assert.Equal(t, fleet.Reading{
		Sled: "bluestem", Gear: "3 low", StartFt: 0.5, DistanceFt: 100 / 0.3048, MeasuredOn: "2025-05-10", TyrePSI: &psi,
	}, rows[0].Reading)
}

func TestNumbersAreDecimal(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]float64{"0": 0, "297.0": 297, "+1": 1, "-2.5": -2.5, ".5": 0.5, "5.": 5, "2.97E+02": 297} {
		got, wrong := parseDecimal(text)
		assert.Empty(t, wrong, text)
		assert.Equal(t, want, got, text)
	}
	for text, want := range map[string]string{
		"":        "must be a number, not empty",
		"NaN":     `must be a number, not "NaN"`,
		"inf":     `must be a number, not "inf"`,
		"0x10":    `must be a number, not "0x10"`,
		"1_000":   `must be a number, not "1_000"`,
		"1e":      `must be a number, not "1e"`,
		"12 ft":   `must be a number, not "12 ft"`,
		"12,5":    `must be written with a decimal point, such as 12.5, not "12,5"`,
		"1,234.5": `must be a number, not "1,234.5"`,
		"1e999":   "is too large a number",
	} {
		_, wrong := parseDecimal(text)
		assert.Equal(t, want, wrong, text)
	}
}

// Whatever is sent, reading it ends, names rows in order, and gives finite numbers and text that is UTF-8.
func FuzzImportSheet(f *testing.F) {
	for _, seed := range []string{
		heading + "bluestem,B,0,262,2025-05-10\n",
		"\ufeffsled,gear,distance_m,measured_on\r\nbluestem,\"3 \"\"low\"\"\",80,2025-05-10\r\n\r\n,,,\r\n",
		"sled;gear\n", "\xff\xfes\x00", heading + "a,\"b\nc\",1e999,NaN,\xff\n", heading + "a,b\"\n\"", "", ",\n",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := openImportSheet(strings.NewReader(text))
		if err != nil {
			return
		}
		last := 1
		for row := range s.rows() {
			if row.Number <= last {
				t.Fatalf("row %d after row %d", row.Number, last)
			}
			last = row.Number
			if row.Faults.Any() {
				continue
			}
			r := row.Reading
			if math.IsNaN(r.DistanceFt) || math.IsInf(r.DistanceFt, 0) || !utf8.ValidString(r.Sled+r.Gear+r.Note) {
				t.Fatalf("row %d: %+v", row.Number, r)
			}
			if r.Sled == "" || r.Gear == "" || r.MeasuredOn == "" {
				t.Fatalf("row %d lacks what is needed: %+v", row.Number, r)
			}
		}
	})
}
