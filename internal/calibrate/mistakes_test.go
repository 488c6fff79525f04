package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
)

var june = time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)

// ladder is a notebook with nothing wrong: five gears 12 to 18 ft apart, read twice on one day, and once on two more;
// the slowest and the fastest also from 6 ft forward.
func ladder() *calibrate.Notebook {
	n := sled(30, "A", "B", "C", "D", "E")
	tops := []float64{295, 268, 254, 238, 224}
	for i, day := range []string{"2026-05-02", "2026-05-02", "2026-05-09", "2026-05-16"} {
		for g, top := range tops {
			wobble := 1 + 0.003*float64((2*i+g)%5-2)
			note(n, n.Sled.Gears[g].Label, 0, math.Round(top*wobble), on(day))
		}
	}
	for g, top := range map[int]float64{0: 295, 4: 224} {
		note(n, n.Sled.Gears[g].Label, 6, math.Round(top*24/30), on("2026-05-09"))
	}
	return n
}

// A reading that the others contradict is named with the usual mistake that explains it, and counts nowhere.
func TestMistake_IsNamedByItsKind(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		spoil func(r *fleet.Figure)
		mend  *fleet.Mend
	}{
		{"a tape misread by 16 ft", func(r *fleet.Figure) { r.DistanceFt = 284 }, nil},
		{"two digits swapped", func(r *fleet.Figure) { r.DistanceFt = 286 },
			&fleet.Mend{Kind: fleet.SwappedDigits, Gear: "B", DistanceFt: 268}},
		{"noted under the label of another gear", func(r *fleet.Figure) { r.DistanceFt = 238 },
			&fleet.Mend{Kind: fleet.AnotherGear, Gear: "D", DistanceFt: 238}},
		{"meters noted as feet", func(r *fleet.Figure) { r.DistanceFt = 82 },
			&fleet.Mend{Kind: fleet.MetersAsFeet, Gear: "B", DistanceFt: fleet.Feet(82)}},
		{"a decimal point lost", func(r *fleet.Figure) { r.DistanceFt = 2680 },
			&fleet.Mend{Kind: fleet.DecimalPoint, Gear: "B", DistanceFt: 268}},
		{"a decimal point too far left", func(r *fleet.Figure) { r.DistanceFt = 26.8 },
			&fleet.Mend{Kind: fleet.DecimalPoint, Gear: "B", DistanceFt: 268}},
		{"a start measured from the top",
			func(r *fleet.Figure) { r.StartFt, r.DistanceFt = 22, math.Round(268*22/30.0) },
			&fleet.Mend{Kind: fleet.OtherEnd, Gear: "B", DistanceFt: math.Round(268 * 22 / 30.0), StartFt: 8}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			n := ladder()
			clean := fit(n)
			require.Empty(t, clean.Checks(june))
			note(n, "B", 0, 268, on("2026-05-16"))
			r := &n.Readings[len(n.Readings)-1]
			c.spoil(r)
			chart := fit(n)
			found := chart.Checks(june)
			require.Len(t, found, 1, "%+v", found)
			assert.Equal(t, r.ID, found[0].Reading)
			if c.mend != nil {
				require.NotNil(t, found[0].Mend)
				assert.Equal(t, c.mend.Kind, found[0].Mend.Kind)
				assert.Equal(t, c.mend.Gear, found[0].Mend.Gear)
				assert.InDelta(t, c.mend.DistanceFt, found[0].Mend.DistanceFt, 1e-9)
				assert.InDelta(t, c.mend.StartFt, found[0].Mend.StartFt, 1e-9)
			} else {
				assert.Nil(t, found[0].Mend)
			}
			for g := range n.Sled.Gears {
				assert.Equal(t, clean.At(g, 0), chart.At(g, 0), "it counts nowhere")
			}
			r.Confirmed = true
			used := fit(n)
			assert.NotEqual(t, clean.At(1, 0), used.At(1, 0), "a confirmed reading counts")
			said := append(only(used.Checks(june), fleet.ReadingConfirmed),
				only(used.Checks(june), fleet.TravelDisagrees)...)
			require.NotEmpty(t, said, "and the chart says so: %+v", used.Checks(june))
		})
	}
}

// A confirmed reading that moves its gear beyond what the others leave open is said to, by how much.
func TestMistake_SaysWhatAConfirmedReadingDoesToTheChart(t *testing.T) {
	t.Parallel()
	n := ladder()
	clean := fit(n).At(1, 0)
	note(n, "B", 0, 300, on("2026-05-16"), confirmed)
	used := fit(n)
	said := only(used.Checks(june), fleet.ReadingConfirmed)
	require.Len(t, said, 1)
	assert.InDelta(t, clean.TopOutFt, said[0].ExpectedFt, 1e-9)
	assert.InDelta(t, clean.LowFt, said[0].LowFt, 1e-9)
	assert.InDelta(t, clean.HighFt, said[0].HighFt, 1e-9)
	assert.InDelta(t, used.At(1, 0).TopOutFt-clean.TopOutFt, said[0].DifferenceFt, 1e-9)
	assert.Greater(t, said[0].DifferenceFt, clean.HighFt-clean.TopOutFt)
	for _, k := range used.Checks(june) {
		assert.NotEqual(t, fleet.ReadingOutOfLine, k.Code, "none of the others is accused")
	}
}

