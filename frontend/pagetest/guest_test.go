package pagetest

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// takingIn opens the page that takes in a sled of another crew, signed in.
func (s site) takingIn(on screen) *tab {
	s.t.Helper()
	b := s.open(on, "/worked-out")
	b.signIn(managerKey)
	b.goTo("/fleet")
	b.until("document.querySelector('#take-in-go')?.textContent === 'See what it would change'")
	b.quiet()
	return b
}

// chooseSled chooses a document of a sled.
func (b *tab) chooseSled(document string) {
	b.t.Helper()
	file := filepath.Join(b.t.TempDir(), "sled.json")
	require.NoError(b.t, os.WriteFile(file, []byte(document), 0o600))
	b.do(chromedp.SetUploadFiles(chromedp.CSS("#take-in-file"), []string{file}))
}

// guestOf takes a sled of another installation in, under a name where one is given.
func (s site) guestOf(owner site, sled, name string) {
	s.t.Helper()
	path := "/v1/sleds/import"
	if name != "" {
		path += "?name=" + name
	}
	s.call("POST", path, json.RawMessage(owner.bytes("/v1/sleds/"+sled+"/export")), nil)
}

// sameNumbers holds the numbers of two answers together, to 1e-9 of themselves, and says how many there are.
func sameNumbers(t *testing.T, at string, want, got any) (n int) {
	t.Helper()
	switch w := want.(type) {
	case float64:
		g, is := got.(float64)
		assert.True(t, is && math.Abs(w-g) <= 1e-9*max(1, math.Abs(w)), "%s: %v, %v", at, want, got)
		return 1
	case map[string]any:
		g, is := got.(map[string]any)
		require.True(t, is, at)
		delete(w, "in_words") // one sentence more
		for name := range w {
			n += sameNumbers(t, at+"."+name, w[name], g[name])
		}
	case []any:
		g, is := got.([]any)
		require.True(t, is && len(g) == len(w), at)
		for i := range w {
			n += sameNumbers(t, at, w[i], g[i])
		}
	}
	return n
}

