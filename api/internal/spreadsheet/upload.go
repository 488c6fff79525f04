// Package spreadsheet reads the CSV that others send, and writes the CSV that they ask for.
package spreadsheet

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"
	"unicode/utf8"

	"evenpull/internal/fleet"
)

// column is one column of an import: text, or a number, which may be in meters.
type column struct {
	name   string
	text   func(*fleet.Reading) *string
	number func(*fleet.Reading, float64)
	meters bool
}

// columns are all that an import may have; the four distances may also come in meters (see importColumns).
var columns = []column{
	{name: "sled", text: func(r *fleet.Reading) *string { return &r.Sled }},
	{name: "gear", text: func(r *fleet.Reading) *string { return &r.Gear }},
	{name: "start_ft", number: func(r *fleet.Reading, v float64) { r.StartFt = v }},
	{name: "distance_ft", number: func(r *fleet.Reading, v float64) { r.DistanceFt = v }},
	{name: "measured_on", text: func(r *fleet.Reading) *string { return &r.MeasuredOn }},
	{name: "ended", text: func(r *fleet.Reading) *string { return (*string)(&r.Ended) }},
	{name: "end_ft", number: func(r *fleet.Reading, v float64) { r.EndFt = &v }},
	{name: "plus_minus_ft", number: func(r *fleet.Reading, v float64) { r.PlusMinusFt = &v }},
	{name: "day", text: func(r *fleet.Reading) *string { return &r.Day }},
	{name: "place", text: func(r *fleet.Reading) *string { return &r.Place }},
	{name: "by", text: func(r *fleet.Reading) *string { return &r.By }},
	{name: "note", text: func(r *fleet.Reading) *string { return &r.Note }},
	{name: "marked_by", text: func(r *fleet.Reading) *string { return &r.MarkedBy }},
	{name: "taken_with", text: func(r *fleet.Reading) *string { return &r.TakenWith }},
	{name: "surface", text: func(r *fleet.Reading) *string { return &r.Surface }},
	{name: "weights", text: func(r *fleet.Reading) *string { return &r.Weights }},
	{name: "tire_psi", number: func(r *fleet.Reading, v float64) { r.TirePSI = &v }},
	{name: "speed_mph", number: func(r *fleet.Reading, v float64) { r.SpeedMPH = &v }},
	{name: "replaces", text: func(r *fleet.Reading) *string { return &r.Replaces }},
}

// needed are the columns without which no row can be a reading.
var needed = []string{"sled", "gear", "distance_ft", "measured_on"}

// importColumns are the columns by name, those in meters included.
func importColumns() map[string]column {
	all := map[string]column{}
	for _, c := range columns {
		all[c.name] = c
		if name, feet := strings.CutSuffix(c.name, "_ft"); feet {
			c.name, c.meters = name+"_m", true
			all[c.name] = c
		}
	}
	return all
}

// read puts a cell into a reading, or says what is wrong with it.
func (c column) read(r *fleet.Reading, cell string) (wrong string) {
	if c.text != nil {
		*c.text(r) = plainText(cell)
		return ""
	}
	value, wrong := fleet.ParseDecimal(cell)
	if wrong != "" {
		return wrong
	}
	if c.meters {
		value = fleet.Feet(value)
	}
	c.number(r, value)
	return ""
}

// Upload reads readings from CSV, row by row. Rows are counted as a spreadsheet shows them: the heading is row 1, and
// empty lines count though they are skipped.
type Upload struct {
	csv     *csv.Reader
	columns []column        // by place; one without a name stands for an unnamed column
	has     map[string]bool // the names of the columns there are
	row     int             // the row read last
	line    int             // the line on which that row ended: a quoted cell may run over several
}

// Open reads the heading. Its faults are all in row 1.
func Open(r io.Reader) (*Upload, error) {
	in := bufio.NewReader(r)
	begin, _ := in.Peek(3)
	switch {
	case bytes.HasPrefix(begin, []byte("\xef\xbb\xbf")): // the mark that spreadsheets put before UTF-8
		in.Discard(3)
	case bytes.HasPrefix(begin, []byte("\xff\xfe")), bytes.HasPrefix(begin, []byte("\xfe\xff")):
		return nil, headingFault("", "the file is UTF-16; save it as CSV UTF-8")
	}
	s := &Upload{csv: csv.NewReader(in), has: map[string]bool{}}
	s.csv.FieldsPerRecord = -1 // counted here, to name the row
	s.csv.ReuseRecord = true
	names, err := s.next()
	var broken *csv.ParseError
	switch {
	case errors.Is(err, io.EOF):
		return nil, headingFault("", "the file is empty; the first row must name the columns: "+strings.Join(needed, ", ")+" and any others")
	case errors.As(err, &broken):
		return nil, headingFault("", quotesWrong)
	case err != nil:
		return nil, fmt.Errorf("reading an upload: %w", err)
	}
	s.row, s.line = 1, max(s.line, 1)
	return s, s.readHeading(names)
}

// NoRows refuses an upload with nothing under its headings.
func NoRows() error { return headingFault("", "there are no readings under the headings") }

