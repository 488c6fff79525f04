// Package spreadsheet reads the CSV that others send, and writes the CSV that they ask for.
package spreadsheet

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"regexp"
	"slices"
	"strings"

	"evenpull/internal/fleet"
)

// Form is what an upload holds: readings or weighings.
type Form[T any] struct {
	Many   string           // what it holds, in words
	Fields []fleet.Field[T] // one of them a date
}

// Readings are an upload of readings.
func Readings() Form[fleet.Reading] { return Form[fleet.Reading]{"readings", fleet.ReadingFields()} }

// Weighings are an upload of weighings.
func Weighings() Form[fleet.Weighing] {
	return Form[fleet.Weighing]{"weighings", fleet.WeighingFields()}
}

// Options say what an upload does not say itself. The zero value leaves everything to the upload.
type Options[T any] struct {
	Columns     string      // of each column its name in the API, commas between; one without a name is left out
	SkipUnknown bool        // leave out the columns that are not understood; else each of them is a fault
	Units       fleet.Units // of lengths and weights whose heading names none
	Dates       DateOrder   // of dates that can be read in two ways
	Same        T           // the sled and the date of rows that name none
	Encoding    Encoding    // as its sender calls it
}

// Upload is a CSV of readings or weighings and how it is understood. Rows are counted as a spreadsheet shows them:
// empty lines count though they are skipped.
type Upload[T any] struct {
	Encoding  Encoding
	Separator byte
	Columns   []Column[T]
	Faults    fleet.Faults // of the heading; the rows can be read all the same
	Dates     DateOrder    // by which dates were read that can be read in two ways
	Unclear   string       // the first date that nothing says how to read
	open      func() io.Reader
	form      Form[T]
	options   Options[T]
	records   *records
	begun     bool       // some rows were read
	heading   int        // its row
	missing   []string   // needed fields without a column, a fault of the heading
	order     *DateOrder // that the dates show, once it was looked for
}

// Open reads the heading. open gives the whole upload from its beginning, each time anew: dates may need a look ahead.
func Open[T any](open func() io.Reader, form Form[T], o Options[T]) (*Upload[T], error) {
	o.Units = cmp.Or(o.Units, fleet.InFeet)
	u := &Upload[T]{open: open, form: form, options: o, heading: 1}
	var err error
	if u.Encoding, err = encodingOf(open()); err != nil {
		return nil, fmt.Errorf("reading an upload: %w", err)
	}
	if o.Encoding == UTF8 && u.Encoding != UTF8 {
		return nil, u.refuse("the file is not UTF-8, as its Content-Type says; save it as CSV UTF-8")
	}
	u.records = newRecords(u.Encoding.decoded(open()))
	u.Separator = u.records.separator
	if head, _ := u.records.in.Peek(headSize); bytes.IndexByte(head, 0) >= 0 {
		return nil, u.refuse("the file is no text; in the spreadsheet, save it as CSV UTF-8")
	}
	headings, err := u.next()
	u.heading = u.records.row
	switch {
	case errors.Is(err, io.EOF):
		u.heading = 1
		return nil, u.refuse("the file is empty; the first row must name the columns: " + u.neededNames() +
			" and any others")
	case errors.Is(err, errQuotes):
		return nil, u.refuse(err.Error())
	case err != nil:
		return nil, err
	}
	headings = slices.Clone(headings)
	for headings[len(headings)-1] == "" { // spreadsheets leave empty columns behind
		headings = headings[:len(headings)-1]
	}
	if o.Columns != "" {
		err = u.nameColumns(headings)
	} else {
		u.guessColumns(headings)
	}
	for _, f := range form.Fields {
		if f.Needed && f.Text(&u.options.Same) == "" && u.place(f.Name) < 0 {
			u.missing = append(u.missing, f.Name)
			u.Faults.AddRow(u.heading, f.Name, "is missing; the columns %s are needed", u.neededNames())
		}
	}
	return u, err
}

func (u *Upload[T]) refuse(detail string) error {
	f := new(fleet.Faults)
	f.AddRow(u.heading, "", "%s", detail)
	return f.Err()
}

// NoRows refuses an upload with nothing under its headings.
func (u *Upload[T]) NoRows() error {
	return u.refuse("there are no " + u.form.Many + " under the headings")
}

func (u *Upload[T]) neededNames() string {
	var names []string
	for _, f := range u.form.Fields {
		if f.Needed {
			names = append(names, f.Name)
		}
	}
	return strings.Join(names, ", ")
}

