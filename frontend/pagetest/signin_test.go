package pagetest

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// signIn signs the browser in as the page's own dialog does.
func (b *tab) signIn(key string) {
	b.t.Helper()
	await[bool](b, fmt.Sprintf("import('/assets/account/session.js').then(({signIn}) => signIn(%q)).then(() => true)",
		key))
}

// newKey makes a key and returns it with its id.
func (s site) newKey(name, role string) (key, id string) {
	s.t.Helper()
	var made struct{ ID, Key string }
	s.call("POST", "/v1/keys", map[string]any{"name": name, "role": role}, &made)
	require.NotEmpty(s.t, made.Key)
	return made.Key, made.ID
}

// bluestems counts the readings of Bluestem.
func (s site) bluestems() int {
	s.t.Helper()
	var list readingList
	s.call("GET", "/v1/sleds/bluestem/readings?limit=500", nil, &list)
	return len(list.Items)
}

// note notes a top-out of a sled in one of its gears on the page for it, which is open.
func (b *tab) note(gear, distance string) {
	b.t.Helper()
	b.pick("#note-gears input[value="+gear+"]", gear)
	b.write("#note-distance", distance)
	b.press("#note-form button[value=topped-out]")
}

func TestSignIn_KeepsTheKeyOutOfTheBrowsersStorage(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(phone, "/")
	b.expectRefusals()
	b.press("#who button")
	b.giveKey("this-key-is-a-wrong-one")
	b.says("dialog[open] .fault", "This key is not valid.")
	b.giveKey(managerKey)
	b.says("#who", "Signed in as the key set at the start, manager.")
	// the keyboard goes on where it was
	b.until("document.querySelector('dialog') === null && document.activeElement.matches('#who summary')")

	var cookies []*network.Cookie
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		found, err := cdp.Call(ctx, t, network.GetCookies, network.GetCookiesParams{})
		cookies = found.Cookies
		return err
	}))
	require.Len(t, cookies, 1)
	assert.True(t, cookies[0].HTTPOnly)
	assert.Equal(t, network.CookieSameSiteStrict, cookies[0].SameSite)
	assert.NotContains(t, cookies[0].Value, managerKey)
	stored := await[string](b, `(async () => {
		const kept = [JSON.stringify(localStorage), JSON.stringify(sessionStorage), document.cookie, location.href,
			document.documentElement.outerHTML];
		for (const name of await caches.keys()) for (const request of await (await caches.open(name))
			.keys()) kept.push(request.url);
		for (const {name} of await indexedDB.databases()) kept.push(name);
		return kept.join('\n');
	})()`)
	assert.NotContains(t, stored, managerKey)
	assert.Empty(t, eval[string](b, "document.cookie"), "no script can read it")

	// It holds on the next page, in another tab, and until somebody signs out in either.
	b.goTo("/note?sled=bluestem")
	b.says("#who", "Signed in as the key set at the start, manager.")
	before := s.bluestems()
	b.note("C", "254")
	b.until("document.querySelector('#note-latest [data-state=sent], #note-latest[data-state=sent]')")
	assert.Equal(t, before+1, s.bluestems())
	b.signOut()
	b.until("document.querySelector('#who button:not([hidden])').textContent === 'Sign in'")
	b.note("C", "255")
	b.says("dialog[open]", "Sign in")
	b.do(chromedp.KeyEvent(kb.Escape))
	b.until("document.querySelector('dialog') === null")
	assert.Equal(t, before+1, s.bluestems(), "nobody is signed in: nothing goes")
}