// Where two readings of a gear disagree, the one that lies with the ladder is right.
func TestMistake_NamesTheWrongOneOfTwo(t *testing.T) {
	t.Parallel()
	for _, wrong := range []float64{2620, 25.4, 226, 306} {
		n := sled(30, "A", "B", "C")
		note(n, "A", 0, 280)
		note(n, "B", 0, wrong)
		note(n, "B", 0, 262)
		note(n, "C", 0, 246)
		note(n, "A", 0, 282, on("2026-05-16"))
		note(n, "C", 0, 244, on("2026-05-16"))
		found := fit(n).Checks(june)
		require.NotEmpty(t, found)
		assert.Equal(t, "r01", found[0].Reading, "%g ft", wrong)
		assert.InDelta(t, 262, fit(n).At(1, 0).TopOutFt, 3)
	}
}

// Where nothing tells which of two is wrong, both are shown, and the interval takes in both.
func TestMistake_ShowsBothWhereNothingTells(t *testing.T) {
	t.Parallel()
	n := sled(30, "A")
	note(n, "A", 0, 236)
	note(n, "A", 0, 264)
	found := only(fit(n).Checks(june), fleet.ReadingsDisagree)
	require.Len(t, found, 1)
	assert.ElementsMatch(t, []string{"r00", "r01"}, []string{found[0].Reading, found[0].OtherReading})
	e := fit(n).At(0, 0)
	assert.Less(t, e.LowFt, 236.0)
	assert.Greater(t, e.HighFt, 264.0)
}

// Two gears whose labels were swapped on one day are named together, each with the other's label.
func TestMistake_LabelsSwappedForADay(t *testing.T) {
	t.Parallel()
	n := ladder()
	var swapped []string
	for i := range n.Readings {
		r := &n.Readings[i]
		if r.Day != "2026-05-02" || (r.GearID != "gear B" && r.GearID != "gear C") {
			continue
		}
		swapped = append(swapped, r.ID)
		r.GearID = map[string]string{"gear B": "gear C", "gear C": "gear B"}[r.GearID]
	}
	require.Len(t, swapped, 4)
	var named []string
	for _, k := range fit(n).Checks(june) {
		if k.Code == fleet.ReadingFitsAnotherGear {
			require.Equal(t, fleet.LabelsSwapped, k.Mend.Kind)
			assert.Equal(t, map[string]string{"B": "C", "C": "B"}[k.Gear], k.OtherGear)
			named = append(named, k.Reading)
		}
	}
	assert.ElementsMatch(t, swapped, named)
}

// One reading, or one day, however wrong, moves another sled's intervals by less than a fifth, and hides no mistake on
// it.
func TestMistake_SpoilsNoOtherSled(t *testing.T) {
	t.Parallel()
	other := ladder()
	other.Sled.ID = "timothy"
	note(other, "C", 0, 242, on("2026-05-16")) // 12 ft short
	wrong := other.Readings[len(other.Readings)-1].ID
	width := func(spoiled *calibrate.Notebook) (float64, bool) {
		_, v := calibrate.Pool(calibrate.Total([]calibrate.Share{calibrate.ShareOf(*spoiled, assumed),
			calibrate.ShareOf(*other, assumed)}), assumed)
		chart := calibrate.Fit(*other, v)
		named := false
		for _, k := range chart.Checks(june) {
			named = named || k.Reading == wrong
		}
		e := chart.At(1, 0)
		return e.TonightHighFt - e.TonightLowFt, named
	}
	usual, named := width(ladder())
	require.True(t, named)
	for _, d := range []float64{5e-324, 1e-3, 1, 25.4, 82, 400, 2620, 20_000} {
		n := ladder()
		note(n, "B", 0, d, on("2026-05-16"))
		now, named := width(n)
		assert.InEpsilon(t, usual, now, 0.2, "%g ft", d)
		assert.True(t, named, "%g ft", d)
	}
	for _, factor := range []float64{0.3048, 0.8, 1.1, 1.3, 3.28} {
		n := ladder()
		for g, top := range []float64{295, 268, 254, 238, 224} {
			note(n, n.Sled.Gears[g].Label, 0, top*factor, on("2026-05-23"))
		}
		now, named := width(n)
		assert.InEpsilon(t, usual, now, 0.2, "a day of %g", factor)
		assert.True(t, named, "a day of %g", factor)
	}
}

