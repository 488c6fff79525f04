package book

import (
	"context"
	"errors"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// ids are those of what openShow, and openWritten on top of it, have in store.
type ids struct{ reading, aside, change, line, key, item, looked, weighing, weighedAside string }

// openWritten has something of every kind to write on.
func openWritten(t testing.TB) (b *Book, clock *at, of ids) {
	t.Helper()
	b, clock, _ = openShow(t)
	write(t, b, func(w *Writer) error {
		r, err := w.AddReading("fescue", readingOf("2", 0, 278), Answers{})
		if err != nil {
			return err
		}
		second, err := w.AddReading("fescue", readingOf("2", 0, 200), Answers{})
		if err != nil {
			return err
		}
		reason := "the flag had blown over"
		if _, err := w.SetAside(second.ID, &reason); err != nil {
			return err
		}
		c, err := w.AddChange("sedge",
			fleet.Change{MadeOn: "2026-05-09", What: "another chain", Effect: fleet.UnknownEffect})
		if err != nil {
			return err
		}
		line, err := w.AddAsRun("harvest-pull-2026-07-18", "antique", fleet.AsRun{FromHook: 1, Gear: "2"}, nil)
		if err != nil {
			return err
		}
		if _, err := w.PutOutcome("harvest-pull-2026-07-18", "antique", fleet.Outcome{Felt: fleet.Soft}); err != nil {
			return err
		}
		weighing, err := w.AddWeighing("fescue", weighingOf(0, 0, 12_160))
		if err != nil {
			return err
		}
		again, err := w.AddWeighing("fescue", weighingOf(0, 0, 1_216))
		if err != nil {
			return err
		}
		if _, err := w.SetWeighingAside(again.ID, &reason); err != nil {
			return err
		}
		key, _, err := w.AddKey("Bo", fleet.Operator)
		if err != nil {
			return err
		}
		list, err := w.PutInspectionList("fescue", anyList,
			[]fleet.InspectionItem{{What: "Chains", EveryShows: 1}}, nil)
		if err != nil {
			return err
		}
		looked, err := w.AddInspections("fescue", []fleet.Inspection{{Item: list.Items[0].ID, Well: true,
			On: "2026-05-09"}})
		if err != nil {
			return err
		}
		of = ids{r.ID, second.ID, c.ID, line.ID, key.ID, list.Items[0].ID, looked[0].ID, weighing.ID, again.ID}
		return nil
	})
	return b, clock, of
}

const pull = "harvest-pull-2026-07-18"

// Every way to write, and what it leaves. A method that writes nothing of the fleet says why.
var ways = map[string][]struct {
	when    string
	do      func(w *Writer, of ids) error
	leaves  []string // what Ann is told of
	nothing string   // why there is nothing to tell
	empty   bool     // it needs a database without anything in it
}{
	"AddSled": {{when: "", do: func(w *Writer, _ ids) error {
		_, err := w.AddSled(sledOf("Ryegrass", nil, "A"))
		return err
	},
		leaves: []string{"sled ryegrass added [ryegrass]"}}},
	"CorrectSled": {
		{when: "a name", do: correct("brome", func(s *fleet.Sled) { s.Name = "Smooth Brome" }),
			leaves: []string{"sled brome changed [brome]"}},
		{when: "it is retired", do: correct("brome", func(s *fleet.Sled) { s.Retired = true }),
			leaves: []string{"sled brome retired [brome]"}},
		{when: "it comes back", do: func(w *Writer, of ids) error {
			return errors.Join(correct("brome", func(s *fleet.Sled) { s.Retired = true })(w, of),
				correct("brome", func(s *fleet.Sled) { s.Retired = false })(w, of))
		}, leaves: []string{"sled brome retired [brome]", "sled brome brought back [brome]"}},
		{when: "what came with a change", do: func(w *Writer, of ids) error {
			if _, err := w.AddChange("fescue",
				fleet.Change{MadeOn: "2026-05-10", What: "moved the switch", TravelFt: ft(32),
					Effect: fleet.UnknownEffect}); err != nil {
				return err
			}
			return correct("fescue", func(s *fleet.Sled) { s.TravelFt = ft(32.5) })(w, of)
		}, leaves: []string{"sled fescue changed [fescue]", "change * added [fescue]", "sled fescue changed [fescue]",
			"change * changed [fescue]"}},
	},
	"TakeSled": {
		{when: "it is new", do: takeGuest(""), leaves: []string{"sled ridge added [ridge]", "change * added [ridge]",
			"readings  added [ridge]", "weighings  added [ridge]"}},
		{when: "its document is newer", do: func(w *Writer, of ids) error {
			return errors.Join(takeGuest("")(w, of), takeGuest("new marks")(w, of))
		}, leaves: []string{"sled ridge added [ridge]", "change * added [ridge]", "readings  added [ridge]",
			"weighings  added [ridge]", "sled ridge changed [ridge]"}},
	},
	"RemoveSled": {
		{when: "it was never used", do: removeSled("sedge"),
			leaves: []string{"change * removed [sedge]", "sled sedge removed [sedge]"}},
		{when: "it has readings", do: removeSled("timothy"), leaves: []string{"sled timothy retired [timothy]"}},
		{when: "it is retired already", do: func(w *Writer, of ids) error {
			return errors.Join(removeSled("timothy")(w, of), removeSled("timothy")(w, of))
		}, leaves: []string{"sled timothy retired [timothy]"}},
	},
	"AddReading": {
		{when: "", do: func(w *Writer, _ ids) error {
			_, err := w.AddReading("bluestem", readingOf("A", 0, 300), Answers{})
			return err
		},
			leaves: []string{"reading * added [bluestem]"}},
		{when: "it replaces another", do: replace(func(of ids) string { return of.reading }),
			leaves: []string{"reading * added [fescue]", "reading * set aside [fescue]"}},
		{when: "it replaces one that is aside", do: replace(func(of ids) string { return of.aside }),
			leaves: []string{"reading * added [fescue]"}},
	},
	"SetAside": {
		{when: "for a reason", do: setAside(func(of ids) string { return of.reading }, "slipped"),
			leaves: []string{"reading * set aside [fescue]"}},
		{when: "for another reason", do: setAside(func(of ids) string { return of.aside }, "slipped"),
			leaves: []string{"reading * set aside [fescue]"}},
		{when: "back", do: setAside(func(of ids) string { return of.aside }, ""),
			leaves: []string{"reading * brought back [fescue]"}},
		{when: "back, though it was not aside", do: setAside(func(of ids) string { return of.reading }, ""),
			leaves: nil, nothing: "nothing changes"},
	},
	"AddReadings": {
		{when: "", do: func(w *Writer, of ids) error {
			rows := []fleet.Reading{readingOf("A", 0, 300), readingOf("2", 0, 279), readingOf("2", 0, 280),
				readingOf("B", 0, 281)}
			for i, sled := range []string{"bluestem", "fescue", "fescue", "bluestem"} {
				rows[i].Sled = sled
			}
			rows[1].Replaces, rows[2].Replaces = of.reading, of.reading
			_, err := w.AddReadings(rowsOf(rows), Request{})
			return err
		}, leaves: []string{"readings * added [bluestem fescue]"}},
		{when: "of none", do: func(w *Writer, _ ids) error {
			_, err := w.AddReadings(rowsOf(nil), Request{})
			return err
		}, nothing: "there is nothing to add"},
	},
	"Confirm": {
		{when: "", do: confirm(true), leaves: []string{"reading * confirmed [fescue]"}},
		{when: "it was not", do: confirm(false), nothing: "nothing changes"},
		{when: "no longer", do: func(w *Writer,
			of ids) error {
			return errors.Join(confirm(true)(w, of), confirm(false)(w, of))
		},
			leaves: []string{"reading * confirmed [fescue]", "reading * no longer confirmed [fescue]"}},
	},
	"SetBatchAside": {
		{when: "for a reason", do: addedAndTakenBack,
			leaves: []string{"readings * added [bluestem fescue]", "readings * set aside [bluestem fescue]"}},
		{when: "back", do: func(w *Writer, of ids) error {
			batch, err := addBatch(w, of)
			if err != nil {
				return err
			}
			why := "the wrong file"
			for _, reason := range []*string{nil, &why, &why, nil, nil} {
				if _, err := w.SetBatchAside(batch, reason); err != nil {
					return err
				}
			}
			return nil
		}, leaves: []string{
			"readings * added [bluestem fescue]", "readings * set aside [bluestem fescue]",
			"readings * brought back [bluestem fescue]",
		}},
	},
	"AddWeighing": {{when: "", do: func(w *Writer, _ ids) error {
		_, err := w.AddWeighing("bluestem", weighingOf(0, 0, 10_720))
		return err
	}, leaves: []string{"weighing * added [bluestem]"}}},
	"AddWeighings": {
		{when: "", do: func(w *Writer, _ ids) error {
			rows := []fleet.Weighing{weighingOf(0, 0, 10_720), weighingOf(31, 0, 18_240)}
			rows[0].Sled, rows[1].Sled = "bluestem", "fescue"
			_, err := w.AddWeighings(rowsFrom(rows))
			return err
		}, leaves: []string{"weighings  added [bluestem fescue]"}},
		{when: "of none", do: func(w *Writer, _ ids) error {
			_, err := w.AddWeighings(rowsFrom[fleet.Weighing](nil))
			return err
		}, nothing: "there is nothing to add"},
	},
	"SetWeighingAside": {
		{when: "for a reason", do: setWeighingAside(func(of ids) string { return of.weighing }, "brake dragged"),
			leaves: []string{"weighing * set aside [fescue]"}},
		{when: "back", do: setWeighingAside(func(of ids) string { return of.weighedAside }, ""),
			leaves: []string{"weighing * brought back [fescue]"}},
		{when: "back, though it was not aside", do: setWeighingAside(func(of ids) string { return of.weighing }, ""),
			nothing: "nothing changes"},
	},
	"AddChange": {{when: "", do: func(w *Writer, _ ids) error {
		_, err := w.AddChange("fescue",
			fleet.Change{MadeOn: "2026-05-10", What: "new tires", Effect: fleet.UnknownEffect})
		return err
	}, leaves: []string{"sled fescue changed [fescue]", "change * added [fescue]"}}},
	"RemoveChange": {{when: "", do: func(w *Writer, of ids) error { return w.RemoveChange(of.change) },
		leaves: []string{"sled sedge changed [sedge]", "change * removed [sedge]"}}},
	"AddClass": {{when: "", do: func(w *Writer, _ ids) error {
		c := classOf("Mini Rod", "bluestem", "A", 0)
		off := homeOf("fescue", "1", 0)
		c.PullOff = &off
		_, err := w.AddClass(c)
		return err
	}, leaves: []string{"class mini-rod added [bluestem fescue]"}}},
	"ReplaceClass": {
		{when: "for another sled", do: func(w *Writer, _ ids) error {
			_, err := w.ReplaceClass("antique", anyClass, classOf("Antique", "timothy", "1", 0), false)
			return err
		}, leaves: []string{"class antique changed [bluestem timothy]"}},
		{when: "for today's charts", do: func(w *Writer, _ ids) error {
			_, err := w.ReplaceClass("antique", anyClass, classOf("Antique", "bluestem", "C", 0), true)
			return err
		}, leaves: []string{"class antique renewed [bluestem]"}},
	},
	"RemoveClass": {{when: "", do: func(w *Writer, of ids) error {
		if _, err := w.ReplaceShow(pull, anyShow,
			fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Sled: "bluestem",
				Classes: []string{"antique"}}); err != nil {
			return err
		}
		return w.RemoveClass("farm-9500", anyClass)
	}, leaves: []string{"show harvest-pull-2026-07-18 changed [bluestem fescue]",
		"class farm-9500 removed [bluestem]"}}},
	"AddShow": {
		{when: "", do: addShowOver(false), leaves: []string{"show autumn-pull-2026-09-19 added [bluestem]"}},
		{when: "it is over", do: addShowOver(true),
			leaves: []string{"show autumn-pull-2026-09-19 added [bluestem]",
				"sheet autumn-pull-2026-09-19 closed [bluestem]"}},
	},
	"ReplaceShow": {
		{when: "it is over", do: putShow(true),
			leaves: []string{"show harvest-pull-2026-07-18 changed [fescue]",
				"sheet harvest-pull-2026-07-18 closed [fescue]"}},
		{when: "it is opened again", do: func(w *Writer,
			of ids) error {
			return errors.Join(putShow(true)(w, of), putShow(false)(w, of))
		},
			leaves: []string{"show harvest-pull-2026-07-18 changed [fescue]",
				"sheet harvest-pull-2026-07-18 closed [fescue]",
				"sheet harvest-pull-2026-07-18 opened again [fescue]",
				"show harvest-pull-2026-07-18 changed [fescue]"}},
	},
	"RemoveShow": {
		{when: "it is over", do: func(w *Writer, of ids) error {
			return errors.Join(addShowOver(true)(w, of), w.RemoveShow("autumn-pull-2026-09-19", anyShow))
		}, leaves: []string{"show autumn-pull-2026-09-19 added [bluestem]",
			"sheet autumn-pull-2026-09-19 closed [bluestem]",
			"sheet autumn-pull-2026-09-19 removed [bluestem]", "show autumn-pull-2026-09-19 removed [bluestem]"}},
	},
	"AddAsRun": {{when: "", do: func(w *Writer, _ ids) error {
		_, err := w.AddAsRun(pull, "antique", fleet.AsRun{FromHook: 2, Gear: "3"}, nil)
		return err
	}, leaves: []string{"as-run * added [fescue]"}}},
	"RemoveAsRun": {{when: "", do: func(w *Writer, of ids) error { return w.RemoveAsRun(pull, "antique", of.line) },
		leaves: []string{"as-run * removed [fescue]"}}},
	"PutOutcome": {
		{when: "the first", do: putOutcome("super-stock", fleet.Outcome{Felt: fleet.Hard}),
			leaves: []string{"outcome harvest-pull-2026-07-18/super-stock added [fescue]"}},
		{when: "another", do: putOutcome("antique", fleet.Outcome{Felt: fleet.Hard}),
			leaves: []string{"outcome harvest-pull-2026-07-18/antique changed [fescue]"}},
		{when: "none", do: putOutcome("antique", fleet.Outcome{}),
			leaves: []string{"outcome harvest-pull-2026-07-18/antique removed [fescue]"}},
		{when: "the same", do: putOutcome("antique", fleet.Outcome{Felt: fleet.Soft}), nothing: "nothing changes"},
		{when: "none where there was none", do: putOutcome("super-stock", fleet.Outcome{}), nothing: "nothing changes"},
	},
	"PutInspectionList": {
		{when: "the first", do: func(w *Writer, _ ids) error {
			_, err := w.PutInspectionList("brome", anyList, fleet.OfferedInspectionItems(), nil)
			return err
		}, leaves: []string{"inspection-list brome added [brome]"}},
		{when: "another", do: func(w *Writer, _ ids) error {
			_, err := w.PutInspectionList("fescue", anyList, nil, nil)
			return err
		}, leaves: []string{"inspection-list fescue changed [fescue]"}},
	},
	"AddInspections": {{when: "", do: func(w *Writer, of ids) error {
		_, err := w.AddInspections("fescue", []fleet.Inspection{{Item: of.item, Note: "cracked", On: "2026-05-09"}})
		return err
	}, leaves: []string{"inspection * added [fescue]"}}},
	"RemoveInspection": {{when: "", do: func(w *Writer, of ids) error { return w.RemoveInspection(of.looked) },
		leaves: []string{"inspection * removed [fescue]"}}},
	"AddKey": {{when: "", do: func(w *Writer, _ ids) error { _, _, err := w.AddKey("Cy", fleet.Promoter); return err },
		leaves: []string{"key * added []"}}},
	"EndKey": {
		{when: "", do: func(w *Writer, of ids) error { return w.EndKey(of.key, false) },
			leaves: []string{"key * ended []"}},
		{when: "it has ended", do: func(w *Writer,
			of ids) error {
			return errors.Join(w.EndKey(of.key, false), w.EndKey(of.key, false))
		},
			leaves: []string{"key * ended []"}},
	},
	"Import": {{when: "", do: func(w *Writer, _ ids) error {
		_, err := w.Import(strings.NewReader(`{"format": "` + "evenpull-fleet-1" + `"}`))
		return err
	}, leaves: []string{"fleet  imported []"}, empty: true}},
	"NoteDemo": {{when: "", do: func(w *Writer, _ ids) error { return w.NoteDemo() },
		leaves: []string{"demo  added []"}, empty: true}},
	"RemoveDemo": {{when: "with a class", do: func(w *Writer, _ ids) error {
		invented := sledOf("Sedge", nil, "1")
		invented.Invented = true
		noted := w.NoteDemo()
		_, sled := w.AddSled(invented)
		_, class := w.AddClass(classOf("Antique", "sedge", "1", 0))
		return errors.Join(noted, sled, class, w.RemoveDemo(true))
	}, leaves: []string{"demo  added []", "sled sedge added [sedge]", "class antique added [sedge]",
		"demo  removed [sedge]"}, empty: true}},
	"View": {{do: func(w *Writer, _ ids) error {
		_, err := w.View(classOf("Antique", "bluestem", "C", 0))
		return err
	}, nothing: "it only looks"}},
	"MatchReading": {{do: func(w *Writer, of ids) error {
		return w.MatchReading(of.reading, func(fleet.Reading) error { return nil })
	}, nothing: "it reads"}},
	"MatchWeighing": {{do: func(w *Writer, of ids) error {
		return w.MatchWeighing(of.weighing, func(fleet.Weighing) error { return nil })
	}, nothing: "it reads"}},
	"MatchBatch": {{do: func(w *Writer, _ ids) error {
		err := w.MatchBatch("none", func(Batch) error { return nil })
		if isKind(err, fleet.NotFound) {
			return nil
		}
		return err
	}, nothing: "it reads"}},
	"MatchChange": {{do: func(w *Writer, of ids) error {
		return w.MatchChange(of.change, func(fleet.Change) error { return nil })
	}, nothing: "it reads"}},
	"MatchAsRun": {{do: func(w *Writer, of ids) error {
		return w.MatchAsRun(pull, "antique", of.line, func(fleet.AsRun) error { return nil })
	}, nothing: "it reads"}},
	"MatchOutcome": {{do: func(w *Writer, _ ids) error {
		return w.MatchOutcome(pull, "antique", func(fleet.Outcome) error { return nil })
	}, nothing: "it reads"}},
	"IdempotencyRecord": {{do: func(w *Writer, _ ids) error { _, err := w.IdempotencyRecord("k"); return err },
		nothing: "it only looks"}},
	"AddIdempotencyRecord": {{do: func(w *Writer,
		_ ids) error {
		return w.AddIdempotencyRecord("k", IdempotencyRecord{})
	},
		nothing: "an answer tells of a write, and that has its own entry"}},
	"OpenSession": {{do: func(w *Writer, of ids) error { _, _, err := w.OpenSession(w.who, nil); return err },
		nothing: "signing in changes nothing of the fleet"}},
	"NewSignInLink": {{do: func(w *Writer, of ids) error { _, _, err := w.NewSignInLink(of.key); return err },
		nothing: "a link is a way to sign in"}},
	"SpendSignInLink": {{do: func(w *Writer, _ ids) error { _, _, err := w.SpendSignInLink("no link"); return err },
		nothing: "signing in changes nothing of the fleet"}},
}

