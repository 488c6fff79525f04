// Package strictjson reads JSON that others wrote: once, all of it, and with every fault of its form named by the field
// it stands at.
//
// Beyond what JSON itself forbids (RFC 8259), a field must not be given twice, a number must fit a float64, text must
// be UTF-8 and of whole characters, and nothing may be nested deeper than maxDepth.
package strictjson

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"evenpull/internal/fleet"
)

// maxDepth is how deep a value may be nested. What is read here needs eight at most.
const maxDepth = 32

// Read reads one JSON value as a map[string]any, []any, string, float64, bool or nil. A field given twice and a number
// too large are faults, and everything else is read all the same. Text that cannot be read is a fleet.Unreadable error
// that says where it breaks.
//
// The fields that verbatim names by their place, such as sheet.document, are not looked into: they are a
// json.RawMessage as it was written.
func Read(text []byte, verbatim ...string) (value any, faults *fleet.Faults, err error) {
	if !utf8.Valid(text) {
		return nil, nil, fleet.Errorf(fleet.Unreadable, "the JSON holds bytes that are not text (UTF-8)")
	}
	r := reader{text: text, d: json.NewDecoder(bytes.NewReader(text)), verbatim: verbatim}
	r.d.UseNumber()
	value, err = r.value()
	if err == nil {
		if _, after := r.d.Token(); !errors.Is(after, io.EOF) {
			err = errMore
		}
	}
	if err != nil {
		return nil, nil, unreadable(text, err)
	}
	return value, &r.faults, nil
}

// Unmarshal reads JSON into what the pointer into leads to: Read and Fill. What cannot be read at all is a fault too.
func Unmarshal(text []byte, into any, verbatim ...string) *fleet.Faults {
	value, faults, err := Read(text, verbatim...)
	if err != nil {
		faults = new(fleet.Faults)
		faults.Add("", "%s", err)
		return faults
	}
	faults.InRow(0, Fill(into, value))
	return faults
}

var (
	errTooDeep = fleet.Errorf(fleet.Unreadable, "the JSON is nested too deeply")
	errMore    = errors.New("there is something after the value")
)

// unreadable says where the JSON breaks. A Decoder that is read token by token does not know the place, so that the
// text is looked through once more.
func unreadable(text []byte, err error) error {
	var whole json.RawMessage
	var syntax *json.SyntaxError
	switch {
	case errors.Is(err, errTooDeep):
		return err
	case !errors.As(json.Unmarshal(text, &whole), &syntax):
		return &fleet.Error{Kind: fleet.Unreadable, Detail: "the JSON cannot be read", Cause: err}
	}
	before := text[:min(max(syntax.Offset-1, 0), int64(len(text)))]
	line := bytes.Count(before, []byte("\n")) + 1
	column := utf8.RuneCount(before[bytes.LastIndexByte(before, '\n')+1:]) + 1
	return fleet.Errorf(fleet.Unreadable, "the JSON breaks at line %d, column %d: %s", line, column, syntax.Error())
}

type reader struct {
	text     []byte
	d        *json.Decoder
	verbatim []string
	at       path
	faults   fleet.Faults
}

// value reads the next value.
func (r *reader) value() (any, error) {
	began := r.d.InputOffset()
	token, err := r.d.Token()
	if err != nil {
		return nil, err
	}
	switch t := token.(type) {
	case string:
		r.checkWhole(t, began)
	case json.Delim:
		switch {
		case len(r.at) >= maxDepth:
			return nil, errTooDeep
		case t == '[':
			return r.list()
		}
		return r.object()
	case json.Number:
		number, err := t.Float64()
		if err != nil {
			r.fault("is too large a number")
			return float64(0), nil
		}
		return number, nil
	}
	return token, nil
}

// checkWhole notes half a character (\ud800), which JSON can write and text cannot hold: a Decoder puts U+FFFD in its
// place. The token that holds text began at that offset, or later.
func (r *reader) checkWhole(text string, began int64) {
	if !strings.ContainsRune(text, utf8.RuneError) {
		return
	}
	if half := loneSurrogate(r.text[began:r.d.InputOffset()]); half != "" {
		r.fault("holds half a character, %s, which is no text", half)
	}
}

// loneSurrogate is the first escape in JSON that stands for half of a character without the other half, "" for none.
func loneSurrogate(raw []byte) string {
	unit := func(i int) (code rune, ok bool) {
		if i+6 > len(raw) || raw[i] != '\\' || raw[i+1] != 'u' {
			return 0, false
		}
		hex, err := strconv.ParseUint(string(raw[i+2:i+6]), 16, 16)
		return rune(hex), err == nil
	}
	for i := 0; i < len(raw); i++ {
		code, is := unit(i)
		low, paired := unit(i + 6)
		switch {
		case raw[i] != '\\':
		case !is:
			i++ // another escape
		case !utf16.IsSurrogate(code):
			i += 5
		case paired && utf16.DecodeRune(code, low) != utf8.RuneError:
			i += 11
		default:
			return string(raw[i : i+6])
		}
	}
	return ""
}

// fault notes a fault of the value that is read. Where it is only counted its place, which may be long, is not written.
func (r *reader) fault(format string, args ...any) {
	at := ""
	if r.faults.Total() < fleet.MaxFaults {
		at = r.at.String()
	}
	r.faults.Add(at, format, args...)
}

func (r *reader) list() (any, error) {
	items := []any{}
	for r.d.More() {
		r.at = append(r.at, step{index: len(items)})
		item, err := r.value()
		if err != nil {
			return nil, err
		}
		r.at = r.at[:len(r.at)-1]
		items = append(items, item)
	}
	_, err := r.d.Token()
	return items, err
}

func (r *reader) object() (any, error) {
	fields := map[string]any{}
	for r.d.More() {
		began := r.d.InputOffset()
		token, err := r.d.Token()
		if err != nil {
			return nil, err
		}
		name, _ := token.(string) // a name, or Token had failed
		r.at = append(r.at, step{name: name, index: -1})
		r.checkWhole(name, began)
		if _, twice := fields[name]; twice {
			r.fault("is given twice")
		}
		if fields[name], err = r.field(); err != nil {
			return nil, err
		}
		r.at = r.at[:len(r.at)-1]
	}
	_, err := r.d.Token()
	return fields, err
}

func (r *reader) field() (any, error) {
	if len(r.verbatim) == 0 || !slices.Contains(r.verbatim, r.at.String()) {
		return r.value()
	}
	var raw json.RawMessage
	err := r.d.Decode(&raw)
	return raw, err
}

// path is where a value stands.
type path []step

// step leads to an item of a list, or where index is negative to a field.
type step struct {
	name  string
	index int
}

// String writes a path as people read it: gears[2].label.
func (p path) String() string {
	var b strings.Builder
	for _, s := range p {
		switch {
		case s.index >= 0:
			b.WriteString("[" + strconv.Itoa(s.index) + "]")
			continue
		case b.Len() > 0:
			b.WriteByte('.')
		}
		b.WriteString(fleet.Shortened(s.name, 100))
	}
	return b.String()
}

// TooDeep says whether JSON is nested deeper than maxDepth. It does not look at anything else.
func TooDeep(text []byte) bool {
	depth, inText := 0, false
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case inText && c == '\\':
			i++
		case c == '"':
			inText = !inText
		case inText:
		case c == '{' || c == '[':
			if depth++; depth > maxDepth {
				return true
			}
		case c == '}' || c == ']':
			depth--
		}
	}
	return false
}
