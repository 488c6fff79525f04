package archive

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/strictjson"
)

// How long one thing of a document may be, in bytes. A sled with all its gears and a show of 60 classes with its kept
// sheet take at most 2 MiB. What the history says of an import of many readings names every reading that they replaced,
// and 64 MiB of CSV have room for nearly two million.
const (
	mostThing = 8 << 20
	mostEntry = 40 << 20
)

// reader reads a document a thing at a time, and never holds more than one of them in memory. It checks form only: that
// it is JSON, in sections that follow one another as they should, without anything that this program does not know.
type reader struct {
	in     *json.Decoder
	from   *bounded
	layout layout
}

func newReader(document io.Reader, of layout) *reader {
	from := &bounded{from: document, until: mostThing}
	in := json.NewDecoder(from)
	in.UseNumber() // one that is too large is then found where numbers are read, and is no error of the reader's own
	return &reader{in: in, from: from, layout: of}
}

// bounded reads no farther than a place, so that nobody can make the decoder take in more than that.
type bounded struct {
	from        io.Reader
	read, until int64
}

var errTooLong = errors.New("longer than anything in a fleet")

func (b *bounded) Read(p []byte) (int, error) {
	room := b.until - b.read
	if room <= 0 {
		return 0, errTooLong
	}
	n, err := b.from.Read(p[:min(int64(len(p)), room)])
	b.read += int64(n)
	return n, err
}

// read gives every thing to the section it stands in, with its place. A document that cannot be read to its end is
// Unreadable.
func (r *reader) read(each func(section, at string, thing json.RawMessage) error) error {
	sections := r.layout.sections
	if err := r.open(); err != nil {
		return err
	}
	next := 0
	for r.in.More() {
		name, err := r.name()
		if err != nil {
			return err
		}
		place := slices.Index(sections[next:], name)
		if place < 0 {
			return fleet.Errorf(fleet.Unreadable,
				"%s is not known in a document of this format, or stands in the wrong place: the order is %s",
				fleet.Quoted(name), strings.Join(sections, ", "))
		}
		next += place + 1
		if err := r.section(name, each); err != nil {
			return err
		}
	}
	if err := r.delimiter('}'); err != nil {
		return err
	}
	r.from.until = r.in.InputOffset() + mostThing
	switch _, err := r.in.Token(); {
	case errors.Is(err, io.EOF):
		return nil
	case err != nil:
		return r.unreadable(err)
	}
	return fleet.Errorf(fleet.Unreadable, "there is something after the end of the document")
}

// open reads as far as the format, which comes first.
func (r *reader) open() error {
	if err := r.delimiter('{'); err != nil {
		return err
	}
	name, err := r.name()
	if err != nil {
		return err
	}
	token, err := r.in.Token()
	if err != nil {
		return r.unreadable(err)
	}
	given, _ := token.(string)
	format := r.layout.format
	number, ours := strings.CutPrefix(given, strings.TrimRight(format, "0123456789"))
	switch {
	case name != "format" || !ours:
		return fleet.Errorf(fleet.Unreadable, "this is not %s: it must begin with \"format\": %q", r.layout.what,
			format)
	case given != format:
		return fleet.Errorf(fleet.Unreadable,
			"a newer program wrote it: its format has the number %s, and this program reads %s only",
			fleet.Shortened(number, 40), format)
	}
	return nil
}

func (r *reader) section(name string, each func(section, at string, thing json.RawMessage) error) error {
	if err := r.delimiter('['); err != nil {
		return err
	}
	most := int64(mostThing)
	if name == sectionHistory {
		most = mostEntry
	}
	for i := 0; ; i++ {
		r.from.until = r.in.InputOffset() + most
		if !r.in.More() {
			break
		}
		at := fmt.Sprintf("%s[%d]", name, i)
		var thing json.RawMessage
		if err := r.in.Decode(&thing); errors.Is(err, errTooLong) {
			return fleet.Errorf(fleet.Unreadable,
				"%s is longer than %d MiB, which nothing in a fleet is; nothing after it was read", at, most>>20)
		} else if err != nil {
			return r.unreadable(err)
		}
		if err := each(name, at, thing); err != nil {
			return err
		}
	}
	return r.delimiter(']')
}

func (r *reader) name() (string, error) {
	r.from.until = r.in.InputOffset() + mostThing
	token, err := r.in.Token()
	if err != nil {
		return "", r.unreadable(err)
	}
	name, ok := token.(string)
	if !ok {
		return "", fleet.Errorf(fleet.Unreadable, "the document is not an object with sections")
	}
	return name, nil
}

func (r *reader) delimiter(want json.Delim) error {
	token, err := r.in.Token()
	if err != nil {
		return r.unreadable(err)
	}
	if token != want {
		return fleet.Errorf(fleet.Unreadable, "the document has %.40v where %q should stand, after %d bytes", token,
			want.String(), r.in.InputOffset())
	}
	return nil
}

// unreadable says that a document is no JSON or breaks off. What failed outside of it stays what it is.
func (r *reader) unreadable(err error) error {
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return &fleet.Error{Kind: fleet.Unreadable,
			Detail: fmt.Sprintf("the document is not JSON at byte %d: %s", syntax.Offset, syntax.Error()), Cause: err}
	case errors.Is(err, errTooLong):
		return fleet.Errorf(fleet.Unreadable,
			"the document has something at byte %d that is longer than anything in a fleet", r.in.InputOffset())
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return &fleet.Error{Kind: fleet.Unreadable, Detail: "the document breaks off before its end", Cause: err}
	}
	return fmt.Errorf("reading a document: %w", err)
}

// read reads one thing of a document, and finds everything that is wrong with its form. What can be read is in the
// value even so.
//
// A thing that reads exactly as Export would write it has no such fault. Only others are looked at field by field.
func read[T any](thing json.RawMessage) (value T, faults *fleet.Faults) {
	d := json.NewDecoder(bytes.NewReader(thing))
	d.DisallowUnknownFields()
	if d.Decode(&value) == nil {
		if again, err := json.Marshal(value); err == nil && bytes.Equal(again, thing) {
			return value, new(fleet.Faults)
		}
	}
	var fresh T
	// of a show's sheet, and of an entry of the history
	faults = strictjson.Unmarshal(thing, &fresh, "closed_sheet.document", "before", "after")
	return fresh, faults
}
