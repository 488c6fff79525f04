package strictjson

import (
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
	case kind == reflect.Pointer:
		if value != nil {
			f.pointer(to, value)
		}
	case kind == reflect.Slice:
		if value != nil {
			f.list(to, value)
		}
	case kind == reflect.Struct:
		f.object(to, value)
	case kind == reflect.Map:
		f.byName(to, value)
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
	text, isText := value.(string)
	t, err := time.Parse(time.RFC3339, text)
	switch {
	case !isText:
		f.fault("must be a time like 2026-05-09T12:00:00.123456Z, not %s", KindOf(value))
	case err != nil:
		f.fault("must be a time like 2026-05-09T12:00:00.123456Z, not %s", fleet.Quoted(text))
	default:
		to.Set(reflect.ValueOf(t))
	}
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

func (f *filler) object(to reflect.Value, value any) {
	fields, ok := value.(map[string]any)
	if !ok {
		f.fault("must be an object, not %s", KindOf(value))
		return
	}
	known := f.fieldsOf(to.Type())
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		f.in(step{name: name, index: -1}, func() {
			if index, ok := known[name]; ok {
				f.fill(to.FieldByIndex(index), fields[name])
			} else {
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

func (f *filler) byName(to reflect.Value, value any) {
	fields, ok := value.(map[string]any)
	if !ok {
		f.fault("must be an object, not %s", KindOf(value))
		return
	}
	to.Set(reflect.MakeMapWithSize(to.Type(), len(fields)))
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		one := reflect.New(to.Type().Elem()).Elem()
		f.in(step{name: name, index: -1}, func() { f.fill(one, fields[name]) })
		to.SetMapIndex(reflect.ValueOf(name), one)
	}
}

func (f *filler) scalar(to reflect.Value, value any) {
	switch to.Kind() {
	case reflect.String:
		if text, ok := value.(string); ok {
			to.SetString(text)
			return
		}
		f.fault("must be text, not %s", KindOf(value))
	case reflect.Bool:
		if yes, ok := value.(bool); ok {
			to.SetBool(yes)
			return
		}
		f.fault("must be true or false, not %s", KindOf(value))
	case reflect.Float64:
		if number, ok := value.(float64); ok {
			to.SetFloat(number)
			return
		}
		f.fault("must be a number, not %s", KindOf(value))
	default: // a whole number
		number, ok := value.(float64)
		if ok && number == math.Trunc(number) && math.Abs(number) <= 1<<53 {
			to.SetInt(int64(number))
			return
		}
		f.fault("must be a whole number, not %s", KindOf(value))
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
