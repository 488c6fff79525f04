package pagetest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
)

// Every page on every screen, with everything that folds opened: no breach of WCAG 2.2 at level A or AA that axe-core
// finds, nothing stands out sideways, what a thumb is to hit is large enough, and each caution stands once. On phones
// nothing moves where no motion is wanted; on desks there is room for text at twice its size. Without CI=true a desk
// shows the first of the pages, and axe-core looks at the first.
func TestEveryPage_IsSoundOnEveryScreen(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	axe := ""
	t.Run("axe-core is there", func(t *testing.T) { axe = axeScript(t) })
	for _, on := range sights() {
		t.Run(on.String(), func(t *testing.T) {
			t.Parallel()
			b, cautions, pages := s.in(t).lookFrom(on), 0, looks()
			if on.width == desk.width {
				pages = inPart(pages, 8)
			}
			for i, page := range pages {
				where := fmt.Sprintf("%s at %s", page.path, on)
				b.see(page)
				cautions += b.saysEachCautionOnce(where)
				switch on.width {
				case phone.width:
					b.keepsStillWhereWanted(where)
				case desk.width:
					b.holdsTextAtTwiceItsSize(where, on)
				}
				b.unfoldAll(page)
				if inFull || i < 12 {
					b.breaksNoGuideline(axe, where)
				}
				b.isSound(where, on)
			}
			assert.Greater(t, cautions, len(pages))
		})
	}
}

// isSound looks at what can be measured on a page, with the changes of a show shown as well.
func (b *tab) isSound(where string, on sight) {
	b.t.Helper()
	eval[bool](b, "(document.querySelector('#candidates button:not([disabled])')?.click(), "+
		"document.querySelector('.lines button')?.click(), true)")
	b.until("!document.querySelector('#candidates button') || document.querySelector('#changes')?.checkVisibility()")
	b.quiet()
	wide := eval[[]string](b, `[...document.querySelectorAll('body *')].filter((e) => e.getBoundingClientRect()
		.right > innerWidth + 1 && !e.closest('.scroll, .unseen')).map((e) => e.outerHTML.slice(0, 80))`)
	assert.LessOrEqual(b.t, eval[int](b, "document.documentElement.scrollWidth"), int(on.width), "%s: %v", where, wide)
	assert.Equal(b.t, 1, eval[int](b, "[...document.querySelectorAll('h1')].filter((h) => h.checkVisibility()).length"),
		"%s: one heading", where)
	if !strings.HasPrefix(where, "/pullers") && !strings.HasPrefix(where, "/sign-in") { // behind no door of the header
		assert.Equal(b.t, 1, eval[int](b,
			`document.querySelectorAll('nav [aria-current=page], .foot [aria-current=page]')
				.length`), "%s: where one is", where)
	}
	small := eval[[]string](b, `[...document.querySelectorAll('button, select, summary, nav a, ' +
			'.button, input:not([type=radio]), ' +
		'.choice, .units label, .foot a')]
		.filter((e) => e.checkVisibility() && !e.closest('.scroll'))
		.filter((e) => { const box = e.getBoundingClientRect(); return box.height < 44 || box.width < 44; })
			.map((e) => e.outerHTML.slice(0, 80))`)
	assert.Empty(b.t, small, "%s: targets under 44 px", where)
	unnamed := eval[[]string](b, `[...document.querySelectorAll('input, select, textarea')].filter((e) =>
		!e.labels?.length && !e.getAttribute('aria-label')).map((e) => e.outerHTML.slice(0, 80))`)
	assert.Empty(b.t, unnamed, "%s: fields without a label", where)
	broken := eval[[]string](b, `[...document.images].filter((i) => !i.complete || i.naturalWidth === 0 ||
		!i.hasAttribute('alt')).map((i) => i.src)`)
	assert.Empty(b.t, broken, "%s: drawings", where)
	cramped := eval[[]string](b, `[...document.querySelectorAll('img.drawing')].filter((i) => i.checkVisibility() &&
		i.clientWidth < i.naturalWidth / 2).map((i) => i.src)`)
	assert.Empty(b.t, cramped, "%s: drawings whose letters, of 24 units, are under 12 px", where)
}

// keepsStillWhereWanted looks for what moves, fades or scrolls smoothly on a page for whoever asked the system for less
// motion.
func (b *tab) keepsStillWhereWanted(where string) {
	b.t.Helper()
	b.media("prefers-reduced-motion", "reduce")
	assert.Empty(b.t, eval[[]string](b, movingScript), where)
	b.media("prefers-reduced-motion", "no-preference")
}

const movingScript = `[...document.querySelectorAll('*')].filter((e) => ['', '::before', '::after'].some((part) => {
	const style = getComputedStyle(e, part), lasts = (times) => times.split(',').some((time) => parseFloat(time) > 0);
	return lasts(style.transitionDuration) || lasts(style.animationDuration) || style.scrollBehavior === 'smooth';
})).map((e) => e.outerHTML.slice(0, 100))`

