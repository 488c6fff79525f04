package pagetest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// allInSight is true when every control of a reading lies on the screen, at once and under nothing: the gears, the
// whole number pad, the fields and the three endings; and the places given.
func (b *tab) allInSight(places string) {
	b.t.Helper()
	b.until(`(() => {
		const all = [...document.querySelectorAll('#note-gears label, #note-start, #note-distance, #note-pad button, ' +
			'#note-endings button` + places + `')].filter((e) => e.checkVisibility());
		return all.length >= 6 + 2 + 13 + 3 && all.every((e) => {
			const box = e.getBoundingClientRect();
			const there = document.elementFromPoint((box.left + box.right) / 2, (box.top + box.bottom) / 2);
			return box.top >= 0 && box.bottom <= innerHeight && box.left >= 0 && box.right <= innerWidth &&
				(e.contains(there) || there?.contains(e));
		});
	})()`)
}

// A phone of 360 x 640 px, six gears, no signal: nothing has to be scrolled, for the first reading or the next.
func TestNotePage_NeedsNoScrollingWithSixGearsAndNoSignal(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	device := s.device(phone)
	b := device.at("/note?sled=fescue", true)
	b.signIn(managerKey)
	b.noted()
	b.allInSight("")
	b.hasOfflineCopy()
	b.leave()

	b = device.at("/note?sled=fescue", false)
	b.until("document.querySelector('#offline-notice')?.checkVisibility()")
	b.allInSight(", #offline-notice")
	b.tap("#note-gears input[value='2']")
	for _, distance := range []string{"258", "259"} {
		b.padded(distance)
		b.tap("#note-form button[value=topped-out]")
		b.says("#note-latest .what", "Fescue 2, "+distance+" ft")
		b.says("#note-latest .state", "Kept on this phone")
		b.allInSight(", #offline-notice, #note-latest button")
	}
}

// Nor where the last reading does not fit, and its card is the largest: with the notice, and with labels in two rows.
func TestNotePage_NeedsNoScrollingBesideACardThatSaysLook(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	for _, look := range inPart([]struct{ sled, gear, distance string }{
		{"fescue", "2", "290.5"}, {"timothy", "low 2", "243"}, {"fescue", "2", "243"}, {"fescue", "2", "120"},
	}, 2) {
		device := s.device(phone)
		b := device.at("/note?sled="+look.sled, true)
		b.signIn(managerKey)
		b.noted()
		b.hasOfflineCopy()
		b.leave()
		b = device.at("/note?sled="+look.sled, false)
		b.until("document.querySelector('#offline-notice')?.checkVisibility()")
		b.tap("#note-gears input[value='" + look.gear + "']")
		b.padded(look.distance)
		b.tap("#note-form button[value=topped-out]")
		b.says("#note-latest .sign", "Look")
		b.says("#note-latest .state", "Kept on this phone")
		notice := ", #offline-notice"
		if look.sled == "timothy" {
			notice = "" // its labels take two rows, and the page stands at the gears
		}
		b.allInSight(notice + ", #note-latest button")
		b.leave()
	}
}

// Six gears with labels that take two rows.
func TestNotePage_NeedsNoScrollingWithLongLabels(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=timothy")
	b.allInSight("")
	b.tap("#note-gears input[value='low 2']")
	b.padded("262")
	b.tap("#note-form button[value=topped-out]")
	b.state("sent")
	b.allInSight(", #note-latest button")
}

// At arm's length a card that fits and one that does not differ in its word, its shape and its color.
func TestNotePage_CardsDifferInWordShapeAndColor(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	for _, on := range []screen{phone, {width: 360, height: 640, dark: true}} {
		b := s.noting(on, "/note?sled=bluestem")
		seen := map[string][]string{}
		for _, card := range []struct{ gear, distance, word string }{{"C", "255", "OK"}, {"A", "243", "Look"}} {
			b.note(card.gear, card.distance)
			b.state("sent")
			b.says("#note-latest .sign", card.word)
			assert.Greater(t, eval[float64](b, "parseFloat(getComputedStyle("+
				"document.querySelector('#note-latest .sign'), '::before').width)"), 32.0)
			seen[card.word] = eval[[]string](b, `(() => {
				const card = getComputedStyle(document.querySelector('#note-latest'));
				const sign = getComputedStyle(document.querySelector('#note-latest .sign'), '::before');
				return [card.borderTopLeftRadius, card.borderTopColor, card.backgroundColor, sign.clipPath,
					sign.content];
			})()`)
		}
		for i, ok := range seen["OK"] {
			assert.NotEqual(t, ok, seen["Look"][i])
		}
		b.tap("#note-latest button[data-does=undo]")
		b.state("aside")
	}
}

