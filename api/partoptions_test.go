package main

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

func optionsFor(t *testing.T, p *program, question string) openapi.PartOptions {
	t.Helper()
	return into[openapi.PartOptions](t, p.do(get("/v1/part-options?"+question)), 200)
}

const atHand = "&final_ratio=5.1&final_ratio=5.9&final_ratio=6.2&sprocket_teeth=11&sprocket_teeth=13" +
	"&axle_ratio=3.7&axle_ratio=4.3" +
	"&tire_circumference_ft=9.6&tire_circumference_ft=10.4&gear_set=1.3,1.1,0.9&gear_set=1.25,1.05,0.95"

// Two sleds alike but for one part, measured without noise: that part comes first, alone, among all that is at hand.
func TestPartOptions_BeginWithTheOnePartThatDiffers(t *testing.T) {
	t.Parallel()
	for part, c := range map[string]struct {
		value any
		found func(openapi.PartOption) any
	}{
		"final_ratio":           {6.2, func(o openapi.PartOption) any { return *o.FinalRatio }},
		"sprocket_teeth":        {13., func(o openapi.PartOption) any { return float64(*o.SprocketTeeth) }},
		"axle_ratio":            {3.7, func(o openapi.PartOption) any { return *o.AxleRatio }},
		"tire_circumference_ft": {10.4, func(o openapi.PartOption) any { return *o.TireCircumferenceFt }},
	} {
		t.Run(part, func(t *testing.T) {
			t.Parallel()
			p := start(t)
			addParted(t, p, "Sedge", "sedge", 1.015, 1.2, 1.1, 1)
			line := parts()
			was := line[part]
			line[part] = c.value
			// What the part does to the way to the top, by the formula of parts: gear, final and tire slow it, sprocket
			// and axle do not.
			moves := asFloat(c.value) / asFloat(was)
			if part == "sprocket_teeth" || part == "axle_ratio" {
				moves = 1 / moves
			}
			addParted(t, p, "Fescue", "fescue", 1.015*moves, 1.2, 1.1, 1)

			got := optionsFor(t, p, "sled=sedge&reference=fescue"+atHand)
			best := got.Items[0]
			assert.Equal(t, c.value, c.found(best))
			assert.Equal(t, 1, best.Changed)
			assert.Nil(t, best.GearSet)
			assert.InDelta(t, 0, best.WorstFt, 1e-6)
			for i, g := range best.Gears {
				assert.Equal(t, fmt.Sprint(i+1), g.ReferenceGear)
				assert.Equal(t, g.ReferenceGear, g.Gear)
			}
			assert.Greater(t, best.PlusMinusFt, 0.)
			assert.InDelta(t, 100*(1/moves-1), best.BoxSpeedChangePct, 1e-9)
			assert.InDelta(t, moves, got.ExactFactor, 1e-9)
			assert.InDelta(t, 0, got.ExactMeanFt, 1e-6)
			assert.Empty(t, got.CannotBeMended)
			assert.Equal(t, 4*3*3*3*3, got.Combinations)
			assert.Zero(t, got.Now.Changed)
			assert.Greater(t, got.Now.MeanFt, 1.)
			assert.Equal(t, partsCaution, got.Caution)
			require.Len(t, got.Items, usualOptions)
			for i := 1; i < len(got.Items); i++ {
				assert.GreaterOrEqual(t, got.Items[i].MeanFt, got.Items[i-1].MeanFt-0.01,
					"best first; ties, to a tenth of an inch, to the fewest parts")
			}
		})
	}
}

func asFloat(v any) float64 {
	if whole, is := v.(int); is {
		return float64(whole)
	}
	return v.(float64)
}

// Where the spacing differs, no ratio helps every gear: those it leaves are named, and the gear set that would do is
// found.
func TestPartOptions_WithASingleRatioMendNoOtherSpacing(t *testing.T) {
	t.Parallel()
	p := start(t)
	addParted(t, p, "Sedge", "sedge", 1, 1.2, 1.1, 1, 0.9)
	addParted(t, p, "Fescue", "fescue", 1, 1.35, 1.11, 1, 0.8)
	got := optionsFor(t, p, "sled=sedge&reference=fescue&final_ratio=5.1&final_ratio=6.2")
	require.NotEmpty(t, got.CannotBeMended)
	for _, o := range got.Items {
		assert.Greater(t, o.WorstFt, 5.)
	}
	assert.Greater(t, got.ExactMeanFt, 1.)
	got = optionsFor(t, p,
		"sled=sedge&reference=fescue&final_ratio=5.1&gear_set=1.3,1.1,1,0.9&gear_set="+
			url.QueryEscape(" 1.35, 1.11,1 ,0.8"))
	assert.Equal(t, " 1.35, 1.11,1 ,0.8", *got.Items[0].GearSet, "as it was asked for")
	assert.InDelta(t, 0, got.Items[0].WorstFt, 1e-6)
	assert.Equal(t, 1, got.Items[0].Changed)
}

// What is on the sled already, or given twice, is no other choice; and as few are named as are asked for.
func TestPartOptions_CountEachCombinationOnce(t *testing.T) {
	t.Parallel()
	p := start(t)
	addParted(t, p, "Sedge", "sedge", 1, 1.2, 1)
	addParted(t, p, "Fescue", "fescue", 1.1, 1.2, 1)
	got := optionsFor(t, p,
		"sled=sedge&reference=fescue&final_ratio=5.6&final_ratio=6.2&final_ratio=6.2&sprocket_teeth=12")
	assert.Equal(t, 2, got.Combinations)
	assert.Len(t, got.Items, 2)
	bare := optionsFor(t, p, "sled=sedge&reference=fescue")
	assert.Equal(t, 1, bare.Combinations)
	assert.Equal(t, bare.Now, bare.Items[0])
	assert.InDelta(t, 1.1, bare.ExactFactor, 1e-9, "what would be best, even if nobody makes it")
	many := "sled=sedge&reference=fescue&most=3" + repeated("final_ratio", 5.61, 40) + repeated("axle_ratio", 4.01, 40)
	got = optionsFor(t, p, many)
	assert.Equal(t, 41*41, got.Combinations)
	assert.Len(t, got.Items, 3)
}

// repeated is one parameter with many values, a hundredth apart.
func repeated(name string, from float64, times int) string {
	var b strings.Builder
	for i := range times {
		fmt.Fprintf(&b, "&%s=%.2f", name, from+float64(i)/100)
	}
	return b.String()
}

// A set that cannot be read does not hide what else is wrong with the question.
func TestPartOptions_NameAllFaultsAtOnce(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	into[openapi.Sled](t, p.do(post("/v1/sleds", parted("Sedge", 1.2, 0))), 201)
	asked := get("/v1/part-options?sled=sedge&reference=sedge&gear_set=1.2,x&gear_set=1.2,1.1&gear_set=0,1")
	got := problemOf(t, p.do(asked), 422)
	assert.ElementsMatch(t, []string{"gear_set[0]", "gear_set[2]", "reference", "sled"}, faultsAt(got))
	for _, f := range got.Errors {
		assert.NotEmpty(t, f.Detail)
	}
}