func TestSignIn_ShowsARoleWhatItMayDoAndWhyNotTheRest(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	class := s.class("Farm stock 9,500 lb", "C", "")
	show := s.evening("Harvest pull", 10, "fescue", class)
	run, settings := "/shows?part=run&show="+show, "/shows?part=settings&show="+show
	const sled, note, parts = "/fleet?sled=bluestem", "/note?sled=bluestem", "/parts?sled=bluestem"
	const weights = "/weights?sled=bluestem"
	for role, pages := range map[string][]struct {
		path string
		may  []string // selectors of what is shown
		not  []string // and of what is not
		why  string   // what the page says of that
	}{
		"manager": {
			{"/fleet", []string{"#add-form", "#import-form"}, nil, ""},
			{sled, []string{"#readings-list .actions", "#correct-fold", "#remove"}, nil, ""},
			{note, []string{"#note-form"}, nil, ""},
			{parts, []string{"#noted-fold", "#change-fold"}, nil, ""},
			{weights, []string{"#weigh-form", "#loading-fold", "#weighings-list button"}, nil, ""},
			{"/shows", []string{"#new-show-fold", "#new-class-fold", "#classes-list .actions"}, nil, ""},
			{run, []string{".run .set", ".run .went"}, nil, ""}, {settings, []string{"#edit-form"}, nil, ""},
			{"/admin", []string{"#keys-list", "#key-form"}, nil, ""},
		},
		"operator": {
			{"/fleet", []string{"#import-form"}, []string{"#add-form"}, "needs a manager’s key"},
			{sled, []string{"#readings-list .actions"}, []string{"#correct-fold", "#remove"}, "needs a manager’s key"},
			{note, []string{"#note-form"}, nil, ""},
			{parts, nil, []string{"#noted-fold", "#change-fold"}, "needs a manager’s key"},
			{weights, []string{"#weigh-form", "#weighings-list button"}, []string{"#loading-fold"},
				"needs a manager’s key"},
			{"/shows", nil, []string{"#new-show-fold", "#new-class-fold", "#classes-list .actions"},
				"needs a promoter’s or a manager’s key"},
			{run, []string{".run .set", ".run .went"}, nil, ""},
			{settings, nil, []string{"#edit-form", "#over"}, "needs a promoter’s or a manager’s key"},
			{"/admin", nil, []string{"#view"}, "need a manager’s key"},
		},
		"promoter": {
			{"/fleet", nil, []string{"#add-form", "#import-form"}, "needs an operator’s or a manager’s key"},
			{sled, nil, []string{"#readings-list .actions", "#correct-fold"}, "needs an operator’s or a manager’s key"},
			{note, nil, []string{"#note-form"}, "needs an operator’s or a manager’s key"},
			{weights, nil, []string{"#weigh-form", "#loading-fold", "#weighings-list button"},
				"needs an operator’s or a manager’s key"},
			{"/shows", []string{"#new-show-fold", "#new-class-fold", "#classes-list .actions"}, nil, ""},
			{run, []string{".run .went"}, []string{".run .set"}, "needs an operator’s or a manager’s key"},
			{settings, []string{"#edit-form"}, nil, ""},
			{"/admin", nil, []string{"#view"}, "need a manager’s key"},
		},
	} {
		t.Run(role, func(t *testing.T) {
			t.Parallel()
			s := s.in(t)
			key, _ := s.newKey("The "+role, role)
			b := s.open(phone, "/worked-out")
			b.goTo("/")
			b.signIn(key)
			for _, page := range pages {
				b.goTo(page.path)
				b.says("#who", "Signed in as The "+role)
				b.until("[...document.querySelectorAll('h1')].some((h) => h.checkVisibility() && h.textContent)")
				if page.path == sled {
					b.until("document.querySelector('#readings-list li')")
				}
				eval[bool](b, "([...document.querySelectorAll('main details')].forEach((d) => { d.open = true; }), "+
					"true)")
				const shown = "[...document.querySelectorAll(%q)].some((e) => e.checkVisibility())"
				for _, selector := range page.may {
					b.until(fmt.Sprintf(shown, selector))
				}
				b.says("main", page.why)
				for _, selector := range page.not {
					assert.False(t, eval[bool](b, fmt.Sprintf(shown, selector)), "%s: %s", page.path, selector)
				}
			}
		})
	}
}

