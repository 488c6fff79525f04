package book

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
	"evenpull/internal/calibrate/calibratetest"
	"evenpull/internal/fleet"
)

// A sled tree beside a plain map, through random changes; what was there before stays as it was.
func TestSledTree_HoldsWhatAMapWould(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(7, 7))
	named := func(id string, revision int64) *sledState {
		return &sledState{Notebook: calibrate.Notebook{Sled: fleet.Sled{ID: id, Revision: revision}}}
	}
	model := map[string]int64{}
	check := func(p *sledTree, model map[string]int64) {
		require.True(t, slices.Equal(slices.Sorted(maps.Keys(model)), p.ids))
		for id, revision := range model {
			found, ok := p.get(id)
			require.True(t, ok)
			require.Equal(t, revision, found.Sled.Revision)
		}
	}
	var none *sledTree
	_, ok := none.get("bluestem")
	assert.False(t, ok)
	p := none.with(nil)
	assert.Empty(t, p.ids)
	for step := range 300 {
		changes, next := map[string]*sledState{}, maps.Clone(model)
		for range 1 + rng.IntN(40) {
			id := fmt.Sprintf("sled-%d", rng.IntN(9000)) // more than there are leaf nodes, so that some share one
			if rng.IntN(4) == 0 {
				changes[id] = nil
				delete(next, id)
			} else {
				changes[id] = named(id, int64(step))
				next[id] = int64(step)
			}
		}
		after := p.with(changes)
		require.Equal(t, slices.Sorted(maps.Keys(next)), after.ids)
		if step%20 == 0 {
			check(p, model)
			check(after, next)
		}
		p, model = after, next
	}
	_, ok = p.get("nobody")
	assert.False(t, ok)
}

// The fleet's sum is the same to the last bit however the fleet came about.
func TestSledTree_SumDoesNotDependOnTheOrderOfWrites(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 1))
	drawn := calibratetest.Draw(rng,
		calibratetest.Spec{Sleds: 150, Gears: 4, DaySD: 0.01, ReadingSD: 0.007, LeastDays: 2, MostDays: 4})
	all := map[string]*sledState{}
	for _, s := range drawn {
		all[s.Notebook.Sled.ID] = &sledState{Notebook: s.Notebook, share: calibrate.ShareOf(s.Notebook, assumed)}
	}
	var none *sledTree
	atOnce := none.with(all)
	ids := slices.Sorted(maps.Keys(all))
	require.Len(t, ids, 150)
	passing := *all[ids[0]]
	passing.Sled.ID = "passing-by"
	for range 5 {
		rng.Shuffle(len(ids), func(i, j int) { ids[i], ids[j] = ids[j], ids[i] })
		p := none
		for _, id := range ids {
			p = p.with(map[string]*sledState{id: all[id], "passing-by": &passing})
			p = p.with(map[string]*sledState{"passing-by": nil})
		}
		gotRepeatability, got := calibrate.Pool(p.total, assumed)
		wantRepeatability, want := calibrate.Pool(atOnce.total, assumed)
		require.Equal(t, want, got)
		require.Equal(t, wantRepeatability, gotRepeatability)
	}
	assert.Equal(t, atOnce.ids, slices.Sorted(slices.Values(ids)))
}
