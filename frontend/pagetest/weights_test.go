package pagetest

import (
	"fmt"
	"io/fs"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/frontend"
	"evenpull/internal/fleet"
	"evenpull/internal/words"
)

// weightsAnswer is what the API says of how much in the box.
type weightsAnswer struct {
	Rounded *float64 `json:"rounded_in_box_lb"`
	Cannot  string
	InWords struct {
		Headline, Sure, Cannot string
		Remaining              []string
	} `json:"in_words"`
}

// weigh notes one weighing on a sled's page.
func (b *tab) weigh(boxAt, inBox, pan string) {
	b.t.Helper()
	count := "document.querySelectorAll('#weighings-list tbody tr').length"
	before := eval[int](b, count)
	b.write("#weigh-box", boxAt)
	b.write("#weigh-in-box", inBox)
	b.write("#weigh-pan", pan)
	b.press("#weigh-form .primary")
	b.until(fmt.Sprintf("%s === %d && !document.querySelector('#weigh-form .primary').disabled", count, before+1))
}

// A crew weighs a sled at six marks, asks how much goes in its box, and prints the cab sheet of a show on it.
func TestWeights_FromTheScaleToTheCabSheet(t *testing.T) {
	t.Parallel()
	for _, on := range []screen{phone, desk} {
		t.Run(on.String(), func(t *testing.T) {
			t.Parallel()
			s := serve(t, "--demo")
			const question = "/?sled=bluestem&gear=C&start=0&on=timothy"
			b := s.open(on, question)
			b.until("document.querySelector('#asked')?.checkVisibility()")
			b.quiet()
			assert.False(t, eval[bool](b, "document.querySelector('#how-much').checkVisibility()"),
				"Timothy was never weighed")

			b.goTo("/fleet?sled=timothy")
			b.press("#weights-link")
			b.says("#load-headline", "Timothy is not weighed.")
			b.says("#next-list", "Weigh the sled empty, with the box at full back")
			b.press("#weigh-form .primary")
			b.says("#weigh-form", "What did the scale read?")
			b.write("#weigh-scale", "platform scale")
			b.write("#weigh-box", "0")
			b.write("#weigh-pan", "11,640") // with a comma, as people write it
			b.press("#weigh-form .primary")
			b.giveKey(managerKey)
			b.says("#weigh-status", "Noted.")
			b.says("#weighings-list", "11,640 lb")
			for _, of := range [][3]string{{"14.75", "0", "14600"}, {"29.5", "0", "17520"}, {"0", "12000", "11400"},
				{"14.75", "12000", "20300"}, {"29.5", "12000", "29220"}} {
				b.weigh(of[0], of[1], of[2])
			}
			b.says("#load-lines", "At the top, with the box at 29.5 ft: 17,5")
			b.write("#load-in-box", "12000")
			b.press("#load-form button")
			b.says("#load-headline", "With 12,000 lb in the box the pan of Timothy carries 29,")
			b.until("document.querySelector('#load-drawing img').naturalWidth > 0")
			b.says("#caution", "nothing is held by a jack alone")
			b.fits(on)

			b.unfold("#loading-fold")
			b.press("#loading-add-block")
			b.write("#loading-blocks input", "9")
			b.write("#loading-blocks [data-kind]", "2000")
			b.press("#loading-form .primary")
			b.says("#loading-facts", "blocks: 9 × 2,000 lb")

			b.goTo(question)
			b.says("#how-much", "In the box of Bluestem")
			b.write("#in-box", "12000")
			b.press("#how-much button[type=submit]")
			var api weightsAnswer
			s.call("GET", "/v1/weights?sled=bluestem&gear=C&start_ft=0&in_box_lb=12000&on=timothy", nil, &api)
			require.Empty(t, api.Cannot)
			require.NotNil(t, api.Rounded)
			for _, says := range append(api.InWords.Remaining, api.InWords.Headline, api.InWords.Sure) {
				b.says("#how-much", plain(says))
			}
			b.says("#how-much", "no limit on file: ask the maker.")
			b.says("#how-much", "nothing here says that a weight is safe")
			b.until("document.querySelector('#how-much img').naturalWidth > 0")
			b.until("location.search.includes('in_box=12000')")
			b.fits(on)

			b.goTo("/shows")
			b.press("#class-farm-9500-lb summary")
			b.press("[aria-label='Change Farm 9500 lb']")
			b.until("document.querySelector(\"#class-farm-9500-lb input[name='setting.in_box_lb']\").value === '12000'")
			show := s.evening("Harvest pull", 10, "timothy", "farm-9500-lb")
			b.goTo("/shows?show=" + show)
			b.says("#sheet-body", plain(weight(*api.Rounded)))
			b.says("#load-caution", words.LoadCaution)
			b.goTo("/shows?part=book&show=" + show)
			b.says("#candidates", "Brome is not weighed.")
			b.goTo("/sheet?show=" + show)
			b.says(".weights .lb", plain(weight(*api.Rounded)))
			b.says(".weights .blocks", fmt.Sprintf("%.0f × 2,000 lb", *api.Rounded/2000))
			b.says(".weights", "on Bluestem: 6 blocks")
			b.says("#footnotes", "no limit on file: ask the maker")
			for name, paper := range papers {
				assert.Equal(t, 1, b.pages(paper), name)
			}
			b.fits(on)
			b.goTo("/fence?show=" + show)
			b.says("#body", "Farm 9500 lb")
			assert.NotRegexp(t, `\d,\d{3} lb|block`, b.text("#body"), "the fence sheet has the gear alone")
		})
	}
}

