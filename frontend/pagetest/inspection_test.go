package pagetest

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inspected gives a sled a list of what to look at every show, the first of which the numbers depend on, and returns
// the ids.
func (s site) inspected(sled string, words ...string) (ids []string) {
	s.t.Helper()
	items := make([]map[string]any, len(words))
	for i, what := range words {
		items[i] = map[string]any{"what": what, "every_shows": 1, "calibration": i == 0}
	}
	body, err := json.Marshal(map[string]any{"items": items})
	require.NoError(s.t, err)
	req, err := http.NewRequestWithContext(s.t.Context(), http.MethodPut, s.base+"/v1/sleds/"+sled+"/inspection-list",
		strings.NewReader(string(body)))
	require.NoError(s.t, err)
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Authorization", "Bearer "+managerKey)
	req.Header.Set("If-Match", "*")
	res, err := http.DefaultClient.Do(req)
	require.NoError(s.t, err)
	defer res.Body.Close()
	require.Equal(s.t, http.StatusOK, res.StatusCode)
	var list struct{ Items []struct{ ID string } }
	require.NoError(s.t, json.NewDecoder(res.Body).Decode(&list))
	for _, item := range list.Items {
		ids = append(ids, item.ID)
	}
	return ids
}

// looksOver signs one item for a show, "" for none.
func (s site) looksOver(sled, show, item string, found map[string]any) {
	s.t.Helper()
	found["item"] = item
	body := map[string]any{"on": inDays(0), "by": "Ann", "items": []any{found}}
	if show != "" {
		body["show"] = show
	}
	s.call("POST", "/v1/sleds/"+sled+"/inspections", body, nil)
}

type inspection struct {
	What, Note, Done, By, Show string
	Well                       bool
	SignedBy                   string `json:"signed_by"`
}

// signed is what was found of a sled, oldest first.
func (s site) signed(sled string) (all []inspection) {
	s.t.Helper()
	var page struct{ Items []inspection }
	s.call("GET", "/v1/sleds/"+sled+"/inspections?limit=500", nil, &page)
	for i := range page.Items {
		all = append(all, page.Items[len(page.Items)-1-i])
	}
	return all
}

// dueCount waits until so many lines are due.
func (b *tab) dueCount(n int) {
	b.t.Helper()
	b.until(fmt.Sprintf("document.querySelectorAll('#due-list [data-due]').length === %d", n))
}

// Beside the sled, without signal: every tap is kept, over a reload too, and sent once.
func TestInspectionPage_SignsWithoutSignalAndSendsItOnce(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := s.evening("Harvest pull", 0, "fescue")
	s.inspected("fescue", "Chains", "Guards", "Blocks")
	operator, _ := s.newKey("Gate crew", "operator")
	phone := s.device(phone)
	b := phone.at("/inspection?sled=fescue", true)
	b.signIn(operator)
	b.dueCount(3)
	b.says("#due-heading", "Due for Harvest pull")
	b.hasOfflineCopy()
	b.eventually("caches.match('/v1/sleds/fescue/due').then((copy) => copy !== undefined)")

	phone.signal(b, false)
	b.tap("#due-list [data-due] .primary")
	b.dueCount(2)
	b.says("#due-list", "kept on this device until it is sent")
	b.press("#due-list [data-due] button:not(.primary)")
	b.reply("one is loose")
	b.says("#open-list", "one is loose")
	b.dueCount(1)
	assert.Equal(t, []string{"waiting: Fescue, Chains: looked at, well",
		"waiting: Fescue, Guards: not well: one is loose"}, b.waiting())
	b.leave()
	assert.Empty(t, s.signed("fescue"))

	b = phone.at("/inspection?sled=fescue", false)
	b.dueCount(1)
	b.says("#open-list", "one is loose")
	b.says("#queue", "2 things waiting to be sent. No signal.")
	b.tap("#due-list [data-due] .primary")
	b.dueCount(0)
	b.says("#due-none", "not that the sled may pull")
	b.until(`(document.querySelector("#due-list [aria-label='Take back: Blocks']")?.click(),
		document.querySelectorAll('#due-list [data-due]').length === 1)`) // never sent: it only leaves the queue
	phone.signal(b, true)
	await[int](b, "import('/assets/offline/queue.js').then(({flush}) => Promise.all([flush(), flush()])).then(() => 0)")
	b.until("document.querySelector('#queue').hidden")
	b.says("#open-list", "Gate crew, today")
	b.dueCount(1)
	assert.Equal(t, []inspection{
		{What: "Chains", Well: true, By: "Gate crew", SignedBy: "Gate crew", Show: show},
		{What: "Guards", Note: "one is loose", By: "Gate crew", SignedBy: "Gate crew", Show: show},
	}, s.signed("fescue"))
}

