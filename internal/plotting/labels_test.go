package plotting

import (
	"math"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSanitize_LeavesOneLineOfPlainText(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ in, want string }{
		"plain text stays":               {"3 low", "3 low"},
		"markup stays text":              {`<b>&amp;"'`, `<b>&amp;"'`},
		"other scripts stay":             {"草 Ж é", "草 Ж é"},
		"lines become one":               {"3\n\tlow\r\n", "3 low"},
		"control characters go":          {"a\x00\x01\x1b\x7f\u0085b", "ab"},
		"broken UTF-8 goes":              {"a\xff\xfeb", "ab"},
		"what XML forbids goes":          {"a\ufffe\uffffb", "ab"},
		"turning marks go":               {"a\u202eb\u2066c\u200fd", "abcd"},
		"nothing left is the fallback":   {"\x00 \t", "none"},
		"nothing at all is the fallback": {"", "none"},
	} {
		assert.Equal(t, c.want, sanitize(c.in, "none"), name)
	}
}

func TestTruncate_KeepsALetterAndMarksTheCut(t *testing.T) {
	t.Parallel()
	f := plainFont(textSize)
	assert.Equal(t, "Bluestem", truncate(f, "Bluestem", 400))
	assert.Equal(t, "B…", truncate(f, "Bluestem", 0), "one letter stays")
	s := truncate(f, "Slender Wheatgrass of the far meadow", 200)
	assert.True(t, strings.HasPrefix(s, "Slender") && strings.HasSuffix(s, "…"), s)
	assert.LessOrEqual(t, textWidth(f, s), 200.0+0*f.Size)
	assert.Equal(t, "草…", truncate(f, "草草草草", 3*textSize))
}

func TestSpreadLabels_MovesThemApartByTheLeast(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		wanted    []float64
		low, high float64
		want      []float64
	}{
		"none":                                  {nil, 0, 100, nil},
		"one stays":                             {[]float64{40}, 0, 100, []float64{40}},
		"one comes in from outside":             {[]float64{140}, 0, 100, []float64{100}},
		"far apart stay":                        {[]float64{70, 20}, 0, 100, []float64{70, 20}},
		"equal ones share the push":             {[]float64{50, 50}, 0, 100, []float64{45, 55}},
		"a close pair leaves the third":         {[]float64{20, 90, 22}, 0, 100, []float64{16, 90, 26}},
		"a push carries on to the next":         {[]float64{50, 50, 56}, 0, 100, []float64{42, 52, 62}},
		"the edge pushes back":                  {[]float64{0, 1}, 0, 100, []float64{0, 10}},
		"too little room shrinks the pitch":     {[]float64{5, 5, 5}, 0, 8, []float64{0, 4, 8}},
		"no room at all still gives each place": {[]float64{5, 6}, 3, 3, []float64{3, 3}},
	} {
		got := spreadLabels(c.wanted, 10, c.low, c.high)
		require.Len(t, got, len(c.want), name)
		for i := range got {
			assert.InDelta(t, c.want[i], got[i], 1e-9, "%s: %v", name, got)
		}
	}
}

func TestDrawings_KeepMarkupInNamesAsText(t *testing.T) {
	t.Parallel()
	for _, evil := range []string{`<img src=x onerror=a()>`, `A&B`, `"/><script>1</script>`, `]]>`, `<!--`, `style="x"`,
		`&#60;`, `&lt;b`} {
		chart := straightChart()
		chart.Gears[1].Label, chart.Title, chart.Description = evil, evil, evil
		d := drawChart(t, chart, Style{})
		assert.Equal(t, evil, d.title)
		assert.Equal(t, evil, d.desc)
		want := truncate(boldFont(labelSize), evil, 270)
		assert.Contains(t, d.words(), want)

		boxes := onePull()
		boxes.Pulls[0].Label = evil
		d = drawBoxes(t, boxes, Style{})
		assert.Contains(t, strings.Join(d.words(), "|"), evil+": 280 ft")

		days := jumpDays()
		days.Days[4].Label, days.Gear = evil, evil
		d = drawDays(t, days, Style{})
		assert.Contains(t, strings.Join(d.words(), "|"), truncate(plainFont(textSize),
			"Jump: 4.0 % (11 ft) later from "+evil+" on", width-70))
		assert.Contains(t, d.words(), truncate(plainFont(textSize), evil, maxRotatedWidth))

		ladders := fleetOf(2)
		ladders.Sleds[0].Name, ladders.Sleds[1].Gears[0].Label = evil, evil
		d = drawLadders(t, ladders, Style{})
		assert.Contains(t, d.words(), evil)
		assert.Contains(t, d.words(), truncate(plainFont(textSize), evil, maxLabelWidth))
	}
}

