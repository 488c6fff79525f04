package archive

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

const sledHead = `{"format": "evenpull-sled-1",
"given": [{"owner":"The Ridge Crew","as_of":"2026-11-28T12:00:00Z","day_pct":0.9,"reading_pct":0.6,"day_df":9,` +
	`"reading_df":31.384,"assumed_reading_pct":0.7,"weighing_lb":100,"weighing_df":4}],
`

// sledDocument is one sled of the fleet document, with all that can be of a sled, in the format that has to be read for
// ever once it is released.
func sledDocument(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("testdata/evenpull-sled-1.json")
	require.NoError(t, err)
	return string(text)
}

func TestSledDocument_ComesBackToTheLastByte(t *testing.T) {
	t.Parallel()
	document := sledDocument(t)
	d, err := ImportSled(strings.NewReader(document), noon)
	require.NoError(t, err)
	assert.Equal(t, "The Ridge Crew", d.Guest.Owner)
	assert.NotEmpty(t, d.Timeline.Changes)
	assert.NotEmpty(t, d.Readings)
	assert.NotEmpty(t, d.Weighings)
	aside := 0
	for _, r := range d.Readings {
		assert.True(t, r.FromOwner)
		assert.Equal(t, r.SetAside, r.OwnerSetAside)
		if r.SetAside != nil {
			aside++
		}
	}
	assert.Positive(t, aside)
	var out bytes.Buffer
	require.NoError(t, ExportSled(context.Background(), d, &out))
	assert.Equal(t, document, out.String())
}

// What could not be taken in is not given either.
func TestCheckSize_RefusesWhatNobodyCouldTakeIn(t *testing.T) {
	t.Parallel()
	most := fleet.Sled{Name: "Bluestem", Readings: mostReadings, Weighings: mostWeighings}
	require.NoError(t, CheckSize(most))
	for says, s := range map[string]fleet.Sled{
		"Bluestem has 20001 readings, those set aside included": {Name: "Bluestem", Readings: mostReadings + 1},
		"Bluestem has 5001 weighings":                           {Name: "Bluestem", Weighings: mostWeighings + 1},
	} {
		require.ErrorContains(t, CheckSize(s), says)
	}
}

func TestSledDocument_HoldsNothingOfItsInstallation(t *testing.T) {
	t.Parallel()
	d, err := ImportSled(strings.NewReader(sledDocument(t)), noon)
	require.NoError(t, err)
	for i := range d.Readings {
		d.Readings[i].Batch = "batch1"
		if d.Readings[i].SetAside != nil {
			d.Readings[i].SetAside = &fleet.SetAside{Reason: d.Readings[i].SetAside.Reason, At: noon, WithBatch: true}
		}
	}
	var out bytes.Buffer
	require.NoError(t, ExportSled(context.Background(), d, &out))
	assert.NotContains(t, out.String(), "batch")
	_, err = ImportSled(&out, noon)
	assert.NoError(t, err)
}

// oneSled is a document of a bare sled with other sections in place of its own.
func oneSled(more string) string {
	return sledHead + `"sleds": [{"id":"fescue","name":"Fescue","gears":[{"id":"g1","label":"1"}],"take_up_ft":0,` +
		`"rail_mark_ft":0.5,"revision":1,"created_at":"2026-01-01T00:00:00Z","updated_at":"2026-01-01T00:00:00Z"}]` +
		more + `}`
}

