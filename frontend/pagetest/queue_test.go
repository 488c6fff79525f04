package pagetest

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// harvestPull makes a class and a show of the demo fleet and returns the show's id.
func harvestPull(s site) string {
	s.t.Helper()
	var class struct{ ID string }
	s.call("POST", "/v1/classes", map[string]any{"name": "Farm 9500",
		"setting": map[string]any{"sled": "bluestem", "gear": "C"}}, &class)
	var show struct{ ID string }
	s.call("POST", "/v1/shows", map[string]any{"name": "Harvest Pull", "date": "2099-07-18", "sled": "fescue",
		"classes": []string{class.ID}}, &show)
	return show.ID
}

// recorded counts what the server has of Bluestem's readings and of the show's as-run lines.
func (s site) recorded(show string) (readings int, lines []string) {
	s.t.Helper()
	var list readingList
	s.call("GET", "/v1/sleds/bluestem/readings?limit=500", nil, &list)
	var sheet struct {
		Rows []struct {
			AsRun []struct{ Note string } `json:"as_run"`
		}
	}
	s.call("GET", "/v1/shows/"+show+"/sheet", nil, &sheet)
	for _, line := range sheet.Rows[0].AsRun {
		lines = append(lines, line.Note)
	}
	return len(list.Items), lines
}

// record sends something through the page's queue and returns what became of it.
func (b *tab) record(path string, body map[string]any, label string) string {
	b.t.Helper()
	text, err := json.Marshal(body)
	require.NoError(b.t, err)
	return await[string](b, fmt.Sprintf(`import('/assets/offline/queue.js')
		.then(({send}) => send({path: %q, body: %s, label: %q})).then(({status}) => status)`, path, text, label))
}

// waiting is the label and the status of everything in the queue.
func (b *tab) waiting() []string {
	b.t.Helper()
	return await[[]string](b, `import('/assets/offline/queue.js').then(({waiting}) => waiting())
		.then((all) => all.map(({label, status}) => status + ': ' + label))`)
}

func TestQueue_DeliversOnceWhatIsRecordedWithoutSignal(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := harvestPull(s)
	readingsBefore, _ := s.recorded(show)
	phone := s.device(phone)
	b := phone.at("/note?sled=bluestem", true)
	b.until("document.querySelector('#note-gears input')")
	b.hasOfflineCopy()

	phone.signal(b, false)
	for i, distance := range []string{"254", "255", "253.5", "254.5", "256"} {
		b.note("C", distance)
		b.says("#note-queue", fmt.Sprintf("%d thing", i+1))
	}
	b.says("#note-queue", "No signal.")
	asRun := "/v1/shows/" + show + "/classes/farm-9500/as-run"
	for hook, note := range map[int]string{1: "as planned", 5: "the test pull went full", 15: "pull-off"} {
		status := b.record(asRun, map[string]any{"from_hook": hook, "gear": "2", "note": note},
			fmt.Sprintf("As run, from hook %d", hook))
		assert.Equal(t, "waiting", status)
	}
	assert.Equal(t, "waiting", b.record(asRun, map[string]any{"from_hook": 2, "gear": "no such gear"},
		"As run, a wrong gear"))
	assert.Len(t, b.waiting(), 9)
	b.leave()
	readings, lines := s.recorded(show)
	assert.Equal(t, readingsBefore, readings, "nothing is sent without signal")
	assert.Empty(t, lines)

	// Opened again, still without signal: the page and what waits are there.
	b = phone.at("/note?sled=bluestem", false)
	b.says("#note-queue", "9 things waiting to be sent. No signal.")
	other := phone.at("/note?sled=bluestem", false)
	other.says("#note-queue", "9 things waiting")
	b.expectRefusals()
	other.expectRefusals()
	phone.signal(b, true)
	b.says("#note-queue", "Somebody has to sign in first.")
	phone.signal(other, true)
	b.press("#note-queue button.primary")
	b.giveKey(managerKey)
	await[int](b, `import('/assets/offline/queue.js').then(({flush}) => Promise.all([flush(), flush(), flush()]))
		.then(() => 0)`)
	b.until("!document.querySelector('#note-queue').innerText.includes('waiting')")

	readings, lines = s.recorded(show)
	assert.Equal(t, readingsBefore+5, readings)
	assert.ElementsMatch(t, []string{"as planned", "the test pull went full", "pull-off"}, lines)

	// What was refused is kept with its reason, in both tabs, until somebody discards it.
	assert.Equal(t, []string{"refused: As run, a wrong gear"}, b.waiting())
	b.says("#note-queue .refused", "no such gear")
	other.says("#note-queue .refused", "As run, a wrong gear")
	b.goTo("/note?sled=bluestem")
	b.press("#note-queue button[aria-label^='Try again']")
	b.says("#note-queue .refused", "no such gear")
	b.press("#note-queue button[aria-label^=Discard]")
	b.says("dialog[open]", "will never be sent")
	b.press("dialog[open] button[type=button]")
	assert.Len(t, b.waiting(), 1, "canceled: it is still there")
	b.press("#note-queue button[aria-label^=Discard]")
	b.press("dialog[open] button[type=submit]")
	b.until("document.querySelector('#note-queue').hidden")
	assert.Empty(t, b.waiting())
}