// The wrong gear was tapped: one tap makes it the right one, with signal and without.
func TestNotePage_MakesItTheOtherGearInOneTap(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	own, _ := s.notedChart("bluestem", "D", 0)
	b := s.noting(phone, "/note?sled=bluestem")
	b.note("A", "243")
	b.state("sent")
	b.tap("#note-latest button[data-does=mend]")
	b.says("#note-latest .what", "Bluestem D, 243 ft")
	b.says("#note-latest .sign", "OK")
	assert.Equal(t, "D", s.reading("bluestem", 243).Gear)
	b.leave()

	device := s.device(phone)
	b = device.at("/note?sled=bluestem", true)
	b.signIn(managerKey)
	b.noted()
	b.hasOfflineCopy()
	device.signal(b, false)
	b.note("A", "244.5")
	b.says("#note-latest .state", "Kept on this phone")
	assert.InDelta(t, own, 244.5, 5)
	b.says("#note-latest .sign", "Look")
	assert.Equal(t, "Make it gear D", b.text("#note-latest button[data-does=regear]"))
	b.tap("#note-latest button[data-does=regear]")
	b.says("#note-latest .what", "Bluestem D, 244.5 ft")
	b.says("#note-latest .sign", "OK")
	b.says("#note-latest .state", "Kept on this phone")
	assert.Len(t, b.waiting(), 1)
	device.signal(b, true)
	b.until("document.querySelector('#note-latest').dataset.state === 'sent'")
	assert.Equal(t, "D", s.reading("bluestem", 244.5).Gear)
}

// What is on its way already when it becomes one of another gear is stored, and then set aside.
func TestNotePage_SetsAsideWhatWasOnItsWayInTheOtherGear(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=bluestem")
	b.holdSends()
	b.note("A", "244.5")
	b.state("waiting")
	b.sendHeld()
	b.tap("#note-latest button[data-does=regear]")
	b.says("#note-latest .what", "Bluestem D, 244.5 ft")
	eval[bool](b, "(letThrough(), true)")
	b.state("sent")
	b.eventually(`fetch('/v1/sleds/bluestem/readings').then((answer) => answer.json()).then(({items}) =>
		items.some((r) => r.distance_ft === 244.5 && r.gear === 'A' && r.set_aside))`)
	assert.Equal(t, "D", s.readings("bluestem")[0].Gear)
	assert.Nil(t, s.readings("bluestem")[0].SetAside)
}

// After Correct the page stands where it says that one is correcting.
func TestNotePage_StandsWhereItSaysThatOneIsCorrecting(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.noting(phone, "/note?sled=bluestem")
	const stands = `(() => {
		const box = document.querySelector('#correcting-about').getBoundingClientRect();
		return box.height > 0 && box.top >= 0 && box.bottom <= innerHeight / 2 &&
			document.activeElement.id === 'note-distance';
	})()`
	// From the list of readings.
	b.note("C", "254")
	b.state("sent")
	b.goTo("/fleet?sled=bluestem")
	b.press("#reading-" + s.reading("bluestem", 254).ID + " [aria-label^='Correct']")
	b.says("#correcting-about", "You are correcting C, 254 ft")
	b.until(stands)
	b.goTo("/note?sled=bluestem")

	// From a question.
	b.expectRefusals()
	b.note("C", "2540")
	b.says("#note-latest .fit", "2540 ft (774.2 m)? This sled's slowest gear tops out near")
	b.tap("#note-latest button[data-does=withdraw]")
	b.says("#correcting-about", "You are correcting C, 2540 ft")
	b.until(stands)
	b.write("#note-distance", "254.5")
	b.press("#note-form button[value=topped-out]")
	b.until("!document.querySelector('#correcting').checkVisibility()")
}