func TestSledDocument_IsRefusedWhole(t *testing.T) {
	t.Parallel()
	reading := func(id int, more string) string {
		return fmt.Sprintf(`{"id":"r%d","sled":"fescue","gear_id":"g1","start_ft":0,"distance_ft":300,`+
			`"ended":"topped-out",`+
			`"measured_on":"2026-05-09","day":"2026-05-09","created_at":"2026-05-09T00:00:00Z"%s}`, id, more)
	}
	many := func(n int) string {
		var all []string
		for i := range n {
			all = append(all, reading(i, ""))
		}
		return strings.Join(all, ",")
	}
	_, err := ImportSled(strings.NewReader(oneSled(`,"readings":[`+many(2)+`]`)), noon)
	require.NoError(t, err, "what the rows begin from")
	whole := sledDocument(t)
	for what, c := range map[string]struct {
		document string
		kind     fleet.Kind
		says     string
	}{
		"a newer version": {strings.Replace(whole, "sled-1", "sled-2", 1), fleet.Unreadable,
			"a newer program wrote it"},
		"a whole fleet": {head + `"sleds": []}`, fleet.Unreadable,
			"this is not a sled that another crew gave away"},
		"cut short":         {whole[:len(whole)-4], fleet.Unreadable, "breaks off before its end"},
		"cut in the middle": {whole[:len(whole)/2], fleet.Unreadable, "breaks off before its end"},
		"nobody's":          {`{"format": "evenpull-sled-1"}`, fleet.Unreadable, "must say whose the sled is"},
		"no sled":           {sledHead + `"sleds": []}`, fleet.Unreadable, "must say whose the sled is"},
		"two owners": {strings.Replace(oneSled(""), `"weighing_df":4}`,
			`"weighing_df":4},{"owner":"B","as_of":"2026-01-01T00:00:00Z","day_pct":1,"reading_pct":1,`+
				`"assumed_reading_pct":1,"weighing_lb":1,"weighing_df":1}`, 1), fleet.Unreadable, "says twice"},
		"two sleds": {strings.Replace(oneSled(""), `Z"}]}`,
			`Z"},{"id":"brome","name":"Brome","gears":[{"id":"g2","label":"1"}],"take_up_ft":0,"rail_mark_ft":0.5,`+
				`"revision":1,"created_at":"2026-01-01T00:00:00Z","updated_at":"2026-01-01T00:00:00Z"}]}`, 1),
			fleet.Unreadable, "more than one sled"},
		"readings without end": {oneSled(`,"readings":[` + many(mostReadings+1) + `]`), fleet.Unreadable,
			"more than 20000 readings"},
		"shows":           {oneSled(`,"shows":[]`), fleet.Unreadable, `"shows" is not known`},
		"something after": {whole + "{}", fleet.Unreadable, "after the end"},
		"no owner":        {strings.Replace(whole, `"The Ridge Crew"`, `" "`, 1), fleet.Invalid, "given[0].owner"},
		"a document of next year": {strings.Replace(whole, "2026-11-28T", "2027-11-28T", 1), fleet.Invalid,
			"given[0].as_of"},
		"days that do not differ": {strings.Replace(whole, `"day_pct":0.9`, `"day_pct":0`, 1), fleet.Invalid,
			"given[0].day_pct"},
		"half a degree of freedom": {strings.Replace(whole, `"day_df":9`, `"day_df":0.5`, 1), fleet.Invalid,
			"given[0].day_df"},
		"a guest of that crew": {strings.Replace(oneSled(""), `"revision":1`, `"guest":{"owner":"C",`+
			`"as_of":"2026-01-01T00:00:00Z","day_pct":1,"reading_pct":1,"assumed_reading_pct":1,"weighing_lb":1,`+
			`"weighing_df":1},"revision":1`, 1), fleet.Invalid, "sleds[0].guest"},
		"a reading that says it is the owner's": {oneSled(`,"readings":[` + reading(1, `,"from_owner":true`) + `]`),
			fleet.Invalid, "readings[0]"},
		"a reading with a batch": {oneSled(`,"readings":[` + reading(1, `,"batch":"b1"`) + `]`), fleet.Invalid,
			"readings[0]"},
		"an unknown field": {oneSled(`,"readings":[` + reading(1, `,"key":"b1"`) + `]`), fleet.Invalid,
			"readings[0].key"},
		"a gear of another sled": {oneSled(`,"readings":[` + strings.Replace(reading(1, ""), "g1", "g2", 1) + `]`),
			fleet.Invalid, "readings[0].gear_id"},
		"a weighing that says why its owner set it aside": {strings.Replace(whole, `"pan_lb":10720,`,
			`"pan_lb":10720,"owner_set_aside":{"reason":"misread","at":"2026-05-09T00:00:00Z"},`, 1), fleet.Invalid,
			"weighings[0].owner_set_aside"},
	} {
		d, err := ImportSled(strings.NewReader(c.document), noon)
		var e *fleet.Error
		if assert.ErrorAs(t, err, &e, "%s", what) {
			assert.Equal(t, c.kind, e.Kind, "%s: %v", what, err)
			assert.Contains(t, err.Error(), c.says, "%s", what)
		}
		assert.Zero(t, d, "%s", what)
	}
}

