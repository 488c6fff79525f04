package book

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"evenpull/internal/fleet"
)

// sections of a document, in their order.
var sections = []string{"sleds", "changes", "readings", "weighings", "classes", "shows", "inspection_lists",
	"inspections", "history"}

// changed is a document with a change made to what is in it.
func changed(t testing.TB, document string, change func(all map[string]any)) string {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(document))
	d.UseNumber()
	var all map[string]any
	require.NoError(t, d.Decode(&all))
	change(all)
	return inSections(t, all)
}

// inSections writes sections in the order that they need.
func inSections(t testing.TB, all map[string]any) string {
	t.Helper()
	var out strings.Builder
	fmt.Fprintf(&out, "{%q: %q", "format", all["format"])
	for _, section := range sections {
		if of, there := all[section]; there {
			text, err := json.Marshal(of)
			require.NoError(t, err)
			fmt.Fprintf(&out, ",\n%q: %s", section, text)
		}
	}
	return out.String() + "}"
}

func item(all map[string]any, section string, n int) map[string]any {
	return all[section].([]any)[n].(map[string]any)
}

// closedRow is the first row of a closed sheet.
func closedRow(all map[string]any) map[string]any {
	closed := item(all, "shows", 2)["closed_sheet"].(map[string]any)
	return closed["document"].(map[string]any)["rows"].([]any)[0].(map[string]any)
}

func nearest(all map[string]any) map[string]any {
	return closedRow(all)["tonight"].(map[string]any)["Nearest"].(map[string]any)
}