// Somebody signs in with a key that may not do it, in the middle of doing it.
func TestSignIn_SaysWhatAKeyMayNotAndLosesNothingTyped(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	promoter, _ := s.newKey("Fair office", "promoter")
	operator, _ := s.newKey("Harvest crew", "operator")
	before := s.bluestems()
	b := s.open(desk, "/fleet")
	b.expectRefusals()
	b.write("#add-name", "Foxtail")
	b.write("#add-gears", "X, Y")
	b.press("#add-form button[type=submit]")
	b.giveKey(promoter)
	b.says("dialog[open]", "You are signed in as Fair office, promoter. The key of a promoter cannot do this; it "+
		"takes that of a manager.")
	b.do(chromedp.KeyEvent(kb.Escape))
	b.until("document.querySelector('dialog') === null")
	assert.Contains(t, eval[string](b, "document.querySelector('#add-form .faults').textContent"),
		"it takes that of a manager. Nothing was changed, and what you typed is still here.")
	assert.Equal(t, "Foxtail", eval[string](b, "document.querySelector('#add-name').value"))

	// The form has given way to the reason; signed in with a key that may, it is back as it was typed.
	assert.False(t, eval[bool](b, "document.querySelector('#add-form').checkVisibility()"))
	b.press("#add .needs a")
	b.giveKey(managerKey)
	b.until("document.querySelector('#add-form').checkVisibility()")
	b.press("#add-form button[type=submit]")
	b.until("location.search === '?sled=foxtail'")

	// What goes through the queue says the same, and is kept there.
	crew := s.open(phone, "/note?sled=bluestem")
	crew.expectRefusals()
	crew.note("C", "254")
	crew.giveKey(promoter)
	crew.says("#note-queue", "You are signed in as Fair office, promoter. The key of a promoter cannot do this; it "+
		"takes that of a manager or an operator. Sign in with a key that may, then try again.")
	assert.Equal(t, before, s.bluestems())
	assert.False(t, eval[bool](crew, "document.querySelector('#note-form').checkVisibility()"))
	crew.press("#note-queue a[href='#who']")
	crew.giveKey(operator)
	crew.until("document.querySelector('#note-form').checkVisibility()")
	crew.press("#note-queue button[aria-label^='Try again']")
	crew.until("!document.querySelector('#note-queue').checkVisibility()")
	assert.Equal(t, before+1, s.bluestems())
}

func TestSignIn_AsksAgainWhenAKeyEndsInTheMiddle(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	operator, id := s.newKey("Harvest crew", "operator")
	before := s.bluestems()
	b := s.open(phone, "/note?sled=bluestem")
	b.expectRefusals()
	b.signIn(operator)
	s.call("DELETE", "/v1/keys/"+id, nil, nil)
	b.note("C", "254")
	b.says("dialog[open]", "What you recorded is kept here, and is sent once you have signed in.")
	assert.Equal(t, before, s.bluestems())
	b.giveKey(operator)
	b.says("dialog[open] .fault", "This key is not valid.")
	b.giveKey(managerKey)
	b.until("document.querySelector('#note-latest [data-state=sent], #note-latest[data-state=sent]')")
	assert.Equal(t, before+1, s.bluestems())

	// The same with what goes at once.
	second, id := s.newKey("Second crew", "operator")
	b.goTo("/fleet?sled=bluestem")
	b.signIn(second)
	b.until("document.querySelector('#readings-list li button')")
	b.quiet() // nothing that the page itself asks for meets the end of the key
	s.call("DELETE", "/v1/keys/"+id, nil, nil)
	b.press("#readings-list li:first-child button")
	b.reply("the wheel slipped")
	b.says("dialog[open]", "You are no longer signed in")
	b.giveKey(managerKey)
	b.says("#readings-list li:first-child", "Set aside: The wheel slipped.")
}

