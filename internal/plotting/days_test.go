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

func drawDays(t require.TestingT, d Days, s Style) document {
	seen := read(t, DrawDays(d, s))
	seen.requireSound(t)
	return seen
}

// perCentAxis reads the left axis off: the grid lines stand at −2, 0 and +2.
func perCentAxis(t *testing.T, d document) func(float64) float64 {
	t.Helper()
	grid := d.withStroke(hex(paletteOf(Light).grid), "2")
	require.Len(t, grid, 3)
	y := func(pct float64) float64 {
		return grid[1].points[0][1] + pct/2*(grid[2].points[0][1]-grid[1].points[0][1])
	}
	for words, pct := range map[string]float64{"−2": -2, "0": 0, "+2": 2} {
		require.InDelta(t, d.find(t, words).y, y(pct)+0.36*textSize, 4, "the number stands at its line")
	}
	return y
}

// dashed lists the broken lines of the pattern but for the sample beside its words.
func dashed(d document) []pathSeen {
	return slices.DeleteFunc(slices.Clone(d.paths), func(p pathSeen) bool {
		return p.dash == "" || p.strokeWide != "3.5" || p.points[0][0] == 8
	})
}

func TestDays_StandWhereTheAxesSay(t *testing.T) {
	t.Parallel()
	days := jumpDays()
	d := drawDays(t, days, Style{})
	assert.Equal(t, "Bluestem over the season", d.title)
	y := perCentAxis(t, d)
	// Gear C tops out at 276.4 ft, so that 5 ft are 1.809 %.
	assert.InDelta(t, d.find(t, "+5").y, y(100*5/276.4)+0.36*textSize, 4)
	assert.InDelta(t, d.find(t, "−5").y, y(-100*5/276.4)+0.36*textSize, 4)
	assert.Contains(t, d.words(), "feet in C")

	bars := slices.DeleteFunc(d.withStroke(hex(paletteOf(Light).muted), "2"), func(p pathSeen) bool {
		return p.points[0][1] != p.points[1][1] || p.points[0][1] > y(-3.5) // the key
	})
	middle := func(i int) float64 { // of the data of a day, by its bars
		for _, b := range bars {
			if math.Abs(b.points[0][1]-y(-days.Days[i].LimitPct)) < 0.1 {
				m := (b.points[0][0] + b.points[1][0]) / 2
				bars = slices.DeleteFunc(bars,
					func(p pathSeen) bool { return math.Abs((p.points[0][0]+p.points[1][0])/2-m) < 0.1 })
				return m
			}
		}
		require.Failf(t, "no bars", "day %d", i)
		return 0
	}
	before := 0.0
	for i, p := range days.Days {
		m := middle(i)
		require.Greater(t, m, before, "in order")
		before = m
		found := slices.ContainsFunc(d.paths, func(q pathSeen) bool {
			if !q.closed || len(q.points) < 3 || q.fill == hex(paletteOf(Light).muted) {
				return false
			}
			low, high := q.points[0], q.points[0]
			for _, at := range q.points {
				low = [2]float64{min(low[0], at[0]), min(low[1], at[1])}
				high = [2]float64{max(high[0], at[0]), max(high[1], at[1])}
			}
			return math.Abs((low[0]+high[0])/2-m) < 0.2 && math.Abs((low[1]+high[1])/2-y(p.OffsetPct)) < 0.2
		})
		assert.True(t, found, "day %d has its mark", i)
	}
}