// nameColumns takes the columns as the options name them.
func (u *Upload[T]) nameColumns(headings []string) error {
	faults := new(fleet.Faults)
	names := strings.Split(u.options.Columns, ",")
	if len(names) != len(headings) {
		faults.Add("columns", "names %d columns; the file has %d", len(names), len(headings))
		return faults.Err()
	}
	for i, name := range names {
		c, known := columnNamed(u.form.Fields, strings.TrimSpace(name))
		switch {
		case name != "" && !known:
			faults.Add("columns", "%s is not known here; known are: %s", fleet.Quoted(name), columnNames(u.form.Fields))
		case known && u.place(c.Field.Name) >= 0:
			faults.Add("columns", "names %s twice", c.Field.Name)
		}
		c.Heading = headings[i]
		u.Columns = append(u.Columns, c)
	}
	return faults.Err()
}

// guessColumns takes the columns as their headings name them.
func (u *Upload[T]) guessColumns(headings []string) {
	var twice map[int]bool
	u.Columns, twice = understandAll(u.form.Fields, headings, u.options.Units)
	for i, c := range u.Columns {
		switch {
		case c.Field != nil || c.Heading == "" || u.options.SkipUnknown:
		case twice[i]:
			u.Faults.AddRow(u.heading, c.Heading,
				"is there twice, another column says the same; name them in columns, or leave this one out with "+
					"unknown=skip")
		default:
			u.Faults.AddRow(u.heading, c.Heading,
				"is not known here; known are: %s; name it in columns, or leave it out with unknown=skip",
				columnNames(u.form.Fields))
		}
	}
}

// place is where the column of a field is, -1 without one.
func (u *Upload[T]) place(field string) int {
	return slices.IndexFunc(u.Columns, func(c Column[T]) bool { return c.Field != nil && c.Field.Name == field })
}

// next reads the next row with anything in it.
func (u *Upload[T]) next() ([]string, error) {
	for {
		cells, err := u.records.next()
		if err != nil || slices.ContainsFunc(cells, func(cell string) bool { return cell != "" }) {
			return cells, err
		}
	}
}

// Rows reads the rows below the heading, each time from the first.
func (u *Upload[T]) Rows() iter.Seq[fleet.Row[T]] {
	return func(yield func(fleet.Row[T]) bool) {
		if u.begun {
			u.records = newRecords(u.Encoding.decoded(u.open()))
			_, _ = u.next() // the headings: they were read before
		}
		u.begun = true
		for {
			cells, err := u.next()
			row := fleet.Row[T]{Number: u.records.row, AsTyped: true, Record: u.options.Same, Unread: u.missing}
			switch {
			case errors.Is(err, io.EOF):
				return
			case errors.Is(err, errQuotes):
				row.Faults.AddRow(row.Number, "", "%s", err)
			case err != nil:
				row.Faults.AddRow(row.Number, "", "the file cannot be read any further")
				yield(row)
				return
			default:
				u.read(cells, &row)
			}
			if !yield(row) {
				return
			}
		}
	}
}

// read reads one row; an empty cell is as if the column were not there.
func (u *Upload[T]) read(cells []string, row *fleet.Row[T]) {
	if over := cells[min(len(cells), len(u.Columns)):]; slices.ContainsFunc(over,
		func(cell string) bool { return cell != "" }) {
		perhaps := ""
		if u.Separator == ',' {
			perhaps = "; a decimal comma, perhaps: put such a cell in quotes, or write a point"
		}
		row.Faults.AddRow(row.Number, "", "has %d cells under %d headings%s", len(cells), len(u.Columns), perhaps)
		return
	}
	for i := range u.Columns {
		c, cell, wrong := &u.Columns[i], "", ""
		if i < len(cells) {
			cell = cells[i]
		}
		if c.Example == "" {
			c.Example = cell
		}
		switch {
		case c.Field == nil && c.Heading == "" && cell != "" && u.options.Columns == "" && !u.options.SkipUnknown:
			wrong = "the cell " + fleet.Quoted(cell) + " stands under no heading"
		case c.Field == nil:
		case cell != "":
			wrong = u.readCell(c, cell, &row.Record)
		case c.Field.Needed && c.Field.Text(&u.options.Same) == "":
			wrong = "is missing"
		}
		switch {
		case wrong == "":
		case c.Field == nil:
			row.Faults.AddRow(row.Number, "", "%s", wrong)
		default:
			row.Faults.AddRow(row.Number, c.Field.Name, "%s", wrong)
		}
	}
}

