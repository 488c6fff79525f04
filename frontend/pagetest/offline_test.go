package pagetest

import (
	"context"
	"fmt"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/iotest"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// device is a phone or a computer: its tabs share what is stored on it, and closing one loses nothing of that.
type device struct {
	site   site
	screen screen
	wire   *wire
	ctx    context.Context
}

func (s site) device(on screen) device {
	s.t.Helper()
	ctx, cancel := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	s.t.Cleanup(cancel)
	require.NoError(s.t, chromedp.Do(ctx))
	w := &wire{}
	return device{site: s.over(w), screen: on, wire: w, ctx: ctx}
}

// tab opens a tab with or without signal. The second is what closes it.
func (d device) tab(path string, signal bool) (*tab, func()) {
	d.site.t.Helper()
	ctx, cancel := context.WithCancel(d.ctx)
	b := d.site.tabOf(ctx, d.screen)
	d.signal(b, signal)
	b.goTo(path)
	return b, cancel
}

// signal puts a tab on or off the network. The browser's protocol does it for the page; for the worker, which it
// does not reach, the wire is cut.
func (d device) signal(b *tab, on bool) {
	b.t.Helper()
	b.mu.Lock()
	b.noSignal = b.noSignal || !on
	b.mu.Unlock()
	d.wire.cut.Store(!on)
	unlimited := -1.0
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		off := !on
		conditions := []*network.Conditions{{Offline: off, DownloadThroughput: unlimited, UploadThroughput: unlimited}}
		_, err := cdp.Call(ctx, t, network.EmulateNetworkConditionsByRule,
			network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: conditions})
		if err != nil {
			return err
		}
		_, err = cdp.Call(ctx, t, network.OverrideNetworkState,
			network.OverrideNetworkStateParams{Offline: off, DownloadThroughput: unlimited, UploadThroughput: unlimited})
		return err
	}))
}

// await evaluates an expression on the page and waits for its promise.
func await[T any](b *tab, expression string) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(b.t, err, expression)
	return value
}

// kept waits until the worker has kept the pages and what this one asked.
func (b *tab) kept() {
	b.t.Helper()
	require.Eventually(b.t, func() bool {
		return await[bool](b, `(async () => {
			const state = await (await caches.open('evenpull-state')).match('/state');
			const asked = performance.getEntriesByType('resource').map(({name}) => name).filter((name) => name.includes('/v1/') && !name.endsWith('/v1/session'));
			const kept = (await (await caches.open('evenpull-answers')).keys()).map(({url}) => url);
			const pages = state ? (await state.json()).pages : [];
			return pages.includes(location.pathname) && asked.every((url) => kept.includes(url)) && navigator.serviceWorker.controller !== null;
		})()`)
	}, patience, 10*lookEvery)
}

// wire stands between browser and program. It counts what comes back, the worker's share included, and can lose
// answers after the program has given them, or everything.
type wire struct {
	received atomic.Int64
	newer    atomic.Bool // the program has a newer /assets/tonight.css
	cut      atomic.Bool
	mu       sync.Mutex
	lose     int // how many of the next answers to a POST get lost
}

func (s site) over(w *wire) site {
	s.t.Helper()
	at, err := url.Parse(s.base)
	require.NoError(s.t, err)
	proxy := &httputil.ReverseProxy{
		Rewrite: func(r *httputil.ProxyRequest) {
			r.SetURL(at)
			if w.newer.Load() && r.In.URL.Path == "/assets/tonight.css" {
				r.Out.Header.Del("If-None-Match")
			}
		},
		FlushInterval: -1, // what there is of an answer goes out at once
		ErrorLog:      log.New(io.Discard, "", 0),
		ModifyResponse: func(r *http.Response) error {
			if w.newer.Load() && r.Request.URL.Path == "/assets/tonight.css" {
				r.Header.Set("ETag", `W/"newer"`)
				r.Header.Del("Content-Encoding")
				r.Header.Del("Content-Length")
				r.Body = io.NopCloser(strings.NewReader(":root { --edition: newer; }"))
			}
			w.mu.Lock()
			defer w.mu.Unlock()
			if r.Request.Method == http.MethodPost && w.lose > 0 {
				w.lose--
				// The head comes and the connection ends in the body: a browser sends again by itself what got no head.
				r.Body = io.NopCloser(io.MultiReader(strings.NewReader("{"), iotest.ErrReader(io.ErrUnexpectedEOF)))
			}
			return nil
		},
	}
	server := httptest.NewServer(http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		if w.cut.Load() {
			panic(http.ErrAbortHandler)
		}
		counted := &counting{ResponseWriter: out}
		defer func() { w.received.Add(counted.bytes) }()
		proxy.ServeHTTP(counted, r)
	}))
	s.t.Cleanup(server.Close)
	return site{t: s.t, base: server.URL}
}

