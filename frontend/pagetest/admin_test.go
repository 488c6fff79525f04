package pagetest

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	browsers "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/chromedp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// admin opens the page of keys, history and copies, signed in with a key.
func (s site) admin(on screen, key string) *tab {
	s.t.Helper()
	b := s.open(on, "/admin")
	b.press("#not-manager button")
	b.giveKey(key)
	b.until("document.querySelector('#view').checkVisibility()")
	return b
}

func TestAdminPage_MakesShowsOnceAndEndsKeys(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.admin(phone, managerKey)
	b.expectRefusals()
	b.press("#make-fold summary")
	b.press("#key-form button[type=submit]")
	b.says("#key-form", "Say whose key it is.")
	b.says("#key-form", "Pick what it may do.")
	b.write("#key-name", "Harvest crew")
	b.pick("#key-form input[value=operator]", "operator")
	b.press("#key-form button[type=submit]")
	b.says("#new-key", "It is shown this once.")
	key := b.text("#new-key output")
	assert.Greater(t, len(key), 40)
	b.says("#keys-list", "Harvest crew Operator: readings, inspections, what a show was run with and how it went "+
		"never used")
	b.says("#history-list li:first-child", "The key set at the start made the key of Harvest crew, operator.")
	b.press("#new-key button:not(.primary)")
	b.until("document.querySelector('#new-key').hidden")
	assert.NotContains(t, eval[string](b, "document.documentElement.outerHTML"), key)
	b.goTo("/admin")
	b.says("#keys-list", "Harvest crew")
	assert.NotContains(t, eval[string](b, "document.documentElement.outerHTML"), key, "it is not shown again")

	// It does what it is for.
	crew := s.open(phone, "/note?sled=bluestem")
	crew.expectRefusals()
	crew.signIn(key)
	before := s.bluestems()
	crew.note("C", "254")
	crew.until("document.querySelector('#note-latest [data-state=sent], #note-latest[data-state=sent]')")
	require.Equal(t, before+1, s.bluestems())
	b.goTo("/admin")
	b.says("#keys-list", "last used today")

	b.press("#keys-list [aria-label='End the key of Harvest crew']")
	b.says("dialog[open]", "every browser signed in with it is signed out")
	b.press("dialog[open] button[type=button]")
	b.until("document.querySelector('dialog') === null")
	assert.Contains(t, b.text("#keys-list"), "Harvest crew", "canceled: nothing has ended")
	b.press("#keys-list [aria-label='End the key of Harvest crew']")
	b.press("dialog[open] .primary")
	b.says("#ended-summary", "1 key that ended")
	assert.NotContains(t, b.text("#keys-list"), "Harvest crew")
	b.press("#ended-fold summary")
	b.says("#ended-list", "Harvest crew")
	assert.Zero(t, eval[int](b, "document.querySelectorAll('#ended-list button').length"))
	crew.goTo("/fleet?sled=bluestem")
	crew.says("#who", "Sign in")
}

func TestAdminPage_SignsOutWhoEndsTheirOwnKey(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	key, _ := s.newKey("Second manager", "manager")
	b := s.admin(desk, key)
	b.says("#who", "Signed in as Second manager, manager.")
	b.expectRefusals()
	b.press("#keys-list [aria-label='End the key of Second manager']")
	b.press("dialog[open] .primary")
	b.says("#not-manager", "they need a manager’s key")
	assert.False(t, eval[bool](b, "document.querySelector('#view').checkVisibility()"))
	assert.Zero(t, eval[int](b, "document.querySelectorAll('#history-list li, #keys-list li').length"),
		"nothing of it stays on the page")
}

