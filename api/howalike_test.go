package main

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

func alikeTo(t *testing.T, p *program, question string) openapi.HowAlike {
	t.Helper()
	return into[openapi.HowAlike](t, p.do(get("/v1/fleet/how-alike?reference="+question)), 200)
}

// By hand: Sedge tops out at 288, 264 and 240 ft. A twin misses by nothing; Fescue at 291, 266 and 240 by 3, 2 and 0
// ft, mean 5/3, worst in gear 1; Brome with 270 ft alone by 18, 6 and 30 ft, mean 18, worst in gear 3.
func TestHowAlike_IsAsWorkedByHand(t *testing.T) {
	t.Parallel()
	p := start(t)
	addParted(t, p, "Sedge", "sedge", 1, 1.2, 1.1, 1)
	addParted(t, p, "Timothy", "timothy", 1, 1.2, 1.1, 1)
	addParted(t, p, "Brome", "brome", 1, 1.125)
	addParted(t, p, "Fescue", "fescue", 1, 291./240, 266./240, 1)
	into[openapi.Sled](t, p.do(post("/v1/sleds", parted("Ryegrass", 0))), 201) // nothing is known of it
	addParted(t, p, "Foxtail", "foxtail", 1, 1.2)
	into[openapi.Sled](t, p.do(remove("/v1/sleds/foxtail").with("If-Match", "*")), 200) // retired

	got := alikeTo(t, p, "sedge")
	assert.Equal(t, "sedge", got.Reference)
	assert.Equal(t, []string{"1", "2", "3"}, got.Gears)
	require.Len(t, got.Items, 4)
	for i, want := range []struct {
		sled        string
		mean, worst float64
		gear        string
	}{{"timothy", 0, 0, "1"}, {"fescue", 5. / 3, 3, "1"}, {"brome", 18, 30, "3"}} {
		a := got.Items[i]
		assert.Equal(t, want.sled, a.Sled)
		assert.Equal(t, 3, a.Known)
		assert.InDelta(t, want.mean, *a.MeanFt, 1e-6, want.sled)
		assert.InDelta(t, want.worst, *a.WorstFt, 1e-6, want.sled)
		if want.worst > 0 {
			assert.Equal(t, want.gear, *a.WorstGear, want.sled)
		}
		assert.LessOrEqual(t, *a.MeanMovedFt, *a.MeanFt, want.sled)
		for _, g := range a.Gears {
			assert.Greater(t, g.PlusMinusFt, 0.)
		}
	}
	assert.Less(t, *got.Items[2].MeanMovedFt, 18., "a moved start brings the one slow gear nearer to the faster ones")
	unknown := got.Items[3]
	assert.Equal(t, openapi.AlikeSled{Sled: "ryegrass", Name: "Ryegrass", Gears: []openapi.AlikeGear{}}, unknown)
}

// Only the gears that classes are used to count where that is asked for; where no class is used to any, all of them do.
func TestHowAlike_CanCountOnlyTheGearsThatClassesUse(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	assert.Equal(t, []string{"A", "B", "C"}, alikeTo(t, p, "bluestem&used_only=true").Gears)
	smallSeason(t, p) // classes on A and B of Bluestem
	assert.Equal(t, []string{"A", "B"}, alikeTo(t, p, "bluestem&used_only=true").Gears)
	assert.Equal(t, []string{"A", "B", "C"}, alikeTo(t, p, "bluestem&used_only=false").Gears)
	into[openapi.Class](t, p.do(post("/v1/classes", classOn("Antique", "bluestem", "C"))), 201)
	assert.Equal(t, []string{"A", "B", "C"}, alikeTo(t, p, "bluestem&used_only=true").Gears, "a class was added")
}

func TestLadders_SayWhatTheChartsSay(t *testing.T) {
	t.Parallel()
	p := demo(t)
	ladders := into[openapi.Ladders](t, p.do(get("/v1/fleet/ladders")), 200)
	require.Len(t, ladders.Items, 6)
	for _, l := range ladders.Items {
		chart := into[openapi.Chart](t, p.do(get("/v1/sleds/"+l.Sled+"/chart?start_ft=0")), 200)
		require.Len(t, l.Rungs, len(chart.Gears), l.Name)
		above := math.Inf(1)
		for _, rung := range l.Rungs {
			i := slices.IndexFunc(chart.Gears, func(g openapi.ChartGear) bool { return g.Label == rung.Gear })
			want := chart.Gears[i].TopOuts[0]
			assert.Equal(t,
				[]any{want.TopOutFt, want.LowFt, want.HighFt, want.TonightLowFt, want.TonightHighFt, want.Basis},
				[]any{rung.TopOutFt, rung.LowFt, rung.HighFt, rung.TonightLowFt, rung.TonightHighFt, rung.Basis},
				"%s %s", l.Name, rung.Gear)
			at := 0.0 // nothing known comes last
			if rung.TopOutFt != nil {
				at = *rung.TopOutFt
			}
			assert.LessOrEqual(t, at, above, "%s %s: slowest first", l.Name, rung.Gear)
			above = at
		}
	}
	assert.NotEmpty(t, ladders.Caution)
	assert.Empty(t, into[openapi.Ladders](t, start(t).do(get("/v1/fleet/ladders")), 200).Items)
}

func TestLadders_AreDrawn(t *testing.T) {
	t.Parallel()
	p := demo(t)
	got := p.do(get("/v1/fleet/ladders.svg"))
	assert.Equal(t, "image/svg+xml", got.Header.Get("Content-Type"))
	for _, name := range []string{"Bluestem", "Fescue", "Timothy", "Brome", "Sedge", "Ryegrass"} {
		assert.Contains(t, string(got.body), name)
	}
	assert.NotEqual(t, string(got.body), string(p.do(get("/v1/fleet/ladders.svg?theme=dark")).body))
	assert.NotEqual(t, string(got.body), string(p.do(get("/v1/fleet/ladders.svg?units=m")).body))
	assert.Contains(t, string(start(t).do(get("/v1/fleet/ladders.svg")).body), "There is no sled yet.")
}
