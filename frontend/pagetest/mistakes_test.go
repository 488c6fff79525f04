package pagetest

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// average is where a gear of Fescue tops out from full back on average.
func (s site) average(gear string) float64 {
	s.t.Helper()
	topOut, _ := s.notedChart("fescue", gear, 0)
	return topOut
}

// From the key to the mend: 295 is typed for 259.
func TestMistypedReading_CountsNowhereUntilItIsMendedInOneTap(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	before := s.average("2")
	b := s.noting(phone, "/note?sled=fescue")
	b.note("'2'", "295")
	b.says("#note-latest .fit", "swapped digits would give 259 ft")
	said := b.text("#note-latest .fit")
	wrong := s.reading("fescue", 295)
	assert.InDelta(t, before, s.average("2"), 0.01, "it moves nothing")

	b.goTo("/fleet?sled=fescue")
	b.says("#checks .hollow", said) // the same words
	b.says(fmt.Sprintf("#reading-%s.hollow", wrong.ID), said)

	b.goTo("/note?sled=fescue")
	b.tap("#note-latest button[data-does=mend]")
	b.says("#note-latest .what", "Fescue 2, 259 ft, topped out")
	b.until("!document.querySelector('#note-latest').classList.contains('asks')")
	assert.Equal(t, wrong.ID, s.reading("fescue", 259).Replaces)
	assert.NotNil(t, s.reading("fescue", 295).SetAside)
	b.tap("#note-latest button[data-does=undo]")
	b.state("aside")
	assert.Nil(t, s.reading("fescue", 295).SetAside, "the mend was taken back with it")
}

func TestMistypedReading_IsAnsweredOnItsSledsPage(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.call("POST", "/v1/sleds/fescue/readings",
		map[string]any{"gear": "2", "distance_ft": 295, "measured_on": inDays(0)}, nil)
	b := s.noting(desk, "/note?sled=fescue")
	b.goTo("/fleet?sled=fescue")
	b.says("#checks .hollow", "295 ft noted in gear 2")
	b.press("#checks .hollow [aria-label^='Use it']")
	b.says("#checks", "counts because somebody confirmed it")
	b.says("#readings-list", "Confirmed: it counts whatever the checks say.")
	b.press("#readings-list [aria-label^='Leave it to the checks']")
	b.until("document.querySelector('#checks .hollow') && document.querySelector('#readings-list .hollow')")
	b.press("#readings-list .hollow [aria-label^='Set aside']")
	b.reply("two digits swapped")
	b.until("!document.querySelector('.hollow')")
	assert.Equal(t, "two digits swapped", s.reading("fescue", 295).SetAside.Reason)

	s.call("POST", "/v1/sleds/fescue/readings",
		map[string]any{"gear": "2", "distance_ft": 295, "measured_on": inDays(-1)}, nil)
	before := len(s.readings("fescue"))
	b.goTo("/fleet?sled=fescue")
	// A double tap is one, and so is the same said twice at once.
	b.until("(make => make && (make.click(), make.click(), true))(" +
		"document.querySelector(\"#checks .hollow [aria-label^='Make it 259']\"))")
	b.until("!document.querySelector('.hollow')")
	mended := s.reading("fescue", 259)
	assert.NotEmpty(t, mended.Replaces)
	assert.Len(t, s.readings("fescue"), before+1)
	assert.True(t, await[bool](b, fmt.Sprintf(`import('/assets/account/readings.js').then(async ({mendReading}) => {
		const mend = () => mendReading(%q, {gear: '2', start_ft: 0, distance_ft: 260});
		const [one, other] = await Promise.all([mend(), mend()]);
		return one === other;
	})`, mended.ID)))
}

func TestNotePage_AsksAboutADistanceBeyondBelief(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	before := len(s.readings("bluestem"))
	b := s.noting(phone, "/note?sled=bluestem")
	b.expectRefusals()
	b.note("C", "2620")
	b.says("#note-latest .fit", "2620 ft (798.6 m)? This sled's slowest gear tops out near 2")
	assert.Equal(t, []string{"Correct", "Keep it", "Undo"}, eval[[]string](b,
		"[...document.querySelectorAll('#note-latest button')].map((b) => b.textContent)"))
	assert.Len(t, s.readings("bluestem"), before)
	b.tap("#note-latest button[data-does=withdraw]")
	b.until("document.querySelector('#note-distance').value === '2620' && " +
		"document.querySelector('#note-latest').hidden")
	b.note("C", "262")
	b.state("sent")

	b.note("C", "2620")
	b.says("#note-latest .fit", "2620 ft (798.6 m)?")
	b.tap("#note-latest button[data-does=keep]")
	b.state("sent")
	all := s.readings("bluestem")
	require.Len(t, all, before+2)
	assert.NotEmpty(t, s.reading("bluestem", 2620).ConfirmedAt)

	b.note("C", "0.5") // whatever anybody says
	b.says("#note-form", "No box tops out within 1 ft.")
}

func TestNotePage_AsksWithoutSignalAsFarAsTheChartKnows(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	phone := s.device(phone)
	b := phone.at("/note?sled=bluestem", true)
	b.signIn(managerKey)
	b.noted()
	phone.signal(b, false)
	b.note("C", "2620")
	b.state("waiting")
	b.says("#note-latest .fit", "2620 ft? This sled’s slowest gear tops out near 2")
	b.tap("#note-latest button[data-does=keep]")
	b.says("#note-latest", "Kept on this phone until there is signal.")
	phone.signal(b, true)
	await[int](b, "import('/assets/offline/queue.js').then(({flush}) => flush()).then(() => 0)")
	b.state("sent")
	assert.NotEmpty(t, s.reading("bluestem", 2620).ConfirmedAt, "it is not asked about twice")
}

func TestImport_AsksAboutRowsAndIsTakenBackAsOne(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.importing(desk)
	b.expectRefusals()
	s.call("POST", "/v1/sleds/bluestem/readings",
		map[string]any{"gear": "C", "distance_ft": 255, "measured_on": "2026-05-09"}, nil)
	before := s.everyReading()
	b.choose("notebook.csv", "sled,gear,distance_ft,measured_on\n"+
		"bluestem,C,255,2026-05-09\nbluestem,C,2540,2026-05-09\nfescue,2,259,2026-05-09\n")
	b.says("#import-count", "3 rows, and something is asked about them.")
	b.says("#import-faults", "2 the row Is stored already: 255 ft")
	b.says("#import-faults", "3 Distance 2540 ft (774.2 m)? This sled's slowest gear tops out near")
	assert.True(t, eval[bool](b, "document.querySelector('#import-store').disabled"))
	b.pick("#import-repeated input[value=skip]", "skip")
	b.until("!document.querySelector('#import-faults').innerText.includes('stored already')")
	b.pick("#import-unlikely input[value=keep]", "keep")
	b.says("#import-count", "3 rows, and all fit. 1 is left out, stored already.")
	b.says("#import-store", "Store 2 readings")
	b.press("#import-store")
	b.says("#import-stored", "2 readings of notebook.csv stored.")
	assert.Equal(t, before+2, s.everyReading())
	b.press("#import-back")
	b.says("#import-stored", "2 readings of notebook.csv taken back")
	assert.NotNil(t, s.reading("bluestem", 2540).SetAside)
	assert.NotNil(t, s.reading("fescue", 259).SetAside)
	b.press("#import-back")
	b.says("#import-stored", "2 readings of notebook.csv stored.")
	assert.Nil(t, s.reading("bluestem", 2540).SetAside)
}