func TestAdminPage_TellsTheHistoryInSentences(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	operator, _ := s.newKey("Harvest crew", "operator")
	b := s.open(desk, "/note?sled=brome")
	b.signIn(operator)
	b.note("B", "297")
	b.until("document.querySelector('#note-latest [data-state=sent], #note-latest[data-state=sent]')")
	var sled map[string]any
	s.call("GET", "/v1/sleds/fescue", nil, &sled)
	class := s.class("Farm stock 9,500 lb", "C", "D")
	show := s.evening("Harvest pull", 10, "fescue", class)
	s.call("POST", "/v1/shows/"+show+"/classes/"+class+"/as-run",
		map[string]any{"from_hook": 1, "gear": "2", "start_ft": 0.5}, nil)
	s.call("PUT", "/v1/shows/"+show+"/classes/"+class+"/outcome",
		map[string]any{"hooks": 12, "full_pulls": 2, "felt": "hard"}, nil)
	s.change(show, map[string]any{"place": "Maple Park"})
	var readings readingList
	s.call("GET", "/v1/sleds/brome/readings?limit=1", nil, &readings)
	s.call("PATCH", "/v1/readings/"+readings.Items[0].ID,
		map[string]any{"set_aside": map[string]any{"reason": "the lever stood between two gears"}}, nil)
	s.call("POST", "/v1/readings", []any{
		map[string]any{"sled": "brome", "gear": "A", "distance_ft": 270, "measured_on": "2026-05-09"},
		map[string]any{"sled": "fescue", "gear": "2", "distance_ft": 262, "measured_on": "2026-05-09"},
	}, nil)

	b = s.admin(desk, managerKey)
	b.says("#history-list li:nth-child(1)", "The key set at the start added 2 readings at once to Brome, Fescue.")
	b.says("#history-list li:nth-child(2)", "a reading of Brome: B, 297 ft from full back.")
	b.says("#history-list", "Harvest crew added a reading to Brome: B, 297 ft from full back.")
	b.says("#history-list", "The key set at the start added the class Farm stock 9,500 lb.")
	b.says("#history-list", "The key set at the start added the show Harvest pull")
	b.says("#history-list", "The key set at the start noted what was set for Farm stock 9,500 lb at Harvest pull: 2 "+
		"from 0.5 ft forward, hook 1 on.")
	b.says("#history-list", "The key set at the start noted how Farm stock 9,500 lb went at Harvest pull.")

	// What changed is a small table of just that.
	moved := "[...document.querySelectorAll('#history-list li')].find((li) => li.textContent.includes('changed the " +
		"show'))"
	b.until(moved)
	eval[bool](b, "("+moved+".querySelector('summary').click(), true)")
	assert.Equal(t, "place Alder Fairground Maple Park",
		plain(eval[string](b, moved+".querySelector('tbody').innerText")))
	aside := "document.querySelector('#history-list li:nth-child(2)')"
	eval[bool](b, "("+aside+".querySelector('summary').click(), true)")
	assert.Contains(t, plain(eval[string](b, aside+".querySelector('tbody').innerText")),
		"the lever stood between two gears")
	eval[bool](b, "([...document.querySelectorAll('#history-list details')].forEach((d) => { d.open = true; }), true)")
	text := b.text("#history-list")
	for _, raw := range []string{"{", "[object", "undefined", "null", "_ft", "gear_id", "created_at", "topped-out"} {
		assert.NotContains(t, text, raw, "words, not codes")
	}

	// By sled and by person; the link keeps it, and the sled's page leads there.
	b.pick("#history-who", "Harvest crew")
	b.until("[...document.querySelectorAll('#history-list li')].every((li) => li.textContent.startsWith('Harvest " +
		"crew'))")
	assert.Equal(t, 1, eval[int](b, "document.querySelectorAll('#history-list li').length"))
	b.pick("#history-sled", "fescue")
	b.says("#history-about", "Nothing is in it.")
	b.pick("#history-who", "")
	b.says("#history-list", "added 2 readings at once")
	assert.NotContains(t, b.text("#history-list"), "Harvest crew added")
	assert.Equal(t, "?sled=fescue", eval[string](b, "location.search"))
	b.goTo("/fleet?sled=brome")
	b.until("document.querySelector('#history-link').getAttribute('href') === '/admin?sled=brome#history'")
	b.press("#history-link")
	b.until("location.pathname === '/admin' && document.querySelector('#history-sled')?.value === 'brome'")
	b.says("#history-list", "Harvest crew added a reading to Brome: B, 297 ft from full back.")
	b.press(".units input[value=m]")
	b.says("#history-list", "B, 90.53 m from full back.")
}

func TestAdminPage_ShowsOlderHistoryAtAButton(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	for i := range 40 {
		s.call("POST", "/v1/sleds/brome/readings",
			map[string]any{"gear": "B", "distance_ft": 280 + float64(i)/10, "measured_on": "2026-05-09"}, nil)
	}
	b := s.admin(phone, managerKey)
	b.until("document.querySelectorAll('#history-list li').length === 20")
	b.says("#history-list li:first-child", "283.9 ft")
	b.press("#history-more")
	b.until("document.querySelectorAll('#history-list li').length > 39")
	assert.Equal(t, 20, eval[int](b,
		"[...document.querySelectorAll('#history-list li')].indexOf(document.activeElement)"), "the keyboard goes "+
		"on where the older ones begin")
	said := eval[[]string](b, "[...document.querySelectorAll('#history-list li > p:first-child')].map((p) => "+
		"p.textContent)")
	seen := map[string]bool{}
	for _, sentence := range said[:40] {
		assert.False(t, seen[sentence], "twice: %s", sentence)
		seen[sentence] = true
	}
	assert.Contains(t, said[39], "280")
}

