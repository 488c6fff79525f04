package spreadsheet

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

const heading = "sled,gear,start_ft,distance_ft,measured_on\n"

// whole is an upload of that text.
func whole(text string) func() io.Reader { return func() io.Reader { return strings.NewReader(text) } }

// options are those of an upload of readings.
type options = Options[fleet.Reading]

func opened(t *testing.T, text string, o options) *Upload[fleet.Reading] {
	t.Helper()
	u, err := Open(whole(text), Readings(), o)
	require.NoError(t, err)
	return u
}

func rowsOf(t *testing.T, text string) []fleet.Row[fleet.Reading] {
	t.Helper()
	return slices.Collect(opened(t, text, options{}).Rows())
}

// faultsOf are the faults of an upload as a person reads them.
func faultsOf(t *testing.T, text string, o options) (lines []string) {
	t.Helper()
	u := opened(t, text, o)
	all := u.Faults
	for row := range u.Rows() {
		all.InRow(row.Number, &row.Faults)
	}
	for _, f := range all.List() {
		lines = append(lines, fmt.Sprintf("%d %s: %s", f.Row, f.At, f.Detail))
	}
	return lines
}

func TestUpload_CountsRowsAsASpreadsheetShowsThem(t *testing.T) {
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
		{"after empty lines above the heading", "\n ,\n" + head + "\na,b,1,d,\n", []int{4}},
		{"with the line ends of old", head + "\ra,b,1,d,\r\ra,b,1,d,", []int{2, 4}},
		{"after a heading on two lines", "sled,gear,distance_ft,measured_on,\"note\n\"\na,b,1,d,\n", []int{2}},
		{"with quotes that do not match in between", head + "\na,\"b\"b,1,d,\na,b,1,d,\n", []int{2, 3}},
		{"with a quote that never ends", head + "\na,b,1,d,\na,\"b,1,d,\na,b,1,d,\n", []int{2, 3}},
	} {
		var got []int
		for _, row := range rowsOf(t, c.text) {
			got = append(got, row.Number)
		}
		assert.Equal(t, c.want, got, c.what)
	}
}

func TestUpload_ReadsCellsAsTheyAreMeant(t *testing.T) {
	t.Parallel()
	rows := rowsOf(t, "sled,gear,start_ft,distance_m,measured_on,tire_psi,\n bluestem , 3 low "+
		",.5,1e2,2025-05-10,90.,\n")
	require.Len(t, rows, 1)
	require.NoError(t, rows[0].Faults.Err())
	psi := 90.0
	assert.Equal(t, fleet.Reading{
		Sled: "bluestem", Gear: "3 low", StartFt: 0.5, DistanceFt: 100 / 0.3048, MeasuredOn: "2025-05-10",
		TirePSI: &psi,
	}, rows[0].Record)
	rows = rowsOf(t, "Sled;Gear;Start;Distance (m);Date;Notes\r\nTimothy;LOW 1;;81,5;9 May 2026;\"two\r\nlines; and "+
		"\"\"quotes\"\", and commas\"\r\n;;;;;\r\n"+
		"Timothy;'-2;;12' 6\";9 May 2026;half \"quoted\"\r\n")
	require.Len(t, rows, 2)
	for i, want := range []fleet.Reading{
		{Sled: "Timothy", Gear: "LOW 1", DistanceFt: fleet.Feet(81.5), MeasuredOn: "2026-05-09",
			Note: "two\r\nlines; and \"quotes\", and commas"},
		{Sled: "Timothy", Gear: "-2", DistanceFt: 12.5, MeasuredOn: "2026-05-09", Note: "half \"quoted\""},
	} {
		require.NoError(t, rows[i].Faults.Err())
		assert.Equal(t, want, rows[i].Record)
	}
}

