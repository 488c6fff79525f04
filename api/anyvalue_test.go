package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// odd are texts that programs stumble over: markup, formulas, controls, other directions, other scripts, numbers that
// are none.
var odd = []string{
	"<img src=x onerror=alert(1)>", "</title><script>alert(1)</script>", `=HYPERLINK("https://sleds.example","x")`,
	"+1", "-1", "@SUM(A1)", "'=1", "''",
	"a\x00b", "\x00", "\x07", "\x1b[31m", "\x7f", "\u0085", "\u2028", "\ufeff", "\ufffe", "\uffff", "\U0010ffff",
	"\u202eeno ,two", "\u200f", "\u200d", "e\u0301", "\u0301",
	"Тимофеевка", "ティモシー", "תימותי", "İı", "ß", "ﬁ", "𝔅", "🛷", "1٣", " ", "  a  ", "\t", "\n", "\r\n", "a\nb", "..",
	".", "/", "\\", "a/b", "%00", "%2e%2e", "a%", "?", "#", "&", ";", ",",
	"null", "true", "NaN", "Infinity", "1e999", "0x10", "1_0", "1,5", "'; DROP TABLE sleds; --", "%s%d%n", "{{7*7}}",
	"${7}", "]]>", "&amp;", "&#0;", `"`, "`", "$", "0", "-0",
}

// names are few, so that what one client makes is in the way of another.
var names = []string{
	"Bluestem", "Fescue", "Timothy", "Brome", "Sedge", "Ryegrass", "Foxtail", "Switchgrass", "Quackgrass", "Bentgrass",
	"Orchard grass", "Reed canary",
	"Café des Prés", "<b>Bold</b> No. 2", "=SUM(A1)", "Тимофеевка", "🛷 7", "O'Grass \"Big\"", "\u202eesrever",
}

// dates that have come, in few enough days for test days to hold several readings.
func (a *anything) date() string {
	return fmt.Sprintf("20%02d-%02d-%02d", 22+a.IntN(3), 4+a.IntN(5), 1+9*a.IntN(3))
}

// anything draws values, of which the same seed gives the same again.
type anything struct{ *rand.Rand }

func (a *anything) chance(p float64) bool { return a.Float64() < p }

func one[T any](a *anything, from []T) T { return from[a.IntN(len(from))] }

// text is any text of up to most characters; a most of 0 is no limit.
func (a *anything) text(least, most uint64) string {
	s := "grass"
	switch {
	case a.chance(0.4):
		s = one(a, odd)
	case a.chance(0.1):
		s = strings.Repeat(one(a, odd), 1+a.IntN(12))
	case a.chance(0.1):
		s = strings.Repeat("x", int(most))
	case a.chance(0.5):
		s = one(a, names)
	}
	runes := []rune(s)
	if most > 0 && uint64(len(runes)) > most {
		runes = runes[:most]
	}
	for uint64(len(runes)) < least {
		runes = append(runes, 'g')
	}
	return string(runes)
}

// number is any number that the schema takes, often one at its ends.
func (a *anything) number(s *openapi3.Schema) float64 {
	low, high := -1e6, 1e6
	if s.Min != nil {
		low = *s.Min
	}
	if s.Max != nil {
		high = *s.Max
	}
	above := s.ExclusiveMin.Bool != nil && *s.ExclusiveMin.Bool
	whole := s.Type.Is(openapi3.TypeInteger)
	least := low
	if above {
		least = math.Nextafter(low, high)
	}
	v := low + a.Float64()*(high-low)
	switch {
	case a.chance(0.03):
		return high
	case a.chance(0.03) && !whole:
		return least
	case a.chance(0.03):
		return math.Ceil(low)
	case a.chance(0.5): // what people enter is small
		v = low + a.Float64()*math.Min(high-low, 40)
	}
	if whole || a.chance(0.5) {
		v = math.Floor(v)
	}
	if !whole && a.chance(0.5) {
		v = math.Round(v*2) / 2
	}
	return max(least, v)
}

// fitting is a value that the schema takes.
func (a *anything) fitting(s *openapi3.Schema) any {
	if s.Nullable && a.chance(0.2) {
		return nil
	}
	switch {
	case len(s.AllOf) > 0:
		return a.fitting(s.AllOf[0].Value)
	case len(s.Enum) > 0:
		return one(a, s.Enum)
	case s.Type == nil:
		return "anything"
	case s.Type.Is(openapi3.TypeBoolean):
		return a.chance(0.5)
	case s.Type.Is(openapi3.TypeNumber), s.Type.Is(openapi3.TypeInteger):
		return a.number(s)
	case s.Type.Is(openapi3.TypeArray):
		return a.list(s)
	case s.Type.Is(openapi3.TypeObject):
		return a.object(s)
	case s.Pattern != "" && s.MaxLength != nil && *s.MaxLength == 10:
		return a.date()
	}
	most := uint64(0)
	if s.MaxLength != nil {
		most = *s.MaxLength
	}
	return a.text(s.MinLength, most)
}

