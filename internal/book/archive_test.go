package book

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/archive"
	"evenpull/internal/fleet"
)

// openEverything has a fleet with one of all there is: changes of parts, readings of every kind, corrected and set
// aside, a retired sled, renamed gears, classes with and without a pull-off, inspections, and shows: to come, run,
// over, opened again.
func openEverything(t testing.TB) (*Book, *at) {
	t.Helper()
	b, clock, show := openShow(t)
	why := "the tape slipped"
	first := addReading(t, b, "bluestem", readingOf("A", 0, 333.125))
	write(t, b, func(w *Writer) error { _, err := w.SetAside(first.ID, &why); return err })
	corrected := readingOf("A", 0, 1.0/3+300)
	corrected.Replaces, corrected.Note, corrected.TirePSI = first.ID, "“read again”, \u2028 <by> & with", ft(0.1+0.2)
	addReading(t, b, "bluestem", corrected)
	short := readingOf("B", 0, 150.5)
	short.Ended, short.EndFt, short.MeasuredOn = fleet.StoppedShort, ft(17.25), "2026-05-01"
	addReading(t, b, "bluestem", short)
	write(t, b, func(w *Writer) error {
		s := sledOf("Bluestem", ft(34.5), "A1", "B", "C")
		s.Driveline = fleet.Driveline{SprocketTeeth: 12, ChainPitchIn: 1.75,
			AxleRatios: map[string]float64{"low": 6.6, "high": 4.88}}
		s.Loading = fleet.Loading{TandemToPanFt: ft(28), BoxAheadOfTandemFt: ft(-2.75), EmptyBoxLb: ft(5000),
			Blocks: []fleet.Block{{Lb: 2000, Count: 8}}, MostInBoxLb: ft(16_000)}
		_, err := w.CorrectSled("bluestem", whatever, Correction{Sled: s, Was: []string{"A"}})
		return err
	})
	weigh(t, b, "bluestem", [3]float64{0, 0, 10_720}, [3]float64{34.5, 12_000, 1.0/3 + 27_740})
	aside := weigh(t, b, "fescue", [3]float64{0, 0, 12_160})[0]
	write(t, b, func(w *Writer) error { _, err := w.SetWeighingAside(aside.ID, &why); return err })
	write(t, b, func(w *Writer) error {
		c := classOf("Farm 9500", "bluestem", "A1", 0)
		c.Setting.InBoxLb, c.Setting.OnPanLb, c.EndsFt = ft(12_000), ft(250), ft(290)
		_, err := w.ReplaceClass("farm-9500", anyClass, c, false)
		return err
	})
	show.FullPullFt = ft(300)
	write(t, b, func(w *Writer) error { _, err := w.ReplaceShow(show.ID, anyShow, show); return err })
	clock.now = clock.now.AddDate(0, 0, 20)
	write(t, b, func(w *Writer) error {
		_, err := w.AddChange("fescue", fleet.Change{MadeOn: "2026-05-15", What: "other tires",
			Effect: fleet.UnknownEffect, TravelFt: ft(33.1), EndsWeighings: true})
		return err
	})
	write(t, b, func(w *Writer) error { _, _, err := w.RemoveSled("timothy", whatever); return err })
	hooks := 7
	write(t, b, func(w *Writer) error {
		if _, err := w.AddAsRun(show.ID, "antique",
			fleet.AsRun{Gear: "2", StartFt: 0.5, FromHook: 1, InBoxLb: ft(8000), Note: "as planned"}, nil); err != nil {
			return err
		}
		if _, err := w.AddAsRun(show.ID, "antique", fleet.AsRun{Gear: "3", FromHook: 4}, nil); err != nil {
			return err
		}
		_, err := w.PutOutcome(show.ID, "antique",
			fleet.Outcome{Hooks: &hooks, LongestFt: ft(311.25), Felt: fleet.Soft})
		return err
	})
	list := putList(t, b, "bluestem", fleet.InspectionItem{What: "Chains", EveryShows: 1, Calibration: true},
		fleet.InspectionItem{What: "Belts", EveryDays: 30})
	sign(t, b, "bluestem", fleet.Inspection{Item: list.Items[0].ID, Note: "a link is cracked", On: "2026-05-28"})
	sign(t, b, "bluestem", fleet.Inspection{Item: list.Items[0].ID, Well: true, Done: "a new link,\nas the maker says",
		On: "2026-05-29", Show: show.ID, By: "Bo"})
	addShow(t, b, fleet.Show{Name: "Spring Pull", Date: "2026-05-02", Sled: "bluestem", Classes: []string{"antique"}})
	again := addShow(t, b, fleet.Show{Name: "Mud Pull", Date: "2026-05-03", Sled: "bluestem",
		Classes: []string{"super-stock"}})
	write(t, b, func(w *Writer) error { // closes those that are over by their date
		again.Over = false
		_, err := w.ReplaceShow(again.ID, func(fleet.Show) error { return nil }, again)
		return err
	})
	clock.now = clock.now.AddDate(0, 6, 0)
	write(t, b, func(w *Writer) error { _, _, err := w.AddKey("Harvest crew", fleet.Operator); return err })
	return b, clock
}

