package pagetest

import (
	"fmt"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// What a test does on a page, as a person would. Each waits until it can be done, and looks and does it in one go:
// between the two the page may draw it anew.

// pick chooses in a select or ticks a radio button, as a person's choice does.
func (b *tab) pick(selector, value string) {
	b.t.Helper()
	b.until(fmt.Sprintf(`(() => {
		const field = document.querySelector(%q), value = %q;
		if (!field || (field.options && ![...field.options].some((o) => o.value === value))) return false;
		if (field.type === 'radio') field.checked = true; else field.value = value;
		field.dispatchEvent(new Event('input', {bubbles: true}));
		field.dispatchEvent(new Event('change', {bubbles: true}));
		return true;
	})()`, selector, value))
}

// write types into a field that is empty or is to be overwritten.
func (b *tab) write(selector, text string) {
	b.t.Helper()
	b.until(fmt.Sprintf("(field => field?.checkVisibility() && (field.focus(), field.select(), "+
		"true))(document.querySelector(%q))", selector))
	b.do(chromedp.KeyEvent(text))
}

// signOut signs out by the menu behind the name in the header.
func (b *tab) signOut() {
	b.t.Helper()
	b.press("#who summary")
	b.press("#who details button")
}

// press presses a button, a link or what folds.
func (b *tab) press(selector string) {
	b.t.Helper()
	b.until(fmt.Sprintf("(thing => thing?.checkVisibility() && !thing.disabled && "+
		"(thing.click(), true))(document.querySelector(%q))", selector))
}

// tapScript waits on the page until an element is at the same place in two frames, and nothing covers its middle.
const tapScript = `new Promise((resolve) => {
	let last = {};
	const look = () => {
		const thing = document.querySelector(%[1]q);
		if (thing?.checkVisibility() && !thing.disabled) {
			thing.scrollIntoView({block: 'nearest'});
			const box = thing.getBoundingClientRect(), now = {X: box.x + box.width / 2, Y: box.y + box.height / 2};
			const there = document.elementFromPoint(now.X, now.Y);
			if (thing.contains(there) || there?.closest('label')?.contains(thing)) {
				if (now.X === last.X && now.Y === last.Y) {
					window.tapped = false; // the page may have drawn the element anew by then, so all of it listens
					window.watch?.abort();
					window.watch = new AbortController();
					document.addEventListener('click', ({ target }) => {
						window.tapped ||= target.closest(%[1]q) !== null;
					}, { capture: true, signal: window.watch.signal });
					return resolve(now);
				}
				last = now;
			}
		}
		requestAnimationFrame(look);
	};
	look();
})`

// tap taps the middle of an element as a finger does, once it has come to rest: what covers it takes the tap. Where the
// page draws it anew between press and release no element is tapped, and one taps again.
func (b *tab) tap(selector string) {
	b.t.Helper()
	for until := time.Now().Add(patience); ; {
		at := wait[struct{ X, Y float64 }](b, fmt.Sprintf(tapScript, selector),
			selector+" is there, at rest and uncovered")
		b.do(chromedp.MouseClickXY(at.X, at.Y))
		if wait[bool](b, "window.tapped !== false", "the tap is over") { // on another page nothing is known of it
			return
		}
		require.True(b.t, time.Now().Before(until), "%s takes no tap", selector)
	}
}

// giveKey answers the dialog that asks somebody to sign in.
func (b *tab) giveKey(key string) {
	b.t.Helper()
	b.until("document.activeElement?.id === 'sign-in-key' && document.activeElement.matches('dialog[open] *')")
	b.do(chromedp.KeyEvent(key + "\r"))
}

// reply answers the dialog that asks for a line of text.
func (b *tab) reply(text string) {
	b.t.Helper()
	b.until("document.activeElement?.id === 'dialog-text'")
	b.do(chromedp.KeyEvent(text + "\r"))
}