// A hundred wrong readings among a thousand are all named.
func TestMistake_AHundredInAThousand(t *testing.T) {
	t.Parallel()
	n := sled(30, "A", "B", "C", "D", "E")
	wrong := map[string]bool{}
	for i := range 1000 {
		g := i % 5
		d := []float64{286, 268, 254, 238, 224}[g] * (1 + 0.002*float64(i*7%11-5))
		if i%10 == 3 {
			d *= []float64{1.12, 0.9, 1.2, 3.28}[i/10%4]
			wrong[fmt.Sprintf("r%02d", i)] = true
		}
		note(n, n.Sled.Gears[g].Label, 0, d, on(fmt.Sprintf("2026-%02d-%02d", 4+i/280, 1+i/10%28)))
	}
	named := 0
	for _, k := range fit(n).Checks(time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC)) {
		if k.Reading == "" {
			continue
		}
		assert.True(t, wrong[k.Reading], "%+v", k)
		named++
	}
	assert.Equal(t, 100, named)
}

// One reading a hair from the top leaves the other gears what they are.
func TestReading_AHairFromTheTopBlanksNothing(t *testing.T) {
	t.Parallel()
	n := ladder()
	before := fit(n)
	note(n, "B", 29.9999, 3, on("2026-05-09"))
	after := fit(n)
	for g := range n.Sled.Gears {
		assert.Equal(t, before.At(g, 0), after.At(g, 0))
	}
}

// The advice is for the next test day, which comes after every change of parts.
func TestAdvice_AfterAChangeOfUnknownEffect(t *testing.T) {
	t.Parallel()
	n := ladder()
	n.Changes = []calibrate.Change{{On: "2026-05-30", LogShift: shifts(n, math.NaN()), TravelFt: 30}}
	_, v := calibrate.Pool(calibrate.ShareOf(*n, assumed), assumed)
	assert.NotEmpty(t, calibrate.Advise(*n, v, nil, 3))
}

// Where no forward start was measured, the shape is an assumption: the interval grows with the distance from what was
// measured.
func TestShape_UntriedIsLessWellKnown(t *testing.T) {
	t.Parallel()
	n := sled(30, "A")
	for _, day := range []string{"2026-05-02", "2026-05-09", "2026-05-16"} {
		note(n, "A", 0, 250, on(day))
	}
	share := func(c *calibrate.Chart, start float64) float64 {
		p, ok := c.Predict(0, start)
		require.True(t, ok)
		return p.Spread.Total()
	}
	untried := fit(n)
	byTape := func(s float64) float64 { return math.Pow(0.1/(30-s), 2) + math.Pow(0.1*(1/(30-s)-1.0/30), 2) }
	assert.InDelta(t, share(untried, 0)+byTape(8)+math.Pow(0.0096, 2), share(untried, 8), 1e-12)
	assert.InDelta(t, share(untried, 0)+byTape(4)+math.Pow(0.0048, 2), share(untried, 4), 1e-12)
	note(n, "A", 8, 250*22.0/30, on("2026-05-16"))
	assert.Less(t, share(fit(n), 8), share(untried, 8)-math.Pow(0.006, 2))
}

// The first reading of a sled from a start position forward tries its tapes and its shape, and is not accused of what
// these leave open: as often as the alarms say, 0.5 % to 2 %, and never inside the interval that the chart gave.
func TestMistake_IsNotTheFirstForwardReading(t *testing.T) {
	t.Parallel()
	v := calibrate.Variances{Day: 1e-4, Reading: 0.49e-4, DayDF: 20, ReadingDF: 60, AssumedReading: 0.49e-4}
	const tonight, notebooks = "2026-05-22", 400
	for _, start := range []float64{8, 12, 20} {
		t.Run(fmt.Sprintf("%g ft", start), func(t *testing.T) {
			t.Parallel()
			rng := rand.New(rand.NewPCG(1, 2))
			out := 0
			for range notebooks {
				n := sled(30, "A", "B", "C", "D", "E")
				for day := range 5 {
					x := 0.01 * rng.NormFloat64()
					for g := range n.Sled.Gears {
						note(n, n.Sled.Gears[g].Label, 0, (200+15*float64(g))*math.Exp(x+0.007*rng.NormFloat64()),
							on(fmt.Sprintf("2026-05-%02d", day+1)))
					}
				}
				e := calibrate.Fit(*n, v).At(2, start)
				share := 1 - (start+0.1*rng.NormFloat64())/(30+0.1*rng.NormFloat64())
				bent := 0.0012*rng.NormFloat64()*start + 0.01*rng.NormFloat64() + 0.007*rng.NormFloat64()
				d := 230 * share * math.Exp(bent)
				note(n, "C", start, d, on(tonight))
				c := calibrate.Fit(*n, v)
				strays := c.On(tonight).Night().Strays // left out among them
				out += len(strays)
				if e.TonightLowFt < d && d < e.TonightHighFt {
					require.Empty(t, strays)
				}
			}
			assert.LessOrEqual(t, out, 16, "2 %% and three standard deviations of %d", notebooks)
		})
	}
}
