package main

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"

	"evenpull/internal/fleet"
)

// fieldFault is a fault at a field, its path not yet written out.
type fieldFault struct {
	path   []string
	detail string
}

// pathText writes a path as people read it: gears[2].label.
func pathText(path []string) string {
	var b strings.Builder
	for _, part := range path {
		switch {
		case isIndex(part):
			b.WriteString("[" + part + "]")
		case b.Len() > 0:
			b.WriteString("." + part)
		default:
			b.WriteString(part)
		}
	}
	return b.String()
}

func isIndex(part string) bool {
	_, err := strconv.ParseUint(part, 10, 31)
	return err == nil
}

// distinct keeps the first fault of each field: one wrong date is one fault, though three rules refuse it.
func distinct(faults []fieldFault) []fieldFault {
	seen := map[string]bool{}
	return slices.DeleteFunc(faults, func(f fieldFault) bool {
		at := pathText(f.path)
		was := seen[at]
		seen[at] = true
		return was
	})
}

// addTo adds faults to those of the request.
func addTo(faults *fleet.Faults, found []fieldFault) {
	for _, f := range found {
		faults.Add(pathText(f.path), "%s", f.detail)
	}
}

// inPlainWords says what a schema refuses in words that somebody who never saw a schema understands.
func inPlainWords(e *openapi3.SchemaError, at []string) []fieldFault {
	path := append(slices.Clone(at), e.JSONPointer()...)
	if e.SchemaField == "properties" { // fields that are not known; reported once for each, whatever its name
		object, _ := e.Value.(map[string]any)
		known := slices.Sorted(maps.Keys(e.Schema.Properties))
		var unknown []fieldFault
		for _, name := range slices.Sorted(maps.Keys(object)) {
			if _, ok := e.Schema.Properties[name]; !ok {
				unknown = append(unknown, fieldFault{append(slices.Clone(path), name), "is not known here; known are: " + strings.Join(known, ", ")})
			}
		}
		return unknown
	}
	return []fieldFault{{path, sentence(e, inFeet(path))}}
}

// inFeet says whether the field at a path is a distance, or a list of them: its name ends with the unit.
func inFeet(path []string) bool {
	for _, name := range slices.Backward(path) {
		if !isIndex(name) {
			return strings.HasSuffix(name, "_ft")
		}
	}
	return false
}

func sentence(e *openapi3.SchemaError, inFeet bool) string {
	s := e.Schema
	if s.Pattern != "" && s.Example != nil && (e.SchemaField == "pattern" || e.SchemaField == "minLength" || e.SchemaField == "maxLength") {
		return fmt.Sprintf("must look like %v, not %s", s.Example, shown(e.Value))
	}
	switch e.SchemaField {
	case "required":
		return "is missing"
	case "nullable":
		return "must not be null; leave it out instead"
	case "type":
		return fmt.Sprintf("must be %s, not %s", kindWanted(s), kindOf(e.Value))
	case "enum":
		return fmt.Sprintf("must be %s, not %s", oneOf(s.Enum), shown(e.Value))
	case "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum":
		if feet, is := e.Value.(float64); is && inFeet {
			limits := rangeOf(s, fleet.FeetAndMetres, fleet.BetweenFeet)
			return fmt.Sprintf("must be %s, not %s", limits, fleet.FeetAndMetres(feet))
		}
		return fmt.Sprintf("must be %s, not %s", rangeOf(s, plain, plainRange), shown(e.Value))
	case "minLength":
		if s.MinLength == 1 {
			return "must not be empty"
		}
		return fmt.Sprintf("must be at least %d characters long", s.MinLength)
	case "maxLength":
		return fmt.Sprintf("can be up to %d characters long, not %d", *s.MaxLength, len([]rune(fmt.Sprint(e.Value))))
	case "minItems":
		return fmt.Sprintf("needs at least %s", counted(s.MinItems, "entry", "entries"))
	case "maxItems":
		list, _ := e.Value.([]any)
		return fmt.Sprintf("can have up to %s, not %d", counted(*s.MaxItems, "entry", "entries"), len(list))
	case "maxProperties":
		fields, _ := e.Value.(map[string]any)
		return fmt.Sprintf("can have up to %s, not %d", counted(*s.MaxProps, "entry", "entries"), len(fields))
	}
	return e.Reason
}

