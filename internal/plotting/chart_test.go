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

func drawChart(t require.TestingT, c Chart, s Style) document {
	d := read(t, DrawChart(c, s))
	d.requireSound(t)
	return d
}

// labelsByHeight lists the gear labels (bold) from the top down.
func labelsByHeight(d document) []string {
	var bold []textSeen
	for _, x := range d.texts {
		if x.bold {
			bold = append(bold, x)
		}
	}
	slices.SortStableFunc(bold, func(a, b textSeen) int { return int(math.Copysign(1, a.y-b.y)) })
	var out []string
	for _, x := range bold {
		out = append(out, x.words)
	}
	return out
}

// scale reads an axis off the drawing: where two of its ticks stand.
func scale(t require.TestingT, at func(string) float64, a, b string) func(float64) float64 {
	va, vb := num(t, a), num(t, b)
	pa, pb := at(a), at(b)
	return func(v float64) float64 { return pa + (v-va)*(pb-pa)/(vb-va) }
}

func TestChart_StandsWhereTheAxesSay(t *testing.T) {
	t.Parallel()
	d := drawChart(t, straightChart(), Style{})
	x := scale(t, func(s string) float64 { return d.find(t, s).x }, "2", "8")
	// The grid stands at the ticks: its lines from the bottom up are 200, 250 and 300 ft.
	var heights []float64
	for _, p := range d.paths {
		if p.stroke == hex(paletteOf(Light).grid) {
			heights = append(heights, p.points[0][1])
		}
	}
	require.Len(t, heights, 3)
	y := scale(t, func(s string) float64 {
		return heights[slices.Index([]string{"200", "250", "300"}, s)]
	}, "200", "300")
	require.InDelta(t, d.find(t, "250").y, y(250)+0.36*textSize, 4, "the label stands at its line")

	var lines []pathSeen
	for _, p := range d.paths {
		if p.stroke == "#7B2460" && len(p.points) == 5 {
			lines = append(lines, p)
		}
	}
	require.Len(t, lines, 6)
	for i, g := range straightChart().Gears {
		for j, want := range g.Line {
			assert.InDelta(t, x(want.StartFt), lines[i].points[j][0], 0.1)
			assert.InDelta(t, y(want.TopOutFt), lines[i].points[j][1], 0.1)
		}
	}
	var bands []pathSeen
	for _, p := range d.paths {
		if p.opacity != "" && len(p.points) == 10 {
			bands = append(bands, p)
		}
	}
	require.Len(t, bands, 6)
	a := straightChart().Gears[0].Line
	assert.InDelta(t, y(a[0].HighFt), bands[0].points[0][1], 0.1)
	assert.InDelta(t, y(a[0].LowFt), bands[0].points[9][1], 0.1)
}

func TestChart_NamesGearsAxesAndMarkers(t *testing.T) {
	t.Parallel()
	d := drawChart(t, straightChart(), Style{})
	assert.Equal(t, "Bluestem", d.title)
	assert.Equal(t, "Top-out distance of six gears by start position.", d.desc)
	assert.Equal(t, []string{"A", "B", "C", "D", "E", "F"}, labelsByHeight(d), "from the slowest")
	for _, w := range []string{"Top-out distance, feet", "Start position, feet from full back", "95 % interval",
		"reading",
		"set aside"} {
		assert.Contains(t, d.words(), w)
	}
	crosses := 0
	for _, p := range d.paths {
		if len(p.points) == 12 && p.fill == "none" {
			crosses++
		}
	}
	assert.Equal(t, 2, crosses, "the reading set aside and its key")
	assert.NotContains(t, drawChart(t, manyGears(3), Style{}).words(), "set aside",
		"nothing is explained that is not there")
}

func TestChart_IsInMetersWhereAskedFor(t *testing.T) {
	t.Parallel()
	d := drawChart(t, straightChart(), Style{Units: fleet.InMeters})
	assert.Contains(t, d.words(), "Top-out distance, meters")
	assert.Contains(t, d.words(), "Start position, meters from full back")
	// 318 ft is 96.9 m: NIST SP 811, 1 ft = 0.3048 m.
	assert.Contains(t, d.words(), "80")
	assert.NotContains(t, d.words(), "300")
}

