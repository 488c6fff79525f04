package pagetest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNotePage_KeepsComparesAndUndoesWithoutSignal(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	before := len(s.readings("bluestem"))
	phone := s.device(phone)
	b := phone.at("/note?sled=bluestem", true)
	b.signIn(managerKey)
	b.noted()
	b.hasOfflineCopy()

	phone.signal(b, false)
	b.note("C", "254")
	b.state("waiting")
	b.says("#note-latest", "Kept on this phone until there is signal.")
	b.says("#note-latest .fit", "than the chart") // the one seen last
	b.note("C", "524")
	b.state("waiting")
	b.tap("#note-latest button[data-does=undo]") // never sent: it only leaves the queue
	b.state("dropped")
	assert.Len(t, b.waiting(), 1)
	b.tap("#note-latest button[data-does=undo]")
	b.state("waiting")
	assert.Len(t, b.waiting(), 2, "the undo was undone")
	b.tap("#note-latest button[data-does=undo]")
	b.state("dropped")
	b.note("C", "255")
	b.state("waiting")
	b.leave()
	assert.Len(t, s.readings("bluestem"), before, "nothing is sent without signal")

	b = phone.at("/note?sled=bluestem", false)
	b.says("#note-queue", "2 things waiting to be sent. No signal.")
	phone.signal(b, true)
	await[int](b, "import('/assets/offline/queue.js').then(({flush}) => flush()).then(() => 0)")
	b.until("document.querySelector('#note-queue').hidden")
	all := s.readings("bluestem")
	require.Len(t, all, before+2)
	assert.Equal(t, []float64{255, 254}, []float64{all[0].DistanceFt, all[1].DistanceFt})
}

// Sent by the queue in its own time, a reading is undone through the API, though the page never saw its answer.
func TestNotePage_UndoesWhatTheQueueSentLater(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	phone := s.device(phone)
	b := phone.at("/note?sled=bluestem", true)
	b.signIn(managerKey)
	b.noted()
	phone.signal(b, false)
	b.note("C", "254")
	b.state("waiting")
	phone.signal(b, true)
	await[int](b, "import('/assets/offline/queue.js').then(({flush}) => flush()).then(() => 0)")
	b.state("sent")
	b.tap("#note-latest button[data-does=undo]")
	b.state("aside")
	r := s.readings("bluestem")[0]
	require.NotNil(t, r.SetAside)
	assert.Equal(t, 254.0, r.DistanceFt)
}

func TestNotePage_KeepsWhatIsTypedOverAReload(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=bluestem")
	b.press("#note-context summary")
	for field, text := range map[string]string{"place": "Nonesuch flats", "by": "crew notes", "surface": "hard clay",
		"tire_psi": "90", "day": "Autumn test"} {
		b.write("#note-"+field, text)
	}
	b.press("#note-context summary")
	b.note("C", "254")
	b.state("sent")
	b.says("#note-context-summary", "The same as the last one: ")
	b.says("#note-context-summary", "Autumn test, Nonesuch flats, by crew notes, hard clay, tires 90 psi")
	b.note("D", "242")
	b.state("sent")
	r := s.readings("bluestem")[0]
	assert.Equal(t, []string{"Autumn test", "Nonesuch flats", "crew notes"}, []string{r.Day, r.Place, r.By},
		"kept from the last one")

	b.tap("#note-gears input[value=E]")
	b.tap("#note-start + button")
	b.padded(`12'6"`)
	b.tap("#note-short")
	b.padded("9")
	b.goTo("/note?sled=bluestem")
	b.until("document.querySelector('#note-gears input:checked')?.value === 'E'")
	assert.Equal(t, []string{"0.5", `12'6"`, "9"},
		eval[[]string](b, "['start', 'distance', 'end'].map((id) => document.querySelector('#note-' + id).value)"))
	assert.True(t, eval[bool](b, "document.querySelector('#note-stopped').checkVisibility()"))

	// The sled is kept as well, for a link that names none; another one brings its own gears, and not this one's tires.
	b.goTo("/note")
	b.until("document.querySelector('#note-sled').value === 'bluestem' && location.search.includes('sled=bluestem')")
	b.pick("#note-sled", "fescue")
	b.until("document.querySelectorAll('#note-gears input').length === 6 && location.search.includes('sled=fescue')")
	assert.Equal(t, []string{"Nonesuch flats", "", "0"},
		eval[[]string](b, "['place', 'tire_psi', 'start'].map((id) => document.querySelector('#note-' + id).value)"))
	b.tap("#note-start + button")
	assert.Equal(t, "0.25", eval[string](b, "document.querySelector('#note-start').value"),
		"by this sled's own rail mark")
}