// readCell puts a cell into a record, or says what is wrong with it.
func (u *Upload[T]) readCell(c *Column[T], cell string, r *T) (wrong string) {
	switch at := c.Field.At(r).(type) {
	case *string:
		if c.Field.Kind == fleet.DateField {
			*at, wrong = u.date(cell)
		} else {
			*at = plainText(cell)
		}
	case *fleet.Ended:
		*at, wrong = parseEnded(cell)
	case *float64:
		*at, wrong = u.number(c, cell)
	case **float64:
		var v float64
		v, wrong = u.number(c, cell)
		*at = &v
	}
	return wrong
}

var fullBack = regexp.MustCompile(`(?i)^(at )?full[- ]?back$`)

// number reads a number, with a comma for a point where columns are not separated by commas, and a length or a weight
// in its units.
func (u *Upload[T]) number(c *Column[T], cell string) (value float64, wrong string) {
	if u.Separator == ';' {
		cell = strings.ReplaceAll(cell, ",", ".")
	}
	if wrong := fleet.ReadInTwoWays(cell); wrong != "" {
		return 0, wrong
	}
	value, wrong = fleet.ParseDecimal(strings.Replace(cell, ",", ".", 1))
	switch {
	case c.Field.Kind == fleet.WeightField:
		return weight(cell, value, wrong, c.Units)
	case c.Field.Kind != fleet.LengthField:
	case wrong == "" && c.Units == fleet.InMeters:
		value = fleet.Feet(value)
	case c.Field.Name == "start_ft" && fullBack.MatchString(cell):
		return 0, ""
	case wrong != "":
		return fleet.ParseLength(cell, c.Units)
	}
	return value, wrong
}

// date reads a date. One that can be read in two ways is read as the options say or else as the other dates of the
// upload do.
func (u *Upload[T]) date(cell string) (date, wrong string) {
	order := u.options.Dates
	if _, either := orderOf(cell); either {
		if order == "" {
			order = u.orderShown()
		}
		if u.Dates = order; order == "" && u.Unclear == "" {
			u.Unclear = cell
		}
	}
	return parseDate(cell, order)
}

// orderShown is the order that the dates of the upload have, where some of them can be read in one way only and those
// agree.
func (u *Upload[T]) orderShown() DateOrder {
	if u.order != nil {
		return *u.order
	}
	place := slices.IndexFunc(u.Columns,
		func(c Column[T]) bool { return c.Field != nil && c.Field.Kind == fleet.DateField })
	seen := map[DateOrder]bool{}
	u.order = new(DateOrder)
	for ahead := newRecords(u.Encoding.decoded(u.open())); ; {
		cells, err := ahead.next()
		if err != nil && !errors.Is(err, errQuotes) {
			break // the end, or what the rows will meet, too
		}
		if ahead.row > u.heading && place < len(cells) {
			if order, _ := orderOf(cells[place]); order != "" {
				seen[order] = true
				*u.order = order
			}
		}
	}
	if len(seen) != 1 {
		*u.order = ""
	}
	return *u.order
}

var withWeightUnit = regexp.MustCompile(`(?i)^(.*?)\s*(lbs?|pounds?|kgs?|kilos?|kilograms?)\.?$`)

// weight is a weight in pounds: a number that was read already, or one with its own unit.
func weight(cell string, value float64, wrong string, units fleet.Units) (float64, string) {
	if n := withWeightUnit.FindStringSubmatch(cell); n != nil {
		units = fleet.InFeet
		if strings.HasPrefix(strings.ToLower(n[2]), "k") {
			units = fleet.InMeters
		}
		value, wrong = fleet.ParseDecimal(strings.Replace(n[1], ",", ".", 1))
	}
	if wrong == "" && units == fleet.InMeters {
		value = fleet.Pounds(value)
	}
	return value, wrong
}

// NameAsSent names faults by the columns that the upload has: start_m where that is what was sent.
func (u *Upload[T]) NameAsSent(err error) error {
	var invalid *fleet.Error
	if errors.As(err, &invalid) {
		for i, f := range invalid.Faults {
			if place := u.place(f.At); place >= 0 {
				invalid.Faults[i].At = u.Columns[place].Name()
			}
		}
	}
	return err
}

// Understood is what stands in a column of a record, as plain text in the column's units, to 0.0001.
func (c Column[T]) Understood(r *T) string {
	if c.Field == nil {
		return ""
	}
	v := c.Field.Number(r)
	if v == nil {
		return c.Field.Text(r)
	}
	const finest = 1e4
	rounded := math.Round(c.Field.Convert(*v, c.Units)*finest) / finest
	return Number(&rounded)
}