func TestChart_SpreadsCrowdedLabels(t *testing.T) {
	t.Parallel()
	d := drawChart(t, crowdedChart(), Style{})
	assert.Equal(t, []string{"5 high", "5 low", "4 high", "4 low", "3 high", "3 low"}, labelsByHeight(d))
	assert.Contains(t, d.words(), "No number yet: 6 low, 6 high")
	leaders := 0
	for _, p := range d.paths {
		if p.strokeWide == "1.5" {
			leaders++
		}
	}
	assert.Equal(t, 6, leaders)
}

func TestChart_IsNotFlattenedByAWildReadingSetAside(t *testing.T) {
	t.Parallel()
	with := crowdedChart()
	without := crowdedChart()
	n := len(without.Gears[0].Points)
	without.Gears[0].Points = without.Gears[0].Points[:n-1]
	a, b := drawChart(t, with, Style{}), drawChart(t, without, Style{})
	for _, tick := range []string{"180", "200", "220", "240", "260"} {
		assert.InDelta(t, b.find(t, tick).y, a.find(t, tick).y, 0.01)
	}
}

func TestChart_IsNotFlattenedByAWildInterval(t *testing.T) {
	t.Parallel()
	c := straightChart()
	c.Gears[5].Line[0].LowFt, c.Gears[5].Line[0].HighFt = 1, 9000
	d := drawChart(t, c, Style{})
	assert.Less(t, d.find(t, "200").y-d.find(t, "300").y, 300.0)
	assert.Greater(t, d.find(t, "200").y-d.find(t, "300").y, 40.0)
}

func TestChart_OfOneStartPositionIsALadderSlowestOnTop(t *testing.T) {
	t.Parallel()
	c := ladderChart()
	want := drawChart(t, c, Style{})
	assert.Equal(t, []string{"1", "2", "3", "4", "5"}, labelsByHeight(want))
	assert.Contains(t, want.words(), "Gears, from full back")
	assert.Contains(t, want.words(), "Top-out distance, feet")
	slices.Reverse(c.Gears)
	assert.Equal(t, []string{"1", "2", "3", "4", "5"}, labelsByHeight(drawChart(t, c, Style{})),
		"whatever the order of the lever")

	x := scale(t, func(s string) float64 { return want.find(t, s).x }, "220", "280")
	found := 0
	for _, p := range want.paths { // whiskers of rungs are 8 ft wide
		if len(p.points) == 2 && p.strokeWide == "3.5" && math.Abs(p.points[1][0]-p.points[0][0]-(x(8)-x(0))) < 0.1 {
			assert.InDelta(t, x([]float64{285, 267, 248, 236, 215}[found]), p.points[0][0], 0.1)
			found++
		}
	}
	assert.Equal(t, 5, found)

	for i := range c.Gears {
		for j := range c.Gears[i].Line {
			c.Gears[i].Line[j].StartFt = 4.5
		}
		for j := range c.Gears[i].Points {
			c.Gears[i].Points[j].StartFt = 4.5
		}
	}
	assert.Contains(t, drawChart(t, c, Style{}).words(), "Gears, from a start of 4.5 feet")
}

func TestChart_WithNothingToDrawSaysSo(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]Chart{
		"no gears":             {},
		"gears without number": {Gears: []ChartGear{{Label: "A"}, {Label: "B"}}},
		"only set aside": {Gears: []ChartGear{{Label: "A",
			Points: []ReadingPoint{{DistanceFt: 300, SetAside: true}}}}},
		"only impossible": {Gears: []ChartGear{{Label: "A", Line: []ChartPoint{{TopOutFt: math.NaN()},
			{TopOutFt: math.Inf(1)}, {TopOutFt: 1e300}}}}},
	} {
		d := drawChart(t, c, Style{})
		assert.Equal(t, []string{"There is nothing to draw yet.", "No gear of this sled has a number."}, d.words(),
			name)
		assert.Empty(t, d.paths, name)
		assert.Equal(t, "Top-out distances", d.title, name)
	}
}

