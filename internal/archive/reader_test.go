package archive

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// readAll reads a document as an import does, as far as that goes without a database.
func readAll(document string) (*fleet.Faults, error) {
	all := new(fleet.Faults)
	r := newReader(strings.NewReader(document), fleetLayout())
	err := r.read(func(section, _ string, thing json.RawMessage) error {
		switch section {
		case sectionSleds:
			return readBack[fleet.Sled](all, thing)
		case sectionChanges:
			return readBack[fleet.Change](all, thing)
		case sectionReadings:
			return readBack[fleet.Reading](all, thing)
		case sectionWeighings:
			return readBack[fleet.Weighing](all, thing)
		case sectionClasses:
			return readBack[fleet.Class](all, thing)
		case sectionShows:
			return readBack[fleet.ShowRecord](all, thing)
		}
		return readBack[fleet.Entry](all, thing)
	})
	return all, err
}

// readBack reads a thing, and what is written of it again.
func readBack[T any](all *fleet.Faults, thing json.RawMessage) error {
	value, found := read[T](thing)
	all.InRow(0, found)
	text, err := json.Marshal(value)
	if err != nil || found.Any() {
		return err
	}
	again, found := read[T](text)
	twice, err := json.Marshal(again)
	if err == nil && (found.Any() || string(twice) != string(text)) {
		err = errors.New("what was read is written as " + string(text) + " and read as " + string(twice))
	}
	return err
}

// Whatever a document holds, it is read or refused in words, and what was read is the same when it is written and read
// again.
func FuzzRead(f *testing.F) {
	lines := strings.Split(fleetDocument(f), "\n")
	for i, line := range lines { // each thing by itself, so that there is little to go through
		for _, section := range fleetLayout().sections {
			if strings.HasPrefix(line, `"`+section+`"`) && i+1 < len(lines) && len(lines[i+1]) < 5000 {
				f.Add(head + `"` + section + `": [` + strings.TrimSuffix(lines[i+1], ",") + `]}`)
			}
		}
	}
	f.Add(head + `"shows": [{"closed_sheet": {"format": 1}, "outcomes": {"x": null}, "as_run": [null]}],
		"history": [{"before": null, "after": [[1e999]]}]}`)
	f.Fuzz(func(t *testing.T, document string) {
		_, err := readAll(document)
		var e *fleet.Error
		require.True(t, err == nil || errors.As(err, &e) && e.Kind == fleet.Unreadable, "%v", err)
	})
}