// Nothing on a device that was never there, and on one whose last reading is of another day.
func TestNotePage_StartsWithTodaysDateUnlessItWasGivenToday(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=bluestem")
	date := func() string { return eval[string](b, "document.querySelector('#note-measured_on').value") }
	assert.Equal(t, inDays(0), date())
	b.press("#note-context summary")
	b.pick("#note-measured_on", "2026-05-09") // a notebook of May
	b.write("#note-place", "Nonesuch flats")
	b.note("C", "254")
	b.state("sent")
	b.goTo("/note?sled=bluestem")
	b.until("document.querySelector('#note-gears input')")
	assert.Equal(t, "2026-05-09", date(), "the next page of the same notebook")

	eval[bool](b, `(() => {
		const last = JSON.parse(localStorage.getItem('evenpull.note.last'));
		localStorage.setItem('evenpull.note.last', JSON.stringify({...last, on: '2026-05-10'}));
		sessionStorage.clear();
		return true;
	})()`)
	b.goTo("/note?sled=bluestem")
	b.until("document.querySelector('#note-gears input')")
	assert.Equal(t, inDays(0), date())
	assert.Equal(t, "Nonesuch flats", eval[string](b, "document.querySelector('#note-place').value"))
}

func TestNotePage_CorrectsAReading(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	old := s.readings("brome")[0]
	b := s.noting(phone, "/note?sled=brome")
	b.padded("123") // under way when somebody finds the mistake
	b.goTo("/fleet?sled=brome")
	b.press(fmt.Sprintf("#reading-%s button[aria-label^=Correct]", old.ID))
	b.says("#correcting", "The earlier reading is set aside and stays in the list.")
	assert.Equal(t, old.Gear, eval[string](b, "document.querySelector('#note-gears input:checked').value"))
	assert.Equal(t, fmt.Sprint(old.DistanceFt), eval[string](b, "document.querySelector('#note-distance').value"))
	assert.Equal(t, old.MeasuredOn, eval[string](b, "document.querySelector('#note-measured_on').value"))
	b.write("#note-distance", "301")
	b.press("#note-form button[value=topped-out]")
	b.state("sent")
	b.until("!document.querySelector('#correcting').checkVisibility() && !location.search.includes('correct')")
	assert.Equal(t, "123", eval[string](b, "document.querySelector('#note-distance').value"),
		"what was being noted is still there")
	byID := func() (now noteReading, was noteReading) {
		for _, r := range s.readings("brome") {
			if r.Replaces == old.ID {
				now = r
			}
			if r.ID == old.ID {
				was = r
			}
		}
		return now, was
	}
	now, was := byID()
	assert.Equal(t, 301.0, now.DistanceFt)
	require.NotNil(t, was.SetAside)

	// An undo brings back what was corrected.
	b.tap("#note-latest button[data-does=undo]")
	b.state("aside")
	now, was = byID()
	assert.NotNil(t, now.SetAside)
	assert.Nil(t, was.SetAside)
	b.tap("#note-latest button[data-does=undo]")
	b.state("sent")
	now, was = byID()
	assert.Nil(t, now.SetAside)
	assert.NotNil(t, was.SetAside)
}

func TestNotePage_PutsWhatTheServerRefusesBackIntoTheForm(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=bluestem")
	b.expectRefusals()
	b.note("C", "99999")
	b.state("refused")
	b.says("#note-latest .fault", "Distance: Must be above 0 and at most 20000 ft (6096 m)")
	b.tap("#note-latest button[data-does=withdraw]")
	b.until("document.querySelector('#note-distance').value === '99999' && document.activeElement.id === " +
		"'note-distance'")
	assert.Empty(t, b.waiting())
	b.goTo("/note?sled=bluestem")
	b.until("document.querySelector('#note-distance').value === '99999' && " +
		"document.querySelector('#note-gears input:checked').value === 'C'")
	b.write("#note-distance", "254")
	b.press("#note-form button[value=topped-out]")
	b.state("sent")
}

