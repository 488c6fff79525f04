package contract

import (
	"encoding/json"
	"errors"
	"net/url"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"

	"evenpull/internal/fleet"
	"evenpull/internal/strictjson"
	"evenpull/openapi"
)

// Each of these takes anything at all: nothing panics, what is refused is refused with words and a place, and what is
// taken is what was meant: written out and read again, it is the same. go test -fuzz NAME ./api/internal/contract looks
// farther than the seeds.

// intos are the bodies of the contract with what they are read into.
var intos = map[string]func() any{
	"SledInput":      func() any { return new(openapi.SledInput) },
	"SledCorrection": func() any { return new(openapi.SledCorrection) },
	"ReadingInput":   func() any { return new(openapi.ReadingInput) },
	"ReadingPatch":   func() any { return new(openapi.ReadingPatch) },
	"ClassInput":     func() any { return new(openapi.ClassInput) },
	"ShowInput":      func() any { return new(openapi.ShowInput) },
	"AsRunInput":     func() any { return new(openapi.AsRunInput) },
	"Outcome":        func() any { return new(openapi.Outcome) },
	"ChangeInput":    func() any { return new(openapi.ChangeInput) },
	"KeyInput":       func() any { return new(openapi.KeyInput) },
	"SignIn":         func() any { return new(openapi.SignIn) },
	"BatchReading":   func() any { return new(openapi.BatchReading) },
}

func FuzzJSONBody(f *testing.F) {
	k, err := Read(openapi.Document)
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range []string{
		`{"name":"Brome","travel_ft":34.5,"gears":[{"label":"A","ratio":1.3},{"label":"<b>"}],
			"driveline":{"axle_ratios":{"low":6.6}},"notes":"a\u0000b"}`,
		`{"gear":"B","start_ft":-0.0,"distance_ft":1e999,"measured_on":"2026-02-30",
			"ended":"stated","plus_minus_ft":1E+1}`,
		`{"set_aside":null}`, `{"set_aside":{"reason":"\ud800"}}`, `{"name":"a","name":"b"}`,
		`{"from_hook":1.0,"gear":"A"}`, `{"from_hook":1e0,"gear":"A"}`,
		`{"name":"Farm","setting":{"sled":"brome","gear":"A","start_ft":5e-324}}`, `{"hooks":9007199254740993}`, `[]`,
		`null`, `{"classes":[[]]}`,
		"\xef\xbb\xbf{}", "{\"a\":1}{", strings.Repeat("[", 64), `{"key":"x"}`, `{"name":"` + strings.Repeat("é", 101) +
			`"}`,
	} {
		for name := range intos {
			f.Add(name, []byte(seed))
		}
	}
	f.Fuzz(func(t *testing.T, name string, body []byte) {
		make, known := intos[name]
		if !known {
			return
		}
		value, read, err := strictjson.Read(body)
		if err != nil {
			refusedAs(t, err, fleet.Unreadable)
			return
		}
		faults := distinct(append(read.List(), faultsOf(k.schema(name), value, "")...))
		for _, fault := range faults {
			if fault.Detail == "" || !utf8.ValidString(fault.At+fault.Detail) {
				t.Fatalf("%q: a fault that says nothing: %+v", body, fault)
			}
		}
		into := make()
		if err := strictjson.Fill(into, value).Err(); err != nil && len(faults) == 0 {
			t.Fatalf("%q was taken and cannot be read: %v", body, err)
		}
		if len(faults) > 0 {
			return
		}
		text, err := json.Marshal(into)
		if err != nil {
			t.Fatalf("%q: %v", body, err)
		}
		again, more, err := strictjson.Read(text)
		if err != nil || more.Total()+len(faultsOf(k.schema(name), again, "")) > 0 {
			t.Fatalf("%q was read as %s, which is refused: %v %v", body, text, err, more)
		}
		twice := make()
		if err := strictjson.Fill(twice, again).Err(); err != nil || !reflect.DeepEqual(into, twice) {
			t.Fatalf("%q: %+v is read again as %+v (%v)", body, into, twice, err)
		}
	})
}

// refusedAs fails unless an error is one of ours, of that kind, in words.
func refusedAs(t *testing.T, err error, kind fleet.Kind) {
	t.Helper()
	var e *fleet.Error
	if !errors.As(err, &e) || e.Kind != kind || e.Detail == "" {
		t.Fatalf("refused as %#v", err)
	}
	for _, fault := range e.Faults {
		if fault.Detail == "" || !utf8.ValidString(fault.Detail) { // the place may be a name as it was sent
			t.Fatalf("a fault that says nothing: %+v", fault)
		}
	}
}

// FuzzQuery puts any query to every operation that takes one.
func FuzzQuery(f *testing.F) {
	k, err := Read(openapi.Document)
	if err != nil {
		f.Fatal(err)
	}
	routes := []string{"/v1/sleds", "/v1/sleds/:sled/chart", "/v1/equivalents", "/v1/part-options",
		"/v1/sleds/:sled/cutoff", "/v1/fleet/how-alike", "/v1/season", "/healthz"}
	for i, seed := range []string{
		"", "limit=500&after=x", "start_ft=0&start_ft=4.5", "sled=brome&gear=A&on=sedge&on=timothy",
		"sled=a&reference=b&final_ratio=5.1&gear_set=1,2,3&most=1e1", "ground_speed_mph=1e-999&release_s=.1",
		"reference=x&used_only=TRUE", "from=2025-02-30&to=x", "a=%zz", "a;b", "%00=%ff", "limit=1&limit=2",
		"start_ft=NaN", "LIMIT=5", "limit=+5", "limit=05",
	} {
		f.Add(i, seed)
	}
	f.Fuzz(func(t *testing.T, which int, query string) {
		op, ok := k.Operation("GET", routes[int(uint(which)%uint(len(routes)))])
		if !ok {
			t.Fatal("no such route")
		}
		faults := new(fleet.Faults)
		if err := op.checkQuery(query, faults); err != nil {
			refusedAs(t, err, fleet.Unreadable)
			return
		}
		if faults.Any() {
			refusedAs(t, faults.Err(), fleet.Invalid)
			return
		}
		values, err := url.ParseQuery(query)
		if err != nil {
			t.Fatalf("%q was taken: %v", query, err)
		}
		for name, given := range values {
			p := op.query[name]
			if p == nil {
				t.Fatalf("%q: %s is not known and was taken", query, name)
			}
			for _, text := range given {
				item := p.Schema.Value
				if item.Items != nil {
					item = item.Items.Value
				}
				if item.Type.Is("number") || item.Type.Is("integer") {
					n, wrong := fleet.ParseDecimal(text)
					if wrong != "" || item.Min != nil && n < *item.Min || item.Max != nil && n > *item.Max {
						t.Fatalf("%q: %s was taken for %g", query, text, n)
					}
				}
			}
		}
	})
}