func TestDays_ShowAJumpAsAStepAndNameIt(t *testing.T) {
	t.Parallel()
	d := drawDays(t, jumpDays(), Style{})
	y := perCentAxis(t, d)
	// By hand: less 4 for the last four, the offsets −2.1 −1.6 −2.4 −1.1 −1.7 −2.5 −1.4 −2.1 add up to −14.9, over 8.
	const level = -14.9 / 8
	lines := dashed(d)
	require.Len(t, lines, 1)
	require.Len(t, lines[0].points, 4)
	for i, want := range []float64{level, level, level + 4, level + 4} {
		assert.InDelta(t, y(want), lines[0].points[i][1], 0.1)
	}
	var days []float64 // where the marks below the data stand
	for _, p := range d.withStroke(hex(paletteOf(Light).muted), "2") {
		if p.points[0][0] == p.points[1][0] {
			days = append(days, p.points[0][0])
		}
	}
	require.Len(t, days, 8)
	assert.InDelta(t, (days[3]+days[4])/2, lines[0].points[1][0], 0.1, "between the fourth day and the fifth")
	assert.Equal(t, lines[0].points[1][0], lines[0].points[2][0])
	d.find(t, "Jump: 4.0 % (11 ft) later from 2026-06-13 on")

	back := jumpDays()
	back.Drift.Pct = -12.4
	// 12.4 % of 276.4 ft is 34.27 ft or 10.45 m: NIST SP 811, 1 ft = 0.3048 m.
	drawDays(t, back, Style{Units: fleet.InMeters}).find(t, "Jump: 12 % (10 m) earlier from 2026-06-13 on")
}

func TestDays_ShowATrendAsALineAndNameIt(t *testing.T) {
	t.Parallel()
	d := drawDays(t, trendDays(), Style{})
	y := perCentAxis(t, d)
	lines := dashed(d)
	require.Len(t, lines, 1)
	require.Len(t, lines[0].points, 2)
	// By hand: less 0.8 a day the offsets are −2 and −1.8 by turns.
	assert.InDelta(t, y(-1.9), lines[0].points[0][1], 0.1)
	assert.InDelta(t, y(-1.9+5*0.8), lines[0].points[1][1], 0.1)
	d.find(t, "Trend: 0.8 % later with each day")
	assert.NotContains(t, strings.Join(d.words(), "|"), "feet", "no feet without a top-out")
}

func TestDays_NameNoPatternThatCannotBeDrawn(t *testing.T) {
	t.Parallel()
	for name, l := range map[string]*DriftLine{
		"none":                      nil,
		"no such kind":              {Kind: "wobble", From: 2, Pct: 3},
		"before the first":          {Kind: "trend", From: -1, Pct: 3},
		"past the last":             {Kind: "jump", From: 8, Pct: 3},
		"a jump with none before":   {Kind: "jump", From: 0, Pct: 3},
		"a trend of the last alone": {Kind: "trend", From: 7, Pct: 3},
		"not a number":              {Kind: "jump", From: 3, Pct: math.NaN()},
		"infinite":                  {Kind: "trend", From: 0, Pct: math.Inf(1)},
		"of nothing":                {Kind: "jump", From: 3},
	} {
		days := jumpDays()
		days.Drift = l
		d := drawDays(t, days, Style{})
		assert.Empty(t, dashed(d), name)
		assert.NotContains(t, strings.Join(d.words(), "|"), ": ", name)
	}
}

func TestDays_ThatStandOffHaveAnotherMarkerAndALabel(t *testing.T) {
	t.Parallel()
	diamonds := func(d document) (n int) {
		for _, p := range d.paths {
			if p.closed && len(p.points) == 4 && p.points[0][1] == p.points[2][1] && p.points[1][0] == p.points[3][0] {
				n++
			}
		}
		return n
	}
	d := drawDays(t, jumpDays(), Style{})
	assert.Equal(t, 2, diamonds(d), "the day and the key")
	assert.Equal(t, 2, strings.Count(strings.Join(d.words(), "|"), "stands off"))
	days := jumpDays()
	for i := range days.Days {
		days.Days[i].Off = false
	}
	d = drawDays(t, days, Style{})
	assert.Zero(t, diamonds(d))
	assert.NotContains(t, d.words(), "stands off")
	assert.NotEqual(t, dayMarker(day{}, 1), dayMarker(day{single: true}, 1), "one reading looks like less")
}

func TestDays_LabelOnlyAsManyAsFit(t *testing.T) {
	t.Parallel()
	d := drawDays(t, jumpDays(), Style{})
	for _, p := range jumpDays().Days {
		assert.Greater(t, d.find(t, p.Label).rise, 0.5, "eight dates are slanted")
	}
	few := jumpDays()
	few.Days, few.Drift = few.Days[:3], nil
	assert.Zero(t, drawDays(t, few, Style{}).find(t, "2026-04-25").rise, "three are level")

	many := manyDays(40)
	words := drawDays(t, many, Style{}).words()
	named := 0
	for _, p := range many.Days {
		if slices.Contains(words, p.Label) {
			named++
		}
		assert.False(t, p.Off && !slices.Contains(words, p.Label), "%s stands off and has no name", p.Label)
	}
	assert.True(t, 5 <= named && named < 20, "%d of 40 are named", named)
}

