package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"net/http"
	"net/url"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"evenpull/internal/fleet"
	"evenpull/internal/strictjson"
	"evenpull/openapi"
)

// Each of these takes anything at all: nothing panics, what is refused is refused with words and a place, and what is taken is
// what was meant: written out and read again, it is the same. go test -fuzz NAME ./api looks further than the seeds.

// intos are the bodies of the contract with what they are read into.
var intos = map[string]func() any{
	"SledInput": func() any { return new(openapi.SledInput) }, "SledCorrection": func() any { return new(openapi.SledCorrection) },
	"ReadingInput": func() any { return new(openapi.ReadingInput) }, "ReadingPatch": func() any { return new(openapi.ReadingPatch) },
	"ClassInput": func() any { return new(openapi.ClassInput) }, "ShowInput": func() any { return new(openapi.ShowInput) },
	"AsRunInput": func() any { return new(openapi.AsRunInput) }, "Outcome": func() any { return new(openapi.Outcome) },
	"ChangeInput": func() any { return new(openapi.ChangeInput) }, "KeyInput": func() any { return new(openapi.KeyInput) },
	"SignIn": func() any { return new(openapi.SignIn) }, "BatchReading": func() any { return new(openapi.BatchReading) },
}

func FuzzJSONBody(f *testing.F) {
	k, err := readContract()
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range []string{
		`{"name":"Brome","travel_ft":34.5,"gears":[{"label":"A","ratio":1.3},{"label":"<b>"}],"driveline":{"axle_ratios":{"low":6.6}},"notes":"a\u0000b"}`,
		`{"gear":"B","start_ft":-0.0,"distance_ft":1e999,"measured_on":"2026-02-30","ended":"stated","plus_minus_ft":1E+1}`,
		`{"set_aside":null}`, `{"set_aside":{"reason":"\ud800"}}`, `{"name":"a","name":"b"}`, `{"from_hook":1.0,"gear":"A"}`, `{"from_hook":1e0,"gear":"A"}`,
		`{"name":"Farm","setting":{"sled":"brome","gear":"A","start_ft":5e-324}}`, `{"hooks":9007199254740993}`, `[]`, `null`, `{"classes":[[]]}`,
		"\xef\xbb\xbf{}", "{\"a\":1}{", strings.Repeat("[", 64), `{"key":"x"}`, `{"name":"` + strings.Repeat("é", 101) + `"}`,
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

// FuzzReadingsSheet reads a sheet; what the rules take of it is written out as a list of readings is, and read again.
func FuzzReadingsSheet(f *testing.F) {
	for _, seed := range []string{
		"sled,gear,distance_m,start_m,measured_on,ended,end_m,note\nbrome,A,80,0.5,2025-05-10,stopped-short,5,\"a\nb\"\n",
		"sled;gear;distance_ft;measured_on\nbrome;A;262;2025-05-10\n", "sled\tgear\tdistance_ft\tmeasured_on\nbrome\tA\t262\t2025-05-10\n",
		"\xef\xbb\xbfmeasured_on,distance_ft,gear,sled,day,by,ended,plus_minus_ft\r\n2025-05-10,\"262\",'=A,brome,'-1,''x,stated,8\r\n",
		"\xff\xfes\x00l\x00", "sled,gear,distance_ft,distance_m,measured_on\n", "sled,gear,distance_ft,measured_on,\nbrome,A,262,2025-05-10,x\n",
		"sled,gear,distance_ft,measured_on,note\nbrome,A,\"2,5\",2025-05-10,\"\"\"\"\nbrome,A,1e2,2025-05-10,\"a\"b\n", "sled,gear,distance_ft,measured_on\n\n\n,,,\nbrome,A,262\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, sheet []byte) {
		var taken []fleet.Reading
		in, err := openImportSheet(bytes.NewReader(sheet))
		if err != nil {
			refusedAs(t, err, fleet.Invalid)
			return
		}
		for row := range in.rows() {
			if row.Faults.Any() {
				refusedAs(t, row.Faults.Err(), fleet.Invalid)
				continue
			}
			if row.Reading.Tidy(); !row.Reading.Check(time.Now()).Any() {
				taken = append(taken, row.Reading)
			}
		}
		sameReadingsAgain(t, taken)
	})
}

// FuzzReading writes out one reading with any text in it and reads it again.
func FuzzReading(f *testing.F) {
	f.Add("=A", "a\r\nb", "'=1", 262.25, 4.5)
	f.Add("A", "a\rb", "\"", 5e-324, 0.0)
	f.Add("3 low", "\ufeff,;\t", "''-x", 20_000.0, 199.999)
	f.Fuzz(func(t *testing.T, gear, note, place string, distance, start float64) {
		r := fleet.Reading{Sled: "brome", Gear: gear, Note: note, Place: place, By: place, DistanceFt: distance, StartFt: start, MeasuredOn: "2025-05-10"}
		if r.Tidy(); !utf8.ValidString(gear) || r.Gear == "" || r.Check(time.Now()).Any() { // a gear is judged with its sled
			return
		}
		sameReadingsAgain(t, []fleet.Reading{r})
	})
}

// sameReadingsAgain writes readings out and reads them again.
func sameReadingsAgain(t *testing.T, readings []fleet.Reading) {
	t.Helper()
	a, err := readingsSpreadsheet(readings)
	if err != nil {
		t.Fatal(err)
	}
	in, err := openImportSheet(bytes.NewReader(a.body))
	if err != nil {
		t.Fatalf("%s\n%v", a.body, err)
	}
	i := len(readings)
	for row := range in.rows() {
		if i--; row.Faults.Any() || i < 0 {
			t.Fatalf("row %d of\n%q\n%v", row.Number, a.body, row.Faults.Err())
		}
		row.Reading.Tidy()
		readings[i].Replaces = "" // which does not travel
		if !reflect.DeepEqual(readings[i], row.Reading) {
			t.Fatalf("%+v\nis read again as\n%+v", readings[i], row.Reading)
		}
	}
	if i != 0 {
		t.Fatalf("%d readings are lost from\n%q", i, a.body)
	}
}

func FuzzDecimal(f *testing.F) {
	for _, seed := range []string{"", "0", "-0", "+.5", "1.", "1,5", "1,234.5", "1e999", "1e-999", "0x10", "1_0", "NaN", "Inf", "٣", "1e", " 1", "179769313486231570000000000000000000000e271"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, wrong := parseDecimal(text)
		if wrong != "" {
			if !utf8.ValidString(wrong) {
				t.Fatalf("%q is refused with %q", text, wrong)
			}
			if want, err := strconv.ParseFloat(text, 64); err == nil && !math.IsInf(want, 0) && strings.Trim(text, "0123456789.-") == "" {
				t.Fatalf("%q is %g, and was refused: %s", text, want, wrong)
			}
			return
		}
		if math.IsNaN(n) || math.IsInf(n, 0) || strings.ContainsAny(text, "xX_nN") {
			t.Fatalf("%q was taken for %g", text, n)
		}
		if again, wrong := parseDecimal(strconv.FormatFloat(n, 'g', -1, 64)); again != n || wrong != "" {
			t.Fatalf("%q is %g, and that is %g: %s", text, n, again, wrong)
		}
	})
}

