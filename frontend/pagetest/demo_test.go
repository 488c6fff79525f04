package pagetest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// From an empty installation into the demo with one button, and out again, as a manager.
func TestDemo_IsOneTapAwayAndGoesAgain(t *testing.T) {
	t.Parallel()
	s := serve(t)
	b := s.open(phone, "/")
	b.says("main", "No sleds yet.")
	b.until("document.querySelectorAll('.first-steps li').length === 3")
	b.says(".first-steps [aria-current]", "Add the first sled")
	b.expectRefusals()
	b.press(".first-steps .demo button")
	b.giveKey(managerKey)
	b.until("document.querySelector('#question')?.checkVisibility()")

	b.goTo("/fleet")
	b.says("#demo", "This is the invented demo fleet")
	b.until("document.querySelectorAll('#sleds > li').length === 6")
	s.call("POST", "/v1/sleds", map[string]any{"name": "Ours", "gears": []any{map[string]any{"label": "A"}}}, nil)
	assert.Contains(t, b.text("#sleds li:first-child"), "Invented for the demo")
	b.goTo("/?sled=bluestem&gear=C&start=0&on=fescue")
	b.says("#caution", "Invented for the demo, never measured: Bluestem, Fescue.")
	b.goTo("/lever?sled=timothy")
	b.says("#caution", "Invented for the demo, never measured: Timothy")

	// A class of one's own rests on it by now: it is named, and goes along when one says so.
	s.call("POST", "/v1/classes", map[string]any{"name": "Our stock class", "setting": map[string]any{"sled": "fescue",
		"gear": "2"}}, nil)
	b.goTo("/fleet")
	b.press("#demo button")
	b.says("dialog[open]", "cannot stay without it: Our stock class. ")
	b.press("dialog[open] button[type=button]")
	b.says("#demo", "Our stock class: set on a sled or a class of the demo")
	b.press("#demo button")
	b.press("dialog[open] .primary")
	b.until("document.querySelectorAll('#sleds > li').length === 1")
	b.says("#sleds", "Ours")
	assert.True(t, eval[bool](b, "document.querySelector('#demo').hidden"))

	// One sled of one's own: the page says what comes next.
	b.goTo("/")
	b.until("document.querySelector('.first-steps li')")
	b.says(".first-steps [aria-current]", "Ours is here. Add the other sled.")
}

// The pages that weigh sleds of the demo against each other say that they are invented.
func TestDemo_SaysOnItsPagesThatItIsInvented(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/")
	for path, sleds := range map[string]string{
		"/?sled=bluestem&gear=C&start=0&on=fescue":               "Bluestem, Fescue.",
		"/season?since=2026-01-01&until=2099-12-31":              "Fescue",
		"/shows?part=book&show=" + demo.evening:                  "Bluestem, Brome, Fescue, Ryegrass, Sedge, Timothy.",
		"/what-if?sled=brome&reference=bluestem&final_ratio=5.5": "Brome, Bluestem.",
		"/weights?sled=fescue":                                   "Fescue.",
		"/alike?reference=bluestem":                              "Bluestem, ",
		"/shows?show=" + demo.evening:                            "Timothy.",
		"/fence?show=" + demo.evening:                            "Timothy.",
	} {
		b.goTo(path)
		b.says("main", "Invented for the demo, never measured: ")
		b.quiet()
		assert.Contains(t, b.text("main"), sleds, path)
	}
}
