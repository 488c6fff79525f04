package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"path/filepath"
	"reflect"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestCheck_SaysWhatWasFoundInBothUnits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		found       fleet.Check
		inFeet, inM string
	}{
		{
			fleet.Check{Code: fleet.ReadingOutOfLine, Gear: "C", Day: "2026-05-23", DistanceFt: 300, DifferenceFt: 60},
			"300 ft noted in gear C from full back on May 23, 2026 is 60 ft farther than the other readings say.",
			"91.4 m noted in gear C from full back on May 23, 2026 is 18.3 m farther than the other readings say.",
		},
		{
			fleet.Check{Code: fleet.ReadingOutOfLine, Gear: "3 low", Day: "Harvest Pull", StartFt: 4, DistanceFt: 180,
				DifferenceFt: -12},
			"180 ft noted in gear 3 low from 4 ft forward on Harvest Pull is 12 ft shorter than the other readings " +
				"say.",
			"54.9 m noted in gear 3 low from 1.22 m forward on Harvest Pull is 3.7 m shorter than the other " +
				"readings say.",
		},
		{
			fleet.Check{
				Code: fleet.ReadingFitsAnotherGear, Gear: "A", OtherGear: "B", Day: "2026-05-23", DistanceFt: 224,
				DifferenceFt: -16,
				Mend:         &fleet.Mend{Kind: fleet.AnotherGear, Gear: "B", DistanceFt: 224},
			},
			"224 ft noted in gear A from full back on May 23, 2026 is 16 ft shorter than the other readings say; it " +
				"fits gear B.",
			"68.3 m noted in gear A from full back on May 23, 2026 is 4.9 m shorter than the other readings say; it " +
				"fits gear B.",
		},
		{
			fleet.Check{
				Code: fleet.ReadingOutOfLine, Gear: "A", Day: "2026-05-23", DistanceFt: 286, DifferenceFt: 17.6,
				Mend: &fleet.Mend{Kind: fleet.SwappedDigits, Gear: "A", DistanceFt: 268},
			},
			"286 ft noted in gear A from full back on May 23, 2026 is 18 ft farther than the other readings say; " +
				"swapped digits would give 268 ft.",
			"87.2 m noted in gear A from full back on May 23, 2026 is 5.4 m farther than the other readings say; " +
				"swapped digits would give 81.69 m.",
		},
		{
			fleet.Check{Code: fleet.ReadingOutOfLine, Gear: "A", Day: "2026-05-23", DistanceFt: 2620},
			"2620 ft noted in gear A from full back on May 23, 2026 is beyond belief.",
			"798.6 m noted in gear A from full back on May 23, 2026 is beyond belief.",
		},
		{
			fleet.Check{Code: fleet.ReadingsDisagree, Gear: "A", StartFt: 4, DistanceFt: 240, OtherFt: 262},
			"240 ft and 262 ft in gear A from 4 ft forward do not go together, and nothing tells which of them is " +
				"wrong.",
			"73.2 m and 79.9 m in gear A from 1.22 m forward do not go together, and nothing tells which of them is " +
				"wrong.",
		},
		{
			fleet.Check{Code: fleet.ReadingConfirmed, Gear: "A", Day: "2026-05-23", DistanceFt: 286},
			"286 ft in gear A from full back on May 23, 2026 counts because somebody confirmed it, though the other " +
				"readings contradict it.",
			"87.2 m in gear A from full back on May 23, 2026 counts because somebody confirmed it, though the other " +
				"readings contradict it.",
		},
		{
			fleet.Check{
				Code: fleet.ReadingConfirmed, Gear: "A", StartFt: 4, Day: "2026-05-23", DistanceFt: 286,
				ExpectedFt: 262, LowFt: 259, HighFt: 265, DifferenceFt: 8,
			},
			"286 ft in gear A from 4 ft forward on May 23, 2026 counts because somebody confirmed it, though the " +
				"other readings contradict it. It makes the gear's average 270 ft, 8 ft farther than without it, " +
				"where the 95 % interval is 259 ft to 265 ft.",
			"87.2 m in gear A from 1.22 m forward on May 23, 2026 counts because somebody confirmed it, though the " +
				"other readings contradict it. It makes the gear's average 82.3 m, 2.4 m farther than without it, " +
				"where the 95 % interval is 78.9 m to 80.8 m.",
		},
		{
			fleet.Check{Code: fleet.ReadingNearTop, Gear: "A", StartFt: 32, DistanceFt: 20},
			"20 ft in gear A from 32 ft forward is kept but not used: so near the top the box moves too little.",
			"6.1 m in gear A from 9.75 m forward is kept but not used: so near the top the box moves too little.",
		},
		{
			fleet.Check{Code: fleet.OneDayOnly, Day: "2026-05-23", Readings: 9},
			"All readings are from one day. No second day has checked them, and readings of one day can all be off " +
				"together.", "",
		},
		{
			fleet.Check{Code: fleet.ReadingOfAnotherTravel, Gear: "A", On: "2026-05-09", StartFt: 4, DistanceFt: 225},
			"225 ft in gear A from 4 ft forward on May 9, 2026 is kept but not used: it was made with another " +
				"travel, and a chart that goes by measured positions does not say what it would be with this one.",
			"68.6 m in gear A from 1.22 m forward on May 9, 2026 is kept but not used: it was made with another " +
				"travel, and a chart that goes by measured positions does not say what it would be with this one.",
		},
		{
			fleet.Check{Code: fleet.ReadingUnused, Gear: "A", On: "2026-05-09"},
			"The reading in gear A that stopped short on May 9, 2026 is kept but not used: nobody knows what share " +
				"of the " +
				"way its box had moved.",
			"",
		},
		{
			fleet.Check{Code: fleet.ReadingsOutdated, Readings: 12, On: "2026-05-09"},
			"12 readings up to May 9, 2026 were made before a change of parts whose effect is not known, and no " +
				"longer count.",
			"",
		},
		{
			fleet.Check{Code: fleet.ReadingsOutdated, Readings: 1, On: "2026-05-09"},
			"1 reading of May 9, 2026 was made before a change of parts whose effect is not known, and no longer " +
				"counts.",
			"",
		},
		{
			fleet.Check{Code: fleet.PastTopTooEarly, Gear: "A", On: "2026-05-09", StartFt: 2, DistanceFt: 200,
				ExpectedFt: 239.7},
			"The pull of 200 ft in gear A from 2 ft forward on May 9, 2026 is noted as past the top, but the chart " +
				"says that " +
				"gear tops out at 240 ft.",
			"The pull of 61.0 m in gear A from 0.61 m forward on May 9, 2026 is noted as past the top, but the " +
				"chart says " +
				"that gear tops out at 73.1 m.",
		},
		{
			fleet.Check{Code: fleet.DayStandsOff, Day: "2026-05-30", DifferencePct: 8.12},
			"On May 30, 2026 every reading was about 8.1 % farther than the sled's other days say.",
			"",
		},
		{
			fleet.Check{Code: fleet.DayStandsOff, Day: "2026-05-30", OtherDay: "2026-06-06", DifferencePct: -8.12},
			"The readings of May 30, 2026 and of Jun 6, 2026 are about 8.1 % apart; one of the two days is off.",
			"",
		},
		{fleet.Check{Code: fleet.GearReadOnce, Gear: "C"}, "Gear C rests on one reading only.", ""},
		{
			fleet.Check{Code: fleet.GearsAlike, Gear: "C", OtherGear: "B", DifferenceFt: 1.1},
			"Gears B and C cannot be told apart: they top out 1 ft from each other, less than the readings can tell.",
			"Gears B and C cannot be told apart: they top out 0.3 m from each other, less than the readings can tell.",
		},
		{
			fleet.Check{Code: fleet.GearsAlike, Gear: "C", OtherGear: "B", DifferenceFt: 0.001},
			"Gears B and C cannot be told apart: they top out at the same distance.", "",
		},
		{
			fleet.Check{Code: fleet.TravelDisagrees, DistanceFt: 30, ExpectedFt: 25, LowFt: 24.5, HighFt: 25.5,
				Used: true},
			"The readings fit a travel of 25.0 ft (24.5 to 25.5), not the 30.0 ft that were taped; the chart goes " +
				"by the " +
				"readings.",
			"The readings fit a travel of 7.62 m (7.47 to 7.77), not the 9.14 m that were taped; the chart goes by " +
				"the readings.",
		},
		{
			fleet.Check{Code: fleet.TravelDisagrees, DistanceFt: 30, ExpectedFt: 29, LowFt: 28.5, HighFt: 29.5},
			"The readings would rather fit a travel of 29.0 ft (28.5 to 29.5) than the 30.0 ft that were taped; the " +
				"chart " +
				"still goes by the tape.",
			"The readings would rather fit a travel of 8.84 m (8.69 to 8.99) than the 9.14 m that were taped; the " +
				"chart " +
				"still goes by the tape.",
		},
		{
			fleet.Check{Code: fleet.TravelDisagrees, DistanceFt: 30},
			"The start positions do not fit a box that moves evenly over 30.0 ft of travel, nor over any other " +
				"travel; " +
				"the chart goes by the measured positions.",
			"The start positions do not fit a box that moves evenly over 9.14 m of travel, nor over any other " +
				"travel; the chart goes by the measured positions.",
		},
		{
			fleet.Check{Code: fleet.ChangeDisagrees, Gear: "C", DifferencePct: -3.04},
			"Moved by the ratio of the change, the readings of gear C from before it lie 3.0 % shorter than those " +
				"made since.",
			"",
		},
		{fleet.Check{Code: fleet.NotMeasuredLately, On: "2025-05-09"},
			"Nothing was measured on this sled since May 9, 2025.",
			""},
	} {
		if c.inM == "" {
			c.inM = c.inFeet // no distance in it
		}
		for units, want := range map[fleet.Units]string{fleet.InFeet: c.inFeet, fleet.InMeters: c.inM} {
			detail, action := Check(c.found, units)
			assert.Equal(t, want, plain(detail))
			assert.Regexp(t, `^[A-Z].*\.$`, action)
		}
	}
}

