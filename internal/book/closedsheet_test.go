package book

import (
	"encoding/json"
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// fill sets everything in a value to something that is not its zero.
func fill(v reflect.Value, n *int) {
	*n++
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), n)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fill(v.Index(0), n)
		fill(v.Index(1), n)
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			return // JSON has no time zones
		}
		for i := range v.NumField() {
			if v.Type().Field(i).Tag.Get("json") != "-" { // the sleds of a class, which are looked up
				fill(v.Field(i), n)
			}
		}
	case reflect.String:
		v.SetString("text " + string(rune('a'+*n%26)))
	case reflect.Float64:
		v.SetFloat(float64(*n) + 1/3.0)
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(*n))
	case reflect.Bool:
		v.SetBool(true)
	default:
		panic("a kind of field that this test does not know: " + v.Kind().String())
	}
}

// A field of an answer that is not in the document fails here.
func TestClosedSheet_LosesNothing(t *testing.T) {
	t.Parallel()
	n := 0
	var full SheetRow
	fill(reflect.ValueOf(&full).Elem(), &n)
	full.Booked, full.AsRun, full.Outcome = nil, nil, nil // not stored
	bare := SheetRow{Class: ClassView{Class: fleet.Class{ID: "antique"}}, Tonight: match.Answer{Sled: "sedge"}}
	want, night := []SheetRow{full, bare}, new(Night)
	fill(reflect.ValueOf(night).Elem(), &n)
	closed, err := encodeClosedSheet(closedSheet{"Fescue", nil, night, want})
	require.NoError(t, err)
	got, err := decodeClosedSheet(closed)
	require.NoError(t, err)
	assert.Equal(t, closedSheet{"Fescue", nil, night, want}, got)
}

// A document in format 1. Once it is released it must read the same for ever: do not bring it up to date.
const firstDocument = `{"sled_name":"Fescue","rows":[{"class":{"id":"farm-9500","name":"Farm 9500",
  "setting":{"sled":"bluestem","gear_id":"g1","gear":"C","start_ft":0,"top_out_ft":276.4,"plus_minus_ft":3.7,
  "noted_on":"2026-05-09"},
  "pull_off":{"sled":"bluestem","gear_id":"g2","gear":"B","start_ft":0,"noted_on":"2026-05-09"},
  "used_by":"The county",
  "weights":"front full","notes":"runs first",
  "revision":0,"created_at":"0001-01-01T00:00:00Z","updated_at":"0001-01-01T00:00:00Z",
  "today_ft":277.1},
  "home_sled_name":"Bluestem",
  "tonight":{"Sled":"fescue",
  "Nearest":{"Gear":"2","StartFt":0,"TopOutFt":280,
  "LowFt":276.1,"HighFt":283.9,"Basis":"measured","Readings":4,"StatedBy":"",
  "DifferenceFt":3.6,"DifferenceLowFt":-1.7,"DifferenceHighFt":8.9,"ChanceNearest":0.97,
  "BoxSpeed":11.9,"BoxSpeedLow":0,"BoxSpeedHigh":0,
  "Confidence":"clear","OutOfReach":false,"ComparedAt":"same-start"},
  "RunnerUp":{"Gear":"3","ChanceNearest":0.03},
  "MovedStart":{"Gear":"2","StartFt":0.43,"RoundedStartFt":0.5,"TopOutFt":275.8,
  "LowFt":271,"HighFt":280.6,
  "DifferenceFt":-0.6,"DifferenceLowFt":0,"DifferenceHighFt":0,"WorthIt":false},
  "Gears":[{"Gear":"2","StartFt":0,"TopOutFt":280,
  "LowFt":276.1,"HighFt":283.9,"Basis":"measured","Readings":4,"StatedBy":"",
  "DifferenceFt":3.6,"DifferenceLowFt":0,"DifferenceHighFt":0,"ChanceNearest":0.97}],
  "Because":{"Reason":"","Sled":"","Gear":"","StartFt":0}},
  "pull_off_tonight":{"Sled":"fescue",
  "Nearest":null,
  "RunnerUp":null,
  "MovedStart":null,
  "Gears":null,
  "Because":{"Reason":"asked-unknown","Sled":"Bluestem","Gear":"B","StartFt":4}}}]}`

func TestClosedSheet_OfTheFirstFormatCanBeRead(t *testing.T) {
	t.Parallel()
	read := func(format int, document string) (closedSheet, error) {
		return decodeClosedSheet(fleet.ClosedSheet{Format: format, Document: json.RawMessage(document)})
	}
	sheet, err := read(1, firstDocument)
	require.NoError(t, err)
	assert.Equal(t, "Fescue", sheet.SledName)
	require.Len(t, sheet.Rows, 1)
	r := sheet.Rows[0]
	assert.Equal(t, "Farm 9500", r.Class.Name)
	assert.Equal(t, "Bluestem", r.HomeSledName)
	assert.Equal(t, fleet.HomeSetting{
		Setting:  fleet.Setting{Sled: "bluestem", GearID: "g1", Gear: "C"},
		StoodFor: fleet.StoodFor{TopOutFt: ft(276.4), PlusMinusFt: ft(3.7), NotedOn: "2026-05-09"},
	}, r.Class.Setting)
	assert.Equal(t, 277.1, *r.Class.TodayFt)
	n := r.Tonight.Nearest
	require.NotNil(t, n)
	assert.Equal(t, "2", n.Gear)
	assert.Equal(t, 3.6, n.DifferenceFt)
	assert.Equal(t, 8.9, n.DifferenceHighFt)
	assert.Equal(t, fleet.Measured, n.Basis)
	assert.Equal(t, match.Clear, n.Confidence)
	assert.Equal(t, match.SameStart, n.ComparedAt)
	assert.False(t, *n.OutOfReach)
	assert.Equal(t, 11.9, *n.BoxSpeed)
	assert.Equal(t, &match.RunnerUp{Gear: "3", ChanceNearest: 0.03}, r.Tonight.RunnerUp)
	assert.Equal(t, 0.5, r.Tonight.MovedStart.RoundedStartFt)
	assert.Len(t, r.Tonight.Gears, 1)
	assert.Nil(t, r.Class.PullOffTodayFt)
	assert.Nil(t, r.Class.PullOff.TopOutFt)
	assert.Equal(t, "B", r.Class.PullOff.Gear)
	assert.Equal(t, match.Because{Reason: match.AskedUnknown, Sled: "Bluestem", Gear: "B", StartFt: 4},
		r.PullOffTonight.Because)

	_, err = read(2, firstDocument)
	assert.ErrorContains(t, err, "format 2")
	_, err = read(1, "{")
	assert.Error(t, err)
}
