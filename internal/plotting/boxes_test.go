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

func drawBoxes(t require.TestingT, b Boxes, s Style) document {
	d := read(t, DrawBoxes(b, s))
	d.requireSound(t)
	return d
}

// withStroke lists the lines of that color and width.
func (d document) withStroke(color, wide string) []pathSeen {
	return slices.DeleteFunc(slices.Clone(d.paths),
		func(p pathSeen) bool { return p.stroke != color || p.strokeWide != wide })
}

func TestBoxes_StandWhereTheAxesSay(t *testing.T) {
	t.Parallel()
	b := twoBoxes()
	d := drawBoxes(t, b, Style{})
	assert.Equal(t, "Bluestem C and Fescue 2", d.title)
	for _, w := range []string{"Box, % of its travel", "Distance down the track, feet", "0", "25", "50", "75", "100",
		"200", "300"} {
		assert.Contains(t, d.words(), w)
	}
	x := scale(t, func(s string) float64 { return d.find(t, s).x }, "200", "300")
	grid := d.withStroke(hex(paletteOf(Light).grid), "2")
	require.Len(t, grid, 5, "0 to 100 percent")
	y := func(share float64) float64 {
		return grid[0].points[0][1] + share*(grid[4].points[0][1]-grid[0].points[0][1])
	}
	for i, color := range []string{"#7B2460", "#9A5200"} {
		lines := d.withStroke(color, "3.5")
		k := slices.IndexFunc(lines, func(p pathSeen) bool { return len(p.points) == 41 })
		require.GreaterOrEqual(t, k, 0)
		for j, p := range b.Pulls[i].Line {
			assert.InDelta(t, x(p.DistanceFt), lines[k].points[j][0], 0.1)
			assert.InDelta(t, y(p.Share), lines[k].points[j][1], 0.1)
		}
		flat := slices.IndexFunc(lines, func(p pathSeen) bool {
			return len(p.points) == 2 && p.points[0][1] == p.points[1][1] &&
				math.Abs(p.points[0][0]-x(b.Pulls[i].TopOutFt)) < 0.1 && math.Abs(p.points[0][1]-y(1)) <= lineWidth
		})
		require.GreaterOrEqual(t, flat, 0, "flat after topping out")
		assert.Greater(t, lines[flat].points[1][0], lines[flat].points[0][0])
		bar := slices.IndexFunc(lines, func(p pathSeen) bool {
			return len(p.points) == 2 && math.Abs(p.points[0][0]-x(b.Pulls[i].LowFt)) < 0.1 &&
				math.Abs(p.points[1][0]-x(b.Pulls[i].HighFt)) < 0.1
		})
		require.GreaterOrEqual(t, bar, 0, "the interval as a level bar")
		assert.Less(t, lines[bar].points[0][1], y(1), "above the top line")
	}
}

func TestBoxes_DifferWithoutColor(t *testing.T) {
	t.Parallel()
	s := newCanvas(Light, width, baseHeight, "")
	seen := map[string]int{}
	for i := range markerShapes {
		look := fmt.Sprint(s.lineStyle(i).Dashes, markerFor(i))
		before, twice := seen[look]
		require.False(t, twice, "pulls %d and %d look alike", before, i)
		seen[look] = i
	}
	assert.NotEqual(t, s.lineStyle(0).Dashes, s.lineStyle(1).Dashes)
}

func TestBoxes_AreAnnotatedWithSledGearAndTopOut(t *testing.T) {
	t.Parallel()
	d := drawBoxes(t, twoBoxes(), Style{})
	early := d.find(t, "Bluestem, C: 276 ft (273 to 280)")
	late := d.find(t, "Fescue, 2: 280 ft (276 to 284)")
	assert.Less(t, late.y, early.y, "the later one is higher, so that its staff passes no label")

	d = drawBoxes(t, twoBoxes(), Style{Units: fleet.InMeters})
	// 276.4, 272.8 and 280.1 ft are 84.25, 83.15 and 85.37 m: NIST SP 811, 1 ft = 0.3048 m.
	d.find(t, "Bluestem, C: 84.2 m (83.1 to 85.4)")
	assert.Contains(t, d.words(), "Distance down the track, meters")

	d = drawBoxes(t, farBoxes(), Style{})
	long := d.texts[slices.IndexFunc(d.texts, func(x textSeen) bool { return strings.HasPrefix(x.words, "Slender") })]
	assert.Contains(t, long.words, "…", "too long is cut")
	assert.True(t, strings.HasSuffix(long.words, ", 3 high: 262 ft"), "but not the gear or the number: %q", long.words)
	d.find(t, "Brome, 6: 81 ft")
}