// A reading that counts nowhere until somebody answers is drawn hollow and larger than a reading, on lines and on a
// ladder alike, and the legend says so.
func TestChart_DrawsAReadingThatDoesNotCountHollow(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]Chart{"lines": straightChart(), "ladder": ladderChart()} {
		for i := range c.Gears {
			c.Gears[i].Points = slices.DeleteFunc(c.Gears[i].Points, func(p ReadingPoint) bool { return p.Waits })
		}
		plain := drawChart(t, c, Style{})
		assert.NotContains(t, plain.words(), "does not count yet", name)
		g := &c.Gears[1]
		counts := ReadingPoint{StartFt: g.Points[0].StartFt, DistanceFt: g.Points[0].DistanceFt - 3}
		waits := counts
		waits.Waits = true
		points := g.Points
		g.Points = append(slices.Clone(points), counts)
		filled := drawChart(t, c, Style{})
		g.Points = append(slices.Clone(points), waits)
		hollow := drawChart(t, c, Style{})
		assert.Contains(t, hollow.words(), "does not count yet", name)
		of := func(d document) (filled, hollow int) {
			for _, p := range d.paths {
				switch {
				case p.fill != "none" && p.opacity == "":
					filled++
				case p.fill == "none":
					hollow++
				}
			}
			return filled, hollow
		}
		filledThen, hollowThen := of(filled)
		filledNow, hollowNow := of(hollow)
		assert.Equal(t, filledThen-1, filledNow, name)
		assert.Equal(t, hollowThen+2, hollowNow, "%s: the reading and its key", name)
	}
}

func TestChart_LeavesOutImpossibleNumbers(t *testing.T) {
	t.Parallel()
	plain := DrawChart(straightChart(), Style{})
	c := straightChart()
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -math.MaxFloat64} {
		g := &c.Gears[3]
		g.Line = append(g.Line, ChartPoint{StartFt: bad, TopOutFt: 200}, ChartPoint{StartFt: 3, TopOutFt: bad})
		g.Points = append(g.Points, ReadingPoint{StartFt: bad, DistanceFt: 200},
			ReadingPoint{StartFt: 3, DistanceFt: bad},
			ReadingPoint{DistanceFt: bad, SetAside: true})
	}
	got := DrawChart(c, Style{})
	assert.Equal(t, string(plain), string(got))

	c = straightChart()
	c.Gears[0].Line[2].LowFt = math.NaN() // the line stays whole, its band has a gap
	d := drawChart(t, c, Style{})
	bands := 0
	for _, p := range d.paths {
		if p.opacity != "" {
			bands++
		}
	}
	assert.Equal(t, 6+1+1, bands, "one more than six, and the key")
}