// Every usual mistake has its words, the same in the list of checks and beside the form.
func TestMend_SaysWhatMayHaveHappened(t *testing.T) {
	t.Parallel()
	said := map[string]string{}
	for _, kind := range codes(t, "../fleet", "MendKind") {
		m := &fleet.Mend{Kind: fleet.MendKind(kind), Gear: "B", DistanceFt: 268, StartFt: 4}
		said[kind] = plain(Mend(m, fleet.InFeet))
		detail, action := Check(fleet.Check{Code: fleet.ReadingOutOfLine, Gear: "A", DistanceFt: 286, DifferenceFt: 18,
			Mend: m}, fleet.InFeet)
		assert.Contains(t, plain(detail), "; "+said[kind]+".")
		assert.Contains(t, action, "it does not count")
	}
	assert.Equal(t, map[string]string{
		"another-gear":   "it fits gear B",
		"labels-swapped": "it fits gear B, as if the two labels were swapped that day",
		"swapped-digits": "swapped digits would give 268 ft",
		"meters-as-feet": "meters noted as feet would give 268 ft",
		"feet-as-meters": "feet noted as meters would give 268 ft",
		"decimal-point":  "a decimal point in its place would give 268 ft",
		"other-end":      "a start measured from the other end would be 4 ft forward",
	}, said)
	assert.Empty(t, Mend(nil, fleet.InFeet))
}