// Without a wish for less motion the answer fades, so that keepsStillWhereWanted looks where there is something to see.
// What is sent before the script of a form listens to it goes nowhere, and nothing that was typed is lost.
func TestEveryPage_StaysWhenAFormIsSentThatNobodyListensTo(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	for _, path := range []string{"/fleet", "/shows", "/note"} {
		b := s.open(phone, path)
		b.quiet()
		eval[bool](b, `(() => {
			const form = document.createElement('form'), input = document.createElement('input');
			input.name = 'name';
			input.value = 'Foxtail';
			form.append(input);
			document.querySelector('main').append(form);
			form.requestSubmit();
			return true;
		})()`)
		b.quiet()
		assert.Equal(t, path, eval[string](b, "location.pathname + location.search"))
		assert.Equal(t, "Foxtail", eval[string](b, "document.querySelector('main > form:last-child input').value"),
			path)
		b.leave()
	}
}

func TestAnswerPage_FadesWhereMotionIsWanted(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(phone, "/")
	assert.NotEmpty(t, eval[[]string](b, movingScript))
}

// holdsTextAtTwiceItsSize makes the text of a page as large as WCAG 2.2 success criterion 1.4.4 asks, and back again:
// nothing lies outside the page.
func (b *tab) holdsTextAtTwiceItsSize(where string, on sight) {
	b.t.Helper()
	eval[bool](b, "(document.documentElement.style.fontSize = '200%', true)")
	wide := eval[[]string](b, `[...document.querySelectorAll('body *')].filter((e) => e.checkVisibility() &&
		e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.scroll, .unseen, pre'))
		.map((e) => e.outerHTML.slice(0, 80))`)
	assert.LessOrEqual(b.t, eval[int](b, "document.documentElement.scrollWidth"), int(on.width),
		"%s at twice the size: %v", where, wide)
	eval[bool](b, "(document.documentElement.style.fontSize = '', true)")
}

// With the keyboard alone, from the first stop to the last: every stop is seen, with a ring around it, and none is a
// trap. Without CI=true on a phone only, and on the first of the pages.
func TestEveryPage_ShowsEveryStopOfTheKeyboard(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	for _, on := range inPart([]sight{{phone, false}, {desk, true}}, 1) {
		t.Run(on.String(), func(t *testing.T) {
			t.Parallel()
			b := s.in(t).lookFrom(on)
			for _, page := range inPart(looks(), 10) {
				b.see(page)
				b.showsEveryStop(page, on)
			}
		})
	}
}

// showsEveryStop goes through a page with the tab key.
func (b *tab) showsEveryStop(page look, on sight) {
	b.t.Helper()
	want := eval[int](b, `document.querySelectorAll('a[href], button:not([disabled]), select, textarea, input, ' +
		'summary, [tabindex="0"]').length`)
	seen := map[string]bool{}
	first, last, ended := "", "", false
	for stop := range want + 20 {
		b.do(chromedp.KeyEvent(kb.Tab))
		at := eval[map[string]any](b, `(() => {
			const e = document.activeElement;
			if (!e || e === document.body) return { none: true };
			window.stops ??= new Map();
			if (!window.stops.has(e)) window.stops.set(e, String(window.stops.size));
			const box = e.getBoundingClientRect(), style = getComputedStyle(e);
			const label = e.matches('input[type=radio]') ? e.closest('label') : e;
			const ringed = [e, label, label?.querySelector('span')].some((of) => of && (getComputedStyle(of)
				.outlineStyle !== 'none' && parseFloat(getComputedStyle(of).outlineWidth) >= 2));
			return { id: window.stops.get(e), html: e.outerHTML.slice(0, 100), parts: e.matches("input[type=date]"),
				ringed, inSight: box.bottom > 0 && box.top < innerHeight && style.visibility !== 'hidden' };
		})()`)
		if at["none"] == true && !ended { // a page that puts the focus in its middle goes on at its top
			ended = true
			continue
		}
		if at["none"] == true {
			break
		}
		id := at["id"].(string)
		if id == last && at["parts"] == true {
			continue // a date has stops inside, with the browser's own ring
		}
		last = id
		if first == "" {
			first = id
		} else if id == first {
			break // around
		}
		assert.False(b.t, seen[id] && stop < want, "%s at %s: the keyboard is caught at %v", page.path, on, at["html"])
		seen[id] = true
		assert.Equal(b.t, true, at["ringed"], "%s at %s: no ring around %v", page.path, on, at["html"])
		assert.Equal(b.t, true, at["inSight"], "%s at %s: out of sight: %v", page.path, on, at["html"])
	}
	assert.Greater(b.t, len(seen), 5, page.path)
}