func TestDays_WithNothingToDrawSaySo(t *testing.T) {
	t.Parallel()
	for name, days := range map[string]Days{
		"no days": {},
		"only impossible": {Days: []DayPoint{{Label: "Fair", OffsetPct: math.NaN()}, {OffsetPct: math.Inf(1)},
			{OffsetPct: 1e300}}, Drift: &DriftLine{Kind: "jump", From: 1, Pct: 3}},
	} {
		d := drawDays(t, days, Style{})
		assert.Equal(t, []string{"There is nothing to draw yet.", "No test day of this sled has a number."}, d.words(),
			name)
	}
}

func TestDays_OfOddInputAreSound(t *testing.T) {
	t.Parallel()
	with := func(change func(d *Days)) Days {
		d := jumpDays()
		change(&d)
		return d
	}
	for name, days := range map[string]Days{
		"one day":         with(func(d *Days) { d.Days = d.Days[:1] }),
		"two days":        with(func(d *Days) { d.Days = d.Days[:2] }),
		"fifteen days":    manyDays(15),
		"a thousand days": manyDays(1000),
		"no names":        with(func(d *Days) { d.Days[0].Label, d.Days[3].Label = "", "\x00" }),
		"a long name for one": with(func(d *Days) {
			d.Days, d.Days[0].Label = d.Days[:1],
				strings.Repeat("Ryegrass ", 55)
		}),
		"long names": with(func(d *Days) {
			d.Days[0].Label, d.Days[7].Label = strings.Repeat("W", 100), strings.Repeat("草", 100)
		}),
		"a long gear": with(func(d *Days) { d.Gear = strings.Repeat("W", fleet.MaxLabelLength) }),
		"no gear":     with(func(d *Days) { d.Gear = "" }),
		"a hole":      with(func(d *Days) { d.Days[3].OffsetPct = math.NaN() }),
		"no limits": with(func(d *Days) {
			d.Days[3].LimitPct, d.Days[4].LimitPct, d.Days[5].LimitPct = 0, -3, math.Inf(1)
		}),
		"wild limits":  with(func(d *Days) { d.Days[3].LimitPct = 9e6 }),
		"a wild day":   with(func(d *Days) { d.Days[3].OffsetPct, d.Days[3].Off = -1e7, true }),
		"a wild jump":  with(func(d *Days) { d.Drift.Pct = 1e7 }),
		"a wild trend": with(func(d *Days) { d.Drift = &DriftLine{Kind: "trend", Pct: 1e7} }),
		"all zero":     {Days: make([]DayPoint, 4)},
		"all off": with(func(d *Days) {
			for i := range d.Days {
				d.Days[i].Off = true
			}
		}),
		"a top-out not a number":  with(func(d *Days) { d.TopOutFt = math.NaN() }),
		"a top-out of next to no": with(func(d *Days) { d.TopOutFt = 5e-324 }),
		"a top-out at the limit":  with(func(d *Days) { d.TopOutFt = maxFt }),
	} {
		for _, s := range []Style{{}, {Theme: Dark, Units: fleet.InMeters}} {
			t.Run(fmt.Sprint(name, s.Units), func(t *testing.T) {
				t.Parallel()
				assert.Contains(t, drawDays(t, days, s).words(), "% later (+) or earlier (−)")
			})
		}
	}
}

func TestDays_AreNotFlattenedByWildLimits(t *testing.T) {
	t.Parallel()
	days := jumpDays()
	days.Days[3].LimitPct = 900
	d := drawDays(t, days, Style{})
	assert.Greater(t, d.find(t, "0").y-d.find(t, "+5").y, 30.0)
}

func BenchmarkDrawDays(b *testing.B) {
	days := jumpDays()
	b.ReportAllocs()
	for b.Loop() {
		DrawDays(days, Style{})
	}
}