// Two installations, each a program with its database and a device of its own. A crew gives two sleds away, one as a
// file and one through the share dialog of a phone; another crew, which has a Fescue too, takes them in. The answers
// between the two are the same there.
func TestGuest_IsGivenTakenInAndAnswersTheSame(t *testing.T) {
	t.Parallel()
	owner, here := serve(t, "--demo"), serve(t)
	here.call("POST", "/v1/sleds", map[string]any{"name": "Fescue", "gears": []any{map[string]any{"label": "1"}}}, nil)

	theirs := owner.device(phone).at("/worked-out", true)
	theirs.beforeEveryPage(`navigator.canShare = ({files}) => files[0].type === 'text/plain';
		navigator.share = async ({files}) => { window.shared = [files[0].name, await files[0].text()]; };`)
	theirs.signIn(managerKey)
	theirs.goTo("/fleet?sled=bluestem")
	saved := theirs.downloadsTo(t.TempDir(), "sled-bluestem-")
	theirs.press("#give summary")
	theirs.press("#give-save")
	file, err := os.ReadFile(saved())
	require.NoError(t, err)
	theirs.says("#give-status", "It is saved on this device.")
	assert.Equal(t, withoutTime(string(owner.bytes("/v1/sleds/bluestem/export"))), withoutTime(string(file)))
	theirs.goTo("/fleet?sled=fescue")
	theirs.hasOfflineCopy()
	assert.Empty(t, await[[]string](theirs, "caches.open('evenpull-answers').then((cache) => cache.keys())"+
		".then((keys) => keys.map(({url}) => url).filter((url) => url.includes('export')))"),
		"it is for managers alone")
	theirs.press("#give summary")
	theirs.press("#give-send")
	theirs.until("window.shared")
	shared := eval[[]string](theirs, "window.shared")
	assert.Regexp(t, `^sled-fescue-\d{4}-\d{2}-\d{2}\.txt$`, shared[0])
	theirs.fits(phone)

	ours := here.takingIn(desk)
	ours.expectRefusals()
	ours.chooseSled(string(file))
	ours.says("#take-in-status", "New here: Bluestem is a guest of Nonesuch Pulling Crew; its numbers are theirs, of ")
	ours.says("#take-in-status", "Nothing is stored yet.")
	assert.Equal(t, []string{"fescue"}, here.sleds(), "it was only looked at")
	ours.press("#take-in-go")
	ours.says("#take-in-status", "It is here: Bluestem")
	ours.until("document.querySelectorAll('#sleds > li').length === 2")
	ours.says("#sleds", "Bluestem is a guest of Nonesuch Pulling Crew")

	ours.chooseSled(shared[1])
	ours.says("#take-in-form .fault", `There is a sled "fescue" (Fescue) here`)
	ours.write("#take-in-name", "Ridge Fescue")
	ours.press("#take-in-go")
	ours.says("#take-in-status", "New here: Ridge Fescue is a guest of")
	ours.press("#take-in-go")
	ours.says("#take-in-status", "It is here: Ridge Fescue")
	assert.Equal(t, []string{"bluestem", "fescue", "ridge-fescue"}, here.sleds())

	for _, question := range []string{"sled=bluestem&gear=C", "sled=bluestem&gear=B&start_ft=2", "top_out_ft=255"} {
		var want, got any
		owner.call("GET", "/v1/equivalents?on=fescue&"+question, nil, &want)
		here.call("GET", "/v1/equivalents?on=ridge-fescue&"+question, nil, &got)
		assert.Greater(t, sameNumbers(t, question, want, got), 50)
	}
	theirs.goTo("/?sled=bluestem&gear=C&start=0&on=fescue")
	ours.goTo("/?sled=bluestem&gear=C&start=0&on=ridge-fescue")
	for _, b := range []*tab{theirs, ours} {
		b.until("document.querySelector('#asked')?.checkVisibility()")
	}
	assert.Equal(t, strings.ReplaceAll(theirs.text("#headline"), "Fescue", "Ridge Fescue"), ours.text("#headline"))
	assert.Equal(t, theirs.text("#meaning"), ours.text("#meaning"))
	assert.Equal(t, theirs.text("#sure"), ours.text("#sure"))
	ours.says("#rests", "Ridge Fescue is a guest of Nonesuch Pulling Crew; its numbers are theirs, of ")
	assert.NotContains(t, theirs.text("#rests"), "guest")
}

// A file that was ready for another tap is not sent any more once it is old: it is fetched anew.
func TestGuest_IsSentAsItIsNoted(t *testing.T) {
	t.Parallel()
	owner := serve(t, "--demo")
	b := owner.device(phone).at("/worked-out", true)
	b.beforeEveryPage(`navigator.canShare = () => true;
		Object.defineProperty(navigator, 'userActivation', { value: { isActive: false } });
		navigator.share = async ({files}) => {
			window.shared = (await files[0].text()).split('distance_ft').length - 1;
			throw new DOMException('', 'NotAllowedError');
		};`)
	b.signIn(managerKey)
	b.goTo("/fleet?sled=fescue")
	b.press("#give summary")
	sent := func() (readings int) {
		b.press("#give-send")
		b.until("window.shared")
		b.says("#give-status", "It is ready. Press again to send it.")
		return eval[int](b, "[window.shared, window.shared = 0][0]")
	}
	first := sent()
	owner.call("POST", "/v1/sleds/fescue/readings?unlikely=keep",
		map[string]any{"gear": "1", "start_ft": 0, "distance_ft": 290, "measured_on": "2026-05-09"}, nil)
	assert.Equal(t, first, sent())
	eval[bool](b, "(Date.now = ((now) => () => now() + 61_000)(Date.now), true)")
	assert.Equal(t, first+1, sent())
}

// withoutTime leaves out of a document of a sled when it was written.
func withoutTime(document string) string {
	before, after, _ := strings.Cut(document, `"as_of":"`)
	_, after, _ = strings.Cut(after, `"`)
	return before + `"as_of":"` + after
}