func exported(t testing.TB, b *Book) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, b.Export(context.Background(), &out))
	return out.String()
}

func openEmptyAt(t testing.TB, clock *at) *Book {
	t.Helper()
	b, its := openBook(t)
	its.now = clock.now
	return b
}

func TestArchive_ComesBackToTheLastByte(t *testing.T) {
	t.Parallel()
	b, clock := openEverything(t)
	document := exported(t, b)
	assert.Equal(t, document, exported(t, b), "the same fleet gives the same bytes")
	var parsed map[string]any
	require.NoError(t, json.Unmarshal([]byte(document), &parsed))
	for _, section := range []string{"sleds", "changes", "readings", "weighings", "classes", "shows", "history"} {
		assert.NotEmpty(t, parsed[section], section)
	}
	assert.NotContains(t, document, "Harvest crew", "nothing of keys")

	other := openEmptyAt(t, clock)
	var got archive.Imported
	write(t, other, func(w *Writer) (err error) { got, err = w.Import(strings.NewReader(document)); return err })
	assert.Equal(t, archive.Imported{Sleds: 5, Readings: 14, Weighings: 3, Classes: 3, Shows: 3}, got)
	assert.Equal(t, document, exported(t, other))

	ctx := context.Background()
	for _, sled := range []string{"bluestem", "fescue", "timothy", "brome", "sedge"} {
		want, err := b.Chart(ctx, sled, nil, "", "")
		require.NoError(t, err)
		is, err := other.Chart(ctx, sled, nil, "", "")
		require.NoError(t, err)
		want.Revision, is.Revision = 0, 0
		assert.Equal(t, want, is, sled)
	}
	for _, show := range []string{"harvest-pull-2026-07-18", "spring-pull-2026-05-02", "mud-pull-2026-05-03"} {
		want, err := b.Sheet(ctx, show, "", false)
		require.NoError(t, err)
		is, err := other.Sheet(ctx, show, "", false)
		require.NoError(t, err)
		want.Revision, is.Revision = 0, 0
		assert.Equal(t, want, is, show)
	}
	entries, _, err := other.History(ctx, "", "", "", 1)
	require.NoError(t, err)
	require.Len(t, entries, 1)
	assert.Equal(t, []string{fleet.ActImported, fleet.OfFleet, "the manager"},
		[]string{entries[0].Act, entries[0].Kind, entries[0].Who})

	// Written to after it came, it goes on as the other would.
	addReading(t, other, "fescue", readingOf("1", 0, 299))
	assert.NotEqual(t, document, exported(t, other))
	e := refused(t, other, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err })
	assert.Equal(t, fleet.Conflict, e.Kind)
}

// What is written to a show without a sled names no sled in the history, and comes back.
func TestArchive_OfAShowWithoutASledComesBack(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	write(t, b, func(w *Writer) error {
		noted := w.NoteDemo()
		invented := sledOf("Bluestem", ft(34.5), "A", "B")
		invented.Invented = true
		_, err := w.AddSled(invented)
		return errors.Join(noted, err)
	})
	addClass(t, b, classOf("Farm 9500", "bluestem", "B", 0))
	show := addShow(t, b, fleet.Show{Name: "Spring Pull", Date: "2026-05-02", Classes: []string{"farm-9500"}})
	write(t, b, func(w *Writer) error {
		_, err := w.PutOutcome(show.ID, "farm-9500", fleet.Outcome{Felt: fleet.Soft})
		return err
	})
	write(t, b, func(w *Writer) error { return w.RemoveDemo(true) })
	entries, _, err := b.History(context.Background(), "", "", "", 100)
	require.NoError(t, err)
	for _, e := range entries {
		assert.NotContains(t, e.Sleds, "", "%s %s", e.Kind, e.Act)
	}
	document := exported(t, b)
	other := openEmptyAt(t, clock)
	write(t, other, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err })
	assert.Equal(t, document, exported(t, other))
}