// codes are the constants of a type as they stand in its package's source: one that is added there is asked for here.
func codes(t *testing.T, folder, kind string) (out []string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.go"))
	require.NoError(t, err)
	for _, file := range files {
		p, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		ast.Inspect(p, func(n ast.Node) bool {
			v, is := n.(*ast.ValueSpec)
			if !is {
				return true
			}
			if of, is := v.Type.(*ast.Ident); is && of.Name == kind {
				for _, value := range v.Values {
					text, err := strconv.Unquote(value.(*ast.BasicLit).Value)
					require.NoError(t, err)
					out = append(out, text)
				}
			}
			return true
		})
	}
	return out
}

// Every code has its words, and no number, however wild, leaves one of them without an end.
func TestCheck_HasASentenceForEveryCode(t *testing.T) {
	t.Parallel()
	all := codes(t, "../fleet", "CheckCode")
	require.Len(t, all, 16)
	for _, code := range all {
		for _, wild := range []float64{0, 7, -7, math.Inf(1), math.Inf(-1), math.NaN()} {
			k := fleet.Check{Code: fleet.CheckCode(code), Reading: "r1", Gear: "A", OtherGear: "B", Day: "2026-05-09",
				On: "2026-05-09", Readings: 2}
			v := reflect.ValueOf(&k).Elem()
			for i := range v.NumField() {
				if v.Field(i).Kind() == reflect.Float64 {
					v.Field(i).SetFloat(wild)
				}
			}
			for _, units := range []fleet.Units{fleet.InFeet, fleet.InMeters} {
				detail, action := Check(k, units)
				assert.Regexp(t, `^[A-Z0-9m].*\.$`, detail, code)
				assert.Regexp(t, `^[A-Z].*\.$`, action, code)
				assert.NotRegexp(t, `NaN|Inf|[0-9]{7}`, detail, code)
			}
		}
	}
}
