package spreadsheet

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func TestColumns_AreKnownByWhatPeopleWriteOverThem(t *testing.T) {
	t.Parallel()
	for heading, want := range map[string]string{
		"Gear": "gear", "distance (ft)": "distance_ft", "Distance, m": "distance_m", "distance_m": "distance_m",
		"Distance pulled [meters]": "distance_m", "Distance in feet": "distance_ft", "Distance": "distance_ft",
		"top-out":                 "distance_ft",
		"Top-out distance (in m)": "distance_m", "Feet": "distance_ft", "METERS": "distance_m", "Date": "measured_on",
		"date measured": "measured_on", "sled name": "sled", "SLED": "sled", "'Sled": "sled", "Machine": "sled",
		"Start position (m)": "start_m", "start_ft": "start_ft", "Box start": "start_ft", "end_m": "end_m",
		"Box stopped at":  "end_ft",
		"How did it end?": "ended", "How it ended": "ended", "plus_minus_ft": "plus_minus_ft", "±": "plus_minus_ft",
		"+/-":              "plus_minus_ft",
		"Give or take (m)": "plus_minus_m", "Test day": "day", "Test day or show": "day", "Track": "place",
		"Noted by":           "by",
		"Noted or stated by": "by", "Remarks": "note", "marked_by": "marked_by", "Taken with": "taken_with",
		"Weights in box": "weights",
		"Box weight":     "weights", "tire_psi": "tire_psi", "Tire pressure (psi)": "tire_psi", "Tires": "tire_psi",
		"Speed mph":    "speed_mph",
		"Ground speed": "speed_mph", "Corrects": "replaces",
		"Tire pressure (bar)": "", "Speed (km/h)": "", "Distance (cm)": "", "Distance (psi)": "", "Color": "", "": "",
		"(ft)": "",
	} {
		c, _ := understand(fleet.ReadingFields(), heading, fleet.InFeet)
		assert.Equal(t, want, c.Name(), "%q", heading)
	}
	for _, f := range fleet.ReadingFields() {
		for _, units := range []fleet.Units{fleet.InFeet, fleet.InMeters} {
			name := f.In(units)
			for _, guessedIn := range []fleet.Units{fleet.InFeet, fleet.InMeters} {
				c, score := understand(fleet.ReadingFields(), name, guessedIn)
				assert.Equal(t, name, c.Name(), "the API's own name")
				assert.Equal(t, exactly, score, name)
			}
			c, known := columnNamed(fleet.ReadingFields(), name)
			assert.True(t, known)
			assert.Equal(t, name, c.Name())
		}
	}
	c, _ := understand(fleet.ReadingFields(), "Distance", fleet.InMeters)
	assert.Equal(t, "distance_m", c.Name(), "a length that does not say its unit is in that of the sender")
}

func TestColumns_GoToTheHeadingThatNamesThemBest(t *testing.T) {
	t.Parallel()
	names := func(columns []Column[fleet.Reading]) (all []string) {
		for _, c := range columns {
			all = append(all, c.Name())
		}
		return all
	}
	columns, twice := understandAll(fleet.ReadingFields(), []string{"Distance to fence", "Distance", "Notes",
		"Remarks", "Color"},
		fleet.InFeet)
	assert.Equal(t, []string{"", "distance_ft", "note", "", ""}, names(columns), "and to the first of equals")
	assert.Equal(t, map[int]bool{0: true, 3: true}, twice)

	const text = "Who;What;How far;When;;;\nBlue Stem;C;77,4;2026-05-09\n"
	u := opened(t, text, options{Columns: "sled,gear,distance_m,measured_on"})
	require.NoError(t, u.Faults.Err())
	assert.Equal(t, []string{"sled", "gear", "distance_m", "measured_on"}, names(u.Columns))
	for row := range u.Rows() {
		require.NoError(t, row.Faults.Err())
		assert.InDelta(t, 77.4/0.3048, row.Record.DistanceFt, 1e-12)
		assert.Equal(t, []string{"Blue Stem", "C", "77.4", "2026-05-09"}, []string{
			u.Columns[0].Understood(&row.Record), u.Columns[1].Understood(&row.Record),
			u.Columns[2].Understood(&row.Record), u.Columns[3].Understood(&row.Record),
		})
	}
	assert.Equal(t, "Blue Stem", u.Columns[0].Example)
	for named, want := range map[string]string{
		"sled,gear":                           "names 2 columns; the file has 4",
		"sled,gear,distance,measured_on":      `"distance" is not known here; known are: sled, gear, start_ft, start_m,`,
		"sled,gear,distance_m,distance_ft":    "names distance_ft twice",
		"sled,gear,distance_m,measured_on,,,": "names 7 columns",
	} {
		_, err := Open(whole(text), Readings(), options{Columns: named})
		assert.ErrorContains(t, err, want, named)
	}
}

// What is not understood loses nothing unless its sender says so.
func TestColumns_ThatNobodyKnowsAreAFaultUnlessTheyAreSkipped(t *testing.T) {
	t.Parallel()
	const text = "sled,gear,distance_ft,Pulled (m),measured_on,Color,,note\nbluestem,C,255,77,2026-05-09,red,blue,x\n"
	faults := faultsOf(t, text, options{})
	require.Len(t, faults, 3)
	assert.Contains(t, faults[0], "1 Pulled (m): is there twice, another column says the same")
	assert.Contains(t, faults[1], "1 Color: is not known here; known are: sled, gear, start_ft, start_m, distance_ft,")
	assert.Equal(t, `2 : the cell "blue" stands under no heading`, faults[2])
	assert.Empty(t, faultsOf(t, text, options{SkipUnknown: true}))
	assert.Empty(t, faultsOf(t, text, options{Columns: "sled,gear,distance_ft,,measured_on,,,note"}))
	assert.Empty(t, faultsOf(t, strings.ReplaceAll(text, "blue,", ","),
		options{Columns: "sled,gear,distance_ft,,measured_on,day,,note"}))
}