// counting counts the body and the header lines of an answer.
type counting struct {
	http.ResponseWriter
	bytes int64
}

func (c *counting) WriteHeader(status int) {
	for name, values := range c.Header() {
		for _, value := range values {
			c.bytes += int64(len(name) + len(": ") + len(value) + len("\r\n"))
		}
	}
	c.ResponseWriter.WriteHeader(status)
}

func (c *counting) Unwrap() http.ResponseWriter { return c.ResponseWriter }

func (c *counting) Write(p []byte) (int, error) {
	n, err := c.ResponseWriter.Write(p)
	c.bytes += int64(n)
	return n, err
}

func TestOffline_ShowsTheLastAnswerAndSaysFromWhen(t *testing.T) {
	s := serve(t, "--demo")
	show := harvestPull(s)
	phone := s.device(phone)
	for _, page := range []struct{ path, selector, says string }{
		{"/pullers?show=" + show + "&sled=bluestem&gear=D&units=ft", "#headline", "on Fescue"},
		{"/?sled=bluestem&gear=C&start=0&on=fescue&units=ft", "#headline", "on Fescue."},
		{"/fleet?sled=brome", "#chart-body", "measured"},
	} {
		first, leave := phone.tab(page.path, true)
		first.says(page.selector, page.says)
		first.kept()
		before := first.text(page.selector)
		assert.Empty(t, first.text("#kept"), "%s with signal", page.path)
		leave()

		again, leave := phone.tab(page.path, false)
		again.says(page.selector, page.says)
		assert.Equal(t, before, again.text(page.selector), page.path)
		again.says("#kept", "no signal")
		assert.Regexp(t, `^As of \d\d:\d\d, no signal\. Try again$`, again.text("#kept"), page.path)

		phone.signal(again, true)
		again.press("#kept button")
		again.until("document.querySelector('#kept') === null")
		again.says(page.selector, page.says)
		leave()
	}
}

func TestOffline_MakesUpNothingThatWasNeverSeen(t *testing.T) {
	s := serve(t, "--demo")
	phone := s.device(phone)
	first, leave := phone.tab("/?sled=bluestem&gear=C&start=0&on=fescue&units=ft", true)
	first.says("#headline", "on Fescue.")
	first.kept()
	leave()
	again, _ := phone.tab("/?sled=bluestem&gear=D&start=0&on=fescue&units=ft", false)
	again.says("#headline", "No answer just now.")
	again.says("#meaning", "when there is signal")
}

// A page must never run with modules of another version: everything comes from one set, which is read as a whole.
func TestOffline_KeepsPagesAsOneSet(t *testing.T) {
	s := serve(t, "--demo")
	phone := s.device(phone)
	first, leave := phone.tab("/", true)
	first.kept()
	missing := await[[]string](first, `(async () => {
		const {current, pages} = await (await (await caches.open('evenpull-state')).match('/state')).json();
		const set = await caches.open(current);
		const missing = [];
		for (const page of pages) {
			const kept = await set.match(page);
			if (!kept) { missing.push(page); continue; }
			for (const [, asset] of (await kept.text()).matchAll(/(?:src|href)="(\/assets\/[^"]+)"/g)) if (!await set.match(asset)) missing.push(asset);
		}
		for (const {url} of await set.keys()) {
			if (!url.endsWith('.js')) continue;
			for (const [, name] of (await (await set.match(url)).text()).matchAll(/from '(\.[^']+)'/g)) if (!await set.match(new URL(name, url))) missing.push(url + ': ' + name);
		}
		return missing;
	})()`)
	assert.Empty(t, missing)
	leave()

	// All pages of a crew are there, whether they were opened or not.
	for path, says := range map[string]string{"/": "The question", "/fleet": "Add a sled", "/worked-out": "How it is worked out", "/measuring": "How to measure", "/pullers": "Evenpull"} {
		b, leave := phone.tab(path, false)
		b.says("body", says)
		leave()
	}
}

