package contract

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"

	"evenpull/api/internal/reply"
	"evenpull/internal/fleet"
	"evenpull/internal/strictjson"
)

// within writes where a value at a JSON pointer stands, as people read it: gears[2].label.
func within(at string, pointer []string) string {
	for _, part := range pointer {
		switch {
		case isIndex(part):
			at += "[" + part + "]"
		case at == "":
			at = part
		default:
			at += "." + part
		}
	}
	return at
}

func isIndex(part string) bool {
	_, err := strconv.ParseUint(part, 10, 31)
	return err == nil
}

// distinct keeps the first fault of each field: one wrong date is one fault, though three rules refuse it.
func distinct(faults []fleet.Fault) []fleet.Fault {
	seen := map[string]bool{}
	return slices.DeleteFunc(faults, func(f fleet.Fault) bool {
		was := seen[f.At]
		seen[f.At] = true
		return was
	})
}

// addTo adds faults to those of the request.
func addTo(faults *fleet.Faults, found []fleet.Fault) {
	for _, f := range found {
		faults.AddRow(f.Row, f.At, "%s", f.Detail)
	}
}

// inPlainWords says what a schema refuses in words that somebody who never saw a schema understands.
func inPlainWords(e *openapi3.SchemaError, at string) []fleet.Fault {
	at = within(at, e.JSONPointer())
	if e.SchemaField == "properties" { // all fields of the object that are not known
		object, _ := e.Value.(map[string]any)
		detail := "is not known here; known are: " + strings.Join(slices.Sorted(maps.Keys(e.Schema.Properties)), ", ")
		var unknown []fleet.Fault
		for _, name := range slices.Sorted(maps.Keys(object)) {
			if _, ok := e.Schema.Properties[name]; !ok {
				unknown = append(unknown, fleet.Fault{At: within(at, []string{name}), Detail: detail})
			}
		}
		return unknown
	}
	return []fleet.Fault{{At: at, Detail: sentence(e, inFeet(at))}}
}

// inFeet says whether the field at a place is a distance, or a list of them: its name ends with the unit.
func inFeet(at string) bool {
	name, _, _ := strings.Cut(at[strings.LastIndexByte(at, '.')+1:], "[")
	return strings.HasSuffix(name, "_ft")
}

func sentence(e *openapi3.SchemaError, inFeet bool) string {
	s := e.Schema
	if s.Pattern != "" && s.Example != nil &&
		slices.Contains([]string{"pattern", "format", "minLength", "maxLength"}, e.SchemaField) {
		return fmt.Sprintf("must look like %v, not %s", s.Example, strictjson.Shown(e.Value))
	}
	switch e.SchemaField {
	case "required":
		return "is missing"
	case "nullable":
		return "must not be null; leave it out instead"
	case "type":
		return fmt.Sprintf("must be %s, not %s", kinds[s.Type.Slice()[0]], strictjson.KindOf(e.Value))
	case "enum":
		allowed := reply.OneOf(s.Enum, func(v any) string { return fmt.Sprint(v) })
		return fmt.Sprintf("must be %s, not %s", allowed, strictjson.Shown(e.Value))
	case "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum":
		if feet, is := e.Value.(float64); is && inFeet {
			limits := rangeOf(s, fleet.FeetAndMeters, fleet.BetweenFeet)
			return fmt.Sprintf("must be %s, not %s", limits, fleet.FeetAndMeters(feet))
		}
		return fmt.Sprintf("must be %s, not %s", rangeOf(s, plain, plainRange), strictjson.Shown(e.Value))
	case "minLength":
		if s.MinLength == 1 {
			return "must not be empty"
		}
		return fmt.Sprintf("must be at least %d characters long", s.MinLength)
	case "maxLength":
		return fmt.Sprintf("can be up to %d characters long, not %d", *s.MaxLength, len([]rune(fmt.Sprint(e.Value))))
	case "minItems":
		return fmt.Sprintf("needs at least %s", entries(s.MinItems))
	case "maxProperties":
		fields, _ := e.Value.(map[string]any)
		return fmt.Sprintf("can have up to %s, not %d", entries(*s.MaxProps), len(fields))
	}
	return e.Reason
}

func entries(n uint64) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}

// kinds are the types of a schema as people call them.
var kinds = map[string]string{
	openapi3.TypeNumber: "a number", openapi3.TypeInteger: "a whole number", openapi3.TypeBoolean: "true or false",
	openapi3.TypeArray: "a list", openapi3.TypeObject: "an object", openapi3.TypeString: "text",
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

// rowOf takes the row off the place of a fault in a batch: the first entry is row 1. Row 0 is the batch itself.
func rowOf(at string) (field string, row int) {
	index, field, _ := strings.Cut(strings.TrimPrefix(at, "["), "]")
	n, err := strconv.Atoi(index)
	if err != nil {
		return at, 0
	}
	return strings.TrimPrefix(field, "."), n + 1
}