// 1 ft is 0.3048 m exactly: NIST Special Publication 811, Appendix B.
func TestUpload_ReadsNumbersAsPeopleWriteThem(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		column, separator, cell string
		want                    float64
	}{
		{"distance_ft", ",", "255", 255}, {"distance_ft", ",", "+255", 255}, {"distance_ft", ",", "-5", -5},
		{"distance_ft", ",", "2.55E2", 255},
		{"distance_ft", ",", `"262,5"`, 262.5}, {"distance_ft", ";", "262,5", 262.5},
		{"distance_ft", ";", "1,250", 1.25},
		{"distance_ft", "\t", "262,5", 262.5}, {"distance_ft", ",", "280' 2\"", 280 + 2.0/12},
		{"distance_ft", ",", `"280' 2"""`, 280 + 2.0/12},
		{"distance_ft", ",", "32 ft 6 in", 32.5}, {"distance_ft", ",", "32 1/2", 32.5},
		{"distance_ft", ";", "9,90 m", 9.9 / 0.3048},
		{"distance_ft", ",", `"9,90 m"`, 9.9 / 0.3048}, {"distance_m", ",", "77.4", 77.4 / 0.3048},
		{"distance_m", ";", "77,4", 77.4 / 0.3048},
		{"distance_m", ",", "280' 2\"", 280 + 2.0/12}, {"distance_m", ",", "381 cm", 3.81 / 0.3048},
		{"start_ft", ",", "full back", 0},
		{"start_m", ",", "Full-Back", 0}, {"start_ft", ",", "at full back", 0}, {"start_ft", ",", "12'", 12},
		{"tire_psi", ";", "90,5", 90.5}, {"speed_mph", ",", "4.5", 4.5},
	} {
		text := strings.Join([]string{"sled", c.column, "gear"}, c.separator) + "\n" +
			strings.Join([]string{"x", c.cell, "A"}, c.separator) + "\n"
		u := opened(t, text, options{})
		for row := range u.Rows() {
			require.NoError(t, row.Faults.Err(), c.cell)
			got := u.Columns[1].Field.Number(&row.Record)
			require.NotNil(t, got, c.cell)
			assert.InDelta(t, c.want, *got, 1e-12, "%s in %s between %q", c.cell, c.column, c.separator)
		}
	}
}

func TestUpload_NamesWhatIsWrongWithACell(t *testing.T) {
	t.Parallel()
	text := strings.Join([]string{
		"sled,gear,start_ft,distance_ft,measured_on,ended,end_ft,tire_psi",
		"bluestem,C,0,255,2026-05-09,,,",
		"",
		"bluestem,C,0,far,2026-02-30,exploded,,hard",
		`bluestem,C,0,"1,250",2026-05-09,,,"1,250"`,
		"bluestem,,0,250,2026-05-09",
		"bluestem,C,0,250,2026-05-09,,,,x",
		"bluestem,C,half way,,someday,,,",
		"bluestem,\"C\" or D,0,250,2026-05-09",
		"bluestem,C,0,12' 6\",2026-05-09",
		"bluestem,C,0,NaN,2026-05-09,,,Inf",
		"bluestem,\"C,0,250",
	}, "\n")
	assert.Equal(t, []string{
		`4 distance_ft: must be a length like 12.5, 12' 6" or 3.81 m, not "far"`,
		`4 measured_on: there is no day "2026-02-30"`,
		`4 ended: must be topped out, stopped short, past the top or stated, not "exploded"`,
		`4 tire_psi: must be a number, not "hard"`,
		`5 distance_ft: can be read in two ways; write 1250 or 1.250, not "1,250"`,
		`5 tire_psi: can be read in two ways; write 1250 or 1.250, not "1,250"`,
		"6 gear: is missing",
		"7 : has 9 cells under 8 headings; a decimal comma, perhaps: put such a cell in quotes, or write a point",
		`8 start_ft: must be a length like 12.5, 12' 6" or 3.81 m, not "half way"`,
		"8 distance_ft: is missing",
		`8 measured_on: must be a date like 2026-05-09 or May 9, 2026, not "someday"`,
		`9 : the quotes do not match: a cell with a " in it is written "like ""this"" here"`,
		`11 distance_ft: must be a length like 12.5, 12' 6" or 3.81 m, not "NaN"`,
		`11 tire_psi: must be a number, not "Inf"`,
		`12 : the quotes do not match: a cell with a " in it is written "like ""this"" here"`,
	}, faultsOf(t, text, options{}))
}

func TestUpload_ReadsEveryEncodingThatSpreadsheetsWrite(t *testing.T) {
	t.Parallel()
	const text = "sled,gear,distance_ft,measured_on,note\nbluestem,C,255,2026-05-09,é ′ 🛷\n"
	for want, files := range map[Encoding][]string{
		UTF8:  {text, "\ufeff" + text},
		UTF16: {"\xff\xfe" + utf16Of(text, binary.LittleEndian), "\xfe\xff" + utf16Of(text, binary.BigEndian)},
	} {
		for _, file := range files {
			u := opened(t, file, options{})
			assert.Equal(t, want, u.Encoding)
			for row := range u.Rows() {
				assert.NoError(t, row.Faults.Err())
				assert.Equal(t, "é ′ 🛷", row.Record.Note)
			}
		}
	}
	// Windows-1252 has é as one byte, 0xE9, and a dash as 0x96 (WHATWG Encoding Standard, index windows-1252). It comes
	// after more text than is looked at for the heading.
	long := heading + strings.Repeat("bluestem,C,0,255,2026-05-09\n", 5000) + "Caf\xe9 \x96,C,0,255,2026-05-09\n"
	u := opened(t, long, options{})
	assert.Equal(t, Windows1252, u.Encoding)
	rows := slices.Collect(u.Rows())
	assert.Equal(t, "Café –", rows[len(rows)-1].Record.Sled)
	_, err := Open(whole(long), Readings(), options{Encoding: UTF8})
	assert.ErrorContains(t, err, "the file is not UTF-8, as its Content-Type says")
}