// sleds are the ids of the sleds there are.
func (s site) sleds() (ids []string) {
	s.t.Helper()
	var list sledList
	s.call("GET", "/v1/sleds", nil, &list)
	for _, one := range list.Items {
		ids = append(ids, one.ID)
	}
	return ids
}

// What cannot be given or taken in is refused in words where it was asked for, and nothing is lost.
func TestGuest_RefusesInWordsAtTheForm(t *testing.T) {
	t.Parallel()
	owner, here := serve(t, "--demo"), serve(t)
	document := string(owner.bytes("/v1/sleds/timothy/export"))
	b := here.takingIn(phone)
	b.expectRefusals()
	b.press("#take-in-go")
	b.says("#take-in-form .fault", "Choose the file that the other crew sent.")
	for _, c := range [][2]string{
		{document[:len(document)/2], "breaks off"},
		{"not a document", "JSON"},
		{strings.Replace(document, "sled-1", "sled-2", 1), "newer program"},
		{strings.Replace(document, `"distance_ft":`, `"distance_ft":-`, 1), "distance_ft"},
	} {
		b.chooseSled(c[0])
		b.says("#take-in-form .faults", c[1])
		assert.Equal(t, "See what it would change", b.text("#take-in-go"))
		assert.Equal(t, 1, eval[int](b, "document.querySelector('#take-in-file').files.length"),
			"the file is still there")
	}
	assert.Empty(t, here.sleds())
	b.chooseSled(document)
	b.says("#take-in-status", "Nothing is stored yet.")

	here.call("POST", "/v1/sleds",
		map[string]any{"name": "Nameless", "gears": []any{map[string]any{"label": "A"}}}, nil)
	b.goTo("/fleet?sled=nameless")
	b.press("#give summary")
	b.press("#give-save")
	b.says("#give-problem", "Note first whose sled Nameless is, as its owner")
	b.fits(phone)
}

// A guest says whose it is wherever it answers. Its names come from strangers. Without CI=true on a phone, and on the
// first of the pages.
func TestGuest_SaysWhoseItIsOnEveryPage(t *testing.T) {
	t.Parallel()
	owner, here := serve(t), serve(t, "--demo", "--public-url", "https://sleds.example")
	crew := named("crew")
	owner.call("POST", "/v1/sleds", map[string]any{"name": "Melick", "owner": crew, "travel_ft": 34,
		"gears": []any{map[string]any{"label": "1"}, map[string]any{"label": "2"}}}, nil)
	for i, gear := range []string{"1", "2"} {
		owner.call("POST", "/v1/sleds/melick/readings", map[string]any{"gear": gear, "distance_ft": 270 - 30*i,
			"measured_on": "2026-05-09", "by": named("by")}, nil)
	}
	owner.call("POST", "/v1/sleds/melick/weighings", map[string]any{"weighed_on": "2026-05-09", "box_at_ft": 0,
		"pan_lb": 12000}, nil)
	owner.call("POST", "/v1/sleds/melick/changes", map[string]any{"made_on": "2026-05-10", "what": named("change"),
		"effect": "by-ratio", "travel_ft": 33.5}, nil)
	here.guestOf(owner, "melick", "")
	here.call("POST", "/v1/sleds/melick/readings", map[string]any{"gear": "1", "distance_ft": 268,
		"measured_on": "2026-06-01"}, nil)
	show := here.evening("Harvest pull", 10, "melick")
	var hired struct{ ID string }
	here.call("POST", "/v1/classes", map[string]any{"name": "Hired",
		"setting": map[string]any{"sled": "melick", "gear": "1"}}, &hired)
	away := here.evening("Away", 11, "bluestem", hired.ID)
	whose := "Melick is a guest of " + crew + "; its numbers are theirs, of "
	axe := ""
	t.Run("axe-core is there", func(t *testing.T) { axe = axeInFull(t) })
	pages := []look{
		{"/?sled=bluestem&gear=C&start=0&on=melick", "#rests"},
		{"/?sled=bluestem&gear=C&start=0&on=melick", "#fleet-table-body"},
		{"/fleet", "#sleds"}, {"/fleet?sled=melick", "#guest"},
		{"/", "#ladders-list"}, {"/what-if?sled=melick", "#guest"}, {"/parts?sled=melick", "#guest"},
		{"/weights?sled=melick", "#guest"},
		{"/shows?show=" + show, "#sheet-once"}, {"/shows?part=book&show=" + show, "#candidates"},
		{"/sheet?show=" + show, "#guest"}, {"/fence?show=" + show, "#guest"},
		{"/sheet?show=" + away, "#guest"}, {"/fence?show=" + away, "#guest"}, {"/shows?show=" + away, "#sheet-once"},
		{"/pullers?show=" + show, "#guest"},
		{"/pullers?show=" + show + "&sled=bluestem&gear=C", "#why"},
		{"/alike?reference=bluestem", "#ranking"}, {"/lever?sled=melick", "#guest"},
	}
	dark := desk
	dark.dark = true
	for _, on := range inPart([]screen{phone, dark}, 1) {
		b := here.open(on, "/worked-out")
		b.signIn(managerKey)
		for _, page := range inPart(pages, 8) {
			where := fmt.Sprintf("%s at %s", page.path, on)
			b.goTo(page.path)
			b.until(fmt.Sprintf("(document.querySelector(%q)?.textContent ?? '').replace(/\\s+/g, ' ').includes(%q)",
				page.ready, whose))
			b.unfoldAll(page)
			assert.Zero(t, eval[int](b, `document.querySelectorAll('img[src="x"], [onerror]').length`), where)
			b.breaksNoGuideline(axe, where)
			b.isSound(where, sight{on, true})
			if page.path == "/sheet?show="+show || page.path == "/fence?show="+show ||
				page.path == "/lever?sled=melick" {
				for name, paper := range papers {
					assert.Equal(t, 1, b.pages(paper), "%s on %s", page.path, name)
				}
			}
		}
		b.goTo("/admin")
		b.says("#history-list", "took in the sled Melick, a guest of "+crew)
		b.says("#history-list", "added 1 weighing at once to Melick")
	}
}