func TestArchive_OfAnEmptyFleetComesBack(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	document := exported(t, b)
	other := openEmptyAt(t, clock)
	write(t, other, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err })
	assert.Equal(t, document, exported(t, other))
}

func TestArchive_ThatIsWrongChangesNothing(t *testing.T) {
	t.Parallel()
	b, clock := openEverything(t)
	document := exported(t, b)
	swap := func(old, new string) string {
		require.Contains(t, document, old)
		return strings.Replace(document, old, new, 1)
	}
	var parsed struct {
		Sleds    []fleet.Sled
		Readings []fleet.Reading
	}
	require.NoError(t, json.Unmarshal([]byte(document), &parsed))
	gear, reading := parsed.Sleds[0].Gears[0].ID, parsed.Readings[0].ID
	for what, c := range map[string]struct {
		document string
		kind     fleet.Kind
		at       string // of one of the faults
	}{
		"nothing":                         {"", fleet.Unreadable, ""},
		"no JSON":                         {"sled,gear", fleet.Unreadable, ""},
		"a list":                          {"[]", fleet.Unreadable, ""},
		"another format":                  {swap("evenpull-fleet-1", "evenpull-fleet-2"), fleet.Unreadable, ""},
		"no format":                       {`{"sleds": []}`, fleet.Unreadable, ""},
		"one cut off":                     {document[:len(document)/2], fleet.Unreadable, ""},
		"one cut off at its last bracket": {strings.TrimSuffix(document, "}\n"), fleet.Unreadable, ""},
		"something after its end":         {document + "{}", fleet.Unreadable, ""},
		"a section nobody knows":          {swap("\"history\": [", "\"future\": ["), fleet.Unreadable, ""},
		"sections in another order": {`{"format": "evenpull-fleet-1", "readings": [], "sleds": []}`,
			fleet.Unreadable, ""},
		"a section twice": {`{"format": "evenpull-fleet-1", "sleds": [], "sleds": []}`,
			fleet.Unreadable, ""},
		"a section that is no list":         {`{"format": "evenpull-fleet-1", "sleds": {}}`, fleet.Unreadable, ""},
		"a number too large for a section":  {`{"format": "evenpull-fleet-1", "sleds": 1e999}`, fleet.Unreadable, ""},
		"a number too large for a format":   {`{"format": 1e999}`, fleet.Unreadable, ""},
		"a number too large for a document": {"-1e999", fleet.Unreadable, ""},
		"a number too large after its end":  {document + "1e999", fleet.Unreadable, ""},
		"nesting without end": {`{"format": "evenpull-fleet-1", "sleds": [` +
			strings.Repeat("[", 100_000), fleet.Unreadable, ""},
		"a sled that is a number": {`{"format": "evenpull-fleet-1", "sleds": [7]}`, fleet.Invalid,
			"sleds[0]"},
		"a field nobody knows": {swap(`"rail_mark_ft"`, `"color": "red", "rail_mark_ft"`), fleet.Invalid,
			"sleds[0].color"},
		"a travel in words": {swap(`"travel_ft":34.5`, `"travel_ft":"long"`), fleet.Invalid,
			"sleds[0].travel_ft"},
		"a travel beyond all numbers": {swap(`"travel_ft":34.5`, `"travel_ft":1e999`), fleet.Invalid,
			"sleds[0].travel_ft"},
		"a travel of nothing": {swap(`"travel_ft":34.5`, `"travel_ft":0`), fleet.Invalid,
			"sleds[0].travel_ft"},
		"bytes that are no text": {swap(`"name":"Bluestem"`, "\"name\":\"Blue\xff\""), fleet.Invalid,
			"sleds[0]"},
		"a name with a NUL": {swap(`"name":"Bluestem"`, `"name":"Blue\u0000"`), fleet.Invalid,
			"sleds[0].name"},
		"a sled without a slug": {swap(`"id":"bluestem"`, `"id":"../bluestem"`), fleet.Invalid,
			"sleds[0].id"},
		"a sled twice": {swap(`"id":"brome"`, `"id":"bluestem"`), fleet.Invalid, "sleds[1].id"},
		"a gear's id twice": {swap(parsed.Sleds[1].Gears[0].ID, gear), fleet.Invalid,
			"sleds[1].gears[0].id"},
		"a label twice": {swap(`"label":"B"`, `"label":"C"`), fleet.Invalid,
			"sleds[0].gears[2].label"},
		"a revision before the first": {swap(`"revision":2`, `"revision":0`), fleet.Invalid,
			"sleds[0].revision"},
		"a change of no sled": {swap(`"sled":"fescue","made_on"`, `"sled":"meadow","made_on"`),
			fleet.Invalid, "changes[0].sled"},
		"a change without an effect": {swap(`"effect":"unknown"`, `"effect":"some"`), fleet.Invalid,
			"changes[0].effect"},
		"a reading of no gear": {swap(
			fmt.Sprintf(`"id":%q,"sled":"bluestem","gear_id":%q`, reading, gear),
			fmt.Sprintf(`"id":%q,"sled":"bluestem","gear_id":"none"`, reading)), fleet.Invalid, "readings[0].gear_id"},
		"a reading's id twice": {swap(parsed.Readings[1].ID, reading), fleet.Invalid, "readings[1].id"},
		"a reading behind the start": {swap(`"distance_ft":300,`, `"distance_ft":-300,`), fleet.Invalid,
			"readings[0].distance_ft"},
		"a reading that ended somehow": {swap(`"ended":"topped-out"`, `"ended":"somehow"`), fleet.Invalid,
			"readings[0].ended"},
		"a reading that replaces itself": {swap(`"replaces":"`, `"replaces":"x`), fleet.Invalid,
			"readings[6].replaces"},
		"a reading set aside without reason": {swap(`"reason":"the tape slipped"`, `"reason":""`), fleet.Invalid,
			"readings[5].set_aside.reason"},
		"a reading from before time": {swap(`"created_at":"2026-05-09T12:00:00.123456Z"`,
			`"created_at":"0001-01-01T00:00:00Z"`), fleet.Invalid, "sleds[0].created_at"},
		"a sled from a year of five digits": {swap(`"created_at":"2026-05-09T12:00:00.123456Z"`,
			`"created_at":"9999-12-31T23:59:59-12:00"`), fleet.Invalid, "sleds[0].created_at"},
		"a sled from a year that lies ahead": {swap(`"created_at":"2026-05-09T12:00:00.123456Z"`,
			`"created_at":"2090-05-09T12:00:00Z"`), fleet.Invalid, "sleds[0].created_at"},
		"a class of no sled": {swap(`"setting":{"sled":"bluestem"`, `"setting":{"sled":"meadow"`),
			fleet.Invalid, "classes[0].setting.sled"},
		"a class noted some day": {swap(`"noted_on":"2026-05-09"`, `"noted_on":"May"`), fleet.Invalid,
			"classes[0].setting.noted_on"},
		"a show with a class nobody has": {swap(`"classes":["super-stock","antique","farm-9500"]`,
			`"classes":["super-stock","antique","farm"]`), fleet.Invalid, "shows[0].classes[2]"},
		"what was run in an unlisted class": {swap(`"class":"antique","sled":"fescue"`,
			`"class":"farm","sled":"fescue"`), fleet.Invalid, "shows[0].as_run[0].class"},
		"a class that felt odd": {swap(`"felt":"soft"`, `"felt":"odd"`), fleet.Invalid,
			"shows[0].outcomes.antique.felt"},
		"a closed sheet of another format": {swap(`"closed_sheet":{"format":1`, `"closed_sheet":{"format":99`),
			fleet.Invalid, "shows[0].closed_sheet"},
		"history that lies ahead": {swap(`"at":"2026-05-09T12:00:00.123456Z","who"`,
			`"at":"2090-05-09T12:00:00.123456Z","who"`), fleet.Invalid, "history[0].at"},
		"history of keys": {swap(`"kind":"sled"`, `"kind":"key"`), fleet.Invalid, "history[0].kind"},
		"history by nobody's role": {swap(`"role":"manager"`, `"role":"king"`), fleet.Invalid,
			"history[0].role"},
	} {
		other := openEmptyAt(t, clock)
		e := refused(t, other, func(w *Writer) error { _, err := w.Import(strings.NewReader(c.document)); return err })
		assert.Equal(t, c.kind, e.Kind, "%s: %v", what, e)
		if c.at != "" {
			assert.Contains(t, places(e), c.at, "%s: %v", what, e)
		}
		empty, err := other.Empty(context.Background())
		require.NoError(t, err)
		assert.True(t, empty, what)
		revision, err := other.Revision(context.Background())
		require.NoError(t, err)
		assert.Zero(t, revision, what)
		entries, _, err := other.History(context.Background(), "", "", "", 1)
		require.NoError(t, err)
		assert.Empty(t, entries, what)
	}
}

