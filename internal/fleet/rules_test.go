package fleet_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

var today = time.Date(2026, 7, 18, 20, 0, 0, 0, time.UTC)

// at lists the fields that have a fault.
func at(f *fleet.Faults) []string {
	var e *fleet.Error
	if !errors.As(f.Err(), &e) {
		return nil
	}
	var out []string
	for _, fault := range e.Faults {
		out = append(out, fault.At)
	}
	return out
}

func bluestem() fleet.Sled {
	return fleet.Sled{Name: "Bluestem", TravelFt: new(34.5), RailMarkFt: 0.5,
		Gears: []fleet.Gear{{Label: "A"}, {Label: "B"}}}
}

func TestSled_RulesNameTheField(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change func(*fleet.Sled)
		faults []string
	}{
		"a plain sled":                  {func(*fleet.Sled) {}, nil},
		"no name":                       {func(s *fleet.Sled) { s.Name = "  " }, []string{"name"}},
		"a name no id can be made from": {func(s *fleet.Sled) { s.Name = "???" }, []string{"name"}},
		"a name of two lines":           {func(s *fleet.Sled) { s.Name = "Blue\nstem" }, []string{"name"}},
		"bytes that are no text":        {func(s *fleet.Sled) { s.Notes = "a\xff" }, []string{"notes"}},
		"a travel that is no number":    {func(s *fleet.Sled) { s.TravelFt = new(math.NaN()) }, []string{"travel_ft"}},
		"an endless travel":             {func(s *fleet.Sled) { s.TravelFt = new(math.Inf(1)) }, []string{"travel_ft"}},
		"a take-up below nothing":       {func(s *fleet.Sled) { s.TakeUpFt = -1 }, []string{"take_up_ft"}},
		"no gear":                       {func(s *fleet.Sled) { s.Gears = nil }, []string{"gears"}},
		"one label twice, in either case": {func(s *fleet.Sled) { s.Gears = append(s.Gears, fleet.Gear{Label: " a "}) },
			[]string{"gears[2].label"}},
		"a label of spaces": {func(s *fleet.Sled) { s.Gears[1].Label = " " }, []string{"gears[1].label"}},
		"a label too long": {func(s *fleet.Sled) { s.Gears[1].Label = strings.Repeat("x", 21) },
			[]string{"gears[1].label"}},
		"a ratio of nothing":     {func(s *fleet.Sled) { s.Gears[0].Ratio = new(0.0) }, []string{"gears[0].ratio"}},
		"a range the axle lacks": {func(s *fleet.Sled) { s.Gears[0].Range = "low" }, []string{"gears[0].range"}},
		"an axle of two kinds": {
			func(s *fleet.Sled) { s.Driveline.AxleRatio, s.Driveline.AxleRatios = 4, map[string]float64{"low": 6} },
			[]string{"driveline.axle_ratios"},
		},
		"all at once": {func(s *fleet.Sled) { s.Name, s.TravelFt, s.Gears[1].Label = "", new(1.0), "A" },
			[]string{"name", "travel_ft", "gears[1].label"}},
	} {
		s := bluestem()
		c.change(&s)
		s.Tidy()
		assert.Equal(t, c.faults, at(s.Check()), name)
	}
}