func utf16Of(text string, order binary.AppendByteOrder) string {
	var b []byte
	for _, unit := range utf16.Encode([]rune(text)) {
		b = order.AppendUint16(b, unit)
	}
	return string(b)
}

func TestUpload_RefusesWhatIsNoSpreadsheet(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"": "1 : the file is empty; the first row must name the columns: sled, gear, " +
			"distance_ft, measured_on and any others",
		"\n\n ,,\n": "1 : the file is empty; the first row must name the columns: sled, gear, " +
			"distance_ft, measured_on and any others",
		"PK\x03\x04\x00\x00":    "1 : the file is no text; in the spreadsheet, save it as CSV UTF-8",
		"sled,\"gear\"s\na,b\n": `1 : the quotes do not match: a cell with a " in it is written "like ""this"" here"`,
	} {
		_, err := Open(whole(text), Readings(), options{})
		var e *fleet.Error
		require.ErrorAs(t, err, &e, text)
		assert.Equal(t, want, fmt.Sprintf("%d %s: %s", e.Faults[0].Row, e.Faults[0].At, e.Faults[0].Detail))
	}
}

// A quote that never ends takes no more memory than a row may have.
func TestUpload_HoldsNoMoreThanARow(t *testing.T) {
	t.Parallel()
	u := opened(t, heading+"a,\""+strings.Repeat("x", 3*mostRow), options{})
	rows := slices.Collect(u.Rows())
	require.Len(t, rows, 1)
	assert.ErrorContains(t, rows[0].Faults.Err(), "the quotes do not match")
	assert.Less(t, cap(u.records.text), 3*mostRow)
}

func TestUpload_TakesOnceForAllRowsWhatNoColumnSays(t *testing.T) {
	t.Parallel()
	const text = "gear,distance\nC,255\n"
	assert.Equal(t, []string{
		"1 sled: is missing; the columns sled, gear, distance_ft, measured_on are needed",
		"1 measured_on: is missing; the columns sled, gear, distance_ft, measured_on are needed",
	}, faultsOf(t, text, options{}), "once, and not in every row")
	same := fleet.Reading{Sled: "bluestem", MeasuredOn: "2026-05-09"}
	u := opened(t, text, options{Same: same, Units: fleet.InMeters})
	require.NoError(t, u.Faults.Err())
	for row := range u.Rows() {
		require.NoError(t, row.Faults.Err())
		assert.Equal(t, fleet.Reading{Sled: "bluestem", Gear: "C", DistanceFt: 255 / 0.3048, MeasuredOn: "2026-05-09"},
			row.Record)
	}
	// A row that says it itself is believed.
	u = opened(t, "gear,distance,sled\nC,255,\nC,255,fescue\n", options{Same: same})
	rows := slices.Collect(u.Rows())
	assert.Equal(t, []string{"bluestem", "fescue"}, []string{rows[0].Record.Sled, rows[1].Record.Sled})
	assert.False(t, rows[0].Faults.Any())
}

// Whatever is sent, reading it ends, names rows in order, and gives finite numbers and text that is UTF-8.
func FuzzUpload(f *testing.F) {
	for _, seed := range []string{
		heading + "bluestem,B,0,262,2025-05-10\n",
		"\ufeffsled,gear,distance_m,measured_on\r\nbluestem,\"3 \"\"low\"\"\",80,2025-05-10\r\n\r\n,,,\r\n",
		"sled;gear\n", "\xff\xfes\x00",
		"Sled;Box start;Distance (m);Date\nBlue Stem;12' 6\";77,4;9/5/2026\nx;full back;9,90 m;25.5.26\n",
		heading + "a,\"b\nc\",1e999,NaN,\xff\n", heading + "a,b\"\n\"", "", ",\n",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Open(whole(text), Readings(), options{})
		if err != nil {
			return
		}
		last := 0
		for row := range s.Rows() {
			if row.Number <= last {
				t.Fatalf("row %d after row %d", row.Number, last)
			}
			last = row.Number
			if row.Faults.Any() {
				continue
			}
			r := row.Record
			if math.IsNaN(r.DistanceFt) || math.IsInf(r.DistanceFt, 0) || !utf8.ValidString(r.Sled+r.Gear+r.Note) {
				t.Fatalf("row %d: %+v", row.Number, r)
			}
			if !s.Faults.Any() && (r.Sled == "" || r.Gear == "" || r.MeasuredOn == "") {
				t.Fatalf("row %d lacks what is needed: %+v", row.Number, r)
			}
		}
	})
}