func TestArchive_NamesEveryFaultOfAnItemAtItsPlace(t *testing.T) {
	t.Parallel()
	b, clock := openEverything(t)
	document := exported(t, b)
	for what, c := range map[string]struct {
		change func(all map[string]any)
		at     []string
	}{
		"all of a sled at once": {func(all map[string]any) {
			s := item(all, "sleds", 0)
			s["travel_ft"], s["take_up_ft"], s["color"], s["retired"], s["revision"] = "long", -1, "red", "no", 1.5
			gear := s["gears"].([]any)[1].(map[string]any)
			gear["ratio"], gear["teeth"], gear["range"] = json.Number("1e999"), 9, "a\nb"
		}, []string{"sleds[0].color", "sleds[0].gears[1].range", "sleds[0].gears[1].ratio", "sleds[0].gears[1].teeth",
			"sleds[0].retired", "sleds[0].revision", "sleds[0].take_up_ft", "sleds[0].travel_ft"}},
		"a field in capitals": {func(all map[string]any) {
			s := item(all, "sleds", 0)
			s["NAME"] = s["name"]
			delete(s, "name")
		}, []string{"sleds[0].NAME", "sleds[0].name"}},
		"a weight for a reason that nobody knows": {func(all map[string]any) {
			closedRow(all)["weight"] = map[string]any{"At": "home", "Cannot": "no idea", "Remaining": []any{
				map[string]any{"Where": "somewhere"}}, "Limits": []any{map[string]any{"What": "roof"}}}
		}, []string{
			"shows[2].closed_sheet.document.rows[0].weight.At", "shows[2].closed_sheet.document.rows[0].weight.Cannot",
			"shows[2].closed_sheet.document.rows[0].weight.Limits[0].What",
			"shows[2].closed_sheet.document.rows[0].weight.Remaining[0].Where",
		}},
		"a weighing of a sled that is not there": {func(all map[string]any) {
			item(all, "weighings",
				0)["sled"] = "oat"
		},
			[]string{"weighings[0].sled"}},
		"a weighing past the top": {func(all map[string]any) { item(all, "weighings", 0)["box_at_ft"] = 40 },
			[]string{"weighings[0].box_at_ft"}},
		"a weighing twice": {func(all map[string]any) {
			item(all, "weighings", 1)["id"] = item(all, "weighings", 0)["id"]
		}, []string{"weighings[1].id"}},
		"blocks that weigh nothing": {func(all map[string]any) {
			item(all, "sleds", 0)["loading"] = map[string]any{"blocks": []any{map[string]any{"lb": 0, "count": 2}}}
		}, []string{"sleds[0].loading.blocks[0].lb"}},
		"a reading under another label": {func(all map[string]any) { item(all, "readings", 0)["gear"] = "Z" },
			[]string{"readings[0].gear"}},
		"a reading past the travel of its date": {func(all map[string]any) {
			item(all, "readings",
				0)["start_ft"] = 34.5
		}, []string{"readings[0].start_ft"}},
		"a reading of the day after tomorrow": {func(all map[string]any) {
			item(all, "readings",
				0)["measured_on"] = "2026-12-01"
		}, []string{"readings[0].measured_on"}},
		"a circle of corrections": {func(all map[string]any) {
			one, two := item(all, "readings", 0), item(all, "readings", 1)
			one["replaces"], two["replaces"] = two["id"], one["id"]
		}, []string{"readings[0].replaces"}},
		"a reading that replaces one of another sled": {func(all map[string]any) {
			last := len(all["readings"].([]any)) - 1
			item(all, "readings", last)["replaces"] = item(all, "readings", 0)["id"]
		}, []string{"readings[13].replaces"}},
		"a change that names a gear twice": {func(all map[string]any) {
			gear := map[string]any{"id": item(all, "sleds", 2)["gears"].([]any)[0].(map[string]any)["id"], "ratio": 2}
			item(all, "changes", 0)["gears"] = []any{gear, gear}
		}, []string{"changes[0].gears[1].id"}},
		"a closed sheet of other classes": {func(all map[string]any) {
			for n := range all["shows"].([]any) {
				if s := item(all, "shows", n); s["closed_sheet"] != nil {
					s["closed_sheet"].(map[string]any)["document"].(map[string]any)["rows"] = []any{}
				}
			}
		}, []string{"shows[0].closed_sheet.document.rows", "shows[2].closed_sheet.document.rows"}},
		"a closed sheet without its document": {func(all map[string]any) {
			delete(item(all, "shows", 2)["closed_sheet"].(map[string]any), "document")
		}, []string{"shows[2].closed_sheet.document"}},
		"a closed answer with an unknown field": {func(all map[string]any) {
			nearest(all)["mood"] = "good"
		}, []string{"shows[2].closed_sheet.document.rows[0].tonight.Nearest.mood"}},
		"a closed answer with unknown codes": {func(all map[string]any) {
			n := nearest(all)
			n["Confidence"], n["ComparedAt"], n["Basis"] = "sure", "noon", "guess"
		}, []string{
			"shows[2].closed_sheet.document.rows[0].tonight.Nearest.Basis",
			"shows[2].closed_sheet.document.rows[0].tonight.Nearest.ComparedAt",
			"shows[2].closed_sheet.document.rows[0].tonight.Nearest.Confidence",
		}},
		"a closed answer for an unknown reason": {func(all map[string]any) {
			because := closedRow(all)["tonight"].(map[string]any)["Because"].(map[string]any)
			because["Reason"] = "for a lark"
		}, []string{"shows[2].closed_sheet.document.rows[0].tonight.Because.Reason"}},
		"a closed pull-off without an answer": {func(all map[string]any) {
			class := closedRow(all)["class"].(map[string]any)
			class["pull_off"] = class["setting"]
		}, []string{"shows[2].closed_sheet.document.rows[0].pull_off_tonight"}},
		"an inspection list of no sled, with an item that is never due": {func(all map[string]any) {
			l := item(all, "inspection_lists", 0)
			l["sled"], l["revision"], l["hidden"] = "nosuch", 0, true
			delete(l["items"].([]any)[0].(map[string]any), "every_shows")
			l["items"].([]any)[1].(map[string]any)["id"] = "a b"
		}, []string{"inspection_lists[0].hidden", "inspection_lists[0].items[0].every_days",
			"inspection_lists[0].items[1].id", "inspection_lists[0].revision", "inspection_lists[0].sled"}},
		"a second list of a sled": {func(all map[string]any) {
			lists := all["inspection_lists"].([]any)
			all["inspection_lists"] = append(lists, map[string]any{"sled": "bluestem", "items": []any{}, "revision": 1,
				"created_at": "2026-05-09T12:00:00Z", "updated_at": "2026-05-09T12:00:00Z"})
		}, []string{"inspection_lists[1].sled"}},
		"an inspection of nothing, for no show, that says nothing": {func(all map[string]any) {
			one := item(all, "inspections", 0)
			one["sled"], one["show"], one["item"], one["on"] = "nosuch", "nosuch", "", "2026-13-01"
			one["note"], one["by"], one["signed_by"] = "", "", "a\nb"
		}, []string{"inspections[0].by", "inspections[0].item", "inspections[0].note", "inspections[0].on",
			"inspections[0].show", "inspections[0].signed_by", "inspections[0].sled"}},
		"an inspection that is there twice": {func(all map[string]any) {
			item(all, "inspections", 1)["id"] = item(all, "inspections", 0)["id"]
		}, []string{"inspections[1].id"}},
		"history of a sled that cannot be": {func(all map[string]any) {
			item(all, "history",
				0)["sleds"] = []any{"a\x00b"}
		}, []string{"history[0].sleds[0]"}},
		"history of what nobody does": {func(all map[string]any) {
			item(all, "history", 0)["act"] = "painted"
		}, []string{"history[0].act"}},
		"history of what there is none of": {func(all map[string]any) {
			item(all, "history", 0)["kind"] = "barn"
		}, []string{"history[0].kind"}},
		"history of a key": {func(all map[string]any) {
			entry := item(all, "history", 0)
			entry["kind"], entry["act"] = "key", "added"
			delete(entry, "before")
			entry["after"] = map[string]any{"id": "a", "name": "Ann", "role": "manager",
				"created_at": "2026-07-18T20:00:00Z"}
		}, []string{"history[0].kind"}},
		"history by somebody whose name reads backwards": {func(all map[string]any) {
			item(all, "history", 0)["who"] = "Ann\u202e"
		}, []string{"history[0].who"}},
		"history of an addition that changed something": {func(all map[string]any) {
			item(all, "history", 0)["before"] = map[string]any{}
		}, []string{"history[0].before"}},
		"history of an addition of nothing": {func(all map[string]any) {
			delete(item(all, "history", 0), "after")
		}, []string{"history[0].after"}},
		"history of a sled that is a list": {func(all map[string]any) {
			item(all, "history", 0)["after"] = []any{}
		}, []string{"history[0].after"}},
		"history of a sled with a field of its own": {func(all map[string]any) {
			item(all, "history", 0)["after"].(map[string]any)["paint"] = "green"
		}, []string{"history[0].after.paint"}},
		"history of a sled whose travel is text": {func(all map[string]any) {
			item(all, "history", 0)["after"].(map[string]any)["travel_ft"] = "long"
		}, []string{"history[0].after.travel_ft"}},
		"history of nobody's sled": {func(all map[string]any) {
			item(all, "history", 0)["subject"] = ""
		}, []string{"history[0].subject"}},
		"history nested like no thing is": {func(all map[string]any) {
			item(all, "history", 0)["after"] = json.RawMessage(strings.Repeat("[", 5000) + strings.Repeat("]", 5000))
		}, []string{"history[0].after"}},
	} {
		other := openEmptyAt(t, clock)
		text := changed(t, document, c.change)
		e := refused(t, other, func(w *Writer) error { _, err := w.Import(strings.NewReader(text)); return err })
		require.Equal(t, fleet.Invalid, e.Kind, "%s: %v", what, e)
		assert.Equal(t, c.at, slices.Sorted(slices.Values(places(e))), "%s: %v", what, e)
		empty, err := other.Empty(context.Background())
		require.NoError(t, err)
		assert.True(t, empty, what)
	}
}