func counted(n uint64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func kindWanted(s *openapi3.Schema) string {
	switch {
	case s.Type.Is(openapi3.TypeNumber):
		return "a number"
	case s.Type.Is(openapi3.TypeInteger):
		return "a whole number"
	case s.Type.Is(openapi3.TypeBoolean):
		return "true or false"
	case s.Type.Is(openapi3.TypeArray):
		return "a list"
	case s.Type.Is(openapi3.TypeObject):
		return "an object"
	}
	return "text"
}

func kindOf(value any) string {
	switch v := value.(type) {
	case nil:
		return "null"
	case string:
		return "text"
	case bool:
		return strconv.FormatBool(v)
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case []any:
		return "a list"
	}
	return "an object"
}

func plain(v float64) string { return fmt.Sprintf("%g", v) }

func plainRange(low, high float64) string { return fmt.Sprintf("%g to %g", low, high) }

// rangeOf says between what a number must lie, its limits written as number and between write them. Above means above 0
// wherever the contract says it, which needs no unit.
func rangeOf(s *openapi3.Schema, number func(float64) string, between func(low, high float64) string) string {
	above := s.ExclusiveMin.Bool != nil && *s.ExclusiveMin.Bool
	switch {
	case s.Min != nil && s.Max != nil && above:
		return fmt.Sprintf("above %g and at most %s", *s.Min, number(*s.Max))
	case s.Min != nil && s.Max != nil:
		return between(*s.Min, *s.Max)
	case s.Min != nil && above:
		return fmt.Sprintf("above %g", *s.Min)
	case s.Min != nil:
		return "at least " + number(*s.Min)
	}
	return "at most " + number(*s.Max)
}

func oneOf(values []any) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = fmt.Sprint(v)
	}
	if len(words) == 1 {
		return words[0]
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// shown is a value as it was sent, cut where it is long.
func shown(value any) string {
	text, is := value.(string)
	if !is {
		return kindOf(value)
	}
	const most = 40
	if runes := []rune(text); len(runes) > most {
		text = string(runes[:most]) + "…"
	}
	return strconv.Quote(text)
}

// plainPath writes gears[2].label as gears.2.label: a field that is called 2 is written like the second entry of a list.
var plainPath = strings.NewReplacer("[", ".", "]", "")

// addUnlessNamed adds faults at fields that the schema has not refused already: a missing name is one fault, not also an
// empty one.
func addUnlessNamed(faults *fleet.Faults, named []fieldFault, more []fleet.Fault) {
	for _, f := range more {
		within := func(n fieldFault) bool {
			name, at := strings.Join(n.path, "."), plainPath.Replace(f.At)
			return name == at || strings.HasPrefix(at, name+".")
		}
		if !slices.ContainsFunc(named, within) {
			faults.Add(f.At, "%s", f.Detail)
		}
	}
}

// joined is what the book has against a request together with faults that were found before it was asked. A conflict is told only
// when there is nothing to put right first.
func joined(faults *fleet.Faults, err error) error {
	var refused *fleet.Error
	switch {
	case !faults.Any():
		return err
	case err == nil:
	case !errors.As(err, &refused):
		return err
	case refused.Kind == fleet.Invalid:
		for _, f := range refused.Faults {
			faults.AddRow(f.Row, f.At, "%s", f.Detail)
		}
	case refused.Kind != fleet.Conflict:
		return err
	}
	return faults.Err()
}

// rowOf takes the row off the path of a fault in a batch: the first entry is row 1. Row 0 is the batch itself.
func rowOf(path []string) ([]string, int) {
	if len(path) == 0 || !isIndex(path[0]) {
		return path, 0
	}
	row, _ := strconv.Atoi(path[0])
	return path[1:], row + 1
}