func TestSignIn_ShowsNothingOfAPrivateInstallationBefore(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--private")
	operator, _ := s.newKey("Harvest crew", "operator")
	show := harvestPull(s)
	phone := s.device(phone)
	b := phone.tab()
	b.expectRefusals()
	b.goTo("/")
	const notice = "This installation is private. Sign in to see it."
	for _, page := range inPart([]string{
		"/", "/?sled=bluestem&gear=C&start=0&on=fescue", "/fleet", "/fleet?sled=bluestem",
		"/note", "/lever?sled=bluestem", "/parts?sled=bluestem", "/weights?sled=bluestem", "/alike", "/shows",
		"/shows?show=" + show,
		"/sheet?show=" + show, "/fence?show=" + show, "/season", "/pullers",
		"/pullers?show=" + show + "&sled=bluestem&gear=C", "/admin",
	}, 6) {
		b.goTo(page)
		b.says("main", notice)
		b.says("dialog[open]", "Nothing of this fleet is shown without a key.")
		b.do(chromedp.KeyEvent(kb.Escape))
		b.until("document.querySelector('dialog') === null")
		assert.Equal(t, notice+" The fleet manager gives out the keys. Sign in", b.text("main"), page)
		assert.Equal(t, 1, eval[int](b,
			"[...document.querySelectorAll('h1')].filter((h) => h.checkVisibility()).length"), page)
	}
	b.goTo("/pullers?show=" + show + "&sled=bluestem&gear=D&units=ft")
	b.giveKey(operator)
	b.says("#headline", "on Fescue")
	assert.NotContains(t, b.text("main"), "private")
	b.goTo("/?sled=bluestem&gear=C&start=0&on=fescue&units=ft")
	b.says("#headline", "on Fescue.")
	b.hasOfflineCopy()
	kept := `(async () => (await (await caches.open('evenpull-answers')).keys()).length)()`
	assert.Positive(t, await[int](b, kept))

	// Without signal what was seen is there; once signed out it is gone, with signal and without.
	b.leave()
	b = phone.at("/?sled=bluestem&gear=C&start=0&on=fescue&units=ft", false)
	b.says("#headline", "on Fescue.")
	phone.signal(b, true)
	b.press("#offline-notice button")
	b.until("document.querySelector('#offline-notice') === null")
	b.says("#who", "Signed in as Harvest crew")
	b.expectRefusals()
	b.signOut()
	b.says("main", notice)
	assert.NotContains(t, b.text("body"), "on Fescue.")
	assert.Zero(t, await[int](b, kept))
	b.leave()
	b = phone.at("/?sled=bluestem&gear=C&start=0&on=fescue&units=ft", false)
	b.says("#headline", "No answer just now.")
}

// In no tab and not with Back: neither on the page nor in its title. The tab that was left for another page comes back
// from the browser's history, with signal and without.
func TestSignOut_LeavesNothingOfAPrivateInstallationInAnyTab(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--private")
	show := harvestPull(s)
	phone := s.device(phone)
	one := phone.at("/shows?show="+show, true)
	one.expectRefusals()
	one.giveKey(managerKey)
	one.says("#show-name", "Harvest Pull")
	const sled, question = "/fleet?sled=bluestem", "/?sled=bluestem&gear=C&start=0&on=fescue&units=ft"
	other := phone.at(sled, true)
	other.says("#readings-list", "ft")
	left := phone.at(question, true)
	left.says("#headline", "on Fescue.")
	left.goTo("/worked-out")
	for _, tab := range []*tab{other, left} {
		tab.expectRefusals()
	}
	one.signOut()

	nothing := func(b *tab, of ...string) {
		t.Helper()
		b.says("main", "This installation is private.")
		b.until("document.title === 'Evenpull'")
		all := eval[string](b, "document.body.textContent")
		for _, text := range of {
			assert.NotContains(t, all, text)
		}
	}
	nothing(one, "Harvest Pull", "Fescue")
	nothing(other, "Bluestem")
	left.do(chromedp.NavigateBack())
	left.until("location.pathname === '/'")
	nothing(left, "Fescue", "Bluestem")
	assert.Zero(t, await[int](left,
		"caches.open('evenpull-answers').then((it) => it.keys()).then((all) => all.length)"))
}

