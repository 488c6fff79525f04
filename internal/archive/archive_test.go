package archive

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

const head = `{"format": "evenpull-fleet-1", `

var noon = time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC)

// memory is a fleet that is not stored.
type memory struct {
	timelines []fleet.Timeline
	readings  []fleet.Reading
	weighings []fleet.Weighing
	classes   []fleet.Class
	shows     []fleet.ShowRecord
	entries   []fleet.Entry
}

func (m *memory) AddSled(s fleet.Sled) error {
	m.timelines = append(m.timelines, fleet.Timeline{Base: s})
	return nil
}

func (m *memory) AddChange(c fleet.Change) error {
	i := slices.IndexFunc(m.timelines, func(t fleet.Timeline) bool { return t.Base.ID == c.Sled })
	m.timelines[i].Changes = append(m.timelines[i].Changes, c)
	return nil
}

func (m *memory) AddReadings(r []fleet.Reading) error {
	m.readings = append(m.readings, r...)
	return nil
}

func (m *memory) AddWeighings(w []fleet.Weighing) error {
	m.weighings = append(m.weighings, w...)
	return nil
}

func (m *memory) AddClass(c fleet.Class) error {
	m.classes = append(m.classes, c)
	return nil
}

func (m *memory) AddShowRecord(s fleet.ShowRecord) error {
	m.shows = append(m.shows, s)
	return nil
}

func (m *memory) Record(e ...fleet.Entry) error {
	m.entries = append(m.entries, e...)
	return nil
}

func each[T any](all []T, do func(T) error) error {
	for _, one := range all {
		if err := do(one); err != nil {
			return err
		}
	}
	return nil
}

func (m *memory) EachTimeline(do func(fleet.Timeline) error) error { return each(m.timelines, do) }
func (m *memory) EachReading(do func(fleet.Reading) error) error   { return each(m.readings, do) }
func (m *memory) EachWeighing(do func(fleet.Weighing) error) error { return each(m.weighings, do) }
func (m *memory) EachClass(do func(fleet.Class) error) error       { return each(m.classes, do) }
func (m *memory) EachShow(do func(fleet.ShowRecord) error) error   { return each(m.shows, do) }

func (m *memory) EachEntry(but []string, do func(fleet.Entry) error) error {
	return each(m.entries, func(e fleet.Entry) error {
		if slices.Contains(but, e.Kind) {
			return nil
		}
		return do(e)
	})
}

// anySheet takes every closed sheet and says which classes it has.
func anySheet(s fleet.ClosedSheet) (classes []string, faults *fleet.Faults) {
	var sheet struct{ Rows []struct{ Class fleet.Class } }
	faults = new(fleet.Faults)
	if err := json.Unmarshal(s.Document, &sheet); err != nil {
		faults.Add("document", "%s", err)
	}
	for _, row := range sheet.Rows {
		classes = append(classes, row.Class.ID)
	}
	return classes, faults
}

// fleetDocument is a fleet with one of all there is, in the format that has to be read for ever once it is released.
func fleetDocument(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("testdata/evenpull-fleet-1.json")
	require.NoError(t, err)
	return string(text)
}

func TestArchive_ComesBackToTheLastByte(t *testing.T) {
	t.Parallel()
	document, m := fleetDocument(t), new(memory)
	count, sleds, err := Import(strings.NewReader(document), m, noon, anySheet)
	require.NoError(t, err)
	assert.Equal(t, Imported{Sleds: 5, Readings: 14, Weighings: 3, Classes: 3, Shows: 3}, count)
	assert.Equal(t, []string{"bluestem", "brome", "fescue", "sedge", "timothy"}, sleds)
	var out bytes.Buffer
	require.NoError(t, Export(context.Background(), m, &out))
	assert.Equal(t, document, out.String())
}

func TestExport_LeavesOutWhatBelongsToAnInstallation(t *testing.T) {
	t.Parallel()
	m := new(memory)
	for _, kind := range []string{fleet.OfKey, fleet.OfFleet, fleet.OfDemo, fleet.OfSled} {
		require.NoError(t, m.Record(fleet.Entry{Kind: kind, Who: "somebody"}))
	}
	var out bytes.Buffer
	require.NoError(t, Export(context.Background(), m, &out))
	assert.Equal(t, 1, strings.Count(out.String(), "somebody"))
}

func TestExport_EndsWithItsContext(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	err := Export(ctx, &memory{classes: []fleet.Class{{}}}, new(bytes.Buffer))
	assert.ErrorIs(t, err, context.Canceled)
}

// With a fault nothing more is taken in, and the rest is looked through for others.
func TestImport_TakesInNothingMoreOnceThereIsAFault(t *testing.T) {
	t.Parallel()
	m := new(memory)
	document := strings.NewReplacer(`"name":"Fescue"`, `"name":7`, `"name":"Timothy"`,
		`"name":8`).Replace(fleetDocument(t))
	_, _, err := Import(strings.NewReader(document), m, noon, anySheet)
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.Contains(t, e.Faults, fleet.Fault{At: "sleds[2].name", Detail: "must be text, not 7"})
	assert.Contains(t, e.Faults, fleet.Fault{At: "sleds[4].name", Detail: "must be text, not 8"})
	assert.Len(t, m.timelines, 2)
	assert.Empty(t, m.readings)
}
