package pagetest

import (
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// The answer stands in the page as it comes, and stays: what the scripts put there is the same, at the same spot.
func TestFirstAnswer_StaysAsItCameWithThePage(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	for _, path := range []string{
		"/?sled=bluestem&gear=C&start=0&on=timothy", "/?sled=bluestem&gear=C&start=0&on=fescue&units=m",
		"/?top_out=252&start=0&on=fescue", "/pullers?show=" + demo.harvest + "&sled=bluestem&gear=D",
		"/pullers?show=" + demo.harvest + "&top_out=252&units=m",
	} {
		slow := &wire{latency: 150 * time.Millisecond, perByte: time.Second / 200_000}
		b := s.over(slow).deviceOn(phone).tab()
		b.beforeEveryPage(`window.seen = []; new MutationObserver(() => {
			const answer = document.querySelector('#answer'), headline = document.querySelector('#headline');
			if (!document.querySelector('#sure')) return; // which comes after it
			const now = answer.getAttribute('aria-busy') === 'true' ? 'busy' :
				headline.textContent + '|' + (document.querySelector('#meaning')?.textContent ?? '');
			if (seen.at(-1) !== now) seen.push(now);
		}).observe(document, {subtree: true, childList: true, attributes: true, characterData: true})`)
		b.goTo(path)
		b.until("document.querySelector('#answer').dataset.level")
		b.quiet()
		seen := eval[[]string](b, "seen")
		assert.Len(t, seen, 1, "%s: %q", path, seen)
		assert.Less(t, await[float64](b, shiftScript), 0.1, "%s: what was there moved", path)
		b.leave()
	}
}

// A browser's first answer is painted before the style sheets have come. One that was sent an answer before has them,
// and shows no plain type.
func TestFirstAnswer_IsPaintedBeforeTheStyleSheets(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	const stylesIn = `Array.from(document.querySelectorAll('link[rel=stylesheet]'), (l) => l.parentElement.localName)`
	for _, path := range []string{"/?sled=bluestem&gear=C&start=0&on=timothy",
		"/pullers?show=" + demo.harvest + "&sled=bluestem&gear=D"} {
		slow := &wire{hold: make(chan struct{})}
		release := sync.OnceFunc(func() { close(slow.hold) })
		defer release()
		b := s.over(slow).deviceOn(phone).tab()
		loaded := make(chan struct{})
		go func() {
			defer close(loaded)
			b.goTo(path)
		}()
		b.until("performance.getEntriesByName('first-contentful-paint').length > 0 && " +
			"document.querySelector('.unstyled').checkVisibility()")
		release()
		<-loaded
		b.quiet()
		assert.Equal(t, []string{"body", "body", "body"}, eval[[]string](b, stylesIn), path)
		assert.Contains(t, eval[string](b, "document.querySelector('.unstyled').textContent"), eval[string](b,
			"document.querySelector('#headline').textContent"), path)
		assert.False(t, eval[bool](b, "document.querySelector('.unstyled').checkVisibility()"), path)
		b.goTo(path)
		b.quiet()
		assert.Equal(t, []string{"head", "head", "head"}, eval[[]string](b, stylesIn), path)
		b.leave()
	}
}

// What is stored for when there is no signal are the pages as everybody gets them: no answer, whoever is signed in.
func TestFirstAnswer_IsInNoOfflineCopyOfAPage(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	phone := s.device(phone)
	for _, path := range []string{"/?sled=bluestem&gear=C&start=0&on=fescue",
		"/pullers?show=" + demo.harvest + "&sled=bluestem&gear=D"} {
		b := phone.at(path, true)
		b.says("#headline", "on Fescue")
		b.hasOfflineCopy()
		b.goTo(path)
		b.says("#headline", "on Fescue")
		held := await[map[string]bool](b, `(async () => {
			const found = {}, path = location.pathname + '?';
			for (const name of (await caches.keys()).filter((name) => name.startsWith('evenpull-pages-'))) {
				const set = await caches.open(name);
				for (const {url} of await set.keys()) {
					const at = new URL(url), text = await (await set.match(url)).text();
					const {headers} = await set.match(url);
					if (/html/.test(headers.get('Content-Type')))
						found[at.pathname + at.search] = text.includes('data-from-server') || headers.has('Link') ||
							path.startsWith(at.pathname + '?') && /Fescue|Bluestem/.test(text);
				}
			}
			return found;
		})()`)
		assert.Contains(t, held, "/pullers")
		for page, holds := range held {
			assert.False(t, holds, page)
		}
		b.leave()
	}
}
