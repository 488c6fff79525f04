package spreadsheet

import (
	"regexp"
	"slices"
	"strings"

	"evenpull/internal/fleet"
)

// Column is one column of an upload.
type Column[T any] struct {
	Heading string
	Field   *fleet.Field[T] // nil where it is left out
	Units   fleet.Units     // of a length or a weight
	Example string          // the first cell with anything in it
}

// Name is the column as the API writes it, such as start_m; "" where it is left out.
func (c Column[T]) Name() string {
	if c.Field == nil {
		return ""
	}
	return c.Field.In(c.Units)
}

// columnNamed finds the field, and the units, that a column's name in the API stands for.
func columnNamed[T any](fields []fleet.Field[T], name string) (Column[T], bool) {
	for _, units := range []fleet.Units{fleet.InFeet, fleet.InMeters} {
		if i := slices.IndexFunc(fields, func(f fleet.Field[T]) bool { return f.In(units) == name }); i >= 0 {
			return Column[T]{Field: &fields[i], Units: units}, true
		}
	}
	return Column[T]{}, false
}

// columnNames lists what a column may be called in the API.
func columnNames[T any](fields []fleet.Field[T]) string {
	var names []string
	for _, f := range fields {
		names = append(names, f.Name, f.In(fleet.InMeters))
	}
	return strings.Join(slices.Compact(names), ", ")
}

// unitWords are units as headings name them. Some, such as bar, are of no field: a column in them is not understood.
var unitWords = map[string]string{
	"ft": "ft", "feet": "ft", "foot": "ft", "'": "ft", "m": "m", "meters": "m", "meter": "m", "metres": "m",
	"metre": "m",
	"psi":   "psi", "mph": "mph", "bar": "bar", "kpa": "kpa", "km/h": "kmh", "kmh": "kmh", "in": "in", "inches": "in",
	"cm": "cm", "lb": "lb", "lbs": "lb", "pounds": "lb", "pound": "lb", "kg": "kg", "kgs": "kg", "kilos": "kg",
	"kilograms": "kg",
}

// exactly is better than any number of words that match.
const exactly = 100

var (
	unitAtEnd      = regexp.MustCompile(`[(\[]\s*(?:in\s+)?([^)\]]*?)\s*[)\]]|(?:,|\bin)\s+([a-z/]+)$|[_ ]([a-z]+)$`)
	notLetters     = regexp.MustCompile(`[^\p{L}\p{N}]+`)
	unitInTheName  = regexp.MustCompile(`_(ft|lb|psi|mph)$`)
	plusMinusSigns = []string{"±", "+/-"}
)

// wordsOf is a heading in lower case without punctuation, and the unit that it names.
func wordsOf(heading string) (words, unit string) {
	text := strings.ToLower(plainText(heading))
	if slices.Contains(plusMinusSigns, text) {
		return text, ""
	}
	if at := unitAtEnd.FindStringSubmatchIndex(text); at != nil {
		unit = unitWords[string(unitAtEnd.ExpandString(nil, "$1$2$3", text, at))] // one of three forms
		if inBrackets := at[2] >= 0; unit != "" || inBrackets {
			text = text[:at[0]] + " " + text[at[1]:]
		}
	}
	words = strings.TrimSpace(notLetters.ReplaceAllString(text, " "))
	if unit == "" {
		unit = unitWords[words] // a heading of nothing but a unit
	}
	return words, unit
}

// sayingsOf are the headings of a field, as words.
func sayingsOf[T any](f *fleet.Field[T]) []string {
	name, _ := wordsOf(unitInTheName.ReplaceAllString(f.Name, ""))
	return append(strings.Split(f.Headings, ","), name, strings.ToLower(f.Label))
}

// understand finds the field that a heading names best. Units are those of a length or a weight whose heading names
// none.
func understand[T any](fields []fleet.Field[T], heading string, units fleet.Units) (c Column[T], score int) {
	words, unit := wordsOf(heading)
	c.Heading = heading
	if isWeight := unit == fleet.InFeet.Weight() || unit == fleet.InMeters.Weight(); isWeight && !hasWeights(fields) {
		unit = "" // free text may have one in its heading
	}
	for i := range fields {
		f := &fields[i]
		metric := metricUnit(*f)
		if unit != "" && unit != f.Unit() && unit != metric {
			continue
		}
		if s := scoreOf(words, sayingsOf(f)); s > score {
			c.Field, c.Units, score = f, fleet.InFeet, s
			switch {
			case metric == "":
			case unit == metric:
				c.Units = fleet.InMeters
			case unit == "":
				c.Units = units
			}
		}
	}
	return c, score
}

func hasWeights[T any](fields []fleet.Field[T]) bool {
	return slices.ContainsFunc(fields, func(f fleet.Field[T]) bool { return f.Kind == fleet.WeightField })
}

// metricUnit is the unit of a length or a weight in meters and kilograms, "" of other fields.
func metricUnit[T any](f fleet.Field[T]) string {
	switch f.Kind {
	case fleet.LengthField:
		return string(fleet.InMeters)
	case fleet.WeightField:
		return fleet.InMeters.Weight()
	}
	return ""
}

// scoreOf says how well a heading matches: exactly, or with other words around a saying, the more words the better.
func scoreOf(words string, sayings []string) (score int) {
	there := strings.Fields(words)
	for _, saying := range sayings {
		needed := strings.Fields(saying)
		switch {
		case saying == words && saying != "":
			return exactly
		case !slices.ContainsFunc(needed, func(word string) bool { return !slices.Contains(there, word) }):
			score = max(score, len(needed))
		}
	}
	return score
}

// understandAll guesses every column. A field goes to the column that names it best, and to the first of equals; the
// others are named in twice.
func understandAll[T any](
	fields []fleet.Field[T], headings []string, units fleet.Units,
) (columns []Column[T], twice map[int]bool) {
	columns, twice = make([]Column[T], len(headings)), map[int]bool{}
	scores := make([]int, len(headings))
	for i, heading := range headings {
		columns[i], scores[i] = understand(fields, heading, units)
	}
	best := map[*fleet.Field[T]]int{}
	for i, c := range columns {
		if b, ok := best[c.Field]; c.Field != nil && (!ok || scores[i] > scores[b]) {
			best[c.Field] = i
		}
	}
	for i, c := range columns {
		if c.Field != nil && best[c.Field] != i {
			columns[i].Field, twice[i] = nil, true
		}
	}
	return columns, twice
}