func correct(id string, as func(s *fleet.Sled)) func(w *Writer, _ ids) error {
	return func(w *Writer, _ ids) error {
		s, err := w.tx.Sled(id)
		if err != nil {
			return err
		}
		as(&s)
		_, err = w.CorrectSled(id, whatever, Correction{Sled: s})
		return err
	}
}

// takeGuest takes a sled of another crew in, with notes of its owner.
func takeGuest(notes string) func(w *Writer, _ ids) error {
	return func(w *Writer, _ ids) error {
		document, err := os.ReadFile("../archive/testdata/evenpull-sled-1.json")
		if err != nil {
			return err
		}
		given := strings.Replace(string(document), "2026-11-28", "2026-05-09", 1)
		if notes != "" {
			given = strings.Replace(given, `"revision":2`, `"notes":"`+notes+`","revision":2`, 1)
		}
		_, err = takeSled(w, given, "Ridge")
		return err
	}
}

func removeSled(id string) func(w *Writer, _ ids) error {
	return func(w *Writer, _ ids) error { _, _, err := w.RemoveSled(id, whatever); return err }
}

func replace(which func(of ids) string) func(w *Writer, of ids) error {
	return func(w *Writer, of ids) error {
		r := readingOf("2", 0, 279)
		r.Replaces = which(of)
		_, err := w.AddReading("fescue", r, Answers{})
		return err
	}
}

