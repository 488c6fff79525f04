package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"unicode/utf8"

	"evenpull/internal/fleet"
)

// deepest is how deep a body may be nested; the contract itself needs four.
const deepest = 32

// readJSON reads one JSON value strictly: UTF-8, nothing after it, no field twice, no number beyond what a
// float64 holds. A body that cannot be read at all is an Unreadable error; faults can be listed with others.
func readJSON(body []byte) (value any, faults []fieldFault, err error) {
	if !utf8.Valid(body) {
		return nil, nil, fleet.Errorf(fleet.Unreadable, "the body holds bytes that are not text (UTF-8)")
	}
	var whole json.RawMessage
	if err := json.Unmarshal(body, &whole); err != nil {
		return nil, nil, unreadable(body, err)
	}
	r := jsonReader{d: json.NewDecoder(bytes.NewReader(body))}
	r.d.UseNumber()
	value, err = r.value(nil)
	if err != nil {
		return nil, nil, unreadable(body, err)
	}
	return value, r.faults, nil
}

var errTooDeep = fleet.Errorf(fleet.Unreadable, "the JSON is nested too deeply")

// unreadable says where the JSON breaks.
func unreadable(body []byte, err error) error {
	if errors.Is(err, errTooDeep) {
		return err
	}
	var syntax *json.SyntaxError
	if !errors.As(err, &syntax) {
		return &fleet.Error{Kind: fleet.Unreadable, Detail: "the JSON cannot be read", Cause: err}
	}
	before := body[:min(max(syntax.Offset-1, 0), int64(len(body)))]
	line := bytes.Count(before, []byte("\n")) + 1
	column := len([]rune(string(before[bytes.LastIndexByte(before, '\n')+1:]))) + 1
	return fleet.Errorf(fleet.Unreadable, "the JSON breaks at line %d, column %d: %s", line, column, syntax.Error())
}

type jsonReader struct {
	d      *json.Decoder
	faults []fieldFault
}

// value reads the next value, which stands at path.
func (r *jsonReader) value(path []string) (any, error) {
	if len(path) > deepest {
		return nil, errTooDeep
	}
	token, err := r.d.Token()
	if err != nil {
		return nil, err
	}
	switch t := token.(type) {
	case json.Delim:
		if t == '[' {
			return r.list(path)
		}
		return r.object(path)
	case json.Number:
		number, err := t.Float64()
		if err != nil {
			r.faults = append(r.faults, fieldFault{slices.Clone(path), "is too large a number"})
			return float64(0), nil
		}
		return number, nil
	}
	return token, nil
}

func (r *jsonReader) list(path []string) (any, error) {
	items := []any{}
	for r.d.More() {
		item, err := r.value(append(slices.Clip(path), strconv.Itoa(len(items))))
		if err != nil {
			return nil, err
		}
		items = append(items, item)
	}
	_, err := r.d.Token()
	return items, err
}

func (r *jsonReader) object(path []string) (any, error) {
	fields := map[string]any{}
	for r.d.More() {
		token, err := r.d.Token()
		if err != nil {
			return nil, err
		}
		name := token.(string) // a key, or Token had failed
		at := append(slices.Clip(path), name)
		if _, twice := fields[name]; twice {
			r.faults = append(r.faults, fieldFault{slices.Clone(at), "is given twice"})
		}
		if fields[name], err = r.value(at); err != nil {
			return nil, err
		}
	}
	_, err := r.d.Token()
	return fields, err
}

// readInto reads a checked JSON value into the type generated for it.
func readInto(into, value any) error {
	text, err := json.Marshal(value) // a whole number that came as 1.0 or 1e0 is now written 1
	if err != nil {
		return err
	}
	return json.Unmarshal(text, into)
}