func TestReading_RulesNameTheField(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change func(*fleet.Reading)
		faults []string
	}{
		"a plain reading": {func(*fleet.Reading) {}, nil},
		"an unknown gear": {func(r *fleet.Reading) { r.Gear = "Z" }, []string{"gear"}},
		"no distance":     {func(r *fleet.Reading) { r.DistanceFt = 0 }, []string{"distance_ft"}},
		"a distance that is no number": {func(r *fleet.Reading) { r.DistanceFt = math.NaN() },
			[]string{"distance_ft"}},
		"a distance within the take-up": {func(r *fleet.Reading) { r.DistanceFt = 2 }, []string{"distance_ft"}},
		"a start at the top":            {func(r *fleet.Reading) { r.StartFt = 34.5 }, []string{"start_ft"}},
		"a start before full back":      {func(r *fleet.Reading) { r.StartFt = -0.1 }, []string{"start_ft"}},
		"stopped short without saying where": {func(r *fleet.Reading) { r.Ended = fleet.StoppedShort },
			[]string{"end_ft"}},
		"stopped short at the top": {func(r *fleet.Reading) { r.Ended, r.EndFt = fleet.StoppedShort, new(34.5) },
			[]string{"end_ft"}},
		"a box that hardly moved": {func(r *fleet.Reading) { r.Ended, r.EndFt = fleet.StoppedShort, new(2.9) },
			[]string{"end_ft"}},
		"an end of a pull that topped out": {func(r *fleet.Reading) { r.EndFt = new(20.0) }, []string{"end_ft"}},
		"a plus-or-minus of a measured pull": {func(r *fleet.Reading) { r.PlusMinusFt = new(3.0) },
			[]string{"plus_minus_ft"}},
		"a stated figure with its own": {func(r *fleet.Reading) { r.Ended, r.PlusMinusFt = fleet.Stated, new(3.0) },
			nil},
		"a word nobody knows": {func(r *fleet.Reading) { r.Ended = "rolled" }, []string{"ended"}},
		"a date that is none": {func(r *fleet.Reading) { r.MeasuredOn = "2026-02-30" },
			[]string{"measured_on"}},
		"a date of the day after, elsewhere": {func(r *fleet.Reading) { r.MeasuredOn = "2026-07-19" }, nil},
		"a date of next week": {func(r *fleet.Reading) { r.MeasuredOn = "2026-07-25" },
			[]string{"measured_on"}},
		"tires without air":       {func(r *fleet.Reading) { r.TirePSI = new(0.0) }, []string{"tire_psi"}},
		"a speed nobody pulls at": {func(r *fleet.Reading) { r.SpeedMPH = new(101.0) }, []string{"speed_mph"}},
		"three things at once": {func(r *fleet.Reading) {
			r.Gear, r.DistanceFt, r.MeasuredOn = "Z", -1, "today"
		}, []string{"gear", "distance_ft", "measured_on"}},
	} {
		s := bluestem()
		s.TakeUpFt = 2
		r := fleet.Reading{Gear: "A", DistanceFt: 280, MeasuredOn: "2026-07-18"}
		c.change(&r)
		r.Tidy()
		assert.Equal(t, c.faults, at(r.CheckOn(s, today)), name)
	}
}

func TestTidy_FillsInWhatIsLeftOut(t *testing.T) {
	t.Parallel()
	r := fleet.Reading{Gear: " A ", MeasuredOn: "2026-07-18"}
	r.Tidy()
	assert.Equal(t, "A", r.Gear)
	assert.Equal(t, fleet.ToppedOut, r.Ended)
	assert.Equal(t, "2026-07-18", r.Day)
	assert.Nil(t, r.PlusMinusFt)
	stated := fleet.Reading{Ended: fleet.Stated}
	stated.Tidy()
	assert.Equal(t, 8.0, *stated.PlusMinusFt)
	s := fleet.Sled{}
	s.Tidy()
	assert.Equal(t, 0.5, s.RailMarkFt)
}

func TestShow_RulesNameTheField(t *testing.T) {
	t.Parallel()
	show := fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Zone: "America/Chicago", Sled: "bluestem",
		Classes: []string{"open", "farm", "open"}}
	assert.Equal(t, []string{"classes[2]"}, at(show.Check()))
	assert.Equal(t, []string{"name", "date", "zone"}, at(fleet.Show{Date: "soon"}.Check()), "no sled need be booked")
	a := fleet.AsRun{FromHook: 0, Gear: "Z", StartFt: 40}
	assert.Equal(t, []string{"from_hook", "gear", "start_ft"}, at(a.CheckOn(bluestem())))
	o := fleet.Outcome{Hooks: new(9), FullPulls: new(10), Felt: "heavy"}
	assert.Equal(t, []string{"full_pulls", "felt"}, at(o.Check()))
}

func TestChange_RulesNameTheField(t *testing.T) {
	t.Parallel()
	c := fleet.Change{
		MadeOn: "2027-01-01", Driveline: fleet.Driveline{SprocketTeeth: 1, FinalRatio: -2}, TravelFt: new(1.0),
		Gears: []fleet.Gear{{Label: "Z", Ratio: new(0.0)}}, Effect: "perhaps",
	}
	assert.Equal(t, []string{"made_on", "what", "driveline.sprocket_teeth", "driveline.final_ratio", "travel_ft",
		"effect",
		"gears[0].label", "gears[0].ratio"}, at(c.CheckOn(bluestem(), today)))
}