func TestArchive_RefusesAFieldGivenTwice(t *testing.T) {
	t.Parallel()
	b, clock := openEverything(t)
	document := strings.Replace(exported(t, b), `"name":"Bluestem"`, `"name":"Bluestem","name":"Other"`, 1)
	e := refused(t, openEmptyAt(t, clock), func(w *Writer) error {
		_, err := w.Import(strings.NewReader(document))
		return err
	})
	assert.Equal(t, []string{"sleds[0].name"}, places(e))
}

// Whoever looks into a document with a tool that writes it anew, in another layout and with numbers in another form,
// loses nothing.
func TestArchive_MayBeReformatted(t *testing.T) {
	t.Parallel()
	b, clock := openEverything(t)
	document := exported(t, b)
	anew := strings.NewReplacer(`,"`, ",\n\t\t\"", `":`, `" : `, `:34.5,`, `: 3.45e1,`, `"revision":1,`,
		`"revision": 1.0,`).Replace(document)
	require.NotEqual(t, document, anew)
	other := openEmptyAt(t, clock)
	write(t, other, func(w *Writer) error { _, err := w.Import(strings.NewReader(anew)); return err })
	assert.Equal(t, document, exported(t, other))
}

// A gear that was first noted when the axle had two speeds already is in a range that the axle lacked before that.
func TestArchive_TakesAGearInARangeOfALaterAxle(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	s := sledOf("Bluestem", ft(34.5), "A", "B")
	s.Driveline = fleet.Driveline{AxleRatio: 5}
	addSled(t, b, s)
	addReading(t, b, "bluestem", readingOf("A", 0, 300))
	clock.now = clock.now.AddDate(0, 0, 20)
	write(t, b, func(w *Writer) error {
		_, err := w.AddChange("bluestem", fleet.Change{
			MadeOn: "2026-05-15", What: "a two-speed axle", Effect: fleet.UnknownEffect,
			Driveline: fleet.Driveline{AxleRatios: map[string]float64{"low": 6, "high": 4}},
		})
		return err
	})
	write(t, b, func(w *Writer) error {
		today, err := w.tx.Sled("bluestem")
		if err != nil {
			return err
		}
		today.Gears = append(today.Gears, fleet.Gear{Label: "C", Range: "high"})
		_, err = w.CorrectSled("bluestem", whatever, Correction{Sled: today})
		return err
	})
	document := exported(t, b)
	other := openEmptyAt(t, clock)
	write(t, other, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err })
	assert.Equal(t, document, exported(t, other))
}

