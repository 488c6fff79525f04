package book

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestFormIsReadStrictly(t *testing.T) {
	t.Parallel()
	for text, want := range map[string][]string{
		`{"id":"x","label":"A"}`:                  nil,
		`{"id":"x","label":"A","ratio":1.5}`:      nil,
		` { "label" : "A", "id" : "x" } `:         nil,
		`{"id":"x","label":"A","ratio":null}`:     nil,
		`{"id":"x","label":"A","ratio":1e999}`:    {"ratio: is too large a number"},
		`{"id":"x","label":"A","ratio":"1.5"}`:    {`ratio: must be a number, not "1.5"`},
		`{"id":7,"label":["A"]}`:                  {"id: must be text, not 7", `label: must be text, not ["A"]`},
		`{"id":"x","Label":"A"}`:                  {"Label: is not known here"},
		`{"id":"x","label":"A","label":"B"}`:      {"label: is given twice"},
		`{"id":"x","label":"A","lab\u0065l":"B"}`: {"label: is given twice"},
		`{"id":null,"label":"A"}`:                 {"id: must be text, not null"},
		`[]`:                                      {": must be an object with fields, not []"},
		`null`:                                    {": must be an object with fields, not null"},
	} {
		_, found := into[fleet.Gear](json.RawMessage(text))
		var got []string
		for _, f := range faultsOf(found) {
			got = append(got, f.At+": "+f.Detail)
		}
		assert.Equal(t, want, got, text)
	}
}

func TestWhatCanBeReadIsReadBesideWhatCannot(t *testing.T) {
	t.Parallel()
	s, found := into[fleet.Sled](json.RawMessage(`{
		"id": "bluestem", "travel_ft": "long", "revision": 2.0, "retired": true, "created_at": "yesterday", "updated_at": "2026-05-09T14:00:00+02:00",
		"gears": [{"id": "x", "label": "A", "ratio": "many"}, 7], "driveline": {"axle_ratios": {"low": 6.6, "high": "4"}}
	}`))
	require.Len(t, s.Gears, 2)
	assert.Equal(t, fleet.Gear{ID: "x", Label: "A"}, s.Gears[0])
	assert.Nil(t, s.TravelFt)
	assert.EqualValues(t, 2, s.Revision)
	assert.True(t, s.Retired)
	assert.Equal(t, noon.Truncate(1e9), s.UpdatedAt.UTC())
	assert.Equal(t, 6.6, s.Driveline.AxleRatios["low"])
	var places []string
	for _, f := range faultsOf(found) {
		places = append(places, f.At)
	}
	assert.Equal(t, []string{"travel_ft", "created_at", "gears[0].ratio", "gears[1]", "driveline.axle_ratios.high"}, places)
}

func TestNestingIsCountedOutsideOfText(t *testing.T) {
	t.Parallel()
	deep := strings.Repeat("[", mostNested) + strings.Repeat("]", mostNested)
	assert.False(t, nested(json.RawMessage(deep)))
	assert.True(t, nested(json.RawMessage("["+deep+"]")))
	assert.False(t, nested(json.RawMessage(`["`+strings.Repeat("[", 99)+`\"[[", [], []]`)))
}

// readAll reads a document as an import does, as far as that goes without a database.
func readAll(document string) (*fleet.Faults, error) {
	all := new(fleet.Faults)
	err := newArchiveReader(strings.NewReader(document)).read(
		[]string{sectionSleds, sectionChanges, sectionReadings, sectionClasses, sectionShows, sectionHistory},
		func(section, _ string, thing json.RawMessage) error {
			switch section {
			case sectionSleds:
				return readBack[fleet.Sled](all, thing)
			case sectionChanges:
				return readBack[fleet.Change](all, thing)
			case sectionReadings:
				return readBack[fleet.Reading](all, thing)
			case sectionClasses:
				return readBack[fleet.Class](all, thing)
			case sectionShows:
				return readBack[archivedShow](all, thing)
			}
			return readBack[fleet.Entry](all, thing)
		})
	return all, err
}

// readBack reads a thing, and what is written of it again.
func readBack[T any](all *fleet.Faults, thing json.RawMessage) error {
	value, found := into[T](thing)
	all.InRow(0, found)
	text, err := json.Marshal(value)
	if err != nil || found.Any() {
		return err
	}
	again, found := into[T](text)
	twice, err := json.Marshal(again)
	if err == nil && (found.Any() || string(twice) != string(text)) {
		err = errors.New("what was read is written as " + string(text) + " and read as " + string(twice))
	}
	return err
}

// Whatever a document holds, it is read or refused in words, and what was read is the same when it is written and read again.
func FuzzReadArchive(f *testing.F) {
	b, _ := openEverything(f)
	document := exported(f, b)
	lines := strings.Split(document, "\n")
	for i, line := range lines { // each thing by itself, so that there is little to go through
		for _, section := range []string{sectionSleds, sectionChanges, sectionReadings, sectionClasses, sectionShows, sectionHistory} {
			if strings.HasPrefix(line, `"`+section+`"`) && i+1 < len(lines) && len(lines[i+1]) < 5000 {
				f.Add(archiveHead + `"` + section + `": [` + strings.TrimSuffix(lines[i+1], ",") + `]}`)
			}
		}
	}
	f.Add(archiveHead + `"shows": [{"sheet": {"format": 1}, "outcomes": {"x": null}, "as_run": [null]}], "history": [{"before": null, "after": [[1e999]]}]}`)
	f.Fuzz(func(t *testing.T, document string) {
		_, err := readAll(document)
		require.True(t, err == nil || is(err, fleet.Unreadable), "%v", err)
	})
}