// What a change gives replaces, the rest stays; feet per turn measured with another sprocket are no longer true.
func TestChange_ReplacesThePartsItGives(t *testing.T) {
	t.Parallel()
	old := fleet.Driveline{SprocketTeeth: 12, BoxFtPerTurn: 2, AxleRatios: map[string]float64{"low": 6, "high": 4},
		FinalRatio: 5.3, TireCircumferenceFt: 10.2}
	now := fleet.Change{Driveline: fleet.Driveline{SprocketTeeth: 13, AxleRatio: 4.9}}.On(old)
	assert.Equal(t, fleet.Driveline{SprocketTeeth: 13, AxleRatio: 4.9, FinalRatio: 5.3, TireCircumferenceFt: 10.2}, now)
	assert.Equal(t, old, fleet.Change{}.On(old))
	assert.False(t, old.Empty())
	assert.True(t, fleet.Driveline{}.Empty())
}

// A list of faults stops at a thousand and says how many there are.
func TestFaults_AreCountedBeyondTheList(t *testing.T) {
	t.Parallel()
	var all fleet.Faults
	for row := range 1500 {
		var one fleet.Faults
		one.Add("gear", "is missing")
		all.InRow(row+1, &one)
	}
	var e *fleet.Error
	require.ErrorAs(t, all.Err(), &e)
	assert.Len(t, e.Faults, fleet.MaxFaults)
	assert.Equal(t, 1500, e.Total)
	assert.Equal(t, 1000, e.Faults[999].Row)
	assert.Contains(t, e.Error(), "and 1497 more")
	assert.NoError(t, new(fleet.Faults).Err())
}

// Nobody sees these, and with them two gears look alike or a number reads backwards.
func TestText_OnOneLineHoldsNoCharacterThatNobodySees(t *testing.T) {
	t.Parallel()
	for char, says := range map[string]string{
		"\u202e": "holds U+202E, which changes the direction of the text, as character 2; leave it out",
		"\u2066": "U+2066, which changes the direction", "\u200f": "U+200F, which changes the direction",
		"\u061c": "U+061C, which changes the direction",
		"\u200b": "U+200B, which cannot be seen", "\u200d": "U+200D, which cannot be seen",
		"\ufeff": "U+FEFF, which cannot be seen", "\u00ad": "U+00AD, which cannot be seen",
		"\u034f": "U+034F, which cannot be seen", "\u3164": "U+3164, which cannot be seen",
		"\ufe0e": "U+FE0E, which cannot be seen", "\ufe0f": "U+FE0F, which cannot be seen",
		"\U000e0041": "U+E0041, which cannot be seen",
		"\u2028":     "U+2028, which breaks the line", "\u2029": "U+2029, which breaks the line",
	} {
		text := "4" + char + "a"
		reading := fleet.Reading{Gear: "A", DistanceFt: 280, MeasuredOn: "2026-05-09"}
		for _, change := range []func(*fleet.Sled){
			func(s *fleet.Sled) { s.Name = text }, func(s *fleet.Sled) { s.Owner = text },
			func(s *fleet.Sled) { s.Gears[0].Label = text },
		} {
			sled := bluestem()
			change(&sled)
			sled.Tidy()
			faults := sled.Check().List()
			require.Len(t, faults, 1, "%q", text)
			assert.Contains(t, faults[0].Detail, says)
		}
		reading.Place, reading.By, reading.Day = text, text, text
		reading.Tidy()
		assert.ElementsMatch(t, []string{"place", "by", "day"}, at(reading.CheckOn(bluestem(), today)), "%q", text)
		reading.Place, reading.By, reading.Day, reading.Note = "", "", "", text // of several lines
		reading.Tidy()
		assert.Empty(t, at(reading.CheckOn(bluestem(), today)), "%q", text)
	}
	for _, fine := range []string{"\u05e9\u05dc\u05d5\u05dd", "\u0628 4", "e\u0301", "4\u00a0low", "\u2764\ufe0f",
		"\U0001F69C"} {
		sled := bluestem()
		sled.Gears[0].Label = fine
		sled.Tidy()
		assert.Empty(t, at(sled.Check()), "%q", fine)
	}
}