// What is not well stands on top of the sled, of its show and of its cab sheet until somebody writes what was done.
// Then the page offers to note a change of parts, where the numbers depend on it.
func TestInspectionPage_HoldsWhatIsNotWellUntilSomebodyWritesWhatWasDone(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := s.evening("Harvest pull", 0, "fescue")
	chains := s.inspected("fescue", "Chains", "Guards")[0]
	s.looksOver("fescue", show, chains, map[string]any{"well": false, "note": "a link is cracked"})
	s.looksOver("fescue", show, chains, map[string]any{"well": true}) // somebody else looks, and sees nothing
	b := s.open(phone, "/")
	b.signIn(managerKey)
	const notWell = "Not well on Fescue, and nobody has written what was done: Chains: a link is cracked Ann"
	for path, place := range map[string]string{"/fleet?sled=fescue": "#before-hook",
		"/shows?show=" + show: "#before-hook-body", "/sheet?show=" + show: "#before-hook"} {
		b.goTo(path)
		b.says(place, notWell)
	}
	b.goTo("/shows?show=" + show)
	b.says("#before-hook", "Chains: not well: a link is cracked Ann (the key set at the start), today")
	b.press("#before-hook a.button")
	b.says("#open-list", "a link is cracked")
	b.press("#by-summary")
	b.write("#by", "Bo")
	b.press("#open-list button")
	b.reply("a new chain")
	b.until("document.querySelector('#open').hidden")
	b.says("#part-changed", "hold only while the sled is as it was measured")
	b.says("#due-list", "Done: a new chain. Bo (the key set at the start), today")
	b.press("#part-changed a")
	b.until("document.querySelector('#change-form')?.checkVisibility()")
	assert.Equal(t, []string{"Chains: a new chain", inDays(0)},
		eval[[]string](b, "['what', 'made_on'].map((id) => document.getElementById(id).value)"))
	for path, there := range map[string]string{"/fleet?sled=fescue": "#before-hook a",
		"/sheet?show=" + show: "#before-hook li"} {
		b.goTo(path)
		b.until(fmt.Sprintf("document.querySelector(%q)?.checkVisibility()", there))
		assert.NotContains(t, b.text("main"), "cracked", path)
	}
	b.goTo("/admin#history")
	b.says("#history-list", "The key set at the start signed an inspection on Fescue: Chains, looked at, well. "+
		"Done: a new chain.")
}

// A second tap of a gloved thumb meets what is under it by then, and must do nothing.
func TestInspectionPage_TakesADoubleTapForOne(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.inspected("fescue", "Chains", "Guards")
	b := s.open(phone, "/inspection?sled=fescue")
	b.signIn(managerKey)
	b.dueCount(2)
	await[bool](b, `new Promise((resolve) => {
		const back = () => document.querySelector("#due-list [aria-label='Take back: Chains']");
		new MutationObserver((_, self) => { if (back()) { self.disconnect(); back().click(); resolve(true); } })
			.observe(document.body, { subtree: true, childList: true });
		const well = document.querySelector('#due-list .primary');
		well.click();
		well.click();
	})`)
	b.quiet()
	b.dueCount(1)
	assert.Len(t, s.signed("fescue"), 1)
	b.until(`(document.querySelector("#due-list [aria-label='Take back: Chains']")?.click(),
		document.querySelectorAll('#due-list [data-due]').length === 2)`)
	assert.Empty(t, s.signed("fescue"))
}