func setAside(which func(of ids) string, reason string) func(w *Writer, of ids) error {
	return func(w *Writer, of ids) error {
		why := &reason
		if reason == "" {
			why = nil
		}
		_, err := w.SetAside(which(of), why)
		return err
	}
}

func setWeighingAside(which func(of ids) string, reason string) func(w *Writer, of ids) error {
	return func(w *Writer, of ids) error {
		why := &reason
		if reason == "" {
			why = nil
		}
		_, err := w.SetWeighingAside(which(of), why)
		return err
	}
}

func confirm(counts bool) func(w *Writer, of ids) error {
	return func(w *Writer, of ids) error { _, err := w.Confirm(of.reading, counts); return err }
}

// addBatch adds two readings, one of which replaces another.
func addBatch(w *Writer, of ids) (batch string, err error) {
	rows := []fleet.Reading{readingOf("A", 0, 300), readingOf("2", 0, 279)}
	rows[0].Sled, rows[1].Sled, rows[1].Replaces = "bluestem", "fescue", of.reading
	added, err := w.AddReadings(rowsOf(rows), Request{})
	return added.Batch, err
}

func addedAndTakenBack(w *Writer, of ids) error {
	batch, err := addBatch(w, of)
	if err != nil {
		return err
	}
	why := "the wrong file"
	_, err = w.SetBatchAside(batch, &why)
	return err
}