func headingFault(at, detail string) error {
	f := new(fleet.Faults)
	f.AddRow(1, at, "%s", detail)
	return f.Err()
}

const quotesWrong = `the quotes do not match: a cell with a " in it is written "like ""this"" here"`

func (s *Upload) readHeading(names []string) error {
	if len(names) == 1 && strings.ContainsAny(names[0], ";\t") {
		return headingFault("", "the columns are separated by semicolons or tabs; save the file as CSV with commas, and numbers with a decimal point")
	}
	known := importColumns()
	f := new(fleet.Faults)
	for _, name := range names {
		name = strings.TrimSpace(name)
		c, ok := known[name]
		other, inFeet := strings.CutSuffix(name, "_ft")
		switch {
		case !utf8.ValidString(name):
			f.AddRow(1, "", "the heading holds bytes that are not UTF-8; save the file as CSV UTF-8")
		case name == "": // spreadsheets leave empty columns behind; a row with something in one is refused later
		case !ok:
			f.AddRow(1, name, "is not known here; known are: %s", strings.Join(columnNames(), ", "))
		case s.has[name]:
			f.AddRow(1, name, "stands there twice")
		case inFeet && s.has[other+"_m"], !inFeet && s.has[strings.TrimSuffix(name, "_m")+"_ft"]:
			f.AddRow(1, name, "is there in feet and in meters; one of them is enough")
		}
		s.has[name] = true
		s.columns = append(s.columns, c)
	}
	for _, name := range needed {
		meters := strings.TrimSuffix(name, "_ft") + "_m"
		if !s.has[name] && !(strings.HasSuffix(name, "_ft") && s.has[meters]) {
			f.AddRow(1, name, "is missing; the columns %s are needed", strings.Join(needed, ", "))
		}
	}
	return f.Err()
}

// columnNames lists what a heading may say.
func columnNames() []string {
	var names []string
	for _, c := range columns {
		names = append(names, c.name)
		if name, feet := strings.CutSuffix(c.name, "_ft"); feet {
			names = append(names, name+"_m")
		}
	}
	return names
}

// next reads the next record and keeps count of rows.
func (s *Upload) next() ([]string, error) {
	record, err := s.csv.Read()
	var broken *csv.ParseError
	switch {
	case errors.As(err, &broken):
		s.row += broken.StartLine - s.line
		s.line = broken.Line
	case err == nil:
		first, _ := s.csv.FieldPos(0)
		last, _ := s.csv.FieldPos(len(record) - 1)
		s.row += first - s.line
		s.line = last + strings.Count(record[len(record)-1], "\n")
	}
	return record, err
}

// Rows reads the rows below the heading. It can be gone through once.
func (s *Upload) Rows() iter.Seq[fleet.Row] {
	return func(yield func(fleet.Row) bool) {
		for {
			record, err := s.next()
			if errors.Is(err, io.EOF) {
				return
			}
			row := fleet.Row{Number: s.row}
			var broken *csv.ParseError
			switch {
			case errors.As(err, &broken):
				row.Faults.AddRow(s.row, "", quotesWrong)
			case err != nil:
				row.Faults.AddRow(s.row+1, "", "the file cannot be read any further")
				yield(row)
				return
			case !slices.ContainsFunc(record, func(cell string) bool { return strings.TrimSpace(cell) != "" }):
				continue
			default:
				s.read(record, &row)
			}
			if !yield(row) {
				return
			}
		}
	}
}

// read reads one row; an empty cell is as if the column were not there.
func (s *Upload) read(record []string, row *fleet.Row) {
	if len(record) != len(s.columns) {
		row.Faults.AddRow(row.Number, "", "has %d cells under %d headings", len(record), len(s.columns))
		return
	}
	for i, cell := range record {
		c := s.columns[i]
		cell = strings.TrimSpace(cell)
		switch {
		case cell == "" && !slices.Contains(needed, feetName(c.name)):
		case cell == "":
			row.Faults.AddRow(row.Number, c.name, "is missing")
		case c.name == "":
			row.Faults.AddRow(row.Number, "", "the cell %s stands under no heading", fleet.Quoted(cell))
		case !utf8.ValidString(cell):
			row.Faults.AddRow(row.Number, c.name, "holds bytes that are not UTF-8; save the file as CSV UTF-8")
		default:
			if wrong := c.read(&row.Reading, cell); wrong != "" {
				row.Faults.AddRow(row.Number, c.name, "%s", wrong)
			}
		}
	}
}

func feetName(name string) string {
	if base, meters := strings.CutSuffix(name, "_m"); meters {
		return base + "_ft"
	}
	return name
}

// NameAsSent names faults by the columns that the upload has: start_m where that is what was sent.
func (s *Upload) NameAsSent(err error) error {
	var invalid *fleet.Error
	if !errors.As(err, &invalid) {
		return err
	}
	for i, f := range invalid.Faults {
		if name, feet := strings.CutSuffix(f.At, "_ft"); feet && s.has[name+"_m"] {
			invalid.Faults[i].At = name + "_m"
		}
	}
	return err
}