// The program has stored it, but the answer never came back: the same thing is sent again and stored once.
func TestQueue_StoresOnceWhatArrivedUnanswered(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := harvestPull(s)
	before, _ := s.recorded(show)
	w := &wire{}
	b := s.over(w).open(phone, "/fleet?sled=bluestem")
	b.until("document.querySelector('#chart-numbers tbody')")
	b.expectNoSignal()
	b.signIn(managerKey)
	w.mu.Lock()
	w.lose = 2
	w.mu.Unlock()
	reading := map[string]any{"gear": "C", "distance_ft": 254, "measured_on": "2026-05-09"}
	assert.Equal(t, "waiting", b.record("/v1/sleds/bluestem/readings", reading, "a reading"))
	stored, _ := s.recorded(show)
	assert.Equal(t, before+1, stored, "the program has it")
	flush := `import('/assets/offline/queue.js').then(({flush}) => flush()).then(() => 0)`
	await[int](b, flush)
	assert.Len(t, b.waiting(), 1, "the answer was lost once more")
	await[int](b, flush)
	assert.Empty(t, b.waiting())
	stored, _ = s.recorded(show)
	assert.Equal(t, before+1, stored)
	assert.Equal(t, "sent", b.record("/v1/sleds/bluestem/readings", reading, "the same once more, on purpose"))
	stored, _ = s.recorded(show)
	assert.Equal(t, before+2, stored)
}

func TestQueue_KeepsWhatWaitsOverAWrongKey(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := harvestPull(s)
	before, _ := s.recorded(show)
	b := s.open(phone, "/note?sled=bluestem")
	b.expectRefusals()
	b.note("C", "254")
	b.giveKey("this-key-is-a-wrong-one")
	b.says("dialog[open] .fault", "This key is not valid.")
	assert.Contains(t, b.text("dialog[open]"), "What you recorded is kept here")
	assert.Len(t, b.waiting(), 1)
	b.giveKey(managerKey)
	b.until("document.querySelector('#note-latest').dataset.state === 'sent'")
	assert.Empty(t, b.waiting())
	stored, _ := s.recorded(show)
	assert.Equal(t, before+1, stored)
}