func TestOffline_ServesANewerPageFromTheNextVisitOn(t *testing.T) {
	s := serve(t, "--demo")
	desk := s.device(desk)
	b, _ := desk.tab("/", true)
	b.kept()
	current := `caches.open('evenpull-state').then((all) => all.match('/state')).then((state) => state.json()).then(({current}) => current)`
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
	require.Eventually(t, func() bool { return await[string](b, current) != before }, patience, 10*lookEvery)
	b.goTo("/")
	assert.Equal(t, "newer", strings.TrimSpace(eval[string](b, edition)))
	assert.LessOrEqual(t, await[int](b, `caches.keys().then((names) => names.filter((name) => name.startsWith('evenpull-pages-')).length)`), 2)
}

func TestOffline_KeepsOnlyAnswersAndNotTooMany(t *testing.T) {
	s := serve(t, "--demo")
	phone := s.device(phone)
	b, _ := phone.tab("/", true)
	b.kept()
	b.expectRefusals()
	keptURLs := func() []string {
		t.Helper()
		return await[[]string](b, `caches.open('evenpull-answers').then((all) => all.keys()).then((keys) => keys.map(({url}) => new URL(url).pathname + new URL(url).search))`)
	}
	ask := func(path, headers string) {
		t.Helper()
		await[int](b, fmt.Sprintf(`fetch(%q, {headers: {Accept: 'application/json', %s}}).then((answer) => answer.text()).then((text) => text.length)`, path, headers))
	}
	ask("/v1/sleds/nosuch", "")
	ask("/v1/sleds/brome", "Authorization: 'Bearer "+managerKey+"'")
	ask("/v1/sleds/fescue", "")
	require.Eventually(t, func() bool { return slices.Contains(keptURLs(), "/v1/sleds/fescue") }, patience, lookEvery)
	assert.NotContains(t, keptURLs(), "/v1/sleds/nosuch", "a refusal is no answer")
	assert.NotContains(t, keptURLs(), "/v1/sleds/brome", "what a key was sent with is not kept")

	await[int](b, `(async () => {
		for (let start = 0; start < 300; start++) {
			await (await fetch('/v1/sleds/bluestem/chart?start_ft=' + start / 10, {headers: {Accept: 'application/json'}})).text();
		}
		return 0;
	})()`)
	last := "/v1/sleds/bluestem/chart?start_ft=29.9"
	require.Eventually(t, func() bool { return slices.Contains(keptURLs(), last) && len(keptURLs()) <= 250 }, patience, 10*lookEvery)
	assert.NotContains(t, keptURLs(), "/v1/sleds/fescue", "the oldest go first")
	assert.Contains(t, keptURLs(), "/v1/sleds/bluestem/chart?start_ft=20", "the newest stay")
}

func TestOffline_SaysWhenAPageCannotBeKept(t *testing.T) {
	s := serve(t, "--demo")
	harvestPull(s)
	b := s.open(phone, "/pullers")
	b.says("#headline", "What is your gear tonight?")
	assert.Empty(t, b.text("[data-offline-note]"), "over HTTPS or on this machine there is nothing to say")
	eval[bool](b, `(Object.defineProperty(window, 'isSecureContext', {value: false}), import('/assets/offline.js').then(({startOffline}) => startOffline()), true)`)
	b.says("[data-offline-note]", "not served over HTTPS")
}
