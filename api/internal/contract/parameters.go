package contract

import (
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
)

// checkPath refuses a path parameter that is empty or that no id can be: there is no such thing.
func (o Operation) checkPath(c echo.Context) error {
	for _, p := range o.path {
		value := pathParameter(c, p.Name)
		if len(faultsOf(p.Schema.Value, value, "")) > 0 {
			return fleet.Errorf(fleet.NotFound, "there is no %s %s", p.Name, fleet.Quoted(value))
		}
	}
	return nil
}

// pathParameter is a parameter in the path as it is meant: Echo gives it still escaped where the path was written in
// an unusual way.
func pathParameter(c echo.Context, name string) string {
	value := c.Param(name)
	if c.Request().URL.RawPath == "" {
		return value
	}
	plain, _ := url.PathUnescape(value) // Go's server has parsed the whole path before
	return plain
}

// checkQuery checks every query parameter, those that nobody knows included.
func (o Operation) checkQuery(raw string, faults *fleet.Faults) error {
	values, err := url.ParseQuery(raw)
	if err != nil {
		return fleet.Errorf(fleet.Unreadable, "the query of the address cannot be read: it holds a stray %% or ;")
	}
	for _, name := range slices.Sorted(maps.Keys(values)) {
		if _, known := o.query[name]; !known {
			faults.Add(name, "%s", o.notKnown())
		}
	}
	for _, name := range slices.Sorted(maps.Keys(o.query)) {
		addTo(faults, parameterFaults(o.query[name], values[name]))
	}
	return nil
}

func (o Operation) notKnown() string {
	if len(o.query) == 0 {
		return "is not known here; there are no parameters"
	}
	return "is not known here; known are: " + strings.Join(slices.Sorted(maps.Keys(o.query)), ", ")
}

// parameterFaults checks the values given for one parameter.
func parameterFaults(p *openapi3.Parameter, given []string) []fleet.Fault {
	schema := p.Schema.Value
	at := p.Name
	switch {
	case len(given) == 0 && p.Required:
		return []fleet.Fault{{At: at, Detail: "is missing"}}
	case len(given) == 0:
		return nil
	case !schema.Type.Is(openapi3.TypeArray) && len(given) > 1:
		return []fleet.Fault{{At: at, Detail: fmt.Sprintf("can be given once only, not %d times", len(given))}}
	case !schema.Type.Is(openapi3.TypeArray):
		return textFaults(schema, given[0], at)
	}
	var found []fleet.Fault
	if schema.MaxItems != nil && uint64(len(given)) > *schema.MaxItems {
		found = append(found, fleet.Fault{At: at,
			Detail: fmt.Sprintf("can be given up to %d times, not %d", *schema.MaxItems, len(given))})
	}
	for i, text := range given {
		found = append(found, textFaults(schema.Items.Value, text, fmt.Sprintf("%s[%d]", at, i))...)
	}
	return found
}

// textFaults checks a value that came as text, as it does in an address.
func textFaults(schema *openapi3.Schema, text string, at string) []fleet.Fault {
	var value any = text
	switch {
	case schema.Type.Is(openapi3.TypeNumber), schema.Type.Is(openapi3.TypeInteger):
		number, wrong := fleet.ParseDecimal(text)
		if wrong != "" {
			return []fleet.Fault{{At: at, Detail: wrong}}
		}
		value = number
		if schema.Type.Is(openapi3.TypeInteger) {
			if _, err := strconv.Atoi(text); err != nil {
				return []fleet.Fault{{At: at, Detail: "must be a whole number, not " + fleet.Quoted(text)}}
			}
		}
	case schema.Type.Is(openapi3.TypeBoolean):
		if text != "true" && text != "false" {
			return []fleet.Fault{{At: at, Detail: "must be true or false, not " + fleet.Quoted(text)}}
		}
		value = text == "true"
	}
	return faultsOf(schema, value, at)
}

// checkHeaders checks the headers that the contract names. Of If-Match and If-None-Match, which are lists, several
// lines count as one (RFC 9110, section 5.3).
func (o Operation) checkHeaders(header http.Header, faults *fleet.Faults) {
	for _, p := range o.headers {
		lines := header.Values(p.Name)
		if len(lines) > 1 && (p.Name == "If-Match" || p.Name == "If-None-Match") {
			header.Set(p.Name, strings.Join(lines, ", "))
			lines = header.Values(p.Name)
		}
		found := parameterFaults(p, lines)
		if len(found) == 0 && len(lines) == 1 && p.Name == "Idempotency-Key" && !printableASCII(lines[0]) {
			found = []fleet.Fault{{At: p.Name, Detail: "must be 1 to 200 printable ASCII characters"}}
		}
		addTo(faults, found)
	}
}

// checkIfMatch refuses a write under a condition that cannot hold: nothing that it changes has a strong ETag (RFC 9110,
// section 13.1.1).
func (o Operation) checkIfMatch(r *http.Request) error {
	given := strings.TrimSpace(strings.Join(r.Header.Values("If-Match"), ", "))
	named := slices.ContainsFunc(o.headers, func(p *openapi3.Parameter) bool { return p.Name == "If-Match" })
	if named || given == "" || given == "*" || r.Method == http.MethodGet || r.Method == http.MethodHead {
		return nil
	}
	return fleet.Errorf(fleet.Changed, "nothing that is changed here has an ETag for If-Match; leave the header out")
}

func printableASCII(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r > '~' })
}