// No line may run through the words of a flag.
func TestBoxes_AnnotationLinesCrossNoText(t *testing.T) {
	t.Parallel()
	for name, b := range map[string]Boxes{"two": twoBoxes(), "far": farBoxes(), "six": sixBoxes()} {
		d := drawBoxes(t, b, Style{})
		for _, x := range d.texts {
			r := x.box()
			for _, p := range d.paths {
				if len(p.points) == 2 && p.points[0][0] == p.points[1][0] {
					top, bottom := min(p.points[0][1], p.points[1][1]), max(p.points[0][1], p.points[1][1])
					at := p.points[0][0]
					assert.False(t, r.left < at && at < r.right && top < r.bottom && r.top < bottom,
						"%s: a line at %g runs through %q", name, at, x.words)
				}
			}
		}
	}
}

func sixBoxes() Boxes {
	var b Boxes
	for i, name := range []string{"Bluestem, A", "Fescue, 4", "Timothy, 3 high", "Brome, 2", "Sedge, F",
		"Ryegrass, 1"} {
		top := []float64{280, 40, 150, 275, 90, 281}[i]
		b.Pulls = append(b.Pulls, straightPull(name, top, top-4, top+4))
	}
	return b
}

func TestBoxes_WithNothingToDrawSaySo(t *testing.T) {
	t.Parallel()
	for name, b := range map[string]Boxes{
		"no pulls":      {},
		"nothing known": {Pulls: []BoxPull{{Label: "Sedge, 3"}}},
		"only impossible": {Pulls: []BoxPull{{Label: "Sedge, 3", TopOutFt: math.NaN(),
			Line: []BoxPoint{{math.NaN(), 0}, {3, math.Inf(1)}, {1e300, 1}}}}},
	} {
		d := drawBoxes(t, b, Style{})
		assert.Equal(t, []string{"There is nothing to draw yet.", "Where the boxes are along the pull is not known."},
			d.words(), name)
		assert.Equal(t, "Both boxes along the pull", d.title)
	}
}

func TestBoxes_OfOddInputAreSound(t *testing.T) {
	t.Parallel()
	with := func(change func(p *BoxPull)) Boxes {
		b := twoBoxes()
		change(&b.Pulls[1])
		return b
	}
	for name, b := range map[string]Boxes{
		"one pull":              onePull(),
		"six pulls":             sixBoxes(),
		"twice the same":        {Pulls: []BoxPull{twoBoxes().Pulls[0], twoBoxes().Pulls[0]}},
		"no label":              with(func(p *BoxPull) { p.Label = "" }),
		"a label of 500":        with(func(p *BoxPull) { p.Label = strings.Repeat("Ryegrass ", 55) }),
		"does not top out":      with(func(p *BoxPull) { p.TopOutFt = math.NaN() }),
		"no interval":           with(func(p *BoxPull) { p.LowFt = math.Inf(-1) }),
		"a wild interval":       with(func(p *BoxPull) { p.LowFt, p.HighFt = -4000, 9e6 }),
		"no line":               with(func(p *BoxPull) { p.Line = nil }),
		"one point":             with(func(p *BoxPull) { p.Line = p.Line[:1] }),
		"all at one distance":   with(func(p *BoxPull) { p.Line = []BoxPoint{{50, 0}, {50, 1}} }),
		"backwards":             with(func(p *BoxPull) { slices.Reverse(p.Line) }),
		"shares out of bounds":  with(func(p *BoxPull) { p.Line = []BoxPoint{{0, -3}, {100, 7}} }),
		"tops out at once":      with(func(p *BoxPull) { p.TopOutFt, p.LowFt, p.HighFt = 1e-9, 0, 2e-9 }),
		"tops out at the limit": with(func(p *BoxPull) { p.TopOutFt, p.LowFt, p.HighFt = maxFt, maxFt, maxFt }),
		"tops out below zero":   with(func(p *BoxPull) { p.TopOutFt = -5 }),
	} {
		for _, s := range []Style{{}, {Theme: Dark, Units: fleet.InMeters}} {
			t.Run(fmt.Sprint(name, s.Units), func(t *testing.T) {
				t.Parallel()
				d := drawBoxes(t, b, s)
				assert.Contains(t, d.words(), "Box, % of its travel")
			})
		}
	}
}

func BenchmarkDrawBoxes(b *testing.B) {
	boxes := twoBoxes()
	b.ReportAllocs()
	for b.Loop() {
		DrawBoxes(boxes, Style{})
	}
}
