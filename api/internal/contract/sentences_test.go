package contract

import (
	"strconv"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/strictjson"
	"evenpull/openapi"
)

func TestFaults_AreSaidInPlainWords(t *testing.T) {
	t.Parallel()
	k, err := Read(openapi.Document)
	require.NoError(t, err)
	check := func(schema *openapi3.Schema, body string) []string {
		value, found, err := strictjson.Read([]byte(body))
		require.NoError(t, err)
		var lines []string
		for _, f := range distinct(append(found.List(), faultsOf(schema, value, "")...)) {
			lines = append(lines, f.At+" "+f.Detail)
		}
		return lines
	}
	sled, reading := k.schema("SledInput"), k.schema("ReadingInput")
	for _, c := range []struct {
		what   string
		schema *openapi3.Schema
		body   string
		want   []string
	}{
		{"a missing name", sled, `{"gears":[{"label":"A"}]}`, []string{"name is missing"}},
		{"an empty name", sled, `{"name":"","gears":[{"label":"A"}]}`, []string{"name must not be empty"}},
		{"a number for a name", sled, `{"name":5,"gears":[{"label":"A"}]}`, []string{"name must be text, not 5"}},
		{"null for a name", sled, `{"name":null,"gears":[{"label":"A"}]}`,
			[]string{"name must not be null; leave it out instead"}},
		{"text for a travel", sled, `{"name":"Brome","travel_ft":"34","gears":[{"label":"A"}]}`,
			[]string{"travel_ft must be a number, not text"}},
		{"a travel of a hand", sled, `{"name":"Brome","travel_ft":0.5,"gears":[{"label":"A"}]}`,
			[]string{"travel_ft must be 3 to 200 ft (0.9 to 61 m), not 0.5 ft (0.2 m)"}},
		{"no gears", sled, `{"name":"Brome","gears":[]}`, []string{"gears needs at least 1 entry"}},
		{"an object for gears", sled, `{"name":"Brome","gears":{}}`, []string{"gears must be a list, not an object"}},
		{"a long label", sled, `{"name":"Brome","gears":[{"label":"A"},{"label":"123456789012345678901"}]}`,
			[]string{"gears[1].label can be up to 20 characters long, not 21"}},
		{"unknown fields, each once", sled,
			`{"name":"Brome","gears":[{"label":"A","lable":"B"}],"paint":"red","color":"red"}`,
			[]string{
				"color is not known here; known are: driveline, gears, loading, name, notes, owner, rail_mark_ft, " +
					"take_up_ft, travel_ft",
				"paint is not known here; known are: driveline, gears, loading, name, notes, owner, rail_mark_ft, " +
					"take_up_ft, travel_ft",
				"gears[0].lable is not known here; known are: label, range, ratio",
			}},
		{"a field twice", sled, `{"name":"Brome","name":"Sedge","gears":[{"label":"A"}]}`,
			[]string{"name is given twice"}},
		{"a date as people write it", reading, `{"gear":"A","distance_ft":280,"measured_on":"9 May"}`,
			[]string{`measured_on must look like 2026-05-09, not "9 May"`}},
		{"another ending", reading, `{"gear":"A","distance_ft":280,"measured_on":"2025-05-10","ended":"full"}`,
			[]string{`ended must be topped-out, stopped-short, past-top or stated, not "full"`}},
		{"no distance at all", reading, `{"gear":"A","distance_ft":0,"measured_on":"2025-05-10"}`,
			[]string{"distance_ft must be above 0 and at most 20000 ft (6096 m), not 0 ft (0 m)"}},
		{"a number beyond all", reading, `{"gear":"A","distance_ft":1e999,"measured_on":"2025-05-10"}`,
			[]string{"distance_ft is too large a number"}},
		{"everything wrong at once", reading, `{"gear":"","distance_ft":"far","start_ft":-1}`,
			[]string{"measured_on is missing", "distance_ft must be a number, not text", "gear must not be empty",
				"start_ft must be 0 to 200 ft (61 m), not -1 ft (-0.3 m)"}},
		{"an axle of five ranges", sled,
			`{"name":"Brome","gears":[{"label":"A"}],"driveline":{"axle_ratios":{"1":5,"2":4,"3":3,"4":2,"5":1}}}`,
			[]string{"driveline.axle_ratios can have up to 4 entries, not 5"}},
		{"an axle without a ratio", sled,
			`{"name":"Brome","gears":[{"label":"A"}],"driveline":{"axle_ratio":0,"axle_ratios":{"low":-1}}}`,
			[]string{"driveline.axle_ratio must be above 0 and at most 1000, not 0",
				"driveline.axle_ratios.low must be above 0 and at most 1000, not -1"}},
		{"half a tooth", sled, `{"name":"Brome","gears":[{"label":"A"}],"driveline":{"sprocket_teeth":12.5}}`,
			[]string{"driveline.sprocket_teeth must be a whole number, not 12.5"}},
		{"two lists that are too long, of which nothing else is looked at", sled,
			`{"name":5,"gears":[` + strings.Repeat("{},", 60) + `{}],"loading":{"blocks":[` +
				strings.Repeat("{},", 200) + `{}]}}`,
			[]string{"gears can have up to 60 entries, not 61", "loading.blocks can have up to 12 entries, not 201"}},
		{"a list where an object belongs", sled, `[]`, []string{" must be an object, not a list"}},
	} {
		assert.ElementsMatch(t, c.want, check(c.schema, c.body), c.what)
	}
}

// Everybody may send the body of a sign-in.
func TestFaults_OfManyUnknownFieldsTakeWorkInProportion(t *testing.T) {
	k, err := Read(openapi.Document)
	require.NoError(t, err)
	allocations := func(fields int) float64 {
		object := map[string]any{}
		for i := range fields {
			object[strconv.Itoa(i)] = true
		}
		return testing.AllocsPerRun(1, func() { assert.Len(t, faultsOf(k.schema("SignIn"), object, ""), fields) })
	}
	assert.Less(t, allocations(2000), 15*allocations(200))
}

func TestFaults_DoNotWriteOutAWrongValue(t *testing.T) {
	k, err := Read(openapi.Document)
	require.NoError(t, err)
	allocations := func(fields int) float64 {
		object := map[string]any{}
		for i := range fields {
			object[strconv.Itoa(i)] = true
		}
		show := map[string]any{"name": "Marsh", "date": "2026-08-01", "sled": object}
		return testing.AllocsPerRun(1, func() { assert.Len(t, faultsOf(k.schema("ShowInput"), show, ""), 2) })
	}
	assert.Less(t, allocations(2000), 2*allocations(2))
}