func FuzzCondition(f *testing.F) {
	for _, seed := range []string{"", "*", `"a"`, `W/"a", "b"`, `"a""b"`, `"a" "b"`, `W/`, `"`, `"a",`, `,"a"`, `w/"a"`, `""`, `"a"` + "\t,\t" + `"b"`, `* , "a"`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, header string) {
		c, ok := parseCondition(header)
		if !ok {
			if len(c.tags) > 0 || c.any || stillHolds(header, `"a"`) {
				t.Fatalf("%q is no condition and holds", header)
			}
			return
		}
		if c.any != (len(c.tags) == 0) {
			t.Fatalf("%q is %+v", header, c)
		}
		var written []string
		for _, tag := range c.tags {
			if strings.Contains(tag.opaque, `"`) || !stillHolds(header, `W/"`+tag.opaque+`"`) {
				t.Fatalf("%q does not hold for its own %q", header, tag.opaque)
			}
			written = append(written, map[bool]string{false: `"`, true: `W/"`}[tag.weak]+tag.opaque+`"`)
		}
		if again, ok := parseCondition(strings.Join(written, ", ")); len(written) > 0 && (!ok || !reflect.DeepEqual(c, again)) {
			t.Fatalf("%q is %+v, and that is %+v", header, c, again)
		}
	})
}

