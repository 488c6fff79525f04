package fleet

import (
	"strings"
)

// Field is one field of a reading or a weighing: what the API, a spreadsheet and a form call it, and what may stand in
// it.
type Field[T any] struct {
	Name     string         // in the API; it ends in the unit of a number
	Label    string         // for people
	Kind     FieldKind      // how it is read and checked
	Needed   bool           // there is no record without it
	Least    int            // characters of a text, where there is one
	Most     float64        // characters of a text, or the most of a number
	At       func(r *T) any // where it stands: *string, *Ended, *float64, or **float64 where it may be absent
	Headings string         // what else people write over its column: lower case, no punctuation, commas between
}

// FieldKind is how a field is read and checked.
type FieldKind string

// The kinds of field.
const (
	SledField   FieldKind = "sled"
	GearField   FieldKind = "gear"
	LengthField FieldKind = "length"
	WeightField FieldKind = "weight"
	NumberField FieldKind = "number"
	DateField   FieldKind = "date"
	EndedField  FieldKind = "ended"
	TextField   FieldKind = "text" // on one line
	NoteField   FieldKind = "note" // on several
)

const needed, optional = true, false

// Unit is the unit of a field's number, as its name says it: ft, lb, psi, mph.
func (f Field[T]) Unit() string {
	switch f.Kind {
	case LengthField, WeightField, NumberField:
		return f.Name[strings.LastIndexByte(f.Name, '_')+1:]
	}
	return ""
}

// In is the name of the field of a length or a weight, or of its column, in those units: start_ft, start_m, pan_lb,
// pan_kg.
func (f Field[T]) In(units Units) string {
	switch f.Kind {
	case LengthField:
		return strings.TrimSuffix(f.Name, string(InFeet)) + string(units)
	case WeightField:
		return strings.TrimSuffix(f.Name, InFeet.Weight()) + units.Weight()
	}
	return f.Name
}

// Convert is a number of the field, which is in feet or pounds, in those units; one that is neither stays.
func (f Field[T]) Convert(v float64, units Units) float64 {
	switch f.Kind {
	case LengthField:
		return units.From(v)
	case WeightField:
		return units.FromPounds(v)
	}
	return v
}

// Text is what stands in a field of text, "" in one of a number.
func (f Field[T]) Text(r *T) string {
	switch at := f.At(r).(type) {
	case *string:
		return *at
	case *Ended:
		return string(*at)
	}
	return ""
}

// Number is what stands in a field of a number, nil where there is none.
func (f Field[T]) Number(r *T) *float64 {
	switch at := f.At(r).(type) {
	case *float64:
		return at
	case **float64:
		return *at
	}
	return nil
}

func tidyFields[T any](fields []Field[T], r *T) {
	for _, f := range fields {
		if text, ok := f.At(r).(*string); ok {
			*text = tidy(*text)
		}
	}
}

// checkFields notes texts that are too long, and numbers without a unit of length or weight that are out of their
// range.
func checkFields[T any](faults *Faults, fields []Field[T], r *T) {
	for _, f := range fields {
		switch at := f.At(r).(type) {
		case *string:
			switch {
			case *at == "":
			case f.Kind == TextField:
				checkLine(faults, f.Name, *at, f.Least, int(f.Most))
			case f.Kind == NoteField:
				checkText(faults, f.Name, *at, int(f.Most))
			}
		case **float64:
			if f.Kind == NumberField && *at != nil && !(within(**at, 0, f.Most) && **at > 0) {
				faults.Add(f.Name, "the %s must be above 0 and at most %g %s, not %g", strings.ToLower(f.Label), f.Most,
					f.Unit(), **at)
			}
		}
	}
}