// A session that ended on the server, not in this browser, is found out when a tab is looked at again.
func TestSignIn_IsCheckedWhenATabIsSeenAgain(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--private")
	operator, id := s.newKey("Harvest crew", "operator")
	b := s.open(desk, "/fleet?sled=bluestem")
	b.expectRefusals()
	b.giveKey(operator)
	b.says("#readings-list", "ft")
	b.until("document.title.includes('Bluestem')")
	s.call("DELETE", "/v1/keys/"+id, nil, nil)
	eval[bool](b, "document.dispatchEvent(new Event('visibilitychange'))")
	b.says("main", "This installation is private.")
	b.until("document.title === 'Evenpull'")
}

func TestSignIn_IsSeenInEveryTab(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	phone := s.device(phone)
	one := phone.at("/", true)
	other := phone.at("/fleet", true)
	other.says("#who", "Sign in")
	one.press("#who button")
	one.giveKey(managerKey)
	other.says("#who", "Signed in as the key set at the start, manager.")
	other.signOut()
	one.until("document.querySelector('#who button:not([hidden])').textContent === 'Sign in'")
}

func TestAdminPage_NeedsSignalAndSaysSo(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	phone := s.device(phone)
	b := phone.at("/", true)
	b.signIn(managerKey)
	b.goTo("/admin")
	b.says("#history-list", "added")
	b.goTo("/")
	b.hasOfflineCopy()
	kept := await[[]string](b, `(async () => (await (await caches.open('evenpull-answers')).keys())
		.map(({url}) => new URL(url).pathname))()`)
	for _, path := range []string{"/v1/session", "/v1/keys", "/v1/history", "/v1/export"} {
		assert.NotContains(t, kept, path)
	}
	b.leave()
	b = phone.at("/admin", false)
	b.says("#not-manager", "they need signal")
	assert.False(t, eval[bool](b, "document.querySelector('#view').checkVisibility()"))
	phone.signal(b, true)
	// The queue asks as well once there is signal, and may have been first.
	b.until("(button => !button?.checkVisibility() || (button.click(), true))(document.querySelector('#not-manager " +
		"button'))")
	b.says("#history-list", "added")
}

func TestSignIn_GivesAPrivatePageBackAsItWas(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--private")
	operator, id := s.newKey("Harvest crew", "operator")
	b := s.open(desk, "/")
	b.expectRefusals()
	b.giveKey(operator)
	b.pick("#sled", "bluestem")
	s.call("DELETE", "/v1/keys/"+id, nil, nil)
	b.pick("#gears input[value=C]", "C")
	b.pick("#on", "fescue")
	b.says("main", "This installation is private.")
	b.giveKey(managerKey)
	b.says("#headline", "on Fescue.")
	assert.Equal(t, "bluestem", eval[string](b, "document.querySelector('#sled').value"))
}

func TestSignIn_TakesTheKeyboardAlone(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo", "--public-url", "https://sleds.example")
	b := s.open(phone, "/admin")
	b.until("document.querySelector('#not-manager button')")
	b.tabTo("Sign in")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.giveKey(managerKey)
	b.says("#who", "Signed in as")
	b.tabTo("Make a key")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.do(chromedp.KeyEvent(kb.Tab + "Harvest crew" + kb.Tab + " " + kb.Tab + kb.Enter))
	b.says("#new-key", "The key of Harvest crew, operator")
	b.tabTo("I have it")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.until("document.querySelector('#new-key').hidden")
	b.tabTo("End the key of Harvest crew")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.says("dialog[open]", "End the key of Harvest crew?")
	b.do(chromedp.KeyEvent(kb.Enter)) // the first button of the dialog
	b.says("#ended-summary", "1 key that ended")
	b.tabTo("the key set at the start")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.tabTo("Sign out")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.says("#not-manager", "they need a manager’s key")
}

// tabTo presses the tab key until what has the focus is called that.
func (b *tab) tabTo(name string) {
	b.t.Helper()
	for range 150 {
		b.do(chromedp.KeyEvent(kb.Tab))
		called := eval[string](b, "document.activeElement?.getAttribute('aria-label') ?? "+
			"document.activeElement?.textContent ?? ''")
		if strings.TrimSpace(called) == name {
			return
		}
	}
	require.FailNow(b.t, "the keyboard does not get to "+name)
}