// bytes is what an address answers to the manager.
func (s site) bytes(path string) []byte {
	s.t.Helper()
	req, err := http.NewRequestWithContext(s.t.Context(), http.MethodGet, s.base+path, nil)
	require.NoError(s.t, err)
	req.Header.Set("Authorization", "Bearer "+managerKey)
	res, err := http.DefaultClient.Do(req)
	require.NoError(s.t, err)
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	require.NoError(s.t, err)
	require.Equal(s.t, http.StatusOK, res.StatusCode, string(body))
	return body
}

// downloadsTo has the browser put what is saved from now on into a folder. What it returns waits for a file whose name
// begins so to be there, and gives its path. What other tests save meanwhile lands there too.
func (b *tab) downloadsTo(dir, prefix string) func() string {
	b.t.Helper()
	ctx, cancel := context.WithCancel(b.window.ctx)
	b.t.Cleanup(cancel)
	names, done := map[string]string{}, make(chan string, 1)
	require.NoError(b.t, chromedp.ListenBrowser(ctx, func(event any) {
		switch e := event.(type) {
		case *browsers.EventDownloadWillBegin:
			names[e.GUID] = e.SuggestedFilename
		case *browsers.EventDownloadProgress:
			if name := names[e.GUID]; e.State == browsers.DownloadProgressStateCompleted &&
				strings.HasPrefix(name, prefix) {
				select {
				case done <- filepath.Join(dir, name):
				default: // told twice
				}
			}
		}
	}))
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		c, events := chromedp.FromContext(ctx), true
		_, err := cdp.Call(ctx, c.Browser, browsers.SetDownloadBehavior, browsers.SetDownloadBehaviorParams{
			Behavior: browsers.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir,
			BrowserContextID: c.BrowserContextID, EventsEnabled: &events,
		})
		return err
	}))
	return func() string {
		b.t.Helper()
		select {
		case file := <-done:
			return file
		case <-time.After(patience):
			require.FailNow(b.t, "nothing was saved")
			return ""
		}
	}
}

func TestAdminPage_SavesAFleetAndBringsItIntoAnotherInstallation(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.admin(desk, managerKey)
	b.says("#import-full", "A fleet comes only into an empty installation, and this one holds 6 sleds.")
	assert.False(t, eval[bool](b, "document.querySelector('#fleet-form').checkVisibility()"))
	dir := t.TempDir()
	saving := b.downloadsTo(dir, "evenpull-")
	b.press("#export")
	saved := saving()
	content, err := os.ReadFile(saved)
	require.NoError(t, err)
	require.True(t, json.Valid(content))
	assert.Equal(t, ".json", filepath.Ext(saved))
	assert.Equal(t, string(s.bytes("/v1/export")), string(content))

	other := serve(t)
	into := other.admin(phone, managerKey)
	into.expectRefusals()
	into.until("document.querySelector('#fleet-form').checkVisibility()")
	into.press("#fleet-form button[type=submit]")
	into.says("#fleet-form", "Choose the file that was saved.")
	put := func(file string) {
		t.Helper()
		into.do(chromedp.SetUploadFiles(chromedp.CSS("#fleet-file"), []string{file}))
		into.press("#fleet-form button[type=submit]")
	}
	wrong := filepath.Join(dir, "shopping.json")
	require.NoError(t, os.WriteFile(wrong, []byte(`{"format": "a shopping list"}`), 0o600))
	put(wrong)
	into.until("document.querySelector('#fleet-form .faults, #fleet-form .fault')")
	assert.NotContains(t, into.text("#fleet-form"), "{")
	put(saved)
	into.says("#fleet-status", "The fleet is here: 6 sleds,")
	into.says("#import-full", "this one holds 6 sleds")
	assert.False(t, eval[bool](into, "document.querySelector('#fleet-progress').checkVisibility()"))
	assert.Equal(t, string(content), string(other.bytes("/v1/export")), "lossless")
	into.goTo("/?sled=bluestem&gear=C&start=0&on=fescue")
	into.says("#headline", "on Fescue.")
}

