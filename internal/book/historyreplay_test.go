package book

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// replay follows the history from its beginning.
type replay struct {
	state   map[string]any       // by kind and subject: what the last entry left
	labels  map[string]string    // of gears, by id: the history tells of a new label once, for the sled
	many    map[string]int       // how many readings each sled was given
	came    map[string]time.Time // when each batch did, by its id
	weighed map[string]int       // how many weighings each sled was given
}

// as gives gears the labels that they have by now, wherever they stand.
func (r *replay) as(t require.TestingT, document json.RawMessage) (value any) {
	if document == nil {
		return nil
	}
	require.NoError(t, json.Unmarshal(document, &value))
	r.relabel(value)
	return value
}

func (r *replay) relabel(value any) {
	switch v := value.(type) {
	case []any:
		for _, of := range v {
			r.relabel(of)
		}
	case map[string]any:
		if v["document"] != nil { // a closed sheet stays as it was
			return
		}
		for _, of := range v {
			r.relabel(of)
		}
		for id, label := range map[string]string{"gear_id": "gear", "id": "label"} {
			if text, ok := v[id].(string); ok && r.labels[text] != "" && v[label] != nil {
				v[label] = r.labels[text]
			}
		}
	}
}

func (r *replay) take(t require.TestingT, e fleet.Entry) {
	aside := func(ids []string, reason any) {
		for _, id := range ids {
			was, ok := r.state[fleet.OfReading+" "+id].(map[string]any)
			switch {
			case !ok:
			case reason == nil:
				delete(was, "set_aside")
			default:
				was["set_aside"] = reason
			}
		}
	}
	replaced := func(at time.Time) any {
		return map[string]any{"reason": replacedReason, "at": at.Format(time.RFC3339Nano)}
	}
	if e.Kind == fleet.OfReadings && e.Act != fleet.ActAdded {
		var later batchEntry
		require.NoError(t, json.Unmarshal(e.After, &later))
		if e.Act == fleet.ActSetAside {
			aside(later.Replaced, nil)
		} else {
			aside(later.Replaced, replaced(r.came[e.Subject]))
		}
		return
	}
	if e.Kind == fleet.OfReadings {
		r.came[e.Subject] = e.At
		var many bulkEntry
		require.NoError(t, json.Unmarshal(e.After, &many))
		for sled, n := range many.Sleds {
			r.many[sled] += n
		}
		aside(many.SetAside, replaced(e.At))
		return
	}
	if e.Kind == fleet.OfWeighings {
		var many bulkEntry
		require.NoError(t, json.Unmarshal(e.After, &many))
		for sled, n := range many.Sleds {
			r.weighed[sled] += n
		}
		return
	}
	at := e.Kind + " " + e.Subject
	before := r.as(t, e.Before)
	r.relabel(r.state[at])
	require.Equal(t, r.state[at], before, "before %s was %s", at, e.Act)
	if e.Kind == fleet.OfSled && e.After != nil {
		var s fleet.Sled
		require.NoError(t, json.Unmarshal(e.After, &s))
		for _, g := range s.Gears {
			r.labels[g.ID] = g.Label
		}
	}
	require.NotEqual(t, before, r.as(t, e.After), "%s was %s and is as before", at, e.Act)
	if r.state[at] = r.as(t, e.After); e.After == nil {
		delete(r.state, at)
	}
	if e.Kind == fleet.OfReading && e.Act == fleet.ActAdded {
		r.many[e.Sleds[0]]++
	}
	if e.Kind == fleet.OfWeighing && e.Act == fleet.ActAdded {
		r.weighed[e.Sleds[0]]++
	}
}

