package pagetest

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	goqr "github.com/piglig/go-qr"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scan reads the code on a screen as a phone's camera does, and returns the path and fragment of its link.
func (b *tab) scan(selector string) string {
	b.t.Helper()
	b.until(fmt.Sprintf(
		"(code => code?.checkVisibility() && (code.scrollIntoView(), true))(document.querySelector(%q))", selector))
	at := eval[struct{ Left, Top, Width, Height float64 }](b, fmt.Sprintf("(({left, top, width, height}) => "+
		"({Left: left, Top: top, Width: width, Height: height}))(document.querySelector(%q).getBoundingClientRect())",
		selector))
	picture, err := chromedp.Run(b.window.ctx, chromedp.CaptureScreenshot())
	require.NoError(b.t, err)
	screen, err := png.Decode(bytes.NewReader(picture))
	require.NoError(b.t, err)
	code := image.NewRGBA(image.Rect(0, 0, int(at.Width), int(at.Height)))
	draw.Draw(code, code.Bounds(), screen, image.Pt(int(at.Left+0.5), int(at.Top+0.5)), draw.Src)
	link, err := goqr.Decode(code)
	require.NoError(b.t, err)
	path, found := strings.CutPrefix(link, "https://sleds.example")
	require.True(b.t, found, link)
	return path
}

// From the manager's screen to the crew's phone: a key is made, its code scanned, and the crew notes readings, without
// a letter of the key being typed.
func TestSignInLink_SignsTheCrewsPhoneInFromTheManagersScreen(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--public-url", "https://sleds.example")
	manager := s.admin(desk, managerKey)
	manager.press("#make-fold summary")
	manager.write("#key-name", "Harvest crew")
	manager.pick("#key-form input[value=operator]", "operator")
	manager.press("#key-form button[type=submit]")
	manager.says("#new-key", "Point the phone’s camera at the code. It signs one phone in, once, until ")
	link := manager.scan("#new-key svg")

	crew := s.open(phone, link)
	crew.until("location.pathname === '/note' && document.querySelector('#note-gears label, #note-sled')")
	crew.says("#who", "Signed in as Harvest crew, operator.")
	assert.NotContains(t, eval[string](crew, "location.href + document.documentElement.outerHTML"),
		strings.TrimPrefix(link, "/sign-in#"))

	other := s.open(phone, "/worked-out") // which scans the same code after it
	other.expectRefusals()
	other.goTo(link)
	other.says("#state", "This sign-in link was used before or its time is over; ask for a new one. Whoever showed "+
		"the code can show another.")
	assert.Equal(t, "/sign-in", eval[string](other, "location.pathname + location.hash"))
	other.press("#choices button")
	other.giveKey(managerKey)
	other.until("location.pathname === '/'")

	// the list has a code for every key, at any time
	manager.press("#new-key .actions:last-child button:not(.primary)")
	manager.press("#keys-list [aria-label='Sign a phone in as Harvest crew']")
	manager.says("#new-key", "Sign a phone in as Harvest crew, operator")
	third := s.open(phone, manager.scan("#new-key svg"))
	third.says("#who", "Signed in as Harvest crew, operator.")
}

// A link asks before it signs somebody else out of this browser.
func TestSignInLink_LeavesWhoIsSignedInTheChoice(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--private", "--public-url", "https://sleds.example")
	_, id := s.newKey("Gate", "promoter")
	var made struct{ Link string }
	s.call("POST", "/v1/keys/"+id+"/link", nil, &made)
	b := s.open(phone, "/worked-out")
	b.signIn(managerKey)
	b.goTo(strings.TrimPrefix(made.Link, "https://sleds.example"))
	b.says("#state", "This browser is signed in as the key set at the start, manager.")
	b.press("#choices .primary")
	b.until("location.pathname === '/shows'")
	b.says("#who", "Signed in as Gate, promoter.")
	b.goTo("/sign-in")
	b.says("#state", "by the code or the link that a fleet manager shows")
}

// After a sign-in for what a note says is missing, the keyboard stands on that.
func TestSignIn_GoesOnWithWhatOneCameFor(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	key, _ := s.newKey("Gate", "promoter")
	b := s.open(phone, "/fleet?sled=bluestem")
	b.signIn(key)
	b.press("#enter .needs a")
	b.giveKey(managerKey)
	b.until("document.activeElement?.id === 'enter-link'")
}
