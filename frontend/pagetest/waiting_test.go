package pagetest

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"github.com/stretchr/testify/require"
)

// waitScript waits on the page for an expression to be true, and looks again after everything that may have changed it:
// what is in the document, what is loaded, what has the focus, where the page is. A few things tell nobody, such as the
// value of a field that a script sets; for those it looks now and then.
const waitScript = `(() => {
	const holds = () => { try { return !!(%s); } catch { return false; } };
	if (holds()) return true;
	return new Promise((resolve) => {
		const events = ['load', 'error', 'input', 'change', 'toggle', 'focusin', 'focusout', 'popstate', 'hashchange',
			'submit', 'close'];
		let waiting = false, done = false;
		const look = () => {
			waiting = false;
			if (done || !holds()) return;
			done = true;
			changes.disconnect();
			for (const event of events) removeEventListener(event, soon, true);
			clearInterval(sometimes);
			resolve(true);
		};
		const soon = () => { if (!waiting && !done) setTimeout(look); waiting = true; };
		const changes = new MutationObserver(soon);
		changes.observe(document, { subtree: true, childList: true, attributes: true, characterData: true });
		for (const event of events) addEventListener(event, soon, true);
		const sometimes = setInterval(look, 50);
	});
})()`

// until waits for an expression to be true, on this page or on one that comes after it. (The library's own waiting
// compiles code on the page, which the Content-Security-Policy forbids.)
func (b *tab) until(expression string) {
	b.t.Helper()
	wait[bool](b, fmt.Sprintf(waitScript, expression), expression)
}

// eventually waits for a promise of what tells nobody when it changes, such as what the worker keeps, to be true.
func (b *tab) eventually(promise string) {
	b.t.Helper()
	wait[bool](b, fmt.Sprintf("(async () => { while (!await (%s)) await new Promise((resolve) => "+
		"setTimeout(resolve, 50)); return true; })()", promise), promise)
}

// wait runs a script that ends when something is so. Where the page goes meanwhile, the script begins again on the next
// one.
func wait[T any](b *tab, script, what string) T {
	b.t.Helper()
	for until := time.Now().Add(patience); ; time.Sleep(10 * time.Millisecond) {
		value, err := awaited[T](b, time.Until(until), script)
		if err == nil {
			return value
		}
		if time.Now().After(until) {
			require.FailNow(b.t, "it did not happen in time", "%s: %v\nunder way: %q\nthe page says: %s", what, err,
				b.open(), b.pageText())
		}
	}
}

// open lists what the page has asked for and not got yet.
func (b *tab) open() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Collect(maps.Values(b.underWay))
}

// says waits until an element says something.
func (b *tab) says(selector, what string) {
	b.t.Helper()
	b.until(fmt.Sprintf(`(document.querySelector(%q)?.innerText ?? '').replace(/\s+/g, ' ').includes(%q)`, selector,
		what))
}

// restScript waits until the page is loaded and its thread had nothing to do twice over, and says whether it shows that
// it waits for nothing.
const restScript = `new Promise((resolve) => {
	const free = (then) => () => requestIdleCallback(then, { timeout: 1000 });
	const rest = free(free(() => resolve(document.querySelector('#busy')?.hidden !== false)));
	if (document.readyState === 'complete') rest(); else addEventListener('load', rest, { once: true });
})`

// quiet waits until the page has no request under way and, with what came of the last one, begins none.
func (b *tab) quiet() {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.window.ctx, patience)
	defer cancel()
	for {
		open := b.open()
		b.mu.Lock()
		begun, ended := b.begun, b.ended
		b.mu.Unlock()
		if len(open) == 0 {
			rests, err := awaited[bool](b, patience, restScript)
			b.mu.Lock()
			still := len(b.underWay) == 0 && b.begun == begun
			b.mu.Unlock()
			if err == nil && rests && still {
				return
			}
			require.NoError(b.t, ctx.Err(), "the page does not come to rest")
			continue
		}
		select {
		case <-ended:
		case <-ctx.Done():
			require.FailNow(b.t, "still under way", "%v", open)
		}
	}
}

// hasOfflineCopy waits until all has come that the page asks for, and the worker has stored it and the pages.
func (b *tab) hasOfflineCopy() {
	b.t.Helper()
	b.quiet()
	b.eventually(`(async () => {
		const state = await (await caches.open('evenpull-state')).match('/state');
		const asked = performance.getEntriesByType('resource').map(({name}) => name)
			.filter((name) => name.includes('/v1/') && !name.endsWith('/v1/session'));
		const kept = (await (await caches.open('evenpull-answers')).keys()).map(({url}) => url);
		const pages = state ? (await state.json()).pages : [];
		return pages.includes(location.pathname) && asked.every((url) => kept.includes(url)) &&
			navigator.serviceWorker.controller !== null;
	})()`)
}