func FuzzAcceptEncoding(f *testing.F) {
	for _, seed := range []string{"", "*", "gzip", "GZIP ; Q=1", "br, gzip;q=0.5", "gzip;q=NaN", "*;q=Inf,gzip;q=1e999", "gzip;q=-1", ";q=1", ",,", "gzip;q=0,*"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, value string) {
		lower := strings.ToLower(value)
		if takesGzip(http.Header{"Accept-Encoding": {value}}) && !strings.Contains(lower, "gzip") && !strings.Contains(value, "*") {
			t.Fatalf("%q gets gzip", value)
		}
		if !strings.Contains(value, `"`) && takesGzip(http.Header{"Accept-Encoding": {value, "gzip;q=0"}}) {
			t.Fatalf("%q gets the gzip that it refuses", value)
		}
	})
}

func FuzzBearer(f *testing.F) {
	for _, seed := range []string{"", "Bearer", "Bearer ", "bearer x", "Bearer  x ", "Basic x", "Bearer\tx", "Bearer x y", "x"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, header string) {
		key, ok := bearer([]string{header})
		if ok && (key == "" || len(header) < len("Bearer ")+len(key) || !strings.EqualFold(header[:len("Bearer ")], "Bearer ")) {
			t.Fatalf("%q holds the key %q", header, key)
		}
		if again, still := bearer([]string{"Bearer " + key}); ok && (again != key || !still) {
			t.Fatalf("%q holds the key %q, and that %q", header, key, again)
		}
		if _, twice := bearer([]string{header, header}); twice {
			t.Fatal("two keys are taken for one")
		}
	})
}

// FuzzQuery puts any query to every operation that takes one.
func FuzzQuery(f *testing.F) {
	k, err := readContract()
	if err != nil {
		f.Fatal(err)
	}
	routes := []string{"/v1/sleds", "/v1/sleds/:sled/chart", "/v1/equivalents", "/v1/part-options", "/v1/sleds/:sled/cutoff", "/v1/fleet/how-alike", "/v1/season", "/healthz"}
	for i, seed := range []string{
		"", "limit=500&after=x", "start_ft=0&start_ft=4.5", "sled=brome&gear=A&on=sedge&on=timothy", "sled=a&reference=b&final_ratio=5.1&gear_set=1,2,3&most=1e1", "ground_speed_mph=1e-999&release_s=.1",
		"reference=x&used_only=TRUE", "from=2025-02-30&to=x", "a=%zz", "a;b", "%00=%ff", "limit=1&limit=2", "start_ft=NaN", "LIMIT=5", "limit=+5", "limit=05",
	} {
		f.Add(i, seed)
	}
	f.Fuzz(func(t *testing.T, which int, query string) {
		op, ok := k.operation("GET", routes[int(uint(which)%uint(len(routes)))])
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
					n, wrong := parseDecimal(text)
					if wrong != "" || item.Min != nil && n < *item.Min || item.Max != nil && n > *item.Max {
						t.Fatalf("%q: %s was taken for %g", query, text, n)
					}
				}
			}
		}
	})
}
