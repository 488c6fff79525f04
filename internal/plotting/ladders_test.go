package plotting

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

func drawLadders(t require.TestingT, l Ladders, s Style) document {
	d := read(t, DrawLadders(l, s))
	d.requireSound(t)
	requireNoLineThroughWords(t, d)
	return d
}

// requireNoLineThroughWords fails where a level line or an upright one runs through a text.
func requireNoLineThroughWords(t require.TestingT, d document) {
	grounds := make([]ground, len(d.texts))
	for i, x := range d.texts {
		grounds[i] = x.ground()
	}
	for _, p := range d.paths {
		if len(p.points) != 2 || p.stroke == "" {
			continue
		}
		a, b := p.points[0], p.points[1]
		if a[0] != b[0] && a[1] != b[1] {
			continue
		}
		line := rect{min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])}
		for _, x := range grounds {
			if line.overlaps(x.around) {
				require.Failf(t, "a line runs through words", "%v through %q %+v", p.points, x.words, x.around)
			}
		}
	}
}

// bars lists the rungs: whole ones, and hollow ones.
func bars(d document) (whole, hollow []pathSeen) {
	accent := hex(paletteOf(Light).accent)
	for _, p := range d.paths {
		switch {
		case len(p.points) == 4 && p.fill == accent && p.opacity == "":
			whole = append(whole, p)
		case len(p.points) == 5 && p.stroke == accent && p.points[0] == p.points[4]:
			hollow = append(hollow, p)
		}
	}
	return whole, hollow
}

func TestLadders_StandWhereTheAxisSays(t *testing.T) {
	t.Parallel()
	l := fleetOf(4)
	d := drawLadders(t, l, Style{})
	assert.Equal(t, "The fleet side by side", d.title)
	d.find(t, "Top-out distance from full back, feet")
	y := scale(t, func(s string) float64 { return d.find(t, s).y - 0.36*textSize }, "200", "300")
	whole, hollow := bars(d)
	at := func(p pathSeen) float64 { return (p.points[0][1] + p.points[2][1]) / 2 }
	rungs := 0
	for i, s := range l.Sleds {
		left := 0.0
		if i > 0 {
			left = d.find(t, l.Sleds[i-1].Name).x
		}
		for _, g := range s.Gears {
			of := whole
			if g.Guess {
				of = hollow
			}
			k := slices.IndexFunc(of, func(p pathSeen) bool {
				return math.Abs(at(p)-y(g.TopOutFt)) < 4 && p.points[0][0] > left
			})
			require.GreaterOrEqual(t, k, 0, "%s %s", s.Name, g.Label)
			rungs++
			assert.True(t, slices.ContainsFunc(d.texts, func(x textSeen) bool {
				return x.words == g.Label && x.x > of[k].points[1][0] &&
					math.Abs(x.y-0.36*textSize-y(g.TopOutFt)) < textPitch
			}), "the label of %s %s stands beside it", s.Name, g.Label)
		}
	}
	assert.Equal(t, 21, rungs)
	assert.Len(t, whole, 20+1, "and the key")
	assert.Len(t, hollow, 1+1, "and the key")
	for _, w := range []string{"from readings", "stated or from ratios", "95 % interval", "level with Bluestem"} {
		assert.Contains(t, d.words(), w)
	}
}

func TestLadders_CarryTheFirstSledsRungsAcross(t *testing.T) {
	t.Parallel()
	l := fleetOf(4)
	d := drawLadders(t, l, Style{})
	heights := map[float64]float64{} // and how far right
	for _, p := range d.paths {
		if p.dash != "" && p.points[0][1] < d.height-3*textPitch {
			heights[p.points[0][1]] = max(heights[p.points[0][1]], p.points[1][0])
		}
	}
	assert.Len(t, heights, len(l.Sleds[0].Gears))
	for _, far := range heights {
		assert.Greater(t, far, d.find(t, "Brome").x)
	}
}

func TestLadders_SayWhatHasNoNumber(t *testing.T) {
	t.Parallel()
	l := fleetOf(5)
	l.Sleds = append(l.Sleds, Ladder{Name: "Reed"}, Ladder{Name: "Foxtail",
		Gears: []Rung{{Label: "A"}, {Label: "B", TopOutFt: math.Inf(1)}}})
	d := drawLadders(t, l, Style{})
	d.find(t, "No number yet: 6 on Sedge, Reed, Foxtail")
	d = drawLadders(t, fleetOf(3), Style{Units: fleet.InMeters})
	d.find(t, "Top-out distance from full back, meters")
	assert.NotContains(t, strings.Join(d.words(), "|"), "No number")
	// 318 ft is 96.9 m: NIST SP 811, 1 ft = 0.3048 m.
	assert.NotContains(t, d.words(), "300")
}