// The answer to what Ann has sent is lost, and Bo signs in on the same phone. What comes again is stored already: the
// queue counts it as sent.
func TestQueue_CountsAsSentWhatSomebodyElseSentBefore(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	var ann, bo struct{ Key string }
	s.call("POST", "/v1/keys", map[string]any{"name": "Ann", "role": "operator"}, &ann)
	s.call("POST", "/v1/keys", map[string]any{"name": "Bo", "role": "operator"}, &bo)
	var before readingList
	s.call("GET", "/v1/sleds/bluestem/readings?limit=500", nil, &before)
	b := s.open(phone, "/worked-out")
	b.expectRefusals()
	b.signIn(bo.Key)
	b.goTo("/note?sled=bluestem")
	b.noted()
	// The same key, path and body as Ann's, which the phone has sent and has no answer of.
	body := `{"gear":"C","distance_ft":254,"measured_on":"2026-05-09"}`
	sent := await[int](b, fmt.Sprintf(`fetch('/v1/sleds/bluestem/readings', {method: 'POST', body: %q,
		credentials: 'omit',
		headers: {'Content-Type': 'application/json', 'Idempotency-Key': 'of-the-phone', Authorization: 'Bearer %s'}})
		.then(({status}) => status)`, body, ann.Key))
	require.Equal(t, 201, sent)
	status := await[string](b, fmt.Sprintf(`(async () => {
		const keys = crypto.randomUUID;
		crypto.randomUUID = () => 'of-the-phone';
		const {send} = await import('/assets/offline/queue.js');
		const outcome = await send({path: '/v1/sleds/bluestem/readings', body: JSON.parse(%q), label: 'C'});
		crypto.randomUUID = keys;
		return outcome.status;
	})()`, body))
	assert.Equal(t, "sent", status)
	assert.Empty(t, b.waiting())
	var after readingList
	s.call("GET", "/v1/sleds/bluestem/readings?limit=500", nil, &after)
	assert.Len(t, after.Items, len(before.Items)+1, "once")
}

// holdSends makes the page believe that it has no signal until sendHeld, and then holds what it sends first until
// letThrough.
func (b *tab) holdSends() {
	b.t.Helper()
	eval[bool](b, `(() => {
		const fetched = window.fetch;
		const through = new Promise((resolve) => { window.letThrough = () => resolve(true); });
		Object.defineProperty(navigator, 'onLine', { get: () => window.sending !== undefined });
		window.fetch = async (at, options) => {
			if (options?.method === 'POST') {
				window.sending = true;
				await through;
			}
			return fetched(at, options);
		};
		return true;
	})()`)
}

// sendHeld lets the queue send, and waits until the first is on its way.
func (b *tab) sendHeld() {
	b.t.Helper()
	eval[bool](b, `(window.sending = false, import('/assets/offline/queue.js').then(({flush}) => flush()), true)`)
	b.until("window.sending")
}

func TestQueue_SendsNothingThatWasDiscardedMeanwhile(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(phone, "/fleet?sled=bluestem")
	b.signIn(managerKey)
	b.holdSends()
	for _, distance := range []float64{254, 255, 256} {
		assert.Equal(t, "waiting", b.record("/v1/sleds/bluestem/readings",
			map[string]any{"gear": "C", "distance_ft": distance, "measured_on": "2026-05-09"}, fmt.Sprint(distance)))
	}
	b.sendHeld()
	await[int](b, `import('/assets/offline/queue.js').then(async ({discard, flush, waiting}) => {
		await discard((await waiting())[1].id);
		letThrough();
		await flush();
		return 0;
	})`)
	assert.Empty(t, b.waiting())
	var sent []float64
	for _, r := range s.readings("bluestem") {
		if r.MeasuredOn == "2026-05-09" && r.DistanceFt >= 254 && r.DistanceFt <= 256 && r.By == "" {
			sent = append(sent, r.DistanceFt)
		}
	}
	assert.Equal(t, []float64{256, 254}, sent)
}

func TestQueue_BringsNothingBackThatWasRemoved(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(phone, "/worked-out")
	left := await[int](b, `import('/assets/offline/queuestore.js').then(async ({add, change, getAll, remove}) => {
		const order = await add({key: 'k', path: '/', body: '{}', label: '', queuedAt: 0, status: 'waiting',
			problem: null});
		await Promise.all([change(order, {status: 'refused', problem: null}), remove(order)]);
		return (await getAll()).length;
	})`)
	assert.Zero(t, left)
}