// A document that was spaced anew on its way is read all the same, whatever classes, ranges of an axle and sheets are
// called.
func TestArchive_ReadsWhatWasSpacedAnew(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	s := sledOf("Meadow", ft(34.5), "A")
	s.Driveline.AxleRatios = map[string]float64{"before": 6.6, "after": 4.88, "document": 5.13}
	addSled(t, b, s)
	classes := []string{"before", "after", "document"}
	for _, name := range classes {
		addClass(t, b, fleet.Class{Name: name, Setting: distanceOf(240)})
	}
	hooks := 7
	show := addShow(t, b, fleet.Show{Name: "Pull", Date: "2026-05-02", Sled: "meadow", Classes: classes})
	write(t, b, func(w *Writer) error {
		for _, class := range classes {
			if _, err := w.PutOutcome(show.ID, class, fleet.Outcome{Hooks: &hooks}); err != nil {
				return err
			}
		}
		return nil
	})
	document := exported(t, b)
	require.Contains(t, document, `"closed_sheet":{`)
	var spaced bytes.Buffer
	require.NoError(t, json.Indent(&spaced, []byte(document), "", "  "))
	other := openEmptyAt(t, clock)
	write(t, other, func(w *Writer) error { _, err := w.Import(&spaced); return err })
	assert.Equal(t, document, exported(t, other))
}