// A guest's readings are set aside here and nothing else; those of this crew stand beside them with how they fit. A
// newer file takes nothing back.
func TestGuest_IsNotEditedHere(t *testing.T) {
	t.Parallel()
	owner, here := serve(t, "--demo"), serve(t)
	here.guestOf(owner, "bluestem", "")
	chart := here.chart("bluestem")
	expected, _ := here.notedChart("bluestem", "C", 0)
	for i, add := range []float64{0, 40} {
		here.call("POST", "/v1/sleds/bluestem/readings?unlikely=keep", map[string]any{"gear": "C",
			"distance_ft": math.Round(expected + add), "measured_on": inDays(i - 1)}, nil)
	}
	assert.Equal(t, chart, here.chart("bluestem"), "our own readings move nothing")

	b := here.open(phone, "/worked-out")
	b.signIn(managerKey)
	b.goTo("/fleet?sled=bluestem")
	b.says("#own-about", "Of 2 readings, 1 fits what Nonesuch Pulling Crew measured.")
	b.says("#own-list tbody tr:nth-child(1)", "Does not fit: ")
	b.says("#own-list tbody tr:nth-child(2)", "Fits: the owner's chart expects one pull at ")
	b.unfoldAll(look{path: "/fleet"})
	b.says("#chart-numbers", "That is how well Nonesuch Pulling Crew measures, whose sled it is.")
	b.until("document.querySelectorAll('#readings-list li').length > 10")
	buttons := eval[[]string](b, "[...document.querySelectorAll('#readings-list li')].map((item) => "+
		"[...item.querySelectorAll('button')].filter((one) => one.checkVisibility()).map((one) => "+
		"one.textContent).join())")
	assert.Equal(t, []string{"Set aside,Correct", "Set aside,Correct"}, buttons[:2], "our own")
	for _, of := range buttons[2:] {
		assert.Contains(t, []string{"Set aside", ""}, of)
	}
	for _, gone := range []string{"#give", "#advice", "#correct-gears", "#correct-owner"} {
		assert.False(t, eval[bool](b, fmt.Sprintf("document.querySelector(%q).checkVisibility()", gone)), gone)
	}
	b.press("#readings-list details:nth-of-type(3) li button") // the owner's
	b.reply("the wheel slipped")
	b.says("#readings-list", "Set aside: The wheel slipped.")
	b.until("document.activeElement.matches('#readings-list li')") // the keyboard goes back there

	b.write("#correct-name", "Ridge Bluestem")
	b.press("#correct-form [type=submit]")
	b.says("#sled-name", "Ridge Bluestem")

	owner.call("POST", "/v1/sleds/bluestem/readings", map[string]any{"gear": "C", "distance_ft": 256,
		"measured_on": "2026-07-01"}, nil)
	b.goTo("/fleet")
	b.until("document.querySelector('#take-in-go')?.textContent")
	b.quiet()
	b.chooseSled(string(owner.bytes("/v1/sleds/bluestem/export")))
	b.says("#take-in-status", "It brings 1 new reading")
	b.press("#take-in-go")
	b.says("#take-in-status", "It is here: Ridge Bluestem")
	for _, page := range []look{
		{"/parts?sled=bluestem", "#noted-fold, #change-fold, #timeline button"},
		{"/weights?sled=bluestem", "#weigh, #loading-fold"},
	} {
		b.goTo(page.path)
		b.says("#guest", "Ridge Bluestem is a guest of Nonesuch Pulling Crew")
		b.until("document.querySelector('#view')?.checkVisibility()")
		b.quiet()
		assert.Zero(t, eval[int](b, fmt.Sprintf(
			"[...document.querySelectorAll(%q)].filter((one) => one.checkVisibility()).length", page.ready)), page.path)
	}
	b.press("#weighings-list button") // on the page of its weights, where one can be set aside too
	b.reply("the scale stood on a slope")
	b.says("#weighings-list", "Set aside: The scale stood on a slope.")
	b.until("document.activeElement.matches('#weighings-list tr')")
	b.says("#weighings-list .actions:has([aria-label^=Bring])", "Bring back")
}

