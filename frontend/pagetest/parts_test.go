package pagetest

import (
	"fmt"
	"math"
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the API says, as far as the Parts page is held against it.
type (
	chartOf struct {
		Gears []struct {
			Label   string
			TopOuts []struct {
				TopOutFt *float64 `json:"top_out_ft"`
				Basis    string
			} `json:"top_outs"`
		}
	}
	partsOf struct {
		TravelFt  float64 `json:"travel_ft"`
		Driveline map[string]any
		Gears     []struct {
			Label string
			Ratio float64
			Range string
		}
	}
)

func (s site) chart(sled string) (c chartOf) {
	s.t.Helper()
	s.call("GET", "/v1/sleds/"+sled+"/chart?start_ft=0", nil, &c)
	return c
}

func (s site) parts(sled string) (p partsOf) {
	s.t.Helper()
	s.call("GET", "/v1/sleds/"+sled, nil, &p)
	return p
}

// fits says that nothing of the page stands out sideways.
func (b *tab) fits(on screen) {
	b.t.Helper()
	assert.LessOrEqual(b.t, eval[int](b, "document.documentElement.scrollWidth"), int(on.width), "%s", on)
}

func (b *tab) unfold(id string) {
	b.t.Helper()
	b.until(fmt.Sprintf("document.querySelector('#view').checkVisibility() && document.querySelector(%q)", id))
	eval[bool](b, fmt.Sprintf("(document.querySelector(%q).open = true)", id))
}

func TestPartsPage_TakesTheDrivelineOfASled(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	before := s.chart("bluestem")
	b := s.open(phone, "/parts?sled=bluestem")
	b.says("#unknown-parts", "Not known yet: the sprocket, the chain pitch, the axle ratio, the final ratio, the "+
		"tire, the ratio of any gear.")
	b.says("#factor", "cannot be compared yet")
	b.says("#geared-table", "sprocket and chain, axle ratio, final ratio, tire circumference, gear ratio")

	b.unfold("#noted-fold")
	b.write("#parts-sprocket_teeth", "twelve")
	b.write("#parts-chain_pitch_in", `1 3/4"`)
	b.write("#parts-axle-ratio", "4.1")
	b.write("#parts-final_ratio", "5.29")
	b.write("#parts-tire_revs_per_mile", "500")
	for i, ratio := range []string{"1,16", "1.11", "1.03", "0.98", "0.90"} {
		b.write(fmt.Sprintf("#parts-gear-%d", i), ratio)
	}
	b.press("#parts-form .primary")
	b.says("#parts-form", "“twelve” is not a number.")
	assert.Equal(t, "true", eval[string](b,
		"document.querySelector('#parts-sprocket_teeth').getAttribute('aria-invalid')"), "the fault stands beside "+
		"its field")
	assert.Equal(t, "4.1", eval[string](b, "document.querySelector('#parts-axle-ratio').value"), "what was typed stays")

	b.write("#parts-sprocket_teeth", "12")
	b.press("#parts-form .primary")
	b.giveKey(managerKey)
	b.says("#parts-changed", "Saved as a correction. No reading was moved.")
	b.says("#unknown-parts", "Everything is noted")
	b.says("#factor", "times what its parts say")
	got := s.parts("bluestem")
	// 500 turns a mile of 5280 ft: NIST Special Publication 811, Appendix B.8.
	assert.Equal(t, map[string]any{"sprocket_teeth": 12.0, "chain_pitch_in": 1.75, "axle_ratio": 4.1,
		"final_ratio": 5.29, "tire_circumference_ft": 10.56}, got.Driveline)
	assert.InDelta(t, 1.16, got.Gears[0].Ratio, 1e-12, "with a decimal comma")
	assert.InDelta(t, 34.5, got.TravelFt, 1e-12, "what the form does not show stays")
	assert.Equal(t, before, s.chart("bluestem"), "a correction carries nothing")
	// r = 12 × 1.75 / 12 × 4.1 / (1.16 × 5.29 × 10.56) = 7.175 / 64.800 = 0.11073; 34.5 / 0.11073 = 311.6 ft.
	b.says("#geared-table", "A 312 ft")
	b.fits(phone)
}

func TestPartsPage_GivesEachGearOfATwoSpeedAxleItsRange(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(desk, "/parts?sled=timothy")
	b.unfold("#noted-fold")
	assert.Equal(t, "low", eval[string](b, "document.querySelector('#parts-gear-0').nextElementSibling.value"))
	was := s.parts("timothy")
	b.write("#parts-range-0", "low")
	b.press("#parts-form .primary")
	b.says("#parts-form", "Two ranges are called “low”.")
	b.write("#parts-range-0", "crawl")
	b.press("#parts-form .primary")
	b.expectRefusals()
	b.giveKey(managerKey)
	b.says("#parts-form", "axle has no range") // the gears are in one that is called otherwise
	assert.Equal(t, was, s.parts("timothy"))
	for i, g := range was.Gears {
		if g.Range == "high" { // the first row has the larger ratio
			b.pick(fmt.Sprintf("#parts-gear-%d ~ select", i), "crawl")
		}
	}
	b.press("#parts-form .primary")
	b.says("#parts-changed", "Saved as a correction.")
	assert.Equal(t, map[string]any{"crawl": 4.46, "low": 3.7}, s.parts("timothy").Driveline["axle_ratios"])
	assert.Equal(t, "crawl", s.parts("timothy").Gears[3].Range)
}

func TestPartsPage_OverwritesNoCorrectionMadeMeanwhile(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(desk, "/parts?sled=brome")
	b.expectRefusals()
	b.unfold("#noted-fold")
	b.write("#parts-final_ratio", "5.83")
	other := s.open(desk, "/parts?sled=brome")
	other.unfold("#noted-fold")
	other.write("#parts-tire_circumference_ft", "10.4")
	other.press("#parts-form .primary")
	other.giveKey(managerKey)
	other.says("#parts-changed", "Saved as a correction.")

	b.press("#parts-form .primary")
	b.giveKey(managerKey)
	b.says("#parts-changed", "what you typed is still here")
	b.press("#parts-changed button")
	b.says("#parts-changed", "Kept as you typed them: final ratio.")
	assert.Equal(t, "10.4", eval[string](b, "document.querySelector('#parts-tire_circumference_ft').value"))
	b.press("#parts-form .primary")
	b.says("#parts-changed", "Saved as a correction.")
	got := s.parts("brome").Driveline
	assert.InDelta(t, 5.83, got["final_ratio"], 1e-12)
	assert.InDelta(t, 10.4, got["tire_circumference_ft"], 1e-12)
}

func TestPartsPage_NotesAChangeAndTakesItBack(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	before := s.chart("fescue")
	b := s.open(phone, "/parts?sled=fescue")
	b.says("#changes", "No change is noted.")
	b.unfold("#noted-fold")
	b.write("#parts-other_ratio", "1.5") // not sent: it must outlive what follows

	b.unfold("#change-fold")
	b.write("#change-final_ratio", "much more")
	eval[bool](b, "(document.querySelector('#made_on').value = '', true)")
	b.press("#change-form .primary")
	b.says("#change-form", "“much more” is not a number.")
	b.says("#change-form", "On which day?")
	b.says("#change-form", "What was done, in a few words?")
	b.says("#change-form", "Say what becomes of earlier readings.")

	b.write("#what", "Ring and pinion")
	b.write("#change-final_ratio", "6.127") // 5.57 × 1.1
	eval[bool](b, "(document.querySelector('#made_on').value = '2020-01-01', true)")
	b.press("#change-form input[value=by-ratio]")
	b.expectRefusals()
	b.press("#change-form .primary")
	b.giveKey(managerKey)
	b.says("#change-form", "there is nothing to carry") // older than the first reading
	assert.Equal(t, "6.127", eval[string](b, "document.querySelector('#change-final_ratio').value"),
		"what was typed stays")
	eval[bool](b, "(document.querySelector('#made_on').value = '2026-10-01', true)")
	b.press("#change-form .primary")
	b.says("#change-status", "Noted. It moved every top-out by +10.0 % (later); earlier readings are moved with it.")
	b.says("#timeline .change", "New: final ratio 6.127.")
	b.says("#timeline .change ~ li", "stays beside readings made since, unless the two disagree")
	b.says("#geared-table", "from before the change")
	assert.Equal(t, "1.5", eval[string](b, "document.querySelector('#parts-other_ratio').value"),
		"nothing typed elsewhere is lost")
	assert.Equal(t, "", eval[string](b, "document.querySelector('#change-final_ratio').value"))
	carried := s.chart("fescue")
	for i, g := range carried.Gears {
		require.NotNil(t, g.TopOuts[0].TopOutFt)
		assert.Equal(t, "carried", g.TopOuts[0].Basis)
		assert.InEpsilon(t, 1.1, *g.TopOuts[0].TopOutFt / *before.Gears[i].TopOuts[0].TopOutFt, 1e-9)
	}

	b.press("#timeline .change a")
	b.until("location.search.includes('as_of=2026-09-30')")
	b.says("#as-of-result", fmt.Sprintf("%.0f", math.Round(*before.Gears[0].TopOuts[0].TopOutFt)))
	b.says("#as-of-result", fmt.Sprintf("%.0f", math.Round(*carried.Gears[0].TopOuts[0].TopOutFt)))
	b.fits(phone)

	b.pick("#as_of", "2026-10-02")
	b.press("#as-of-form button")
	b.until("location.search.includes('as_of=2026-10-02')")
	b.says("#as-of-result", "at the end of Oct 2, 2026")
	drawn := eval[string](b, "document.querySelector('#as-of-result img').src")
	b.press("#timeline .change button")
	b.says("dialog[open]", "as if it had never been noted")
	b.press("dialog[open] button:not(.primary)")
	assert.Equal(t, carried, s.chart("fescue"), "canceled")
	b.until("!document.querySelector('#timeline .change button').disabled")
	b.press("#timeline .change button")
	b.press("dialog[open] .primary")
	b.says("#changes", "No change is noted.")
	assert.Equal(t, before, s.chart("fescue"))
	b.until(fmt.Sprintf("document.querySelector('#as-of-result img').src !== %q", drawn)) // another chart, drawn anew
}

// A change may end the weighings before it. Who never weighed is not asked.
func TestPartsPage_EndsTheWeighingsBeforeAChange(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(phone, "/parts?sled=timothy")
	b.unfold("#change-fold")
	assert.False(t, eval[bool](b, "document.querySelector('#change-weighings').checkVisibility()"))
	b.goTo("/parts?sled=fescue")
	b.unfold("#change-fold")
	b.write("#what", "Another pan")
	eval[bool](b, "(document.querySelector('#made_on').value = '2026-06-01', true)")
	b.press("#change-form input[value=by-ratio]")
	b.press("#change-form input[name=ends_weighings]")
	b.fits(phone)
	b.press("#change-form .primary")
	b.giveKey(managerKey)
	b.says("#change-status", "It ended the weighings before it.")
	b.says("#timeline .change", "It ended the weighings before it.")
	b.goTo("/weights?sled=fescue")
	b.says("#weighings-list", "No longer counts: a change of parts on Jun 1, 2026 ended it.")
	b.says("#load-headline", "Fescue has not been weighed since the change of parts on Jun 1, 2026.")
	b.says("#next-list", "Weigh the sled empty, with the box at full back")
	b.fits(phone)
}

func TestPartsPage_ShowsTheChartAsOfTheDayOfItsLink(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/parts?sled=brome&as_of=2026-06-19")
	b.says("#as-of-result", "On Jun 19, 2026")
	b.says("#as-of-result", "from before the change") // today, since the demo's ring and pinion
	b.goTo("/parts?sled=brome&as_of=2024-01-01")
	b.says("#as-of-result", "Nothing was known of Brome")
}

func TestPartsPage_ShowsTheDaysWithTheirLimits(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	var api struct {
		Items []struct {
			OffsetPct float64 `json:"offset_pct"`
			LimitPct  float64 `json:"limit_pct"`
		}
	}
	s.call("GET", "/v1/sleds/bluestem/days", nil, &api)
	require.Len(t, api.Items, 5)
	b := s.open(phone, "/parts?sled=bluestem")
	b.says("#drift", "Neither a trend nor a jump")
	b.until("document.querySelector('#days-table img')?.naturalWidth > 0")
	for i, day := range api.Items {
		row := fmt.Sprintf("#days-table tbody tr:nth-child(%d)", i+1)
		b.says(row, fmt.Sprintf("%.1f %%", math.Abs(day.OffsetPct)))
		b.says(row, fmt.Sprintf("± %.1f %%", day.LimitPct))
	}

	// A jump of 12 % since the last two days.
	for _, on := range []string{"2026-10-03", "2026-10-10"} {
		for gear, ft := range map[string]float64{"A": 286, "B": 274, "C": 254.6, "D": 243, "E": 223.5} {
			s.call("POST", "/v1/sleds/bluestem/readings",
				map[string]any{"gear": gear, "distance_ft": ft * 1.12, "measured_on": on}, nil)
		}
	}
	b.goTo("/parts?sled=bluestem")
	b.says("#drift.found", "something was changed or broke")
}

func TestPartsPage_CutoffSaysWhatIsUnknown(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/what-if?sled=bluestem")
	b.press("#cutoff-form .primary")
	b.says("#cutoff-form", "Without a measured time there is no answer.")
	b.write("#cutoff-speed", "15")
	b.write("#cutoff-release", "0.3")
	b.press("#cutoff-form .primary")
	b.says("#caution", "certifies nothing")
	b.until("document.querySelector('#cutoff-result tbody tr')")
	cells := func() []string {
		return eval[[]string](b, "[...document.querySelectorAll('#cutoff-result tbody tr:first-child > *')].map((c) "+
			"=> c.innerText.replace(/\\s+/g, ' '))")
	}
	// Bluestem's A moves its box 34.5 ft while the sled goes 286.0 ft. At 15 mph, which is 22 ft/s, that is 2.65 ft/s.
	assert.Equal(t, []string{"A", "2.65 ft/s", "0.80 ft", "unknown", "unknown", "measured"}, cells())
	b.write("#cutoff-brake", "4")
	b.press("#cutoff-form .primary")
	b.until("!document.querySelector('#cutoff-result tbody').textContent.includes('unknown')")
	// 2.654² / (2 × 4)
	assert.Equal(t, []string{"A", "2.65 ft/s", "0.80 ft", "0.88 ft", "1.68 ft", "measured"}, cells())
	// Meters: 15 mph are 24.14 km/h, a foot 0.3048 m: NIST Special Publication 811, Appendix B.
	eval[bool](b, "(document.querySelector('input[name=frame-units][value=m]').click(), true)")
	b.says("#cutoff-result", "At 24.1 km/h")
	assert.Equal(t, []string{"A", "0.81 m/s", "0.24 m", "0.27 m", "0.51 m", "measured"}, cells())
	assert.Equal(t, "24.1402", eval[string](b, "document.querySelector('#cutoff-speed').value"))
	b.press("#cutoff-form .primary")
	b.until("!document.querySelector('#cutoff-form .primary').disabled")
	assert.Equal(t, "0.51 m", cells()[4])
	said := b.text("#cutoff")
	for _, never := range []string{"margin", "safe", "enough", "✓", "✔"} {
		assert.NotContains(t, said, never)
	}
	b.fits(phone)
}

func TestPartsPage_RanksOptionsAndPrintsThemForTheGearShop(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	ask := url.Values{"sled": {"brome"}, "reference": {"bluestem"}, "final_ratio": {"5.1", "5.5", "6.1"},
		"sprocket_teeth": {"12", "14"}, "gear_set": {"1.05,1,0.95,0.84"}}
	var api struct {
		Combinations   int
		CannotBeMended []string `json:"cannot_be_mended"`
		Items          []struct {
			MeanFt  float64 `json:"mean_ft"`
			WorstFt float64 `json:"worst_ft"`
		}
	}
	s.call("GET", "/v1/part-options?"+ask.Encode(), nil, &api)
	require.Equal(t, 24, api.Combinations)
	require.Equal(t, []string{"E"}, api.CannotBeMended)

	b := s.open(desk, "/what-if?sled=brome")
	b.write("#try-final_ratio", "four")
	b.press("#options-form .primary")
	b.says("#options-form", "Which sled should it be like?")
	b.says("#options-form", "“four” is not a number.")
	b.pick("#reference", "bluestem")
	b.write("#try-final_ratio", "5,1; 5,5; 6,1")
	b.unfold("#more-options")
	b.write("#try-sprocket_teeth", "12, 14")
	b.write("#try-gear_set", "1.05, 1, 0.95, 0.84")
	b.press("#options-form .primary")
	b.says("#options-result", "24 combinations were tried, the best 20 shown.")
	b.says("#caution", "qualified check")
	b.says("#options-result", "With that ratio, gear E of Bluestem would stay more than 5 ft off")
	for i, item := range api.Items {
		row := fmt.Sprintf("#options-result tbody tr:nth-child(%d)", i+1)
		assert.Contains(t, b.text(row), fmt.Sprintf("%.1f ft", item.MeanFt))
		assert.Contains(t, b.text(row), fmt.Sprintf("%.1f ft", item.WorstFt))
	}
	b.fits(desk)
	link := eval[string](b, "location.pathname + location.search")

	eval[bool](b, "(window.print = () => { document.body.dataset.printed = 'yes'; }, true)")
	b.press("#print-options")
	assert.Equal(t, "yes", eval[string](b, "document.body.dataset.printed"))
	for name, paper := range papers {
		// once printed, the page is whole again
		eval[bool](b, "(document.querySelector('#print-options').click(), true)")
		pages := b.pages(paper)
		assert.LessOrEqual(t, pages, 2, name)
		assert.Positive(t, pages)
	}

	other := s.open(phone, link) // the link carries the whole question
	other.says("#options-result", "24 combinations were tried")
	other.fits(phone)
	other.expectRefusals()
	other.write("#try-axle_ratio", "-1")
	other.press("#options-form .primary")
	other.says("#options-form", "Must be above 0")
	// What is on a sled and not noted is asked for, and nothing but what would change.
	other.goTo("/what-if?sled=bluestem&reference=brome&final_ratio=5.57")
	other.says("#options-form", "What is on it now? Only what would change has to be known.")
	other.write("#now-final_ratio", "6.17")
	other.press("#options-form .primary")
	other.says("#options-result", "Where each gear of Bluestem would top out")
	assert.Contains(t, eval[string](other, "location.search"), "final_ratio_now=6.17")
	var answer struct {
		Now struct {
			TopOuts []struct {
				Gear     string
				TopOutFt float64 `json:"top_out_ft"`
			} `json:"top_outs"`
		}
	}
	s.call("GET", "/v1/part-options?sled=bluestem&reference=brome&final_ratio=5.57&final_ratio_now=6.17", nil, &answer)
	for i, at := range answer.Now.TopOuts { // by hand: what changes is the ratio, everything else cancels
		row := fmt.Sprintf("#options-result section tbody tr:nth-child(%d)", i+1)
		assert.Contains(t, other.text(row), fmt.Sprintf("%.1f ft", at.TopOutFt))
		assert.Contains(t, other.text(row), fmt.Sprintf("%.1f ft", at.TopOutFt*5.57/6.17))
	}
}