// What a stranger wrote keeps to the rules for names as what is typed here: every text of the document in turn has a
// character in it, behind the first, that nobody sees.
func TestSledDocument_HoldsNoCharacterThatNobodySees(t *testing.T) {
	t.Parallel()
	whole := strings.NewReplacer(`"confirmed_at"`, `"place":"Hay Lane","surface":"clay","by":"Bo","marked_by":"Ann",`+
		`"taken_with":"tape","confirmed_at"`, `"name":"Bluestem"`, `"name":"Bluestem","owner":"The Ridge Crew",`+
		`"notes":"repainted"`, `"label":"C"`, `"label":"C","ratio":1,"range":"high"`).Replace(sledDocument(t))
	_, err := ImportSled(strings.NewReader(whole), noon)
	require.NoError(t, err, "what the rows begin from")
	texts := regexp.MustCompile(`"(\w+)":"([^"])[^"]`)
	refused := map[string]bool{}
	for _, char := range []string{"\u202e", "\u200b", "\u2028"} {
		for _, at := range texts.FindAllStringSubmatchIndex(whole, -1) {
			field := whole[at[2]:at[3]]
			_, err := ImportSled(strings.NewReader(whole[:at[5]]+char+whole[at[5]:]), noon)
			if field == "note" || field == "notes" { // of several lines
				assert.NoError(t, err, "%s", field)
				continue
			}
			assert.Error(t, err, "%s", whole[at[0]:at[1]])
			refused[field] = true
		}
		for _, name := range []string{`"high"`, `"low"`} {
			_, err := ImportSled(strings.NewReader(strings.ReplaceAll(whole, name, name[:2]+char+name[2:])), noon)
			assert.ErrorContains(t, err, fmt.Sprintf("U+%04X", []rune(char)[0]), "the range %s", name)
		}
	}
	for _, field := range []string{"owner", "name", "label", "range", "what", "place", "by", "surface", "marked_by",
		"taken_with", "scale", "day", "reason", "id", "gear"} {
		assert.True(t, refused[field], "%s is in the document", field)
	}
	_, err = ImportSled(strings.NewReader(strings.Replace(whole, "The Ridge Crew", `A\ud800`, 1)), noon)
	assert.ErrorContains(t, err, "given[0].owner: holds half a character")
}

func TestImport_KeepsTheMarkOfAGuestToWhatItsOwnerNoted(t *testing.T) {
	t.Parallel()
	whole := fleetDocument(t)
	for says, c := range map[string][2]string{
		"from_owner: goes with the readings of a guest only": {`"ended":"topped-out",`,
			`"from_owner":true,"ended":"topped-out",`},
		"owner_set_aside: goes with the weighings of a guest only": {`"pan_lb":10720,`,
			`"pan_lb":10720,"owner_set_aside":{"reason":"misread","at":"2026-05-09T00:00:00Z"},`},
	} {
		_, _, err := Import(strings.NewReader(strings.Replace(whole, c[0], c[1], 1)), new(memory), noon, anySheet)
		assert.ErrorContains(t, err, says)
	}
}

func FuzzImportSled(f *testing.F) {
	whole := sledDocument(f)
	f.Add(whole)
	f.Add(whole[:len(whole)/2])
	f.Add(oneSled(`,"readings":[{}],"weighings":[{}]`))
	f.Add(strings.Replace(whole, "0.9", "1e999", 1))
	f.Add(`{"format": "evenpull-sled-9`)
	f.Fuzz(func(t *testing.T, document string) {
		d, err := ImportSled(strings.NewReader(document), noon)
		if err != nil {
			var e *fleet.Error
			require.True(t, errors.As(err, &e) && (e.Kind == fleet.Unreadable || e.Kind == fleet.Invalid), "%v", err)
			return
		}
		var out, again bytes.Buffer
		require.NoError(t, ExportSled(context.Background(), d, &out))
		d, err = ImportSled(bytes.NewReader(out.Bytes()), noon)
		require.NoError(t, err, "what was taken in can be given on as it is")
		require.NoError(t, ExportSled(context.Background(), d, &again))
		require.Equal(t, out.String(), again.String())
	})
}