// How alike the fleet is and how the season went can be asked of one's own sleds alone; the link says so.
func TestGuest_IsLeftOutWhereOneWants(t *testing.T) {
	t.Parallel()
	owner, here := serve(t, "--demo"), serve(t, "--demo")
	b := here.open(phone, "/alike?reference=bluestem")
	b.until("document.querySelectorAll('#ranking tbody tr').length === 5")
	assert.False(t, eval[bool](b, "document.querySelector('[name=guests]').checkVisibility()"), "there is no guest")
	owner.call("POST", "/v1/sleds", map[string]any{"name": "Melick", "owner": "The Ridge Crew", "travel_ft": 34,
		"gears": []any{map[string]any{"label": "1"}}}, nil)
	owner.call("POST", "/v1/sleds/melick/readings", map[string]any{"gear": "1", "distance_ft": 262,
		"measured_on": "2026-05-09"}, nil)
	here.guestOf(owner, "melick", "")
	here.evening("Harvest pull", 1, "melick")

	b.goTo("/alike?reference=bluestem")
	b.until("document.querySelectorAll('#ranking tbody tr').length === 6")
	b.press("[name=guests]")
	b.until("document.querySelectorAll('#ranking tbody tr').length === 5 && " +
		"location.search.includes('guests=leave-out')")
	assert.Contains(t, eval[string](b, "document.querySelector('#ladders img').src"), "guests=leave-out")
	b.goTo("/alike?reference=bluestem&guests=leave-out")
	b.until("document.querySelectorAll('#ranking tbody tr').length === 5")
	b.fits(phone)

	span := "since=" + inDays(0) + "&until=" + inDays(5)
	b.goTo("/season?" + span)
	b.says("#about", "1 show from")
	b.press("[name=guests]")
	b.press("#span button")
	b.says("#about", "No shows in that time.")
	b.until("location.search.includes('guests=leave-out')")
	b.goTo("/season?guests=leave-out&" + span)
	b.says("#about", "No shows in that time.")
	assert.True(t, eval[bool](b, "document.querySelector('[name=guests]').checked"))
	b.fits(phone)
}