func TestLadders_WithNothingToDrawSaySo(t *testing.T) {
	t.Parallel()
	for name, l := range map[string]Ladders{
		"no sleds": {},
		"no gears": {Sleds: []Ladder{{Name: "Reed"}}},
		"only impossible": {Sleds: []Ladder{{Name: "Reed", Gears: []Rung{{TopOutFt: math.NaN()}, {TopOutFt: -3},
			{TopOutFt: 1e300}}}}},
	} {
		d := drawLadders(t, l, Style{})
		assert.Equal(t, []string{"There is nothing to draw yet.", "No gear of these sleds has a number."}, d.words(),
			name)
	}
}

func TestLadders_MakeTheDrawingWiderWhenMany(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, width, drawLadders(t, fleetOf(6), Style{}).width, 0, "six are as wide as any drawing")
	twelve := drawLadders(t, fleetOf(12), Style{})
	assert.LessOrEqual(t, twelve.width, 2.0*width, "twelve at 720 CSS pixels have type of half its size or more")
	assert.Greater(t, drawLadders(t, fleetOf(30), Style{}).width, twelve.width)
	for _, name := range grasses[:12] {
		shown := slices.ContainsFunc(twelve.words(), func(w string) bool {
			start, cut := strings.CutSuffix(w, "…")
			return w == name || cut && strings.HasPrefix(name, start) && len(start) > 6
		})
		assert.True(t, shown, "%s among %q", name, twelve.words())
	}
}

func TestLadders_OfOddInputAreSound(t *testing.T) {
	t.Parallel()
	rungs := func(vs ...float64) (out []Rung) {
		for i, v := range vs {
			out = append(out, Rung{Label: fmt.Sprint("gear ", i), TopOutFt: v, LowFt: v - 1, HighFt: v + 1})
		}
		return out
	}
	wide := strings.Repeat("W", fleet.MaxNameLength)
	sixty := make([]float64, 60)
	for i := range sixty {
		sixty[i] = 200 + float64(i%7)
	}
	for name, l := range map[string]Ladders{
		"one gear":            {Sleds: []Ladder{{"Reed", rungs(250)}}},
		"sixty gears":         {Sleds: []Ladder{{"Reed", rungs(sixty...)}, {"Oat", rungs(180)}}},
		"three hundred sleds": fleetOf(300),
		"all equal":           {Sleds: []Ladder{{"Reed", rungs(250, 250, 250)}, {"Oat", rungs(250, 250)}}},
		"huge":                {Sleds: []Ladder{{"Reed", rungs(maxFt, 1)}}},
		"tiny":                {Sleds: []Ladder{{"Reed", rungs(5e-324, 1e-300)}}},
		"no names":            {Sleds: []Ladder{{"", []Rung{{TopOutFt: 250}}}, {"\x00", []Rung{{TopOutFt: 240}}}}},
		"long names":          {Sleds: []Ladder{{wide, rungs(250)}, {wide, rungs(240)}, {wide, rungs(230)}}},
		"a long name":         {Sleds: []Ladder{{wide, rungs(250)}}},
		"wide letters": {Sleds: []Ladder{{strings.Repeat("草", 100),
			[]Rung{{Label: strings.Repeat("草", 20), TopOutFt: 250}}}, {"Oat", rungs(240)}}},
		"a wild interval": {Sleds: []Ladder{{"Reed", []Rung{{"A", 250, -9e6, 9e6, false},
			{"B", 240, 230, 250, true}}}}},
		"no interval": {Sleds: []Ladder{{"Reed", []Rung{{"A", 250, 260, 240, false},
			{"B", 240, math.NaN(), 250, true}}}}},
		"an interval of nothing": {Sleds: []Ladder{{"Reed", []Rung{{"A", 250, 250, 250, false}}}}},
		"many without number":    {Sleds: append(fleetOf(2).Sleds, make([]Ladder, 90)...)},
	} {
		for _, s := range []Style{{}, {Theme: Dark, Units: fleet.InMeters}} {
			t.Run(fmt.Sprint(name, s.Units), func(t *testing.T) {
				t.Parallel()
				assert.Contains(t, drawLadders(t, l, s).words(), "Top-out distance from full back, "+unitName(s.Units))
			})
		}
	}
}

func BenchmarkDrawLadders(b *testing.B) {
	for _, n := range []int{6, 300} {
		l := fleetOf(n)
		b.Run(fmt.Sprint(n, " sleds"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				DrawLadders(l, Style{})
			}
		})
	}
}