// Whatever a name holds, the drawing is sound and the name is text.
func FuzzNames(f *testing.F) {
	for _, s := range []string{"C", "", "A&B", `<img src=x onerror=a()>`, "\x00\x1b", "a\xffb", "草草", "\u202etfel",
		strings.Repeat("W", 400), ", ", "a, ", ", b", "…"} {
		f.Add(s, s)
	}
	f.Fuzz(func(t *testing.T, title, label string) {
		chart := crowdedChart()
		chart.Title, chart.Description = title, label
		chart.Gears[0].Label, chart.Gears[6].Label = label, title
		ladder := ladderChart()
		ladder.Gears[0].Label = label
		boxes := farBoxes()
		boxes.Title, boxes.Pulls[0].Label, boxes.Pulls[1].Label = title, label, title
		days := jumpDays()
		days.Title, days.Gear, days.Days[0].Label, days.Days[4].Label = title, label, title, label
		ladders := fleetOf(5)
		ladders.Title, ladders.Sleds[0].Name, ladders.Sleds[3].Name = title, title, label
		ladders.Sleds[1].Gears[0].Label, ladders.Sleds[4].Gears[4].Label = label, title
		ladders.Sleds = append(ladders.Sleds, Ladder{Name: label})
		for _, d := range []document{
			drawChart(t, chart, Style{}), drawChart(t, ladder, Style{}), drawBoxes(t, boxes, Style{}),
			drawDays(t, days, Style{}), drawLadders(t, ladders, Style{}),
		} {
			for _, w := range append(d.words(), d.title, d.desc) {
				require.NotEmpty(t, w)
				require.False(t, strings.ContainsFunc(w, unicode.IsControl), "%q", w)
			}
		}
	})
}

// Whatever the numbers, the drawing is sound.
func FuzzNumbers(f *testing.F) {
	f.Add(0.0, 300.0, 290.0, 310.0, 8.0, 240.0)
	f.Add(1e7, -1e7, 5e-324, 1e300, 0.0, 0.0)
	f.Add(0.0, 0.0, 0.0, 0.0, 1e-3, 1e-9)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g float64) {
		chart := Chart{Gears: []ChartGear{
			{Label: "A", Line: []ChartPoint{{a, b, c, d}, {e, g, b, c}},
				Points: []ReadingPoint{{a, c, false}, {e, d, true}}},
			{Label: "B", Line: []ChartPoint{{e, b, g, d}, {c, g, b, a}},
				Points: []ReadingPoint{{b, c, true}, {d, a, false}}},
		}}
		drawChart(t, chart, Style{})
		chart.Gears = chart.Gears[:1]
		chart.Gears[0].Line = chart.Gears[0].Line[:1]
		chart.Gears[0].Points = nil
		drawChart(t, chart, Style{Units: "m"})
		drawBoxes(t, Boxes{Pulls: []BoxPull{
			{"Bluestem, C", []BoxPoint{{a, b}, {c, d}, {e, g}}, b, c, d},
			{"Fescue, 2", []BoxPoint{{0, 0}, {g, 1}}, g, a, e},
		}}, Style{})
		for _, kind := range []string{"trend", "jump"} {
			drawDays(t, Days{Gear: "C", TopOutFt: e, Days: []DayPoint{
				{"2026-05-09", a, b, 1, false}, {"2026-05-23", c, d, 2, true}, {"2026-06-13", g, a, 3, true},
				{"2026-06-27", b, e, 4, false},
			}, Drift: &DriftLine{kind, int(math.Mod(g, 5)), c}}, Style{Units: "m"})
		}
		drawLadders(t, Ladders{Sleds: []Ladder{
			{"Bluestem", []Rung{{"A", a, b, c, false}, {"B", c, d, e, true}}},
			{"Fescue", []Rung{{"1", g, a, e, false}, {"2", e, 0, d, false}}},
		}}, Style{})
	})
}
