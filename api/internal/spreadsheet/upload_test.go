package spreadsheet

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

const heading = "sled,gear,start_ft,distance_ft,measured_on\n"

func rowsOf(t *testing.T, text string) []fleet.Row {
	t.Helper()
	s, err := Open(strings.NewReader(text))
	require.NoError(t, err)
	var rows []fleet.Row
	for row := range s.Rows() {
		rows = append(rows, row)
	}
	return rows
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

func TestUpload_ReadsCellsAsTheyAreMeant(t *testing.T) {
	t.Parallel()
	rows := rowsOf(t, "sled,gear,start_ft,distance_m,measured_on,tire_psi,\n bluestem , 3 low ,.5,1e2,2025-05-10,90.,\n")
	require.Len(t, rows, 1)
	require.NoError(t, rows[0].Faults.Err())
	psi := 90.0
	assert.Equal(t, fleet.Reading{
		Sled: "bluestem", Gear: "3 low", StartFt: 0.5, DistanceFt: 100 / 0.3048, MeasuredOn: "2025-05-10", TirePSI: &psi,
	}, rows[0].Reading)
}

// Whatever is sent, reading it ends, names rows in order, and gives finite numbers and text that is UTF-8.
func FuzzUpload(f *testing.F) {
	for _, seed := range []string{
		heading + "bluestem,B,0,262,2025-05-10\n",
		"\ufeffsled,gear,distance_m,measured_on\r\nbluestem,\"3 \"\"low\"\"\",80,2025-05-10\r\n\r\n,,,\r\n",
		"sled;gear\n", "\xff\xfes\x00", heading + "a,\"b\nc\",1e999,NaN,\xff\n", heading + "a,b\"\n\"", "", ",\n",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Open(strings.NewReader(text))
		if err != nil {
			return
		}
		last := 1
		for row := range s.Rows() {
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