// anyJSON is a value that has no business where it is put.
func anyJSON() *rapid.Generator[any] {
	return rapid.OneOf(
		rapid.SampledFrom([]any{
			nil, true, false, 0, -1, 1, 2, 0.5, 1e300, -1e-300, math.MaxInt64, json.Number("1e999"), json.Number("-0"),
			"", "x", "A", "bluestem", "fescue",
			"antique", "2026-05-09", "2026-02-30", "9999-12-31", "0001-01-01T00:00:00Z",
			"2026-05-09T12:00:00.123456789+02:00", "\x00", "a\nb", "\ufffd", "topped-out",
			"stated", "stopped-short", "by-ratio", "unknown", "full-back", []any{}, []any{nil}, map[string]any{},
			map[string]any{"id": "x"}, strings.Repeat("x", 5000),
		}),
		rapid.Map(rapid.Float64Range(-50, 400), func(v float64) any { return v }),
		rapid.Map(rapid.IntRange(-3, 70), func(v int) any { return v }),
	)
}

// spoil changes one thing anywhere in a value.
func spoil(t *rapid.T, value any) any {
	switch v := value.(type) {
	case map[string]any:
		if len(v) > 0 && rapid.IntRange(0, 9).Draw(t, "here") > 0 {
			name := rapid.SampledFrom(slices.Sorted(maps.Keys(v))).Draw(t, "field")
			if rapid.IntRange(0, 6).Draw(t, "how") == 0 {
				delete(v, name)
				return v
			}
			v[name] = spoil(t, v[name])
			return v
		}
	case []any:
		if len(v) > 0 && rapid.IntRange(0, 9).Draw(t, "here") > 0 {
			n := rapid.IntRange(0, len(v)-1).Draw(t, "item")
			switch rapid.IntRange(0, 8).Draw(t, "how") {
			case 0:
				return slices.Delete(v, n, n+1)
			case 1:
				return append(v, v[n])
			case 2:
				v[0], v[n] = v[n], v[0]
				return v
			}
			v[n] = spoil(t, v[n])
			return v
		}
	}
	return anyJSON().Draw(t, "value")
}

