package strictjson

import (
	"encoding/json"
	"errors"
	"runtime"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func lines(faults *fleet.Faults) []string {
	var all []string
	for _, f := range faults.List() {
		all = append(all, f.At+": "+f.Detail)
	}
	return all
}

func TestRead_GivesPlainValues(t *testing.T) {
	t.Parallel()
	value, faults, err := Read([]byte(` {"a": [1, 2.5, -0.0, 1e2, "x\u0041", true, false, null, {}, []],
		"b": {"c": {"d": 9007199254740993}}} `))
	require.NoError(t, err)
	assert.Empty(t, lines(faults))
	assert.Equal(t, map[string]any{
		"a": []any{1.0, 2.5, 0.0, 100.0, "xA", true, false, nil, map[string]any{}, []any{}},
		"b": map[string]any{"c": map[string]any{"d": 9007199254740992.0}},
	}, value)
}

func TestRead_NamesWhatIsGivenTwiceOrTooLargeAndReadsTheRest(t *testing.T) {
	t.Parallel()
	value, faults, err := Read([]byte(`{"a": 1, "\u0061": 2, "b": [{"c": 1e999}, {"d": {"e": 1, "f": 3, "e": 2}}],
		"g": -1e400}`))
	require.NoError(t, err)
	assert.Equal(t, []string{"a: is given twice", "b[0].c: is too large a number", "b[1].d.e: is given twice",
		"g: is too large a number"}, lines(faults))
	assert.Equal(t, 3.0, value.(map[string]any)["b"].([]any)[1].(map[string]any)["d"].(map[string]any)["f"])
	_, faults, err = Read([]byte(`{"` + strings.Repeat("é", 1000) + `": 1e999}`))
	require.NoError(t, err)
	assert.Len(t, []rune(faults.List()[0].At), 101, "a long name does not fill the answer")
}

func TestRead_DoesNotWriteThePlacesOfFaultsThatAreOnlyCounted(t *testing.T) {
	allocated := func(above string) uint64 {
		text := []byte(strings.Repeat(`{"`+above+`":`, 30) + "{" + strings.Repeat(`"a":1,`, 20*fleet.MaxFaults) +
			`"a":1` + strings.Repeat("}", 31))
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, faults, err := Read(text)
		runtime.ReadMemStats(&after)
		require.NoError(t, err)
		require.Equal(t, 20*fleet.MaxFaults, faults.Total())
		require.Len(t, faults.List(), fleet.MaxFaults)
		return after.TotalAlloc - before.TotalAlloc
	}
	assert.Less(t, allocated(strings.Repeat("b", 100)), 6*allocated(""), "with places of 3 kB")
}

func TestRead_SaysWhereTextBreaks(t *testing.T) {
	t.Parallel()
	deep := strings.Repeat("[", maxDepth) + strings.Repeat("]", maxDepth)
	_, _, err := Read([]byte(deep))
	require.NoError(t, err)
	for text, want := range map[string]string{
		"":                       "the JSON breaks at line 1, column 1: unexpected end of JSON input",
		" \n ":                   "the JSON breaks at line 2, column 1: unexpected end of JSON input",
		`{"a": 1`:                "the JSON breaks at line 1, column 7: unexpected end of JSON input",
		"{\"é\": 1,\n  \"b\" 2}": "the JSON breaks at line 2, column 7: invalid character '2' after object key",
		`{"a": 1,}`: "the JSON breaks at line 1, column 9: invalid character '}' looking for " +
			"beginning of object key string",
		`[1 2]`: "the JSON breaks at line 1, column 4: invalid character '2' after array element",
		`{"a": NaN}`: "the JSON breaks at line 1, column 7: invalid character 'N' looking for " +
			"beginning of value",
		`{"a": 1} again`: "the JSON breaks at line 1, column 10: invalid character 'a' after top-level value",
		`{}{}`:           "the JSON breaks at line 1, column 3: invalid character '{' after top-level value",
		"\ufeff{}": "the JSON breaks at line 1, column 1: invalid character 'ï' looking for " +
			"beginning of value",
		"{\"a\": \"\xff\"}":        "the JSON holds bytes that are not text (UTF-8)",
		"[" + deep + "]":           "the JSON is nested too deeply",
		strings.Repeat("[", 100e3): "the JSON is nested too deeply",
		`{"a":` + deep[:40] + `1}`: "the JSON is nested too deeply",
	} {
		_, _, err := Read([]byte(text))
		var e *fleet.Error
		require.ErrorAs(t, err, &e, text)
		assert.Equal(t, fleet.Unreadable, e.Kind, text)
		assert.Equal(t, want, e.Detail, text)
	}
}

func TestRead_LeavesWhatIsVerbatimAsItWasWritten(t *testing.T) {
	t.Parallel()
	value, faults, err := Read([]byte(`{"a": {"b": 1.0, "b": 1e999}, "list": [{"a": 1.0}],
		"c": {"a": null, "d": 1.0}}`), "a", "c.a")
	require.NoError(t, err)
	assert.Empty(t, lines(faults))
	assert.Equal(t, map[string]any{
		"a": json.RawMessage(`{"b": 1.0, "b": 1e999}`), "list": []any{map[string]any{"a": 1.0}},
		"c": map[string]any{"a": json.RawMessage("null"), "d": 1.0},
	}, value)
}

func TestTooDeep_CountsOutsideOfText(t *testing.T) {
	t.Parallel()
	deep := strings.Repeat("[", maxDepth) + strings.Repeat("]", maxDepth)
	assert.False(t, TooDeep([]byte(deep)))
	assert.True(t, TooDeep([]byte("["+deep+"]")))
	assert.False(t, TooDeep([]byte(`["`+strings.Repeat("[", 99)+`\"[[", [], []]`)))
}

type part struct {
	ID    string   `json:"id"`
	Label string   `json:"label"`
	Ratio *float64 `json:"ratio"`
}

type inner struct {
	Name string `json:"name"`
}

type whole struct {
	inner
	Travel  *float64           `json:"travel,omitempty"`
	Count   int64              `json:"count"`
	Retired bool               `json:"retired"`
	Made    time.Time          `json:"made"`
	Changed time.Time          `json:"changed"`
	Parts   []part             `json:"parts"`
	More    *[]part            `json:"more"`
	Ratios  map[string]float64 `json:"ratios"`
	Before  json.RawMessage    `json:"before"`
	Reason  *struct {
		Text string `json:"text"`
	} `json:"reason"`
}

func TestFill_NamesWhatIsNotKnownOrOfAnotherKind(t *testing.T) {
	t.Parallel()
	for text, want := range map[string][]string{
		`{"id":"x","label":"A"}`:                  nil,
		`{"id":"x","label":"A","ratio":1.5}`:      nil,
		` { "label" : "A", "id" : "x" } `:         nil,
		`{"id":"x","label":"A","ratio":null}`:     nil,
		`{"id":"x","label":"A","ratio":1e999}`:    {"ratio: is too large a number"},
		`{"id":"x","label":"A","ratio":"1.5"}`:    {"ratio: must be a number, not text"},
		`{"id":7,"label":["A"]}`:                  {"id: must be text, not 7", "label: must be text, not a list"},
		`{"id":"x","Label":"A"}`:                  {"Label: is not known here"},
		`{"id":"x","label":"A","label":"B"}`:      {"label: is given twice"},
		`{"id":"x","label":"A","lab\u0065l":"B"}`: {"label: is given twice"},
		`{"id":null,"label":"A"}`:                 {"id: must be text, not null"},
		`{"id":"x","label":"\ud800"}`:             {`label: holds half a character, \ud800, which is no text`},
		`{"id":"\udc00\ud800","label":"A"}`:       {`id: holds half a character, \udc00, which is no text`},
		`{"id":"\\\ud83d","label":"A"}`:           {`id: holds half a character, \ud83d, which is no text`},
		`{"id":"\ud83d\ude9c","label":"\\ud800"}`: nil,
		`{"id":"\ufffd","label":"�"}`:             nil,
		`{"id":"x","label":"A","a\udfff":1}`: {"a\ufffd: holds half a character, \\udfff, which is no text",
			"a\ufffd: is not known here"},
		`[]`:   {": must be an object, not a list"},
		`null`: {": must be an object, not null"},
	} {
		value, faults, err := Read([]byte(text))
		require.NoError(t, err)
		faults.InRow(0, Fill(new(part), value))
		assert.Equal(t, want, lines(faults), text)
	}
}

func TestFill_FillsInWhatCanBeReadBesideWhatCannot(t *testing.T) {
	t.Parallel()
	value, faults, err := Read([]byte(`{
		"name": "Bluestem", "travel": "long", "count": 2.0, "retired": true, "made": "yesterday",
			"changed": "2026-05-09T14:00:00+02:00",
		"parts": [{"id": "x", "label": "A", "ratio": "many"}, 7], "more": {}, "ratios": {"low": 6.6, "high": "4"},
		"before": {"b": 1, "a": [1.0]}, "reason": {"text": 1}, "hidden": 1
	}`), "before")
	require.NoError(t, err)
	require.False(t, faults.Any())
	var got whole
	faults = Fill(&got, value)
	var places []string
	for _, f := range faults.List() {
		places = append(places, f.At)
	}
	assert.Equal(t, []string{"hidden", "made", "more", "parts[0].ratio", "parts[1]", "ratios.high", "reason.text",
		"travel"}, places)
	assert.Equal(t, time.Date(2026, 5, 9, 12, 0, 0, 0, time.UTC), got.Changed.UTC())
	require.NotNil(t, got.Reason, "an object is there though a field of it is not")
	got.Changed, got.Reason = time.Time{}, nil
	assert.Equal(t, whole{
		inner: inner{Name: "Bluestem"}, Count: 2, Retired: true, Parts: []part{{ID: "x", Label: "A"}, {}},
		Ratios: map[string]float64{"low": 6.6, "high": 0}, Before: json.RawMessage(`{"b": 1, "a": [1.0]}`),
	}, got)
	assert.Equal(t, []string{"count: must be a whole number, not 1.5"},
		lines(Fill(new(whole), map[string]any{"count": 1.5})))
	assert.Equal(t, []string{"count: must be a whole number, not 1e+300"},
		lines(Fill(new(whole), map[string]any{"count": 1e300})))
}

// Whatever comes, it is read as encoding/json reads it, or refused in words: where a field is given twice the last one
// counts, as there.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{
		`{"a":[1,2.5,"x\ud800",true,null,{}],"b":1e999}`, `{"a":1,"a":{"b":2}}`, `[`, `{"a"}`, `[1,]`, `{"a":1,}`,
		"\xef\xbb\xbf{}", `{"a":1}{`,
		strings.Repeat("[", 64), `"\u00e9"`, "\"\xff\"", `-0`, `01`, `{"a":[}`, ` `, `nul`, `[1}`, `{"a":1]`, `{,}`,
		`[,]`, `"a":1`,
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		value, faults, err := Read(text)
		if err != nil {
			var e *fleet.Error
			if !errors.As(err, &e) || e.Kind != fleet.Unreadable || e.Detail == "" {
				t.Fatalf("%q is refused as %#v", text, err)
			}
			if utf8.Valid(text) && json.Valid(text) && !errors.Is(err, errTooDeep) {
				t.Fatalf("%q is refused: %v", text, err)
			}
			return
		}
		if !json.Valid(text) {
			t.Fatalf("%q is read as %v", text, value)
		}
		var want any
		if err := json.Unmarshal(text, &want); err == nil && !faults.Any() {
			assert.Equal(t, want, value)
		}
	})
}

// BenchmarkRead reads a list of readings and fills it in, beside encoding/json doing the same with nothing checked.
// ratio is the time over its time.
func BenchmarkRead(b *testing.B) {
	one := `{"id":"bluestem","label":"B","ratio":1.25}`
	text := []byte("[" + strings.Repeat(one+",", 9999) + one + "]")
	b.Run("strictly", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			value, _, err := Read(text)
			require.NoError(b, err)
			var all []part
			require.False(b, Fill(&all, value).Any())
		}
	})
	b.Run("encoding_json", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			var all []part
			require.NoError(b, json.Unmarshal(text, &all))
		}
	})
}
