package book

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"evenpull/internal/fleet"
)

// into reads one thing of a document, all of it, and finds everything that is wrong with its form: a field that is not known, or
// given twice, or of another kind. What can be read is in the value even so.
//
// A thing that reads exactly as Export would write it has no such fault. Only others are looked at field by field.
func into[T any](thing json.RawMessage) (value T, faults *fleet.Faults) {
	d := json.NewDecoder(bytes.NewReader(thing))
	d.DisallowUnknownFields()
	if d.Decode(&value) == nil {
		if again, err := json.Marshal(value); err == nil && bytes.Equal(again, thing) {
			return value, new(fleet.Faults)
		}
	}
	var fresh T
	s := strictReader{new(fleet.Faults)}
	s.read(reflect.ValueOf(&fresh).Elem(), thing, "")
	return fresh, s.faults
}

// strictReader reads JSON into Go values field by field. The JSON itself has been found to be sound.
type strictReader struct{ faults *fleet.Faults }

var (
	timeType     = reflect.TypeFor[time.Time]()
	documentType = reflect.TypeFor[json.RawMessage]()
)

func (s strictReader) read(to reflect.Value, text json.RawMessage, at string) {
	if text = bytes.TrimSpace(text); len(text) == 0 { // it was not there
		text = json.RawMessage("null")
	}
	null := string(text) == "null"
	switch kind := to.Kind(); {
	case to.Type() == documentType:
		if !null {
			to.SetBytes(text)
		}
	case to.Type() == timeType:
		var t time.Time
		if null || json.Unmarshal(text, &t) != nil {
			s.faults.Add(at, "must be a time like 2026-05-09T12:00:00.123456Z, not %s", shorten(string(text)))
			return
		}
		to.Set(reflect.ValueOf(t))
	case kind == reflect.Pointer:
		if !null {
			fresh := reflect.New(to.Type().Elem())
			own := strictReader{new(fleet.Faults)}
			if own.read(fresh.Elem(), text, at); fresh.Elem().Kind() == reflect.Struct || !own.faults.Any() {
				to.Set(fresh)
			}
			s.faults.InRow(0, own.faults)
		}
	case kind == reflect.Slice:
		if !null {
			s.list(to, text, at)
		}
	case kind == reflect.Struct:
		s.object(text, at, fieldsOf(to))
	case kind == reflect.Map:
		s.byName(to, text, at)
	default:
		s.scalar(to, text, at)
	}
}

// fieldsOf are the fields of a struct by their names in JSON, those of the structs in it included.
func fieldsOf(of reflect.Value) map[string]reflect.Value {
	fields := map[string]reflect.Value{}
	for _, f := range reflect.VisibleFields(of.Type()) {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name != "" && name != "-" {
			fields[name] = of.FieldByIndex(f.Index)
		}
	}
	return fields
}

func (s strictReader) object(text json.RawMessage, at string, fields map[string]reflect.Value) {
	s.members(text, at, func(name, at string, value json.RawMessage) {
		to, known := fields[name]
		if !known {
			s.faults.Add(at, "is not known here")
			return
		}
		s.read(to, value, at)
	})
}

func (s strictReader) byName(to reflect.Value, text json.RawMessage, at string) {
	to.Set(reflect.MakeMap(to.Type()))
	s.members(text, at, func(name, at string, value json.RawMessage) {
		one := reflect.New(to.Type().Elem()).Elem()
		s.read(one, value, at)
		to.SetMapIndex(reflect.ValueOf(name), one)
	})
}

// members gives each member of an object once.
func (s strictReader) members(text json.RawMessage, at string, do func(name, at string, value json.RawMessage)) {
	if text[0] != '{' {
		s.faults.Add(at, "must be an object with fields, not %s", shorten(string(text)))
		return
	}
	if at != "" {
		at += "."
	}
	d := json.NewDecoder(bytes.NewReader(text))
	_, _ = d.Token() // its bracket: the text is sound, so that nothing here can fail
	seen := map[string]bool{}
	for d.More() {
		token, _ := d.Token()
		var value json.RawMessage
		if d.Decode(&value) != nil {
			return
		}
		name, _ := token.(string)
		where := at + shorten(name)
		if seen[name] {
			s.faults.Add(where, "is given twice")
			continue
		}
		seen[name] = true
		do(name, where, value)
	}
}

func (s strictReader) list(to reflect.Value, text json.RawMessage, at string) {
	if text[0] != '[' {
		s.faults.Add(at, "must be a list, not %s", shorten(string(text)))
		return
	}
	d := json.NewDecoder(bytes.NewReader(text))
	_, _ = d.Token()
	to.Set(reflect.MakeSlice(to.Type(), 0, 0))
	for i := 0; d.More(); i++ {
		var value json.RawMessage
		if d.Decode(&value) != nil {
			return
		}
		one := reflect.New(to.Type().Elem()).Elem()
		s.read(one, value, fmt.Sprintf("%s[%d]", at, i))
		to.Set(reflect.Append(to, one))
	}
}

func (s strictReader) scalar(to reflect.Value, text json.RawMessage, at string) {
	switch to.Kind() {
	case reflect.String:
		var value string
		if text[0] != '"' || json.Unmarshal(text, &value) != nil {
			s.faults.Add(at, "must be text, not %s", shorten(string(text)))
			return
		}
		to.SetString(value)
	case reflect.Bool:
		if word := string(text); word != "true" && word != "false" {
			s.faults.Add(at, "must be true or false, not %s", shorten(word))
			return
		}
		to.SetBool(text[0] == 't')
	case reflect.Float64:
		value, err := strconv.ParseFloat(string(text), 64)
		switch {
		case !isNumber(text):
			s.faults.Add(at, "must be a number, not %s", shorten(string(text)))
		case err != nil:
			s.faults.Add(at, "is too large a number")
		default:
			to.SetFloat(value)
		}
	default: // a whole number
		value, err := strconv.ParseFloat(string(text), 64)
		if !isNumber(text) || err != nil || value != math.Trunc(value) || math.Abs(value) > 1<<53 {
			s.faults.Add(at, "must be a whole number, not %s", shorten(string(text)))
			return
		}
		to.SetInt(int64(value))
	}
}

// isNumber tells a number from the other things that JSON has.
func isNumber(text json.RawMessage) bool {
	return text[0] == '-' || text[0] >= '0' && text[0] <= '9'
}

// mostNested is how deep the documents in the history and on kept sheets may be nested. Those written here need eight.
const mostNested = 32

// nested says whether JSON is nested deeper than that.
func nested(text json.RawMessage) bool {
	depth, inText := 0, false
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case inText && c == '\\':
			i++
		case c == '"':
			inText = !inText
		case inText:
		case c == '{' || c == '[':
			if depth++; depth > mostNested {
				return true
			}
		case c == '}' || c == ']':
			depth--
		}
	}
	return false
}
