package pagetest

import (
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The first steps stay until this browser has shown an answer between two sleds. One that never was on the way to it,
// as a second phone of the crew, does not see them.
func TestFirstSteps_StayUntilTheFirstAnswer(t *testing.T) {
	t.Parallel()
	s := serve(t)
	for _, name := range []string{"Foxtail", "Melick"} {
		s.call("POST", "/v1/sleds", map[string]any{"name": name, "gears": []any{map[string]any{"label": "A"}}}, nil)
	}
	b := s.open(phone, "/")
	b.says("#headline", "Nothing to compare yet.")
	b.says(".first-steps [aria-current=step]", "one marked pull for each gear is a beginning")
	b.press(".first-steps .button:not(.primary)")
	b.until("location.hash === '#known' && document.querySelector('#known').open && " +
		"document.querySelector('#known-grid tbody tr')")
	for _, sled := range []string{"foxtail", "melick"} {
		s.call("POST", "/v1/sleds/"+sled+"/readings",
			map[string]any{"gear": "A", "distance_ft": 280, "measured_on": "2026-05-09"}, nil)
	}
	for range 2 {
		b.goTo("/")
		b.says("#headline", "Which gear tops out nearest?")
		b.says(".first-steps", "Done: Two sleds have readings.")
		b.says(".first-steps [aria-current=step]", "Now ask above")
	}
	const steps = "document.querySelectorAll('.first-steps').length"
	b.goTo("/?top_out=280&start=0&on=melick")
	b.says("#headline", "A on Melick")
	other := s.open(phone, "/")
	other.says("#ladders-list", "Foxtail")
	other.quiet()
	assert.Zero(t, eval[int](other, steps))
	b.goTo("/")
	b.says(".first-steps [aria-current=step]", "Now ask above") // by a distance it is no answer between two sleds
	b.press("#ladders-list a[href*='sled=foxtail'][href*='gear=A']")
	b.says("#headline", "A on Melick") // the only other one
	b.until("localStorage.getItem('evenpull.on-the-way') === null")
	assert.Zero(t, eval[int](b, steps))
	b.goTo("/")
	b.says("#headline", "Which gear tops out nearest?")
	b.quiet()
	assert.Zero(t, eval[int](b, steps))
}

// clicked taps like a person and counts it.
type clicked struct {
	*tab
	clicks int
}

func (c *clicked) click(selector string) {
	c.t.Helper()
	c.tap(selector)
	c.clicks++
}

// From the link that the first start prints to the first right answer: at most fifteen clicks, and the numbers. What
// the page focuses by itself, and what Tab and Enter do, is no click.
func TestWalk_FromTheFirstStartToTheFirstAnswerInFifteenClicks(t *testing.T) {
	t.Parallel()
	needBrowser(t)
	running, err := startWith("", t.TempDir())
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, running.end()) })
	require.NotEmpty(t, running.link)
	s := site{t: t, base: running.base}
	b := &clicked{tab: s.deviceOn(desk).tab()}
	b.goTo(running.link)
	b.clicks++ // of the link
	for i, sled := range []struct{ name, gears, numbers string }{
		{"Bluestem", "A, B, C", "280\r260\r240\r"}, {"Fescue", "1, 2, 3", "272\r255\r231\r"},
	} {
		b.says("#who", "first key")
		b.until("location.pathname === '/'")
		b.click(".first-steps [aria-current] a.primary")
		b.until("document.activeElement?.id === 'add-name'")
		b.do(chromedp.KeyEvent(sled.name + "\t" + sled.gears))
		b.click("#add-form button[type=submit]")
		b.until("document.querySelector('#known-grid tbody')")
		b.click("#known-form label:has([value=measured])")
		b.click("#known-form [name=cell_0_0]")
		b.do(chromedp.KeyEvent(sled.numbers, func(key *input.DispatchKeyEventParams) {
			if key.Type == input.DispatchKeyEventTypeKeyDown { // as of a keyboard: what takes it leaves no character
				key.Type = input.DispatchKeyEventTypeRawKeyDown
			}
		}))
		b.until("document.activeElement?.matches('#known-form [type=submit]')")
		b.click("#known-form [type=submit]")
		b.says("#known-status", "3 readings saved as one day.")
		b.click("#known-status a")
		b.says("#main", []string{"Bluestem is here. Add the other sled.", "Still to pick: its gear."}[i])
	}
	b.click("#gears label:has([value='2'])")
	b.says("#asked", "2 on Fescue, from full back. Nearest on Bluestem:")
	b.says("#headline", "B on Bluestem.") // 260 ft lies 5 ft from 255 ft, 240 ft 15 ft
	b.says("#meaning", "5 ft later")
	assert.LessOrEqual(t, b.clicks, 15)
	t.Logf("%d clicks and the numbers", b.clicks)
}