// weight is a weight in whole pounds, as the pages write it.
func weight(lb float64) string {
	text := strconv.FormatFloat(lb, 'f', 0, 64)
	return text[:len(text)-3] + "," + text[len(text)-3:] + " lb"
}

// Nothing about weights is on the answers, sheets and forms of a crew that never weighed.
func TestWeights_OfACrewWithoutAScaleAreNowhere(t *testing.T) {
	t.Parallel()
	s := serve(t)
	show, sled, other := hostileFleet(s)
	b := s.open(desk, "/")
	b.signIn(managerKey)
	const pounds = `(?i)\b(lb|kg|pounds?|kilograms?)\b|in the box|on the pan|full pull of|usually ends|weighed`
	require.Regexp(t, pounds, "And how much in the box?")
	for _, page := range []look{
		{"/?sled=" + sled + "&gear=" + url.QueryEscape(asLabel) + "&start=0&on=" + other + "&in_box=12000",
			"document.querySelector('#asked')?.checkVisibility()"},
		{"/shows", "document.querySelector('#classes-list li')"},
		{"/shows?show=" + show, "document.querySelector('#sheet-body tr')"},
		{"/shows?part=run&show=" + show, "document.querySelector('.run')"},
		{"/shows?part=book&show=" + show, "document.querySelector('#candidates tr')"},
		{"/shows?part=settings&show=" + show, "document.querySelector('#edit-name')?.value"},
		{"/sheet?show=" + show, "document.querySelector('#body tr')"},
		{"/fence?show=" + show, "document.querySelector('#body tr')"},
		{"/pullers?show=" + show, "document.querySelector('#classes-list li')"},
	} {
		b.see(page)
		b.unfoldAll(page)
		assert.NotRegexp(t, pounds, b.text("main"), page.path)
		assert.False(t, eval[bool](b,
			"performance.getEntriesByType('resource').some(({name}) => name.includes('howmuch'))"), page.path)
		assert.Empty(t, eval[[]string](b,
			`[...document.querySelectorAll('[name$=_lb], [name=ends_ft], [name=full_pull_ft]')]
				.filter((e) => e.checkVisibility()).map((e) => e.name)`), page.path)
	}
}

