package pagetest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestOffline_ShowsTheLastAnswerAndSaysFromWhen(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	show := demo.harvest
	phone := s.device(phone)
	for _, page := range []struct{ path, selector, says string }{
		{"/pullers?show=" + show + "&sled=bluestem&gear=D&units=ft", "#headline", "on Fescue"},
		{"/?sled=bluestem&gear=C&start=0&on=fescue&units=ft", "#headline", "on Fescue."},
		{"/fleet?sled=brome", "#chart-fold", "In numbers"},
	} {
		first := phone.at(page.path, true)
		first.says(page.selector, page.says)
		first.hasOfflineCopy()
		before := first.text(page.selector)
		assert.Empty(t, first.text("#offline-notice"), "%s with signal", page.path)
		first.leave()

		again := phone.at(page.path, false)
		again.says(page.selector, page.says)
		assert.Equal(t, before, again.text(page.selector), page.path)
		again.says("#offline-notice", "no signal")
		assert.Regexp(t, `^As of \d{1,2}:\d\d [AP]M, no signal\. Try again$`, again.text("#offline-notice"), page.path)

		phone.signal(again, true)
		again.press("#offline-notice button")
		again.until("document.querySelector('#offline-notice') === null")
		again.says(page.selector, page.says)
		again.leave()
	}
}

func TestOffline_MakesUpNothingThatWasNeverSeen(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	phone := s.device(phone)
	first := phone.at("/?sled=bluestem&gear=C&start=0&on=fescue&units=ft", true)
	first.says("#headline", "on Fescue.")
	first.hasOfflineCopy()
	first.leave()
	again := phone.at("/?sled=bluestem&gear=D&start=0&on=fescue&units=ft", false)
	again.says("#headline", "No answer just now.")
	again.says("#meaning", "when there is signal")
}

// A page must never run with modules of another version: everything comes from one set, which is read as a whole.
func TestOffline_KeepsPagesAsOneSet(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	phone := s.device(phone)
	first := phone.at("/", true)
	first.hasOfflineCopy()
	missing := await[[]string](first, `(async () => {
		const {current, pages} = await (await (await caches.open('evenpull-state')).match('/state')).json();
		const set = await caches.open(current);
		const missing = [];
		for (const page of pages) {
			const kept = await set.match(page);
			if (!kept) { missing.push(page); continue; }
			for (const [, asset] of (await kept.text()).matchAll(/(?:src|href)="(\/assets\/[^"]+)"/g)) {
				if (!await set.match(asset)) missing.push(asset);
			}
		}
		for (const {url} of await set.keys()) {
			if (!url.endsWith('.js')) continue;
			for (const [, name] of (await (await set.match(url)).text())
				.matchAll(/^(?:import|export) [^']*from '(\.[^']+)'|(?:await|=>|[=,[]) import\('(\.[^']+)'/gm)
				.map(([, fixed, later]) => ['', fixed ?? later])) if (!await set.match(new URL(name,
				url))) missing.push(url + ': ' + name);
		}
		return missing;
	})()`)
	assert.Empty(t, missing)
	assert.Empty(t, await[[]string](first, `(async () => {
		const {current} = await (await (await caches.open('evenpull-state')).match('/state')).json();
		return (await (await caches.open(current)).keys()).map(({url}) => new URL(url).pathname)
			.filter((path) => path.endsWith('types.js'));
	})()`), "types alone, which nothing loads")
	first.leave()

	// All pages of a crew are there, whether they were opened or not.
	for path, says := range map[string]string{"/": "The question", "/fleet": "Add a sled",
		"/help": "Ten words of the trade", "/worked-out": "How it is worked out", "/measuring": "How to measure",
		"/pullers": "Evenpull"} {
		b := phone.at(path, false)
		b.says("body", says)
		b.leave()
	}
}