func addShowOver(over bool) func(w *Writer, of ids) error {
	return func(w *Writer, _ ids) error {
		_, err := w.AddShow(fleet.Show{Name: "Autumn Pull", Date: "2026-09-19", Sled: "bluestem",
			Classes: []string{"antique"}, Over: over})
		return err
	}
}

func putShow(over bool) func(w *Writer, of ids) error {
	return func(w *Writer, _ ids) error {
		s, err := w.tx.Show(pull)
		if err != nil {
			return err
		}
		s.Show.Over = over
		_, err = w.ReplaceShow(pull, anyShow, s.Show)
		return err
	}
}

func putOutcome(class string, o fleet.Outcome) func(w *Writer, of ids) error {
	return func(w *Writer, _ ids) error { _, err := w.PutOutcome(pull, class, o); return err }
}

// Every method by which anything is written leaves what it did, and nothing else: who, when, and what was before and
// since. A write that is taken back leaves nothing.
func TestHistory_HasAnEntryForEveryWayToWrite(t *testing.T) {
	t.Parallel()
	methods := reflect.TypeFor[*Writer]()
	for i := range methods.NumMethod() {
		name := methods.Method(i).Name
		assert.NotEmpty(t, ways[name], "%s has to say what it leaves in the history", name)
	}
	for name, cases := range ways {
		_, there := methods.MethodByName(name)
		assert.True(t, there, name)
		for _, c := range cases {
			t.Run(name+" "+c.when, func(t *testing.T) {
				t.Parallel()
				require.NotEqual(t, c.leaves == nil, c.nothing == "", "either it leaves something or it says why not")
				var of ids
				b, clock := openBook(t)
				if !c.empty {
					b, clock, of = openWritten(t)
				}
				ann := historian(t, b)
				before := historyOf(t, b)
				clock.now = clock.now.Add(time.Hour)
				stop := errors.New("stop")
				require.ErrorIs(t, b.Write(context.Background(), ann, func(w *Writer) error {
					require.NoError(t, c.do(w, of))
					return stop
				}), stop)
				require.Equal(t, before, historyOf(t, b), "what was only tried")
				revision, err := b.Revision(context.Background())
				require.NoError(t, err)
				require.NoError(t, b.Write(context.Background(), ann, func(w *Writer) error { return c.do(w, of) }))
				after := historyOf(t, b)
				require.Equal(t, before, after[:len(before)])
				left := after[len(before):]
				want := []string{}
				for _, what := range c.leaves {
					want = append(want, "Ann: "+what)
				}
				assert.Equal(t, want, told(left))
				for _, e := range left {
					assert.Equal(t, ann.KeyID, e.KeyID)
					assert.Equal(t, fleet.Manager, e.Role)
					assert.Equal(t, clock.now, e.At)
					if e.Kind == fleet.OfDemo { // as a whole, and nothing of it
						continue
					}
					assert.Equal(t, slices.Contains([]string{fleet.ActAdded, fleet.ActClosed, fleet.ActImported},
						e.Act), e.Before == nil, "before %s: %s", e.Act, e.Before)
					assert.Equal(t, e.Act == fleet.ActRemoved || e.Act == fleet.ActOpenedAgain, e.After == nil,
						"after %s: %s", e.Act, e.After)
				}
				moved, err := b.Revision(context.Background())
				require.NoError(t, err)
				if len(c.leaves) == 0 {
					assert.Equal(t, revision, moved, "what leaves nothing changes nothing")
				}
			})
		}
	}
}