// The demo's planted mistake is found; set aside, the weighing stays in the list and the check goes; brought back, it
// comes again.
func TestWeightsPage_SetsAsideWhatTheChecksFind(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(phone, "/weights?sled=fescue")
	b.says("#checks", "read 21,580 lb, and the others say about 20,650 lb.")
	b.says("#checks", "It fits with one block more than was noted.")
	b.press("#checks button")
	b.reply("a block miscounted")
	b.giveKey(managerKey)
	b.until("document.querySelector('#checks').textContent === ''")
	b.says("#weighings-list .aside", "Set aside: A block miscounted.")
	b.press("#weighings-list .aside button")
	b.says("#checks", "read 21,580 lb")
}

// Kilograms go with meters: what is shown, and what is typed.
func TestWeightsPage_CountsInKilogramsWithMeters(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(desk, "/weights?sled=fescue&units=m")
	b.signIn(managerKey)
	b.says("#load-headline", "With 5,443 kg in the box")
	b.says("#weighings-list", "13,417 kg")
	b.unfold("#loading-fold")
	assert.Equal(t, "8164.7", eval[string](b, "document.querySelector('#loading-most-box').value"), "of 18,000 lb")
	b.write("#loading-box", "2268")
	b.write("#loading-ahead", "-0.84")
	b.press("#loading-form .primary")
	b.says("#loading-changed", "Saved.")
	var sled struct{ Loading map[string]any }
	s.call("GET", "/v1/sleds/fescue", nil, &sled)
	assert.InDelta(t, 2268/0.45359237, sled.Loading["empty_box_lb"], 1e-9, "NIST SP 811, Appendix B.8")
	assert.InDelta(t, -0.84/0.3048, sled.Loading["box_ahead_of_tandem_ft"], 1e-9)
	assert.InDelta(t, 18000, sled.Loading["most_in_box_lb"], 0,
		"what nobody touched stays as it was, to the last digit")
	b.press("input[name=frame-units][value=ft]")
	b.says("#load-headline", "With 12,000 lb in the box")
	b.until("document.querySelector('#loading-most-box').value === '18000'")
	b.write("#loading-most-pan", "18.000 kg too many")
	b.press("#loading-form .primary")
	b.says("#loading-form", "is not a number")
}

// The first question is one that the weighings that count tell of; one that they do not tell of can be asked otherwise.
func TestWeightsPage_AsksWhatTheWeighingsTell(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	for _, of := range []struct {
		on     string
		lb, at float64
	}{{"2026-04-01", 12_000, 0}, {"2026-05-20", 5_000, 29.5}} {
		s.call("POST", "/v1/sleds/timothy/weighings", map[string]any{"weighed_on": of.on, "box_at_ft": of.at,
			"in_box_lb": of.lb, "pan_lb": 20_000}, nil)
	}
	s.call("POST", "/v1/sleds/timothy/changes", map[string]any{"made_on": "2026-05-10", "effect": "unknown",
		"what": "a longer frame", "ends_weighings": true}, nil)
	b := s.open(desk, "/weights?sled=timothy")
	b.says("#load-headline", "With 5,000 lb in the box the pan of Timothy carries 20,000")
	assert.Equal(t, "5000", eval[string](b, "document.querySelector('#load-in-box').value"))
	b.write("#load-in-box", "9000")
	b.press("#load-form button")
	b.says("#load-headline", "do not tell yet")
	b.write("#load-in-box", "5000")
	b.press("#load-form button")
	b.says("#load-headline", "With 5,000 lb in the box the pan of Timothy carries 20,000")
}