// stored is all that there is, as the history would have left it, and how many readings each sled has.
func stored(t *testing.T, b *Book) (state map[string]any, readings, weighed map[string]int) {
	state, readings, weighed = map[string]any{}, map[string]int{}, map[string]int{}
	put := func(kind, id string, what any) {
		text, err := json.Marshal(what)
		require.NoError(t, err)
		var value any
		require.NoError(t, json.Unmarshal(text, &value))
		state[kind+" "+id] = value
	}
	require.NoError(t, b.store.Read(context.Background(), func(r *store.Reads) error {
		sleds, _, err := r.Sleds("", 100)
		require.NoError(t, err)
		for _, s := range sleds {
			put(fleet.OfSled, s.ID, s)
			readings[s.ID] = s.Readings
			timeline, err := r.Timeline(s.ID)
			require.NoError(t, err)
			for _, c := range timeline.Changes {
				put(fleet.OfChange, c.ID, c)
			}
			list, err := r.InspectionList(s.ID)
			require.NoError(t, err)
			if list.Revision > 0 {
				put(fleet.OfInspectionList, s.ID, list)
			}
			inspections, err := r.AllInspections(s.ID)
			require.NoError(t, err)
			for _, one := range inspections {
				put(fleet.OfInspection, one.ID, one)
			}
			of, _, err := r.Readings(s.ID, "", 10_000)
			require.NoError(t, err)
			for _, one := range of {
				put(fleet.OfReading, one.ID, one)
			}
			weighings, _, err := r.Weighings(s.ID, "", 10_000)
			require.NoError(t, err)
			for _, one := range weighings {
				put(fleet.OfWeighing, one.ID, one)
			}
			weighed[s.ID] = s.Weighings
		}
		classes, _, err := r.Classes("", 100)
		require.NoError(t, err)
		for _, c := range classes {
			put(fleet.OfClass, c.ID, c)
		}
		shows, _, err := r.Shows("", 1000)
		require.NoError(t, err)
		var ids []string
		for _, s := range shows {
			put(fleet.OfShow, s.ID, s.Show)
			ids = append(ids, s.ID)
		}
		sheets, err := r.ClosedSheets(ids)
		require.NoError(t, err)
		for id, s := range sheets {
			put(fleet.OfSheet, id, s)
		}
		lines, err := r.AsRun(ids)
		require.NoError(t, err)
		for _, of := range lines {
			for _, a := range of {
				put(fleet.OfAsRun, a.ID, a)
			}
		}
		outcomes, err := r.Outcomes(ids)
		require.NoError(t, err)
		for at, o := range outcomes {
			put(fleet.OfOutcome, at.Show+"/"+at.Class, o)
		}
		keys, err := r.Keys()
		require.NoError(t, err)
		for _, k := range keys {
			put(fleet.OfKey, k.ID, k.Key)
		}
		return nil
	}))
	return state, readings, weighed
}

// Whatever was written, the history tells it without a gap: what an entry finds is what the one before it on the same
// thing left, and what the last ones left is what there is. Whoever writes is named, and a write that fails is not in
// it.
func TestHistory_ReplayedIsTheFleet(t *testing.T) {
	t.Parallel()
	b, clock := openBook(t)
	made := 0
	b.newID = func() string { made++; return fmt.Sprintf("id-%05d", made) } // the same play every time
	p := &player{Book: b, clock: clock, rng: rand.New(rand.NewPCG(6, 7)), ids: map[string][]string{},
		who: []fleet.Actor{historian(t, b), manager}}
	for range 1500 {
		clock.now = clock.now.Add(time.Duration(p.rng.IntN(5))*time.Hour + time.Microsecond)
		who, revision, last := pick(p, p.who), p.revision(t), p.newest(t)
		err := b.Write(context.Background(), who, func(w *Writer) error {
			for range 1 + p.rng.IntN(2) {
				if err := p.one(w); err != nil {
					return err
				}
			}
			return nil
		})
		var refused *fleet.Error
		require.True(t, err == nil || errors.As(err, &refused), "%v", err)
		told := !p.newest(t).At.Equal(last.At)
		if err != nil {
			require.False(t, told, "what failed is in the history")
		} else if p.revision(t) > revision {
			require.True(t, told, "the fleet was changed and the history says nothing")
		}
	}
	r := replay{state: map[string]any{}, labels: map[string]string{}, many: map[string]int{},
		came: map[string]time.Time{}, weighed: map[string]int{}}
	seen := map[string]bool{}
	for _, e := range historyOf(t, b) {
		r.take(t, e)
		seen[e.Kind+" "+e.Act], seen[e.Who] = true, true
	}
	is, readings, weighed := stored(t, b)
	for at, value := range is {
		// those that came many at once are only counted
		if _, told := r.state[at]; told || !strings.HasPrefix(at, fleet.OfReading+" ") &&
			!strings.HasPrefix(at, fleet.OfWeighing+" ") {
			r.relabel(r.state[at])
			assert.Equal(t, value, r.state[at], at)
		}
	}
	for at := range r.state {
		assert.Contains(t, is, at)
	}
	for sled, n := range readings {
		assert.Equal(t, r.many[sled], n, "readings of %s", sled)
		assert.Equal(t, r.weighed[sled], weighed[sled], "weighings of %s", sled)
	}
	for _, what := range []string{
		"Ann", "the manager", "the program itself", "sled retired", "sled brought back", "reading brought back",
		"readings added", "readings set aside", "readings brought back", "reading confirmed",
		"reading no longer confirmed", "change changed",
		"change removed", "class renewed", "show changed", "show removed", "sheet closed", "sheet opened again",
		"as-run removed", "outcome removed", "key ended", "weighing brought back", "weighings added",
	} {
		assert.True(t, seen[what], "nothing of that kind was played: %s", what)
	}
}
