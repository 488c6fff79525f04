package book

import (
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/match"
	"evenpull/internal/store"
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
			return // no time is kept
		}
		for i := range v.NumField() {
			fill(v.Field(i), n)
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

// Whatever an answer consists of is kept: a field that is added to it and not to what is kept fails here.
func TestAKeptSheetLosesNothing(t *testing.T) {
	t.Parallel()
	n := 0
	var full SheetRow
	fill(reflect.ValueOf(&full).Elem(), &n)
	full.Class.Revision, full.Booked, full.AsRun, full.Outcome = 0, nil, nil, nil // not kept
	full.Class.PullOff, full.Class.PullOffTodayFt = &full.PullOff.Home, full.PullOff.TodayFt
	bare := SheetRow{Class: ClassView{Class: fleet.Class{ID: "antique"}}, Tonight: match.Answer{Sled: "sedge"}}
	want := []SheetRow{full, bare}
	night := &Night{}
	fill(reflect.ValueOf(night).Elem(), &n)
	sheet, err := freeze(plan{"Fescue", night, want})
	require.NoError(t, err)
	got, err := thaw(sheet)
	require.NoError(t, err)
	assert.Equal(t, plan{"Fescue", night, want}, got)
}

// A document as this program's first version kept it. It must read the same for ever: do not bring it up to date.
const firstDocument = `{"sled_name":"Fescue","rows":[
 {"class":"farm-9500","name":"Farm 9500","used_by":"The county","weights":"front full","notes":"runs first",
  "home":{"sled":"bluestem","gear_id":"g1","gear":"C","start_ft":0,"stood_for_ft":276.4,"plus_minus_ft":3.7,"noted_on":"2026-05-09","today_ft":277.1},
  "home_sled_name":"Bluestem",
  "tonight":{"sled":"fescue",
   "nearest":{"gear":"2","start_ft":0,"top_out_ft":280,"low_ft":276.1,"high_ft":283.9,"basis":"measured","readings":4,"difference_ft":3.6,
    "difference_low_ft":-1.7,"difference_high_ft":8.9,"chance_nearest":0.97,"box_speed":11.9,"confidence":"clear","out_of_reach":false,"compared_at":"same-start"},
   "runner_up":{"gear":"3","chance_nearest":0.03},
   "moved_start":{"gear":"2","start_ft":0.43,"rounded_start_ft":0.5,"top_out_ft":275.8,"low_ft":271,"high_ft":280.6,"difference_ft":-0.6,"worth_it":false},
   "gears":[{"gear":"2","start_ft":0,"top_out_ft":280,"low_ft":276.1,"high_ft":283.9,"basis":"measured","readings":4,"difference_ft":3.6,"chance_nearest":0.97}]},
  "pull_off":{"home":{"sled":"bluestem","gear_id":"g2","gear":"B","start_ft":0,"stood_for_ft":null,"plus_minus_ft":null,"noted_on":"2026-05-09","today_ft":null},
   "tonight":{"sled":"fescue","because":{"reason":"asked-unknown","sled":"Bluestem","gear":"B","start_ft":4}}}}]}`

func TestAnOldSheetStillReads(t *testing.T) {
	t.Parallel()
	kept, err := thaw(store.ClosedSheet{Format: 1, Document: firstDocument})
	require.NoError(t, err)
	assert.Equal(t, "Fescue", kept.SledName)
	rows := kept.Rows
	require.Len(t, rows, 1)
	r := rows[0]
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
	assert.Nil(t, r.PullOff.TodayFt)
	assert.Nil(t, r.PullOff.Home.TopOutFt)
	assert.Equal(t, "B", r.Class.PullOff.Gear)
	assert.Equal(t, match.Because{Reason: match.AskedUnknown, Sled: "Bluestem", Gear: "B", StartFt: 4}, r.PullOff.Tonight.Because)

	_, err = thaw(store.ClosedSheet{Format: 2, Document: firstDocument})
	assert.ErrorContains(t, err, "format 2")
	_, err = thaw(store.ClosedSheet{Format: 1, Document: "{"})
	assert.Error(t, err)
}