// Whatever is changed in a document, it is refused in words, or what came in can be asked everything and comes out
// again as it is.
func TestArchive_WithRandomChangesDoesNoHarm(t *testing.T) {
	t.Parallel()
	b, clock := openEverything(t)
	document := exported(t, b)
	ctx := context.Background()
	came := 0
	change := func(r *rapid.T) {
		text := changed(t, document, func(all map[string]any) {
			for range rapid.IntRange(1, 2).Draw(r, "changes") {
				section := rapid.SampledFrom(sections).Draw(r, "section")
				all[section] = spoil(r, all[section])
			}
		})
		other := openEmptyAt(t, clock)
		err := other.Write(ctx, manager, func(w *Writer) error {
			_, err := w.Import(strings.NewReader(text))
			return err
		})
		if err != nil {
			var e *fleet.Error
			require.True(r, errors.As(err, &e) && (e.Kind == fleet.Invalid || e.Kind == fleet.Unreadable), "%v", err)
			return
		}
		came++
		askEverything(r, other)
		again := openEmptyAt(t, clock)
		out := exported(t, other)
		require.NoError(r, again.Write(ctx, manager, func(w *Writer) error {
			_, err := w.Import(strings.NewReader(out))
			return err
		}))
		require.Equal(r, out, exported(t, again))
	}
	for range 5 { // with -short, one round in 80 has none that comes in
		if rapid.Check(t, change); came > 0 {
			break
		}
	}
	t.Log(came, "came in")
	assert.NotZero(t, came, "some of it comes in")
}

// askEverything asks for every chart, sheet and page of the history.
func askEverything(t require.TestingT, b *Book) {
	ctx := context.Background()
	sleds, _, err := b.Sleds(ctx, "", 500)
	require.NoError(t, err)
	for _, s := range sleds {
		_, err := b.Chart(ctx, s.ID, nil, "", "")
		require.NoError(t, err, s.ID)
		_, _, err = b.Changes(ctx, s.ID)
		require.NoError(t, err, s.ID)
		_, _, err = b.Readings(ctx, s.ID, "", 500)
		require.NoError(t, err, s.ID)
		_, _, err = b.Inspections(ctx, s.ID, "", "", 500)
		require.NoError(t, err, s.ID)
		_, err = b.Due(ctx, s.ID, "", "")
		require.NoError(t, err, s.ID)
	}
	_, _, err = b.Classes(ctx, "", 500)
	require.NoError(t, err)
	shows, _, err := b.Shows(ctx, "", 500)
	require.NoError(t, err)
	for _, s := range shows {
		_, err := b.Sheet(ctx, s.ID, "", false)
		require.NoError(t, err, s.ID)
	}
	entries, _, err := b.History(ctx, "", "", "", 500)
	require.NoError(t, err)
	_, err = json.Marshal(map[string]any{"items": entries})
	require.NoError(t, err)
}