func TestChart_OfOddInputIsSound(t *testing.T) {
	t.Parallel()
	line := func(ts ...float64) (out []ChartPoint) {
		for i, v := range ts {
			out = append(out, ChartPoint{StartFt: float64(i), TopOutFt: v, LowFt: v - 1, HighFt: v + 1})
		}
		return out
	}
	wide := strings.Repeat("W", fleet.MaxLabelLength)
	for name, c := range map[string]Chart{
		"sixty gears":             manyGears(60),
		"sixty gears on a ladder": {Gears: ladderOf(60)},
		"one point":               {Gears: []ChartGear{{Label: "A", Line: line(250)}}},
		"one reading": {Gears: []ChartGear{{Label: "A",
			Points: []ReadingPoint{{StartFt: 3, DistanceFt: 250}}}}},
		"readings at two starts": {Gears: []ChartGear{{Label: "A",
			Points: []ReadingPoint{{StartFt: 3, DistanceFt: 250}, {StartFt: 0, DistanceFt: 270}}}}},
		"all equal": {Gears: []ChartGear{{Label: "A", Line: line(250, 250)},
			{Label: "B", Line: line(250, 250)}, {Label: "C", Line: line(250, 250)}}},
		"huge": {Gears: []ChartGear{{Label: "A", Line: line(maxFt, maxFt)},
			{Label: "B", Line: line(-maxFt, 0)}}},
		"tiny": {Gears: []ChartGear{{Label: "A", Line: line(1e-300, 5e-324)}}},
		"down to nothing": {Gears: []ChartGear{{Label: "A", Line: line(300, 150, 0)},
			{Label: "B", Line: line(280, 140, 0)}}},
		"empty labels": {Gears: []ChartGear{{Line: line(250, 240)}, {Line: line(250, 240)}}},
		"wide labels": {Gears: []ChartGear{{Label: wide, Line: line(250, 240)},
			{Label: wide + "x", Line: line(250, 240)}}},
		"wide labels on a ladder": {Gears: []ChartGear{{Label: wide, Line: line(250)},
			{Label: wide + "x", Line: line(250)}}},
		"letters as wide as high": {Gears: []ChartGear{{Label: strings.Repeat("草", fleet.MaxLabelLength),
			Line: line(250, 240)}}},
		"many without number": {Gears: append(manyGears(2).Gears, make([]ChartGear, 58)...)},
		"interval the wrong way round": {Gears: []ChartGear{{Label: "A",
			Line: []ChartPoint{{TopOutFt: 250, LowFt: 260, HighFt: 240},
				{StartFt: 2, TopOutFt: 240, LowFt: 230, HighFt: 250}}}}},
		"one gear at one start only": {Gears: append(manyGears(2).Gears, ChartGear{Label: "C", Line: line(230)})},
		"starts close together": {Gears: []ChartGear{{Label: "A",
			Line: []ChartPoint{{StartFt: 3, TopOutFt: 250}, {StartFt: 3.02, TopOutFt: 249.9}}}}},
		"negative starts": {Gears: []ChartGear{{Label: "A",
			Line: []ChartPoint{{StartFt: -30, TopOutFt: 250}, {StartFt: -3, TopOutFt: 200}}}}},
		"set aside at another start": {Gears: []ChartGear{{Label: "A", Line: line(250),
			Points: []ReadingPoint{{StartFt: 9, DistanceFt: 9, SetAside: true}}}}},
	} {
		for _, s := range []Style{{}, {Theme: Dark, Units: fleet.InMeters}, {Theme: "no such", Units: "no such"}} {
			t.Run(fmt.Sprintf("%s %s %s", name, s.Theme, s.Units), func(t *testing.T) {
				t.Parallel()
				d := drawChart(t, c, s)
				for _, g := range c.Gears {
					if len(g.Line)+len(g.Points) > 0 && len(g.Label) < 10 && g.Label != "" {
						d.find(t, g.Label)
					}
				}
			})
		}
	}
}

func ladderOf(n int) []ChartGear {
	var out []ChartGear
	for i := range n {
		v := 200 + float64(i%7)
		out = append(out, ChartGear{Label: fmt.Sprint("gear ", i),
			Line: []ChartPoint{{TopOutFt: v, LowFt: v - 3, HighFt: v + 3}}})
	}
	return out
}

func TestMarkers_OfNeighborsDiffer(t *testing.T) {
	t.Parallel()
	seen := map[marker]int{}
	for i := range 2 * markerShapes {
		m := markerFor(i)
		before, twice := seen[m]
		require.False(t, twice, "gears %d and %d look alike", before, i)
		seen[m] = i
	}
	assert.Equal(t, markerFor(0), markerFor(2*markerShapes))
}

func TestDrawings_OfTheSameInputAreTheSameBytes(t *testing.T) {
	t.Parallel()
	first := scenes(Style{})
	for range 3 {
		for name, svg := range scenes(Style{}) {
			require.Equal(t, string(first[name]), string(svg), name)
		}
	}
}

func BenchmarkDrawChart(b *testing.B) {
	c := straightChart()
	b.ReportAllocs()
	for b.Loop() {
		DrawChart(c, Style{})
	}
}