func (a *anything) list(s *openapi3.Schema) []any {
	n := int(s.MinItems) + a.IntN(4)
	if s.MaxItems != nil && *s.MaxItems <= 100 && a.chance(0.01) {
		n = int(*s.MaxItems)
	}
	items := make([]any, n)
	for i := range items {
		items[i] = a.fitting(s.Items.Value)
	}
	return items
}

func (a *anything) object(s *openapi3.Schema) map[string]any {
	fields := map[string]any{}
	for _, name := range sortedNames(s.Properties) {
		if slices.Contains(s.Required, name) || a.chance(0.3) {
			fields[name] = a.fitting(s.Properties[name].Value)
		}
	}
	if more := s.AdditionalProperties.Schema; more != nil {
		for range a.IntN(3) {
			fields[a.text(0, 12)] = a.fitting(more.Value)
		}
	}
	return fields
}

func sortedNames(p openapi3.Schemas) []string {
	var all []string
	for name := range p {
		all = append(all, name)
	}
	slices.Sort(all)
	return all
}

// wrong is a value that hardly any field takes.
func (a *anything) wrong() any {
	switch a.IntN(12) {
	case 0:
		return nil
	case 1:
		return json.RawMessage(one(a, []string{"1e999", "-1e999", "1e-999", "123456789012345678901234567890", "-0.0",
			"0.1e1", "1E+2"}))
	case 2:
		return one(a, []any{-1, 0, 1, 0.5, 1e9, -1e9, math.MaxFloat64, math.SmallestNonzeroFloat64, 1 << 53,
			20000.000001, 200.5})
	case 3:
		return strings.Repeat("g", 10<<10)
	case 4:
		return a.chance(0.5)
	case 5:
		return []any{}
	case 6:
		return map[string]any{}
	case 7:
		return json.RawMessage(one(a, []string{`"\ud800"`, `"\udc00\ud800"`, `"\u0000"`, `{"name":"a","name":"b"}`,
			`[[[[[[[[]]]]]]]]`}))
	case 8:
		return json.RawMessage(strings.Repeat("[", 40) + strings.Repeat("]", 40))
	case 9:
		return one(a, []any{"2026-02-30", "1899-12-31", "9999-12-31", "0000-00-00", "2026-05-9", "２０２６-05-09"})
	case 10:
		return []any{a.text(0, 50), a.IntN(9)}
	}
	return one(a, odd)
}

// spoiled is the value with one thing in it made wrong, somewhere.
func (a *anything) spoiled(v any) any {
	switch node := v.(type) {
	case map[string]any:
		fields := map[string]any{}
		var all []string
		for name, value := range node {
			fields[name] = value
			all = append(all, name)
		}
		slices.Sort(all)
		if len(all) == 0 || a.chance(0.1) {
			fields[one(a, []string{"color", "id", "", "__proto__", "Name", "name\x00", one(a, odd)})] = a.wrong()
			return fields
		}
		name := one(a, all)
		switch {
		case a.chance(0.15):
			delete(fields, name)
		case a.chance(0.05): // the same field twice
			whole, _ := json.Marshal(fields)
			key, _ := json.Marshal(name)
			return json.RawMessage(fmt.Sprintf("%s,%s:%d}", strings.TrimSuffix(string(whole), "}"), key, a.IntN(3)))
		default:
			fields[name] = a.spoiled(node[name])
		}
		return fields
	case []any:
		items := slices.Clone(node)
		switch {
		case len(items) == 0, a.chance(0.1):
			return append(items, a.wrong())
		case a.chance(0.05):
			for len(items) < 70 {
				items = append(items, items[0])
			}
			return items
		}
		i := a.IntN(len(items))
		items[i] = a.spoiled(items[i])
		return items
	}
	return a.wrong()
}

// encoded is the value as JSON; broken says that the text itself is to be damaged.
func (a *anything) encoded(v any, broken bool) []byte {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(a.chance(0.5))
	if err := e.Encode(v); err != nil { // only what wrong makes, which is JSON
		return []byte(err.Error())
	}
	text := []byte(b.String())
	if !broken {
		return text
	}
	at := a.IntN(len(text))
	switch a.IntN(8) {
	case 0:
		return text[:at]
	case 1:
		return append(text, one(a, []string{"{}", "x", ",", "\x00", "]"})...)
	case 2:
		return slices.Concat(text[:at], []byte{0xff}, text[at:])
	case 3:
		return append([]byte("\xef\xbb\xbf"), text...)
	case 4:
		return []byte(strings.Repeat("[", 100_000))
	case 5:
		return []byte(one(a, []string{"", " ", "null", "0", `""`, "{", "[]", "true", "\x00", "{\"a\":}", "nul"}))
	case 6:
		return slices.Concat(text[:at], []byte{0}, text[at:])
	}
	return slices.Concat(text[:at], []byte(one(a, []string{"'", `"`, "}", "//", "\\", "\n", "NaN"})), text[at:])
}