// What the server refuses is on the page until it is in the form: not before the form is there, and not of a sled that
// was retired meanwhile.
func TestNotePage_LosesNothingRefusedThatTheFormCannotTake(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=bluestem")
	b.expectRefusals()
	b.note("C", "99999")
	b.state("refused")
	retired := await[int](b, "fetch('/v1/sleds/bluestem', {method: 'DELETE', headers: {'If-Match': '*'}})"+
		".then(({status}) => status)")
	require.Equal(t, 200, retired)
	b.hold("/v1/sleds?")
	b.goTo("/note?sled=fescue")
	b.until("window.letThrough")
	b.press("#note-latest button[data-does=withdraw]")
	assert.Len(t, b.waiting(), 1)
	b.until("(letThrough(), document.querySelector('#note-gears input'))")
	b.press("#note-latest button[data-does=withdraw]")
	b.says("#whole-page", "Bluestem is retired: no readings are noted of it.")
	assert.Len(t, b.waiting(), 1)
	b.state("refused")
	assert.Empty(t, eval[string](b, "document.querySelector('#note-distance').value"))
}

// A correction stays one while what the server refused of it is put right, even when the page is loaded again.
func TestNotePage_StillCorrectsWhatWasRefused(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	old := s.readings("brome")[0]
	b := s.noting(phone, "/note?correct="+old.ID)
	b.expectRefusals()
	b.write("#note-distance", "99999")
	b.press("#note-form button[value=topped-out]")
	b.state("refused")
	b.tap("#note-latest button[data-does=withdraw]")
	b.says("#correcting-about", "99999 ft: put it right")
	b.goTo("/note?sled=brome")
	b.says("#correcting-about", "You are correcting an earlier reading: put it right")
	b.write("#note-distance", "301")
	b.press("#note-form button[value=topped-out]")
	b.state("sent")
	assert.Equal(t, old.ID, s.reading("brome", 301).Replaces)
}

// A correction under way stays of the day of the reading, with its circumstances, whatever day it is taken up.
func TestNotePage_KeepsTheCircumstancesOfACorrectionOverNight(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	old := s.readings("brome")[0]
	b := s.noting(phone, "/note?correct="+old.ID)
	assert.Equal(t, old.MeasuredOn, old.Day, "a day without a name")
	assert.Empty(t, eval[string](b, "document.querySelector('#note-day').value"), "goes with the date")
	b.write("#note-distance", "301")
	draft := "evenpull.note.draft" + old.ID
	eval[bool](b, fmt.Sprintf(`(() => {
		const draft = JSON.parse(sessionStorage.getItem(%[1]q));
		sessionStorage.setItem(%[1]q, JSON.stringify({...draft, on: '2026-05-10'}));
		return true;
	})()`, draft))
	b.goTo("/note?correct=" + old.ID)
	b.until("document.querySelector('#note-distance').value === '301'")
	assert.Equal(t, []string{old.MeasuredOn, old.Place, old.By},
		eval[[]string](b, "['measured_on', 'place', 'by'].map((id) => document.querySelector('#note-' + id).value)"))
	b.press("#correcting-leave")
	b.until("location.pathname === '/fleet'")
	assert.False(t, eval[bool](b, fmt.Sprintf("%q in sessionStorage", draft)), "nothing is left of it")
}