// What an import would find beside it in the database makes it no empty one, and a demo is loaded into no other either.
func TestArchive_ComesIntoAnEmptyDatabaseOnly(t *testing.T) {
	t.Parallel()
	full, clock := openEverything(t)
	document := exported(t, full)
	for what, add := range map[string]func(w *Writer) error{
		"a sled": func(w *Writer) error { _, err := w.AddSled(sledOf("Meadow", nil, "A")); return err },
		"a class used to a distance": func(w *Writer) error {
			_, err := w.AddClass(fleet.Class{Name: "Hot Farm", Setting: distanceOf(240)})
			return err
		},
		"a show without a sled": func(w *Writer) error {
			_, err := w.AddShow(fleet.Show{Name: "Pull", Date: "2027-12-01"})
			return err
		},
	} {
		other := openEmptyAt(t, clock)
		write(t, other, add)
		for _, e := range []*fleet.Error{
			refused(t, other, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err }),
			refused(t, other, (*Writer).NoteDemo),
		} {
			assert.Equal(t, fleet.Conflict, e.Kind, what)
		}
		empty, err := other.Empty(context.Background())
		require.NoError(t, err)
		assert.False(t, empty, what)
	}
}

// Every fault of a document comes at once, up to what a list of faults holds.
func TestArchive_NamesEveryFault(t *testing.T) {
	t.Parallel()
	b, clock := openEverything(t)
	document := strings.ReplaceAll(exported(t, b), `"ended":"topped-out"`, `"ended":"somehow"`)
	e := refused(t, openEmptyAt(t, clock), func(w *Writer) error {
		_, err := w.Import(strings.NewReader(document))
		return err
	})
	assert.Greater(t, len(e.Faults), 10)
}

// Whatever comes in is refused in words, or comes out again as it stands.
func FuzzImport(f *testing.F) {
	b, clock := openEverything(f)
	document := exported(f, b)
	f.Add(document)
	f.Add(strings.ReplaceAll(document, "2026", "2025"))
	f.Add(strings.ReplaceAll(document, "bluestem", "fescue"))
	f.Add(`{"format": "evenpull-fleet-1"}`)
	f.Add(`{"format": "evenpull-fleet-1", "sleds": [{"id": "a", "name": "A", "gears": [{"id": "x", "label": "1"}],
		"take_up_ft": 0, "rail_mark_ft": 1, "revision": 1,
		"created_at": "2026-05-09T12:00:00Z", "updated_at": "2026-05-09T12:00:00Z"}]}`)
	f.Fuzz(func(t *testing.T, document string) {
		ctx := context.Background()
		other := openEmptyAt(t, clock)
		err := other.Write(ctx, manager, func(w *Writer) error {
			_, err := w.Import(strings.NewReader(document))
			return err
		})
		if err != nil {
			require.True(t, isKind(err, fleet.Invalid) || isKind(err, fleet.Unreadable) || isKind(err, fleet.Conflict),
				"%v", err)
			return
		}
		out := exported(t, other)
		sleds, _, err := other.Sleds(ctx, "", 500)
		require.NoError(t, err)
		for _, s := range sleds {
			_, err := other.Chart(ctx, s.ID, nil, "", "")
			require.NoError(t, err)
		}
		again := openEmptyAt(t, clock)
		require.NoError(t, again.Write(ctx, manager, func(w *Writer) error {
			_, err := w.Import(strings.NewReader(out))
			return err
		}))
		require.Equal(t, out, exported(t, again))
	})
}