func TestOffline_ServesANewerPageFromTheNextVisitOn(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	desk := s.device(desk)
	b := desk.at("/", true)
	b.hasOfflineCopy()
	current := `caches.open('evenpull-state').then((all) => all.match('/state')).then((state) => state.json())
		.then(({current}) => current)`
	edition := `getComputedStyle(document.documentElement).getPropertyValue('--edition')`
	before := await[string](b, current)

	desk.wire.newer.Store(true)
	b.goTo("/")
	assert.Empty(t, eval[string](b, edition), "what was compared a moment ago is not compared again")
	assert.Equal(t, before, await[string](b, current))
	await[int](b, `(async () => {
		const all = await caches.open('evenpull-state'), state = await (await all.match('/state')).json();
		await all.put('/state', new Response(JSON.stringify({...state, since: 0})));
		return 0;
	})()`)
	b.goTo("/")
	assert.Empty(t, eval[string](b, edition), "a page runs with the set it was opened with")
	b.eventually(fmt.Sprintf("%s.then((current) => current !== %q)", current, before))
	b.goTo("/")
	assert.Equal(t, "newer", strings.TrimSpace(eval[string](b, edition)))
	assert.LessOrEqual(t, await[int](b,
		`caches.keys().then((names) => names.filter((name) => name.startsWith('evenpull-pages-')).length)`), 2)
}

func TestOffline_KeepsOnlyAnswersAndNotTooMany(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	phone := s.device(phone)
	b := phone.at("/", true)
	b.hasOfflineCopy()
	b.expectRefusals()
	const keys = `caches.open('evenpull-answers').then((all) => all.keys())
		.then((keys) => keys.map(({url}) => new URL(url).pathname + new URL(url).search))`
	keptURLs := func() []string {
		t.Helper()
		return await[[]string](b, keys)
	}
	ask := func(path, headers string) {
		t.Helper()
		await[int](b, fmt.Sprintf(`fetch(%q, {headers: {Accept: 'application/json', %s}})
			.then((answer) => answer.text()).then((text) => text.length)`, path, headers))
	}
	ask("/v1/sleds/nosuch", "")
	ask("/v1/sleds/brome", "Authorization: 'Bearer "+managerKey+"'")
	ask("/v1/sleds/fescue/readings.csv", "")
	ask("/v1/sleds/fescue", "")
	b.eventually(keys + ".then((kept) => kept.includes('/v1/sleds/fescue'))")
	assert.NotContains(t, keptURLs(), "/v1/sleds/nosuch", "a refusal is no answer")
	assert.NotContains(t, keptURLs(), "/v1/sleds/brome", "what a key was sent with is not kept")
	assert.NotContains(t, keptURLs(), "/v1/sleds/fescue/readings.csv", "a spreadsheet is saved by who wants it")

	await[int](b, `(async () => {
		for (let start = 0; start < 300; start++) {
			await (await fetch('/v1/sleds/bluestem/chart?start_ft=' + start / 10,
				{headers: {Accept: 'application/json'}})).text();
		}
		return 0;
	})()`)
	b.eventually(keys + ".then((kept) => kept.includes('/v1/sleds/bluestem/chart?start_ft=29.9') && kept.length <= " +
		"250)")
	assert.NotContains(t, keptURLs(), "/v1/sleds/fescue", "the oldest go first")
	assert.Contains(t, keptURLs(), "/v1/sleds/bluestem/chart?start_ft=20", "the newest stay")
}

func TestOffline_PaperIsOfTheTimeWhenItsAnswersWereStored(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	phone := s.device(desk)
	for _, page := range [][3]string{
		{"/sheet?show=" + demo.harvest, "#as-of", "As of May 9, 2026"},
		{"/lever?sled=fescue", "#holds", "Holds from May 9, 2026"},
	} {
		b := phone.at(page[0], true)
		b.hasOfflineCopy()
		await[int](b, `caches.open('evenpull-answers').then(async (answers) => {
			for (const asked of await answers.keys()) {
				const copy = await answers.match(asked), headers = new Headers(copy.headers);
				headers.set('Evenpull-Stored-At', '2026-05-09T12:00:00Z');
				await answers.put(asked, new Response(await copy.blob(), {headers}));
			}
			return 0;
		})`)
		b.leave()
		b = phone.at(page[0], false)
		b.says(page[1], page[2])
		phone.signal(b, true)
		b.leave()
	}
}

func TestOffline_SaysWhenAPageCannotBeKept(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/pullers")
	b.says("#headline", "What is your gear tonight?")
	assert.Empty(t, b.text("[data-offline-note]"), "over HTTPS or on this machine there is nothing to say")
	eval[bool](b, `(Object.defineProperty(window, 'isSecureContext', {value: false}),
		import('/assets/offline/offline.js').then(({startOffline}) => startOffline()), true)`)
	b.says("[data-offline-note]", "not served over HTTPS")
}