func TestWeightsPage_OverwritesNothingThatWasSavedMeanwhile(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(desk, "/weights?sled=bluestem")
	b.expectRefusals()
	b.unfold("#loading-fold")
	b.write("#loading-most-box", "19000")
	other := s.open(desk, "/weights?sled=bluestem")
	other.unfold("#loading-fold")
	other.write("#loading-most-tandem", "60000")
	other.press("#loading-form .primary")
	other.giveKey(managerKey)
	other.says("#loading-changed", "Saved.")

	b.press("#loading-form .primary")
	b.giveKey(managerKey)
	b.says("#loading-changed", "what you typed is still here")
	b.press("#loading-changed button")
	b.says("#loading-changed", "Kept as you typed them: Most in the box.")
	assert.Equal(t, "60000", eval[string](b, "document.querySelector('#loading-most-tandem').value"))
	b.press("#loading-form .primary")
	b.says("#loading-changed", "Saved.")
	var sled struct{ Loading map[string]any }
	s.call("GET", "/v1/sleds/bluestem", nil, &sled)
	assert.InDelta(t, 19000, sled.Loading["most_in_box_lb"], 0)
	assert.InDelta(t, 60000, sled.Loading["most_on_tandem_lb"], 0)
	assert.InDelta(t, 5000, sled.Loading["empty_box_lb"], 0)
}

// What a weighed fleet's forms ask for is stored, and a form that was only opened and saved changes none of it.
func TestWeights_OfClassesShowsAndRunsAreStored(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(desk, "/shows")
	b.signIn(managerKey)
	item := "#class-open-4x4"
	b.press(item + " summary")
	b.press(item + " [aria-label='Change Open 4x4']")
	b.write(item+" [name='setting.on_pan_lb']", "500")
	b.write(item+" [name=ends_ft]", "295")
	b.press(item + " button[type=submit]")
	b.says(item, "8,000 lb in the box · 500 lb on the pan")
	b.says(item, "Usually ends at 295 ft")
	var class struct {
		Setting map[string]any
		EndsFt  float64 `json:"ends_ft"`
	}
	s.call("GET", "/v1/classes/open-4x4", nil, &class)
	assert.InDelta(t, 8000, class.Setting["in_box_lb"], 0)
	assert.InDelta(t, 500, class.Setting["on_pan_lb"], 0)
	assert.InDelta(t, 295, class.EndsFt, 0)

	show := s.evening("Harvest pull", 10, "fescue", "open-4x4")
	b.goTo("/shows?part=settings&show=" + show)
	b.write("#edit-full_pull_ft", "230")
	b.press("#edit-form .primary")
	b.says("#edit-note", "Saved.")
	b.press("#show-parts [data-part=sheet]")
	b.says("#sheet-body", "The box does not top out within the full pull of 230 ft.")
	b.says("#sheet-body", "and 500 lb on the pan")
	b.press("#show-parts [data-part=run]")
	b.until("document.querySelector('.run[open]')")
	b.pick(".run .set input[type=radio][value='3']", "3")
	eval[bool](b, "(document.querySelector('.run .set details').open = true)")
	b.write(".run .set [name=in_box_lb]", "8000")
	b.press(".run .set .primary")
	b.says(".run .lines", "8,000 lb in the box")
}

// Weighings come in as a spreadsheet does that has readings: understood first, in the units of its headings, all or
// nothing. Rows that name no sled are of the one whose page it is.
func TestWeightsPage_TakesASpreadsheet(t *testing.T) {
	t.Parallel()
	for _, on := range []screen{phone, desk} {
		t.Run(on.String(), func(t *testing.T) {
			t.Parallel()
			s := serve(t, "--demo")
			b := s.open(on, "/worked-out")
			b.signIn(managerKey)
			b.goTo("/weights?sled=timothy")
			b.until("document.querySelector('#import-file').checkVisibility()")
			b.quiet()
			b.expectRefusals()
			b.choose("scale.csv", "Box mark (m),Blocks (kg),Scale reads (kg)\n0,0,0\n")
			b.says("#import-faults", "Pan load")
			b.says("#import-result", "No column says the date. Every row was weighed on")
			b.choose("scale.csv", "Weighed,Box mark (m),Blocks (kg),Scale reads (kg)\n2026-04-20,0,0,5280\n"+
				"2026-04-20,9,5443,13250\n")
			b.says("#import-count", "2 rows, and all fit.")
			assert.Equal(t, "timothy", eval[string](b, "document.querySelector('#import-sled').value"))
			b.says("#import-result table", "13250 kg")
			b.fits(on)
			b.press("#import-store")
			b.says("#import-stored", "2 weighings of scale.csv stored.")
			b.says("#import-stored", "Timothy 2 weighings")
			b.says("#weighings-list", "29,211 lb") // 13,250 kg; 1 lb is 0.45359237 kg exactly: NIST SP 811, Appendix B
			b.press("input[name=frame-units][value=m]")
			b.says("#weighings-list", "13,250 kg")
		})
	}
}

