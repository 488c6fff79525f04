package pagetest

import (
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// noting opens the page for noting readings of a sled, signed in, with the chart there to hold them against.
func (s site) noting(on screen, path string) *tab {
	s.t.Helper()
	b := s.open(on, "/worked-out")
	b.signIn(managerKey)
	b.goTo(path)
	b.noted()
	return b
}

// noted waits until the page is ready and has the chart that readings are held against.
func (b *tab) noted() {
	b.t.Helper()
	b.until(`document.querySelector('#note-gears input') && performance.getEntriesByType('resource').some(
		({name, responseEnd}) => /^\/v1\/sleds\/[^/]+\/chart$/.test(new URL(name).pathname) && responseEnd > 0)`)
	await[int](b, "new Promise((done) => requestIdleCallback(() => done(0)))") // until it was read
}

// padKeys are the keys of the page's own number pad by what they type.
var padKeys = map[rune]string{'.': "kp", '\'': "kf", '"': "ki"}

// padded types on the page's own number pad.
func (b *tab) padded(text string) {
	b.t.Helper()
	for _, key := range text {
		class := padKeys[key]
		if class == "" {
			class = "k" + string(key)
		}
		b.tap("#note-pad ." + class)
	}
}

// state waits for the reading noted last to be in a state.
func (b *tab) state(state string) {
	b.t.Helper()
	b.until(fmt.Sprintf("document.querySelector('#note-latest').dataset.state === %q && "+
		"!document.querySelector('#note-latest button:disabled')", state))
}

// readings are a sled's, those of the latest date first, and of one date those added last.
func (s site) readings(sled string) []noteReading {
	s.t.Helper()
	var list struct{ Items []noteReading }
	s.call("GET", "/v1/sleds/"+sled+"/readings?limit=500", nil, &list)
	return list.Items
}

type noteReading struct {
	ID, Gear, Ended, By, Day, Place string
	StartFt                         float64  `json:"start_ft"`
	DistanceFt                      float64  `json:"distance_ft"`
	EndFt                           *float64 `json:"end_ft"`
	MeasuredOn                      string   `json:"measured_on"`
	Replaces                        string
	ConfirmedAt                     string                   `json:"confirmed_at"`
	SetAside                        *struct{ Reason string } `json:"set_aside"`
	SpeedMPH                        float64                  `json:"speed_mph"`
	TirePSI                         float64                  `json:"tire_psi"`
}

// notedChart is what the chart says of a gear from a start position, and how far readings differ from it anyway: an
// independent working of what the page says.
func (s site) notedChart(sled, gear string, start float64) (topOut, anyway float64) {
	s.t.Helper()
	var chart struct {
		TakeUpFt      float64 `json:"take_up_ft"`
		Repeatability struct {
			Used struct {
				DayPct     float64 `json:"day_pct"`
				ReadingPct float64 `json:"reading_pct"`
			}
		}
		Gears []struct {
			Label   string
			TopOuts []struct {
				TopOut float64 `json:"top_out_ft"`
				Low    float64 `json:"low_ft"`
				High   float64 `json:"high_ft"`
			} `json:"top_outs"`
		}
	}
	s.call("GET", fmt.Sprintf("/v1/sleds/%s/chart?start_ft=%g", sled, start), nil, &chart)
	for _, g := range chart.Gears {
		if g.Label == gear {
			at := g.TopOuts[0]
			used := chart.Repeatability.Used
			variance := math.Pow((at.High-at.Low)/2, 2) +
				math.Pow(1.96*(at.TopOut-chart.TakeUpFt)/100,
					2)*(used.DayPct*used.DayPct+used.ReadingPct*used.ReadingPct)
			return at.TopOut, math.Sqrt(variance)
		}
	}
	require.FailNow(s.t, "no such gear", gear)
	return 0, 0
}

func TestNotePage_TakesTenReadingsInARowByTaps(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	before := len(s.readings("bluestem"))
	b := s.noting(phone, "/note?sled=bluestem")
	assert.Equal(t, "none", eval[string](b, "document.querySelector('#note-distance').inputMode"),
		"the page has its own keys: the phone's stay away")
	b.tap("#note-gears input[value=C]")
	for i := range 10 {
		b.padded(fmt.Sprint(250 + i))
		b.tap("#note-form button[value=topped-out]") // three digits and one tap: gear and start are as they were
		b.says("#note-latest .what", fmt.Sprintf("Bluestem C, %d ft, topped out", 250+i))
		b.until("document.activeElement.id === 'note-distance' && document.activeElement.value === ''")
	}
	b.state("sent")
	// A tap that comes twice keeps one and complains of nothing.
	b.padded("260")
	assert.False(t, await[bool](b, `(async () => {
		const button = document.querySelector('#note-form button[value=topped-out]');
		button.click();
		await new Promise((resolve) => setTimeout(resolve));
		const shut = button.disabled;
		button.click();
		return shut;
	})()`), "the form is open again before the second one comes")
	b.says("#note-latest .what", "Bluestem C, 260 ft")
	b.state("sent")
	assert.Empty(t, b.text("#note-form .fault"))
	all := s.readings("bluestem")
	require.Len(t, all, before+11)
	all = all[1:]
	for i, r := range all[:10] {
		assert.Equal(t, []any{"C", 259.0 - float64(i), 0.0, "topped-out", inDays(0)},
			[]any{r.Gear, r.DistanceFt, r.StartFt, r.Ended, r.MeasuredOn})
	}
	assert.Equal(t, 4, eval[int](b, "document.querySelectorAll('#note-entries li').length"),
		"the last five stay listed")
	assert.Contains(t, b.text("#note-caution"), "Nobody in the cab is on a phone while hooked or moving")
}

func TestNotePage_TakesTenReadingsInARowByKeyboardAlone(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	before := len(s.readings("bluestem"))
	b := s.noting(desk, "/note?sled=bluestem")
	assert.Equal(t, "decimal", eval[string](b, "document.querySelector('#note-distance').inputMode"))
	b.until("document.querySelector('#note-gears input')")
	// From the skip link on, to the gears.
	for range 40 {
		if eval[bool](b, "document.activeElement.name === 'gear'") {
			break
		}
		b.do(chromedp.KeyEvent(kb.Tab))
	}
	b.do(chromedp.KeyEvent(" " + kb.ArrowRight))
	assert.Equal(t, "B", eval[string](b, "document.querySelector('#note-gears input:checked').value"))
	for range 4 { // −, the start, +, the distance
		b.do(chromedp.KeyEvent(kb.Tab))
	}
	for i := range 10 {
		b.until("document.activeElement.id === 'note-distance' && document.activeElement.value === ''")
		b.do(chromedp.KeyEvent(fmt.Sprintf("%d\r", 270+i)))
		assert.Equal(t, "topped-out", eval[string](b, "document.activeElement.value"),
			"Enter goes on; it never says how a pull ended")
		assert.True(t, eval[bool](b, "document.activeElement.matches(':focus-visible')"))
		b.do(chromedp.KeyEvent("\r"))
		b.says("#note-latest .what", fmt.Sprintf("B, %d ft, topped out", 270+i))
	}
	b.state("sent")
	assert.Len(t, s.readings("bluestem"), before+10)

	// Every control is reached, the pad's keys aside, whose work the keyboard does itself.
	eval[bool](b, "([...document.querySelectorAll('main details')].forEach((d) => { d.open = true; }), "+
		"document.querySelector('.skip').focus(), true)")
	reached := map[string]bool{}
	for range 80 {
		b.do(chromedp.KeyEvent(kb.Tab))
		reached[eval[string](b, "document.activeElement.id || document.activeElement.value || "+
			"document.activeElement.dataset.does || ''")] = true
	}
	for _, control := range []string{"note-sled", "note-start", "note-distance", "topped-out", "note-short", "past-top",
		"note-context-summary", "note-measured_on", "note-tire_psi", "note-note", "note-stated-by", "stated",
		"note-pad-switch", "undo"} {
		assert.True(t, reached[control], control)
	}
}

// What the page says of a reading is worked out here once more, from what the API says of the chart.
func TestNotePage_ShowsHowAReadingFits(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=bluestem")
	for _, c := range []struct{ gear, fits string }{{"C", "C"}, {"A", "D"}} {
		own, anyway := s.notedChart("bluestem", c.gear, 0)
		better, _ := s.notedChart("bluestem", c.fits, 0)
		distance := math.Round(better) + 2
		b.note(c.gear, fmt.Sprint(distance))
		b.state("sent")
		off := distance - own
		if c.gear == c.fits {
			require.Less(t, math.Abs(off), anyway)
			assert.Equal(t, fmt.Sprintf("Fits: %.0f ± %.0f ft later than the chart.", off, anyway),
				b.text("#note-latest .fit"))
		} else {
			require.Greater(t, math.Abs(off), anyway)
			b.says("#note-latest .fit", fmt.Sprintf("is %.0f ft shorter than the other readings say; it fits gear %s.",
				-off, c.fits)) // in the words of the sled's page
		}
		assert.Regexp(t, `^The chart said \d+ ± \d+ ft\.`,
			eval[string](b, "document.querySelector('#note-latest .more').textContent.replace(/\\s+/g, ' ')"))
		b.press("#note-latest button[data-does=undo]")
		b.state("aside")
	}

	// Within what readings differ by anyway nothing is found wrong, however near another gear is.
	own, anyway := s.notedChart("bluestem", "C", 0)
	b.note("C", fmt.Sprintf("%.1f", own+anyway*0.95))
	b.says("#note-latest .fit", "Fits: ")
	b.press("#note-latest button[data-does=undo]")
	b.until("document.querySelector('#note-latest').dataset.state === 'aside'")
	own, anyway = s.notedChart("bluestem", "C", 0)
	b.until("!document.querySelector('#note-latest button:disabled')")
	b.note("C", fmt.Sprintf("%.1f", own+anyway*1.15))
	b.says("#note-latest .fit", " later than the chart")
	assert.NotContains(t, b.text("#note-latest .fit"), "Fits")
}

func TestNotePage_SaysWhenAReadingIsTheFirstOfItsGear(t *testing.T) {
	t.Parallel()
	s := serve(t)
	s.call("POST", "/v1/sleds", map[string]any{"name": "Foxtail",
		"gears": []any{map[string]any{"label": "X"}, map[string]any{"label": "Y"}}}, nil)
	b := s.noting(phone, "/note?sled=foxtail")
	b.note("X", "240")
	b.says("#note-latest .fit", "The first one in this gear.")
	b.state("sent")
	b.until("[...document.querySelectorAll('#note-latest .more')].some((p) => p.textContent.includes('The chart now " +
		"says'))")
	b.note("X", "241")
	b.says("#note-latest .fit", "Fits: 1 ± ")
	b.state("sent")
	b.note("Y", "250")
	b.says("#note-latest .fit", "The first one in this gear.")
	// Noted while the chart does not know of the one before: held against that.
	eval[bool](b, `(async () => {
		const {fitOf} = await import('/assets/note/fit.js');
		const said = {take_up_ft: 0, travel_ft: null, sd_pct: 1, before_ft: 250, gears: [{label: 'Y', known: false,
			at: undefined}]};
		const fit = (distance_ft) => fitOf({gear: 'Y', start_ft: 0, distance_ft, ended: 'topped-out'}, said, 'ft')
			.words;
		document.body.dataset.fits = [fit(252), fit(260)].join(' ').replace(/\s+/g, ' ');
	})() && true`)
	// 1.96 × √2 × 1 % of 250 ft.
	b.until("document.body.dataset.fits === 'Fits: 2 ± 7 ft later than the one before. 10 ± 7 ft later than the one " +
		"before.'")
	b.state("sent")
	b.until("[...document.querySelectorAll('#note-latest .more')].some((p) => p.textContent.includes('The chart now " +
		"says'))")
	b.tap("#note-start + button") // one mark forward: nothing is known from there while nobody has taped the travel
	b.until("document.querySelector('#note-start').value === '0.5' && " +
		"performance.getEntriesByType('resource').some(({name, responseEnd}) => name.includes('start_ft=0.5') && " +
		"responseEnd > 0)")
	b.note("X", "236")
	b.says("#note-latest .fit", "The first one in this gear from 0.5 ft forward.")
}

func TestNotePage_UndoesWithOneTapAndBack(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=bluestem")
	b.note("C", "254")
	b.state("sent")
	newest := func() noteReading { return s.readings("bluestem")[0] }
	require.Nil(t, newest().SetAside)
	b.tap("#note-latest button[data-does=undo]")
	b.state("aside")
	require.NotNil(t, newest().SetAside)
	assert.Equal(t, "entered by mistake", newest().SetAside.Reason)
	b.says("#note-latest", "Taken back: it does not count.")
	assert.Equal(t, "Bring back", b.text("#note-latest button"))
	b.tap("#note-latest button[data-does=undo]")
	b.state("sent")
	assert.Nil(t, newest().SetAside)
	assert.Equal(t, 254.0, newest().DistanceFt)

	// After a reload it is still there to be undone.
	b.goTo("/note?sled=bluestem")
	b.noted()
	b.tap("#note-latest button[data-does=undo]")
	b.state("aside")
	assert.NotNil(t, newest().SetAside)
}

func TestNotePage_AsksForWhatTheEndingNeeds(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	own, _ := s.notedChart("bluestem", "C", 0)
	b := s.noting(phone, "/note?sled=bluestem")
	b.tap("#note-gears input[value=C]")
	b.tap("#note-form button[value=topped-out]")
	b.says("#note-form .fault", "How far was the sled pulled?")
	b.padded("92.5")
	b.tap("#note-short")
	b.until("document.activeElement.id === 'note-end'")
	b.tap("#note-form button[value=stopped-short]")
	b.says("#note-stopped .fault", "Where did the box stand when the pull ended?")
	b.padded(`12'6"`)
	b.says("#note-stopped output", "= 12.5 ft")
	b.tap("#note-form button[value=stopped-short]")
	b.state("sent")
	r := s.readings("bluestem")[0]
	assert.Equal(t, "stopped-short", r.Ended)
	require.NotNil(t, r.EndFt)
	assert.InDelta(t, 12.5, *r.EndFt, 1e-12)
	// The box moved 12.5 of its 34.5 ft of travel: at that rate it is at the top after 92.5 × 34.5 / 12.5 ft.
	off := 92.5*34.5/12.5 - own
	require.Less(t, math.Abs(off), 20.0)
	assert.Regexp(t, fmt.Sprintf(`^Fits: it would have topped out (%.0f ± \d+ ft (later|earlier) than|level with) `+
		`the chart`, math.Abs(off)), b.text("#note-latest .fit"))

	b.write("#note-distance", "300")
	b.tap("#note-form button[value=past-top]")
	b.says("#note-latest .fit", "past the top.")
	b.state("sent")
	assert.Equal(t, "past-top", s.readings("bluestem")[0].Ended)

	b.write("#note-distance", "258")
	b.press("#note-rare summary")
	b.write("#note-stated-by", "the driver")
	b.press("#note-form button[value=stated]")
	b.says("#note-latest .what", "258 ft, somebody’s word")
	b.state("sent")
	r = s.readings("bluestem")[0]
	assert.Equal(t, []string{"stated", "the driver"}, []string{r.Ended, r.By})
}

func TestNotePage_SwitchesToMetersAndLosesNothing(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=bluestem")
	b.tap("#note-start + button")
	b.tap("#note-start + button")
	assert.Equal(t, "1", eval[string](b, "document.querySelector('#note-start').value"),
		"by the rail mark of half a foot")
	b.padded("254")
	b.press("input[name=frame-units][value=m]")
	b.until("document.querySelector('#note-start').value === '0.3' && " +
		"document.querySelector('#note-distance').value === '77.42'")
	assert.False(t, eval[bool](b, "document.querySelector('#note-pad .kf').checkVisibility()"), "meters have no inches")
	b.press("input[name=frame-units][value=ft]")
	b.until("document.querySelector('#note-distance').value === '254' && " +
		"document.querySelector('#note-start').value === '1'")
	b.press("input[name=frame-units][value=m]")
	b.tap("#note-gears input[value=C]")
	b.tap("#note-form button[value=topped-out]")
	b.says("#note-latest .what", "77.42 m from 0.3 m")
	b.state("sent")
	r := s.readings("bluestem")[0]
	assert.Equal(t, []float64{254, 1}, []float64{r.DistanceFt, r.StartFt},
		"typed in feet, sent in feet, though it was shown in meters between")
	b.says("#note-latest .fit", " m ")
	assert.Equal(t, "0.3", eval[string](b, "document.querySelector('#note-start').value"),
		"the start stays for the next one")
	b.padded("77.5")
	b.tap("#note-form button[value=topped-out]")
	b.says("#note-latest .what", "77.5 m")
	b.state("sent")
	assert.InDelta(t, 77.5/0.3048, s.readings("bluestem")[0].DistanceFt, 1e-9)
}
