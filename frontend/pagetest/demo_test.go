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
	b.press("#demo button")
	b.until("document.querySelectorAll('#sleds > li').length === 1")
	b.says("#sleds", "Ours")
	assert.True(t, eval[bool](b, "document.querySelector('#demo').hidden"))

	// One sled of one's own: the page says what comes next.
	b.goTo("/")
	b.until("document.querySelector('.first-steps li')")
	b.says(".first-steps [aria-current]", "Ours is here. Add the other sled.")
}