func TestInspectionPage_TakesBackWhatWasOnItsWay(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.inspected("fescue", "Chains")
	b := s.open(phone, "/worked-out")
	b.signIn(managerKey)
	b.goTo("/inspection?sled=fescue")
	b.dueCount(1)
	b.holdSends()
	b.tap("#due-list [data-due] .primary")
	b.says("#due-list", "kept on this device until it is sent")
	b.sendHeld()
	const back = "document.querySelector(\"#due-list [aria-label='Take back: Chains']\")"
	b.until("(" + back + "?.click(), !" + back + ")") // once it is no double tap
	assert.Empty(t, b.waiting())
	eval[bool](b, "(letThrough(), true)")
	b.eventually(`fetch('/v1/history?limit=1').then((answer) => answer.json()).then(({items}) =>
		items[0].kind === 'inspection' && items[0].act === 'removed')`)
	assert.Empty(t, s.signed("fescue"))
	b.dueCount(1)
}

func TestInspectionPage_ListIsForManagersToChange(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(phone, "/inspection?sled=fescue")
	b.expectRefusals()
	b.signIn(managerKey)
	b.says("#offer-form", "common practice, no source")
	b.press("#offer-form button")
	b.says("#offer-form .faults", "Check the lines")
	for _, n := range []int{3, 12} {
		b.press(fmt.Sprintf("#offered label:nth-of-type(%d) input", n))
	}
	b.press("#offer-form button")
	b.dueCount(2)
	b.says("#due-list", "Chains and their attachment every show · the numbers hold only while it is as it was")
	b.until("!document.querySelector('#offer-form').checkVisibility()")

	b.press("#list-fold summary")
	b.write("#rows li:first-child input", "Chains, pins and shackles")
	b.pick("#rows li:first-child select", "every_days")
	b.write("#rows li:first-child .count", "often")
	b.press("#list-form .primary")
	b.says("#rows li:first-child .fault", "Must be")
	b.write("#rows li:first-child .count", "7")
	s.inspected("fescue", "Chains and their attachment", "Oil") // somebody else is quicker
	b.press("#list-form .primary")
	b.press("#list-changed button")
	b.says("#list-changed", "Kept as you typed them: Chains, pins and shackles.")
	b.press("#list-form .primary")
	b.says("#due-list", "Chains, pins and shackles every 7 days")
	b.says("#due-list", "Oil every show")
	b.says("#list-changed", "The list is saved.")
	b.press("#rows li:first-child button")
	b.press("#list-form .primary")
	b.dueCount(1)

	operator, _ := s.newKey("Gate crew", "operator")
	b.signIn(operator)
	b.until("!document.querySelector('#list-fold').checkVisibility()")
	b.says("#list", "Changing the list needs a manager’s key.")
}

// Nothing of it reaches anybody else: not what a page shows, and not what it asks for.
func TestInspections_ShowNothingToAPuller(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := s.evening("Harvest pull", 0, "fescue")
	chains := s.inspected("fescue", "Chains unmistakable")[0]
	s.looksOver("fescue", show, chains, map[string]any{"well": false, "note": "cracked unmistakable"})
	promoter, _ := s.newKey("Office", "promoter")
	for _, key := range []string{"", promoter} {
		b := s.open(phone, "/")
		if key != "" {
			b.signIn(key)
		}
		for _, path := range []string{"/pullers?show=" + show, "/fence?show=" + show, "/sheet?show=" + show,
			"/shows?show=" + show, "/fleet?sled=fescue", "/note?sled=fescue", "/inspection?sled=fescue", "/"} {
			b.goTo(path)
			b.quiet()
			assert.NotContains(t, eval[string](b, "document.documentElement.outerHTML"), "unmistakable", path)
			asked := eval[[]string](b, `performance.getEntriesByType('resource').map(({ name }) => name)
				.filter((name) => /\/v1\/.*(due|inspection)/.test(name))`)
			assert.Empty(t, asked, path)
		}
		b.goTo("/inspection?sled=fescue")
		b.says("#strangers", "is for its crew alone")
	}
}

