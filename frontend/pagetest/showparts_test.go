package pagetest

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// On a phone, signed in, no part of a show's page is a roll of paper, and each loads its own modules only.
func TestShowPage_HasFourShortParts(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	var shows struct{ Items []struct{ ID string } }
	s.call("GET", "/v1/shows?limit=500", nil, &shows)
	b := s.open(phone, "/")
	b.signIn(managerKey)
	b.see(look{"/shows", "document.querySelector('#classes-list li')"})
	assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollHeight"), 3500, "the list")
	own := map[string]string{"sheet": "sheetpart", "run": "runpart", "book": "bookpart", "settings": "settingspart"}
	for _, show := range shows.Items {
		for part, module := range own {
			b.see(look{"/shows?show=" + show.ID + "&part=" + part,
				"document.querySelector('#show-parts [data-part=" + part + "][aria-current]')"})
			assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollHeight"), 3500,
				"%s of %s", part, show.ID)
			loaded := strings.Join(eval[[]string](b, `performance.getEntriesByType('resource').map(({ name }) => name)
				.filter((name) => /part\.js$/.test(name))`), " ")
			assert.Regexp(t, "^[^ ]*/"+module+`\.js$`, loaded)
		}
	}
}

func TestShowPage_NeedsNoSled(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(phone, "/shows")
	b.signIn(managerKey)
	b.goTo("/shows")
	b.press("#to-new-show")
	b.write("#new-show-name", "Spring pull")
	b.pick("#new-show-date", inDays(0))
	eval[bool](b, `([...document.querySelectorAll('#new-show .order ~ .actions button')].find((b) =>
		b.textContent === 'Add all').click(), true)`)
	b.press("#new-show button[type=submit]")
	b.says("#show-sled", "No sled is booked yet.")
	b.says("#sheet-unbooked", "No sled is booked yet, so there are no settings.")
	id := "spring-pull-" + inDays(0)
	assert.Equal(t, len(s.classes()), eval[int](b, "document.querySelectorAll('#sheet-body tbody tr').length"))
	assert.False(t, eval[bool](b, "document.querySelector('#sheet-doors').checkVisibility()"))
	assert.False(t, eval[bool](b, "document.querySelector('#night').checkVisibility()"))

	// Nothing public says that one is booked, nor breaks for want of one.
	for page, says := range map[string]string{"/pullers": "Which sled pulls is not known yet.", "/fence": "No sled yet",
		"/sheet": "No sled yet", "/shows": "no sled yet"} {
		b.goTo(page + "?show=" + id)
		if page == "/shows" { // the list
			b.goTo(page)
		}
		b.says("main", says)
		assert.NotContains(t, b.text("main"), "null", page)
		assert.NotContains(t, strings.ReplaceAll(b.text("main"), "No sled is booked", ""), "is booked", page)
	}
	b.goTo("/shows?part=run&show=" + id)
	b.says("#run-unbooked", "Book the one that pulls")
	assert.Zero(t, eval[int](b,
		"[...document.querySelectorAll('.run .set')].filter((f) => f.checkVisibility()).length"))

	b.press("#run-unbooked a")
	b.press("#candidates [data-sled=fescue] button")
	b.says("#changes h3", "The classes on Fescue")
	assert.NotContains(t, b.text("#changes"), "instead")
	b.press("#changes .primary")
	b.says("#show-sled", "Fescue is booked.")
	b.press("#unbook")
	b.says("#show-sled", "No sled is booked yet.")
}

// A crew opens it between two hooks: the class that is on is open, and in sight.
func TestShowPage_RunOpensOnTheClassThatIsOn(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	classes := s.eightClasses()
	id := s.evening("Harvest pull", 0, "fescue", classes...)
	b := s.open(phone, "/")
	b.signIn(managerKey)
	isOn := func(class string) {
		t.Helper()
		b.goTo("/shows?part=run&show=" + id)
		b.until("document.querySelector('.run[open]')")
		assert.Equal(t, []string{class},
			eval[[]string](b, "[...document.querySelectorAll('.run[open]')].map((r) => r.dataset.class)"))
		b.until(`(() => { const box = document.querySelector('.run[open] summary').getBoundingClientRect();
			return box.top >= 0 && box.bottom <= innerHeight; })()`)
		assert.Equal(t, "On now", b.text(".run[open] .now"))
	}
	isOn(classes[0])
	at := "/v1/shows/" + id + "/classes/"
	s.call("POST", at+classes[5]+"/as-run", map[string]any{"from_hook": 1, "gear": "2"}, nil)
	isOn(classes[5])
	s.call("PUT", at+classes[5]+"/outcome", map[string]any{"hooks": 9, "full_pulls": 1}, nil)
	isOn(classes[6])
}

// Over a poor line each floor of imports costs a journey there and back. Those of a part are asked for with the page,
// and with them what the part asks the API for at first.
func TestShowPage_FetchesItsPartAtOnce(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	for part, asks := range map[string]string{"": "/sheet", "sheet": "/sheet", "run": "/sheet", "book": "/candidates",
		"settings": "/v1/classes"} {
		b := s.over(&wire{latency: 250 * time.Millisecond}).deviceOn(phone).tab()
		b.goTo("/shows?show=" + demo.harvest + "&part=" + part)
		b.until("!document.querySelector('#show-view').hidden")
		b.quiet()
		begun := eval[struct{ Before, After []string }](b, `(() => {
			const all = performance.getEntriesByType('resource');
			const ran = all.find(({ name }) => name.endsWith('/shows.js')).responseEnd;
			const paths = (some) => some.map(({ name }) => new URL(name).pathname);
			return { before: paths(all.filter(({ startTime }) => startTime < ran)),
				after: paths(all.filter(({ startTime }) => startTime >= ran)) };
		})()`)
		assert.Contains(t, begun.Before, "/v1/shows/"+demo.harvest, part)
		assert.Contains(t, strings.Join(begun.Before, " "), asks, part)
		for _, name := range begun.After {
			assert.NotRegexp(t, `^/assets/(shows|model|lib)/`, name, part)
		}
		b.leave()
	}
}
