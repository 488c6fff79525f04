package fleet

import (
	"errors"
	"fmt"
	"strconv"
)

// Kind sorts errors by what the asker can do about them.
type Kind int

// The kinds of error.
const (
	Internal    Kind = iota // a fault of the program
	Unreadable              // cannot be parsed at all
	Invalid                 // understood, but wrong: see Faults
	NotFound                // no such thing
	Conflict                // it is already there, or in the way
	Changed                 // somebody else changed it meanwhile
	NoCondition             // a change needs to say which state it was made for
	Unavailable             // the storage cannot be used just now
	Full                    // the storage is full
)

// Fault is one thing wrong with what was sent, in words a sled crew understands.
type Fault struct {
	At     string    // the field, such as gears[2].label
	Row    int       // the row of a bulk request, from 1; 0 when there are no rows
	Code   FaultCode // of what can be answered beforehand; else empty
	Detail string
}

// Error is an error that says what to do about it.
type Error struct {
	Kind   Kind
	Detail string
	Faults []Fault
	Codes  []FaultCode // every code among the faults, those that were cut off included
	Total  int         // how many faults there are where the list was cut; 0 when it is whole
	Cause  error       // for the log, never shown
}

func (e *Error) Error() string {
	msg := e.Detail
	for i, f := range e.Faults {
		if i == 3 {
			msg += fmt.Sprintf("; and %d more", max(e.Total, len(e.Faults))-i)
			break
		}
		msg += "; " + f.At + ": " + f.Detail
	}
	if e.Cause != nil {
		msg += ": " + e.Cause.Error()
	}
	return msg
}

func (e *Error) Unwrap() error { return e.Cause }

// Errorf makes an error of that kind.
func Errorf(kind Kind, format string, args ...any) *Error {
	return &Error{Kind: kind, Detail: fmt.Sprintf(format, args...)}
}

// InvalidField is an Invalid error with one fault.
func InvalidField(at, format string, args ...any) error {
	f := new(Faults)
	f.Add(at, format, args...)
	return f.Err()
}

// MaxFaults is how many faults one answer lists; the rest are only counted.
const MaxFaults = 1000

// Faults collects everything wrong with one request. The zero value is ready to use.
type Faults struct {
	list  []Fault
	total int
}

// Add notes a fault at a field.
func (f *Faults) Add(at, format string, args ...any) { f.AddRow(0, at, format, args...) }

// AddRow notes a fault at a field of a row.
func (f *Faults) AddRow(row int, at, format string, args ...any) {
	f.total++
	if len(f.list) < MaxFaults {
		f.list = append(f.list, Fault{At: at, Row: row, Detail: fmt.Sprintf(format, args...)})
	}
}

// InRow adds the faults of one row's own check.
func (f *Faults) InRow(row int, others *Faults) {
	for _, o := range others.list {
		f.AddRow(row, o.At, "%s", o.Detail)
	}
}

// AddIn adds the faults that were found inside a field.
func (f *Faults) AddIn(at string, others *Faults) {
	for _, o := range others.list {
		f.Add(Inside(at, o.At), "%s", o.Detail)
	}
}

// Inside is the place of a field inside another; "" is that one itself.
func Inside(at, field string) string {
	if field == "" {
		return at
	}
	return at + "." + field
}

// Join is what was found to be wrong further down together with what was found before. A Conflict is told only when
// there is nothing to put right first.
func (f *Faults) Join(err error) error {
	var refused *Error
	switch {
	case !f.Any():
		return err
	case err == nil:
	case !errors.As(err, &refused):
		return err
	case refused.Kind == Invalid:
		for _, more := range refused.Faults {
			f.AddRow(more.Row, more.At, "%s", more.Detail)
		}
		f.total += max(0, refused.Total-len(refused.Faults)) // that were only counted
	case refused.Kind != Conflict:
		return err
	}
	return f.Err()
}

// Total is how many faults there are, those that are only counted included.
func (f *Faults) Total() int { return f.total }

// List is the faults, in the order they were found.
func (f *Faults) List() []Fault { return f.list }

// Any says whether there is a fault.
func (f *Faults) Any() bool { return f.total > 0 }

// Err is nil without faults, else an Invalid error that lists them.
func (f *Faults) Err() error {
	if f.total == 0 {
		return nil
	}
	return f.refusal(Invalid, "wrong with what was sent")
}

// refusal is an error that lists the faults, at least one, and says what they are.
func (f *Faults) refusal(kind Kind, are string) *Error {
	e := Errorf(kind, "%d things are %s", f.total, are)
	e.Faults = f.list
	switch {
	case f.total == 1:
		e.Detail = "one thing is " + are
	case f.total > len(f.list):
		e.Detail += fmt.Sprintf("; the first %d are listed", len(f.list))
		e.Total = f.total
	}
	return e
}

// Quoted is text as it was sent, in quotes, truncated where it is long.
func Quoted(text string) string { return strconv.Quote(Shortened(text, 40)) }

// Shortened truncates text to at most so many characters and an ellipsis.
func Shortened(text string, most int) string {
	for place := range text {
		if most == 0 {
			return text[:place] + "…"
		}
		most--
	}
	return text
}