func TestNotePage_IsSoundOnEveryScreen(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	for _, on := range inPart([]screen{phone, desk, {width: 768, height: 1024}, {width: 360, height: 640, dark: true}},
		2) {
		b := s.noting(on, "/note?sled=timothy") // the longest labels
		eval[bool](b, "([...document.querySelectorAll('main details')].forEach((d) => { d.open = true; }), "+
			"document.querySelector('#note-short').click(), true)")
		b.pick("#note-gears input[value='low 1']", "low 1")
		b.write("#note-distance", `254' 6"`)
		b.write("#note-end", `12' 6 1/2"`)
		assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), int(on.width), on.String())
		small := eval[[]string](b, `[...document.querySelectorAll('main :is(button, select, summary, ' +
			'input:not([type=radio]), .choice, a)')]
			.filter((e) => e.checkVisibility() && !e.closest('.caution'))
			.filter((e) => { const box = e.getBoundingClientRect(); return box.height < 44 || box.width < 44; })
				.map((e) => e.outerHTML.slice(0, 80))`)
		assert.Empty(t, small, "%s: targets under 44 px", on)
		low := eval[[]float64](b, "[...document.querySelectorAll('#note-gears .choice, .endings button, .length "+
			"button')].filter((e) => e.checkVisibility()).map((e) => "+
			"e.getBoundingClientRect().height).filter((height) => height < 56)")
		assert.Empty(t, low, "%s: what a glove hits is 56 px high", on)
		unnamed := eval[[]string](b, `[...document.querySelectorAll('main :is(input, select, textarea)')].filter((e) =>
			!e.labels?.length && !e.getAttribute('aria-label')).map((e) => e.outerHTML.slice(0, 80))`)
		assert.Empty(t, unnamed, on.String())
		b.leave()
	}
	// On a phone, everything that one reading takes is on one screen once the box start is at its top.
	b := s.noting(phone, "/note?sled=bluestem")
	b.note("C", "240")
	b.says("#note-latest .fit", "it fits gear D") // the most there is to say
	b.until("[...document.querySelectorAll('#note-latest .more')].some((p) => p.textContent.includes('It now says'))")
	eval[bool](b, "(document.querySelector('#note-distance').closest('.field').scrollIntoView({block: 'start'}), true)")
	bottom := eval[float64](b, "document.querySelector('.endings').getBoundingClientRect().bottom")
	latest := eval[float64](b, "document.querySelector('#note-latest').getBoundingClientRect().top")
	assert.LessOrEqual(t, bottom, latest,
		"the distance, the pad, the endings and the last reading are in sight together")
	assert.LessOrEqual(t, eval[float64](b, "document.querySelector('#note-latest').getBoundingClientRect().bottom"),
		640.0)
}

func TestNotePage_LeadsOnWithoutSleds(t *testing.T) {
	t.Parallel()
	s := serve(t)
	b := s.open(phone, "/note")
	b.says("#whole-page", "No sleds yet. Add the first one on the Fleet page")
	s.call("POST", "/v1/sleds", map[string]any{"name": "Foxtail", "gears": []any{map[string]any{"label": "X"}}}, nil)
	b.goTo("/note?sled=nosuch")
	b.says("#whole-page", "There is no sled “nosuch”.")
	b.pick("#note-sled", "foxtail")
	b.until("document.querySelector('#note-gears input') && !document.querySelector('#whole-page').checkVisibility()")
	assert.True(t, strings.HasPrefix(eval[string](b, "document.title"), "Note readings of Foxtail"))
}

// In meters the ground speed is in km/h and the tire pressure in bar; what goes to the program, and stays for the next
// reading, is in its own units. A mile an hour is 1.609 344 km/h and a psi 0.068 947 57 bar: NIST Special Publication
// 811, Appendix B.
func TestNotePage_ShowsSpeedAndPressureInTheUnits(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(phone, "/note?sled=bluestem&units=m")
	b.signIn(managerKey)
	b.noted()
	b.press("#note-context > summary")
	assert.Contains(t, b.text("#note-context"), "km/h")
	b.write("#note-speed_mph", "6.4")
	b.write("#note-tire_psi", "6")
	b.write("#note-place", "Nonesuch Flats")
	b.goTo("/note?sled=bluestem&units=m")
	b.noted()
	assert.Equal(t, "6.4", eval[string](b, "document.querySelector('#note-speed_mph').value"),
		"what was typed is still there")
	b.note("C", "77.4")
	b.state("sent")
	b.press("#note-context > summary")
	b.says("#note-context-summary", "tires 6 bar")
	stored := s.readings("bluestem")[0]
	assert.InDelta(t, 6.4/1.609344, stored.SpeedMPH, 1e-4)
	assert.InDelta(t, 6/0.06894757, stored.TirePSI, 1e-3)

	eval[bool](b, "(document.querySelector('input[name=frame-units][value=ft]').click(), true)")
	b.until("document.querySelector('#note-speed_mph').value === '3.9768'")
	b.says("#note-context-summary", "psi")
	b.note("C", "254")
	b.state("sent")
	again := s.readings("bluestem")[0]
	assert.Equal(t, []float64{stored.SpeedMPH, stored.TirePSI}, []float64{again.SpeedMPH, again.TirePSI},
		"left alone, it is not rounded")

	b.goTo("/fleet?sled=bluestem&units=m")
	b.says("#readings", "tires 6 bar · 6.4 km/h")
	assert.NotContains(t, b.text("#readings"), "mph")
}
