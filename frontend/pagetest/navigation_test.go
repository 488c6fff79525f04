package pagetest

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The header of every page, on the narrowest screen: what people do in one row, and the sign-in one tap away.
func TestNavigation_IsOneRowWithTheSignInAboveIt(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/healthz")
	b.expectRefusals() // of the icon that browsers ask for beside what is no page
	for path, at := range map[string]string{"/": "Tonight", "/note": "Note readings", "/season": "Shows",
		"/alike": "Fleet", "/help": "Help", "/worked-out": "Help", "/weighing": "Help", "/docs": "Help"} {
		b.goTo(path)
		b.until("document.querySelector('#who button')?.checkVisibility()")
		assert.Equal(t, []string{"Tonight", "Note readings", "Shows", "Fleet", "Help"},
			eval[[]string](b, "[...document.querySelectorAll('nav[aria-label=Main] a')].map((a) => a.textContent)"),
			path)
		assert.Equal(t, 1, eval[int](b, `new Set([...document.querySelectorAll('nav[aria-label=Main] a')]
			.map((a) => a.getBoundingClientRect().top)).size`), "%s: rows", path)
		assert.Equal(t, at, b.text("nav [aria-current=page]"), path)
		assert.Less(t, eval[float64](b, "document.querySelector('#who button').getBoundingClientRect().bottom"),
			60.0, path)
	}
}

// Every door of the help page leads somewhere, and the ten words are there.
func TestHelp_LeadsToWhatItNames(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/help")
	assert.Equal(t, 10, eval[int](b, "document.querySelectorAll('#words dt').length"))
	links := eval[[]string](b, "[...document.querySelectorAll('main a, footer a')].map((a) => a.getAttribute('href'))")
	assert.GreaterOrEqual(t, len(links), 12)
	for _, link := range links {
		res, err := http.Get(s.base + link)
		require.NoError(t, err)
		assert.NoError(t, res.Body.Close())
		assert.Equal(t, http.StatusOK, res.StatusCode, link)
	}
}

func TestNavigation_HowSureLeadsToItsPlace(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/?sled=bluestem&gear=C&start=0&on=fescue")
	b.press("#how-sure a")
	b.until("location.pathname === '/worked-out' && location.hash === '#how-sure'")
	b.says(":target", "How sure?")
	assert.Less(t, eval[float64](b, "document.querySelector('#statistics').getBoundingClientRect().top - "+
		"document.querySelector('#crew').getBoundingClientRect().top"), 1100.0, "a screen or so for a crew comes first")

	// It stands beside the numbers of every page that has any, and not on paper.
	const shown = "[...document.querySelectorAll('a[href=\"/worked-out#how-sure\"]')].some((a) => a.checkVisibility())"
	for _, path := range []string{"/alike?reference=bluestem", "/fleet?sled=fescue", "/weights?sled=fescue",
		"/shows?show=" + demo.evening, "/sheet?show=" + demo.evening, "/fence?show=" + demo.evening,
		"/lever?sled=fescue", "/pullers?show=" + demo.evening} {
		b.goTo(path)
		b.until(shown)
		if slices.Contains([]string{"sheet", "fence", "lever"},
			strings.Trim(eval[string](b, "location.pathname"), "/")) {
			b.onPaper(true)
			assert.False(t, eval[bool](b, shown), path)
			b.onPaper(false)
		}
	}
}