func TestWeighingPage_PrintsOnTwoSheetsAndItsFormHasFieldsOfAWeighing(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/weighing")
	for name, paper := range papers {
		assert.Equal(t, 2, b.pages(paper), name)
	}
	text, err := fs.ReadFile(frontend.Files(), "weighing.html")
	require.NoError(t, err)
	_, form, found := strings.Cut(string(text), `id="form"`)
	require.True(t, found)
	var columns, fields []string
	for _, head := range regexp.MustCompile(`<th [^>]*>([a-z_]+)</th>`).FindAllStringSubmatch(form, -1) {
		columns = append(columns, head[1])
	}
	for _, f := range fleet.WeighingFields() {
		if f.Name != "place" { // one for all of a sheet
			fields = append(fields, f.Name)
		}
	}
	assert.Equal(t, fields, columns)
	b.press("input[name=frame-units][value=m]")
	b.says("#form", "pan_kg")
	b.do(chromedp.Reload())
	b.says("#form", "box_at_m")
}

// A long night is one page with weights, too, and where every class takes more than there are blocks.
func TestCabSheet_WithWeightsIsOnePageUpToTwentyClasses(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(desk, "/worked-out")
	for _, night := range []struct {
		name                         string
		fromLb, stepLb, onPanLb, day int
		says                         [2]string
	}{
		{"Super Farm", 9000, 500, 0, 10, [2]string{".weights .lb", "lb"}},
		{"Heavy Farm", 19000, 0, 0, 20, [2]string{".weights .doubt", "more than there are"}},
		{"Pan Farm", 9000, 200, 2000, 15, [2]string{".weights .on-pan", "and 2,000 lb on the pan"}},
	} {
		var classes []string
		for i := range 20 {
			var class struct{ ID string }
			setting := map[string]any{"sled": "bluestem", "gear": "C", "in_box_lb": night.fromLb + night.stepLb*i,
				"on_pan_lb": night.onPanLb}
			s.call("POST", "/v1/classes", map[string]any{
				"name": fmt.Sprintf("%s class number %d", night.name, i+1), "setting": setting, "pull_off": setting,
				"weights": "6 blocks and two on the pan",
			}, &class)
			classes = append(classes, class.ID)
		}
		for i, rows := range []int{8, 14, 20} {
			show := s.evening(fmt.Sprintf("%s night of %d", night.name, rows), night.day+i, "fescue", classes[:rows]...)
			b.goTo("/sheet?show=" + show)
			b.says(night.says[0], night.says[1])
			for name, paper := range papers {
				assert.Equal(t, 1, b.pages(paper), "%s: %d classes on %s", night.name, rows, name)
			}
		}
	}
}

func TestWeightsPage_TellsAScalesStepToTwoDecimals(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(desk, "/weights?sled=fescue")
	b.says("#weighings-list", "21,580 lb")
	steps := await[[]string](b, `import('/assets/weights/weighings.js').then(({WeighingList}) =>
		['ft', 'm'].map((u) => {
		new WeighingList(u).show([{id: 'a', weighed_on: '2026-05-09', box_at_ft: 0, in_box_lb: 0, on_pan_lb: 0,
			pan_lb: 9540, scale_step_lb: 0.4}]);
		return document.querySelector('#weighings-list td small').textContent;
	}))`)
	assert.Equal(t, []string{"steps of 0.4\u00a0lb", "steps of 0.18\u00a0kg"}, steps)
}