func TestAdminPage_IsSoundOnEveryScreen(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--public-url", "https://sleds.example")
	s.newKey("A crew with a name that is so long that it takes more than one line on any telephone there ever was",
		"operator")
	s.newKey(strings.Repeat("w", 100), "promoter")
	for _, on := range inPart([]screen{phone, desk, {width: 360, height: 640, dark: true},
		{width: 1280, height: 900, dark: true}}, 2) {
		b := s.admin(on, managerKey)
		b.press("#make-fold summary")
		b.write("#key-name", "Lost phone")
		b.pick("#key-form input[value=operator]", "operator")
		b.press("#key-form button[type=submit]")
		b.until("document.querySelector('#new-key output')")
		b.until("document.querySelectorAll('#history-list li').length > 2")
		eval[bool](b, "([...document.querySelectorAll('main details')].forEach((d) => { d.open = true; }), true)")
		wide := eval[[]string](b, `[...document.querySelectorAll('body *')].filter((e) => e.getBoundingClientRect()
			.right > innerWidth + 1 && !e.closest('.scroll, .unseen')).map((e) => e.outerHTML.slice(0, 80))`)
		assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), int(on.width), "%s: %v", on, wide)
		small := eval[[]string](b, `[...document.querySelectorAll('button, select, summary, nav a, ' +
			'.button, input:not([type=radio]), ' +
			'.choice, .units label, .foot a')]
			.filter((e) => e.checkVisibility() && !e.closest('.scroll'))
			.filter((e) => { const box = e.getBoundingClientRect(); return box.height < 44 || box.width < 44; })
				.map((e) => e.outerHTML.slice(0, 80))`)
		assert.Empty(t, small, "%s: targets under 44 px", on)
		assert.Equal(t, 1, eval[int](b, `document.querySelectorAll('nav [aria-current=page]').length`))
		b.leave()
	}
	b := s.open(phone, "/admin")
	b.press("#who button")
	b.until("document.querySelector('dialog[open]')")
	assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), 360)
	assert.Empty(t, eval[[]string](b,
		fmt.Sprintf(`[...document.querySelectorAll('dialog button, dialog input')].filter((e) =>
			e.getBoundingClientRect().height < %d).map((e) => e.outerHTML)`, 44)))
}

// Signed out, signed in with everything opened, and with the dialogs: no breach that axe-core finds.
func TestAdminPage_BreaksNoGuideline(t *testing.T) {
	t.Parallel()
	axe := axeInFull(t)
	s := serve(t, "--demo", "--public-url", "https://sleds.example")
	for _, on := range inPart([]screen{phone, {width: 1280, height: 900, dark: true}}, 1) {
		b := s.open(on, "/admin")
		b.expectRefusals()
		sound := func(what string) {
			t.Helper()
			b.breaksNoGuideline(axe, fmt.Sprintf("%s at %s", what, on))
		}
		b.until("document.querySelector('#not-manager button')")
		sound("signed out")
		b.press("#not-manager button")
		b.giveKey("this-key-is-a-wrong-one")
		b.says("dialog[open] .fault", "This key is not valid.")
		sound("signing in")
		b.giveKey(managerKey)
		b.until("document.querySelectorAll('#history-list li').length > 2")
		b.press("#make-fold summary")
		b.write("#key-name", "Harvest crew")
		b.pick("#key-form input[value=operator]", "operator")
		b.press("#key-form button[type=submit]")
		b.until("document.querySelector('#new-key output')")
		eval[bool](b, "([...document.querySelectorAll('main details')].forEach((d) => { d.open = true; }), true)")
		sound("everything opened")
		b.press("#keys-list li:first-child button[aria-label^=End]")
		b.says("dialog[open]", "End the key of")
		sound("ending a key")
	}
}

func TestHistoryWords_TellEveryDifference(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(desk, "/help")
	for _, c := range []struct{ says, kind, before, after, want string }{
		{"blocks", "sled", `{loading: {blocks: [{lb: 2000, count: 9}]}}`, `{loading: {blocks: [{lb: 1500, count: 6}]}}`,
			"loading, blocks: 9 × 2,000 lb > 6 × 1,500 lb"},
		{"a part's length", "sled", `{driveline: {tire_circumference_ft: 10.561}}`,
			`{driveline: {tire_circumference_ft: 10.564}}`, "tire circumference: 10.561 ft > 10.564 ft"},
		{"the sled before a swap", "show", `{replaces: 'Bluestem'}`, `{replaces: 'Fescue'}`,
			"in place of: Bluestem > Fescue"},
		{"a corrected reading", "reading", `null`, `{replaces: '5'}`, "corrects another: none > yes"},
		{"the day of a weighing", "weighing", `null`, `{weighed_on: '2026-05-09'}`, "weighed on: none > May 9, 2026"},
		{"the step of a scale", "weighing", `null`, `{scale_step_lb: 0.4}`, "scale step: none > 0.4 lb"},
	} {
		got := await[[]string](b, `import('/assets/admin/historywords.js').then(({changedFields}) =>
			changedFields({kind: '`+c.kind+`', before: `+c.before+`, after: `+c.after+`},
				{sleds: new Map(), classes: new Map(), shows: new Map()}, 'ft')
				.map(({label, before, after}) => label + ': ' + before + ' > ' + after))`)
		assert.Equal(t, []string{c.want}, []string{plain(strings.Join(got, "; "))}, c.says)
	}
}
