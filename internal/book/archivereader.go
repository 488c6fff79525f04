package book

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"evenpull/internal/fleet"
)

// mostThing is how long one thing of a document may be, in bytes: a kept sheet of a hundred classes takes a few hundred thousand.
const mostThing = 8 << 20

// archiveReader reads a document a thing at a time. It checks form only: that it is JSON, in sections that follow one another as
// they should, without anything that this program does not know.
type archiveReader struct {
	in     *json.Decoder
	faults *fleet.Faults
}

// read gives every thing to the section it stands in, with its place. A document that cannot be read to its end is Unreadable.
func (r *archiveReader) read(sections []string, each func(section, at string, thing json.RawMessage) error) error {
	if err := r.open(); err != nil {
		return err
	}
	next := 0
	for r.in.More() {
		name, err := r.name()
		if err != nil {
			return err
		}
		place := indexFrom(sections, name, next)
		if place < 0 {
			return fleet.Errorf(fleet.Unreadable, "%q is not known in a document of this format, or stands in the wrong place: the order is %s", shorten(name), strings.Join(sections, ", "))
		}
		next = place + 1
		if err := r.section(name, each); err != nil {
			return err
		}
	}
	if err := r.delimiter('}'); err != nil {
		return err
	}
	if _, err := r.in.Token(); !errors.Is(err, io.EOF) {
		return fleet.Errorf(fleet.Unreadable, "there is something after the end of the document")
	}
	return nil
}

func indexFrom(names []string, name string, from int) int {
	for i := from; i < len(names); i++ {
		if names[i] == name {
			return i
		}
	}
	return -1
}

// open reads as far as the format, which comes first.
func (r *archiveReader) open() error {
	if err := r.delimiter('{'); err != nil {
		return err
	}
	name, err := r.name()
	if err != nil {
		return err
	}
	format, err := r.in.Token()
	if err != nil {
		return unreadable(err)
	}
	if name != "format" || format != archiveFormat {
		return fleet.Errorf(fleet.Unreadable, "this is no fleet that was exported, or a newer program wrote it: it must begin with \"format\": %q", archiveFormat)
	}
	return nil
}

func (r *archiveReader) section(name string, each func(section, at string, thing json.RawMessage) error) error {
	if err := r.delimiter('['); err != nil {
		return err
	}
	for i := 0; r.in.More(); i++ {
		var thing json.RawMessage
		if err := r.in.Decode(&thing); err != nil {
			return unreadable(err)
		}
		at := fmt.Sprintf("%s[%d]", name, i)
		switch {
		case len(thing) > mostThing:
			r.faults.Add(at, "is longer than %d MiB", mostThing>>20)
			continue
		case !utf8.Valid(thing):
			r.faults.Add(at, "holds bytes that are not text (UTF-8)")
			continue
		}
		if err := each(name, at, thing); err != nil {
			return err
		}
	}
	return r.delimiter(']')
}

func (r *archiveReader) name() (string, error) {
	token, err := r.in.Token()
	if err != nil {
		return "", unreadable(err)
	}
	name, ok := token.(string)
	if !ok {
		return "", fleet.Errorf(fleet.Unreadable, "the document is not an object with sections")
	}
	return name, nil
}

func (r *archiveReader) delimiter(want json.Delim) error {
	token, err := r.in.Token()
	if err != nil {
		return unreadable(err)
	}
	if token != want {
		return fleet.Errorf(fleet.Unreadable, "the document has %.40v where %q should stand, after %d bytes", token, want.String(), r.in.InputOffset())
	}
	return nil
}

// unreadable says that a document is no JSON or breaks off. What failed outside of it stays what it is.
func unreadable(err error) error {
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return &fleet.Error{Kind: fleet.Unreadable, Detail: fmt.Sprintf("the document is not JSON at byte %d: %s", syntax.Offset, syntax.Error()), Cause: err}
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return &fleet.Error{Kind: fleet.Unreadable, Detail: "the document breaks off before its end", Cause: err}
	}
	return fmt.Errorf("reading a document: %w", err)
}

// into reads one thing, all of it: what is not known is a fault. It is false where there is one.
func into[T any](f *fleet.Faults, at string, thing json.RawMessage) (value T, ok bool) {
	d := json.NewDecoder(bytes.NewReader(thing))
	d.DisallowUnknownFields()
	err := d.Decode(&value)
	var wrong *json.UnmarshalTypeError
	switch {
	case err == nil:
		return value, true
	case errors.As(err, &wrong) && wrong.Field != "":
		f.Add(at+"."+wrong.Field, "cannot be a %s", wrong.Value)
	default:
		detail := strings.TrimPrefix(err.Error(), "json: ")
		if name, found := strings.CutPrefix(detail, "unknown field "); found {
			f.Add(at+"."+shorten(strings.Trim(name, `"`)), "is not known here")
		} else {
			f.Add(at, "cannot be read: %s", shorten(detail))
		}
	}
	return value, false
}

func shorten(text string) string {
	const most = 100
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most]) + "…"
}