// Whoever has the phone next sees nothing of it, with or without signal.
func TestInspections_LeaveThePhoneWithTheSignIn(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.inspected("fescue", "Chains unmistakable")
	for _, from := range inPart([]string{"/help", "/inspection?sled=fescue"}, 1) {
		t.Run("signed out at "+from, func(t *testing.T) {
			phone := s.in(t).device(phone)
			b := phone.at("/inspection?sled=fescue", true)
			b.signIn(managerKey)
			b.dueCount(1)
			b.hasOfflineCopy()
			b.eventually("caches.match('/v1/sleds/fescue/due').then((copy) => copy !== undefined)")
			b.goTo("/inspection?sled=fescue")
			b.dueCount(1)
			b.goTo(from)
			b.expectRefusals() // of what is asked for while it signs out
			await[bool](b, "import('/assets/account/session.js').then(({signOut}) => signOut()).then(() => true)")
			if from != "/help" {
				b.says("#strangers", "is for its crew alone")
			}
			b.eventually("caches.match('/v1/sleds/fescue/due').then((copy) => copy === undefined)")
			b.leave()
			b = phone.at("/inspection?sled=fescue", false)
			b.says("#strangers", "is for its crew alone")
			assert.NotContains(t, eval[string](b, "document.documentElement.outerHTML"), "unmistakable")
		})
	}
}

func TestCabSheet_BeginsWithWhatIsDueOnTheSamePage(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := s.evening("Harvest pull", 3, "fescue")
	ids := s.inspected("fescue", "The drive lets go at the trip, and how quickly", "The box brake holds",
		"Chains and their attachment", "Sprockets: wear", "Clutch: engagement and air", "Belts", "Oil",
		"Tires: as when the sled was measured", "Stops and rails", "Blocks secured", "Guards and covers",
		"The operator’s kill and emergency brake")
	s.looksOver("fescue", show, ids[1], map[string]any{"well": false, "note": "it creeps"})
	s.looksOver("fescue", show, ids[2], map[string]any{"well": true})
	b := s.open(desk, "/")
	b.signIn(managerKey)
	b.goTo("/sheet?show=" + show)
	b.says("#before-hook", "it creeps")
	assert.Equal(t, 10, eval[int](b, "document.querySelectorAll('.to-check .box').length"), "what is due has a box")
	assert.True(t, eval[bool](b, "!!(document.querySelector('#before-hook').compareDocumentPosition("+
		"document.querySelector('#body')) & Node.DOCUMENT_POSITION_FOLLOWING)"))
	for name, paper := range map[string]chromedp.PDFOption{"letter": chromedp.PDFPaper(chromedp.PaperLetter),
		"A4": chromedp.PDFPaper(chromedp.PaperA4)} {
		assert.Equal(t, 1, b.pages(paper), name)
	}
}

// The whole list of a sled, gone over with a thumb before the show: a tap for each line.
func TestWalk_OverAWholeInspectionListOnAPhone(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.evening("Harvest pull", 0, "fescue")
	words := make([]string, 12)
	for i := range words {
		words[i] = fmt.Sprintf("Line %d of what the crew looks at", i+1)
	}
	s.inspected("fescue", words...)
	w := s.walk("inspection", phone, "/fleet?sled=fescue")
	w.tab.signIn(managerKey)
	w.arrives("#before-hook a.button", "document.querySelectorAll('#due-list li').length === 12")
	for left := 11; left >= 0; left-- {
		if left == 5 {
			w.taps("#due-list [data-due] button:not(.primary)")
			w.reply("worn")
			w.seconds += thinkingTakes + 4*typingTakes
		} else {
			w.taps("#due-list [data-due] .primary")
		}
		w.dueCount(left)
	}
	t.Logf("twelve lines, one not well, in %s", w.took())
	assert.Less(t, w.seconds, 60.0)
	assert.LessOrEqual(t, eval[int](w.tab, "document.documentElement.scrollWidth"), 360)
	require.Eventually(t, func() bool { return len(s.signed("fescue")) == 12 }, patience, 20*time.Millisecond,
		"the last one was on its way")
	low := eval[[]float64](w.tab, "[...document.querySelectorAll('.does button')].map((e) => "+
		"e.getBoundingClientRect().height).filter((height) => height < 56)")
	assert.Empty(t, low, "what a glove hits is 56 px high")
}
