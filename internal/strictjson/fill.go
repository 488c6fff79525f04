package strictjson

import (
	"cmp"
	"encoding/json"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"evenpull/internal/fleet"
)

// Fill puts a value that Read gave into what the pointer into leads to, by the names that encoding/json would write. A
// field that is not known, or of another kind, is a fault; everything else is filled in all the same. A whole number
// may be written 1.0 or 1e0.
func Fill(into, value any) *fleet.Faults {
	f := filler{fields: map[reflect.Type]map[string][]int{}}
	f.fill(reflect.ValueOf(into).Elem(), value)
	return &f.faults
}

type filler struct {
	at     path
	faults fleet.Faults
	fields map[reflect.Type]map[string][]int // of the structs seen so far, by their names in JSON
}

var (
	timeType     = reflect.TypeFor[time.Time]()
	verbatimType = reflect.TypeFor[json.RawMessage]()
)

func (f *filler) fill(to reflect.Value, value any) {
	switch kind := to.Kind(); {
	case to.Type() == verbatimType:
		if raw, ok := value.(json.RawMessage); ok && string(raw) != "null" {
			to.SetBytes(raw)
		}
	case to.Type() == timeType:
		f.time(to, value)
	case value == nil && (kind == reflect.Pointer || kind == reflect.Slice): // it stays nil
	case kind == reflect.Pointer:
		f.pointer(to, value)
	case kind == reflect.Slice:
		f.list(to, value)
	case kind == reflect.Struct || kind == reflect.Map:
		f.object(to, value)
	default:
		f.scalar(to, value)
	}
}

func (f *filler) fault(format string, args ...any) { f.faults.Add(f.at.String(), format, args...) }

// in runs do with s added to the path.
func (f *filler) in(s step, do func()) {
	f.at = append(f.at, s)
	do()
	f.at = f.at[:len(f.at)-1]
}

func (f *filler) time(to reflect.Value, value any) {
	text, _ := value.(string)
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		f.fault("must be a time like 2026-05-09T12:00:00.123456Z, not %s", Shown(value))
		return
	}
	to.Set(reflect.ValueOf(t))
}

// pointer leaves a pointer nil where the number or text it would lead to is of another kind.
func (f *filler) pointer(to reflect.Value, value any) {
	fresh := reflect.New(to.Type().Elem())
	before := f.faults.Total()
	f.fill(fresh.Elem(), value)
	if fresh.Elem().Kind() == reflect.Struct || f.faults.Total() == before {
		to.Set(fresh)
	}
}

func (f *filler) list(to reflect.Value, value any) {
	items, ok := value.([]any)
	if !ok {
		f.fault("must be a list, not %s", KindOf(value))
		return
	}
	list := reflect.MakeSlice(to.Type(), len(items), len(items))
	for i, item := range items {
		f.in(step{index: i}, func() { f.fill(list.Index(i), item) })
	}
	to.Set(list)
}

// object fills a struct, or a map of whatever names there are.
func (f *filler) object(to reflect.Value, value any) {
	fields, ok := value.(map[string]any)
	if !ok {
		f.fault("must be an object, not %s", KindOf(value))
		return
	}
	var known map[string][]int
	byName := to.Kind() == reflect.Map
	if byName {
		to.Set(reflect.MakeMapWithSize(to.Type(), len(fields)))
	} else {
		known = f.fieldsOf(to.Type())
	}
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		f.in(step{name: name, index: -1}, func() {
			index, ok := known[name]
			switch {
			case byName:
				one := reflect.New(to.Type().Elem()).Elem()
				f.fill(one, fields[name])
				to.SetMapIndex(reflect.ValueOf(name), one)
			case ok:
				f.fill(to.FieldByIndex(index), fields[name])
			default:
				f.fault("is not known here")
			}
		})
	}
}

// fieldsOf are the places of a struct's fields, those of the structs in it included.
func (f *filler) fieldsOf(t reflect.Type) map[string][]int {
	if known, ok := f.fields[t]; ok {
		return known
	}
	known := map[string][]int{}
	for _, field := range reflect.VisibleFields(t) {
		name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
		if name == "" && field.IsExported() && !field.Anonymous {
			name = field.Name
		}
		if name != "" && name != "-" {
			known[name] = field.Index
		}
	}
	f.fields[t] = known
	return known
}

// scalars are what a field of a kind must hold. Any other holds a whole number.
var scalars = map[reflect.Kind]string{
	reflect.String: "text", reflect.Bool: "true or false", reflect.Float64: "a number",
}

func (f *filler) scalar(to reflect.Value, value any) {
	number, isNumber := value.(float64)
	switch given := reflect.ValueOf(value); {
	case given.Kind() == to.Kind():
		to.Set(given.Convert(to.Type()))
	case to.CanInt() && isNumber && number == math.Trunc(number) && math.Abs(number) <= 1<<53:
		to.SetInt(int64(number))
	default:
		f.fault("must be %s, not %s", cmp.Or(scalars[to.Kind()], "a whole number"), KindOf(value))
	}
}

// KindOf says what a value is: "text", "a list", or the number itself.
func KindOf(value any) string {
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

// Shown is a value as a fault shows it: text as it was sent, cut where it is long, and of anything else its kind.
func Shown(value any) string {
	if text, is := value.(string); is {
		return fleet.Quoted(text)
	}
	return KindOf(value)
}
