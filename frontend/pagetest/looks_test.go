package pagetest

import (
	"fmt"
	"strings"
)

// look is a page of the demo, and what shows that it is there.
type look struct{ path, ready string }

// looks are every page there is, as somebody would see it on the shared demo, and some more than once.
func looks() []look {
	id := demo.evening
	const (
		answered = "document.querySelector('#fleet-table tbody')?.checkVisibility() && " +
			"document.querySelector('#asked')?.checkVisibility()"
		drawn = "[...document.images].every((image) => image.complete)"
	)
	return []look{
		{"/", "document.querySelector('#headline')?.checkVisibility() && document.querySelector('#answer').ariaBusy " +
			"!== 'true'"},
		{"/?sled=bluestem&gear=C&start=0&on=timothy", answered},
		{"/?sled=ryegrass&gear=3rd&start=2&on=sedge&units=m", answered},
		{"/?sled=bluestem&gear=C&start=0&on=fescue&in_box=12000",
			answered + " && document.querySelector('#how-much img')"},
		{"/?top_out=255&start=0&on=fescue", "document.querySelector('#asked')?.checkVisibility()"},
		{"/shows", "document.querySelector('#shows-ahead li') && document.querySelector('#classes-list li')"},
		{"/shows?show=" + id, "document.querySelector('#sheet-body tr')"},
		{"/shows?units=m&show=" + id, "document.querySelector('#sheet-body tr')"},
		{"/shows?part=run&show=" + id, "document.querySelector('.run[open]')"},
		{"/shows?part=book&show=" + id, "document.querySelector('#candidates tr')"},
		{"/shows?part=settings&show=" + id, "document.querySelector('#qr img')"},
		{"/sheet?show=" + id, "document.querySelector('#body tr')"},
		{"/fence?show=" + id, "document.querySelector('#body tr')"},
		{"/pullers?show=" + id, "document.querySelector('#classes-list li') && document.querySelector('#next-step " +
			"button')"},
		{"/pullers?show=" + id + "&sled=bluestem&gear=C",
			"document.querySelector('#classes-list li') && document.querySelector('#sure')?.checkVisibility()"},
		{"/pullers?show=" + id + "&top_out=255", "document.querySelector('#classes-list li') && " +
			"document.querySelector('#sure')?.checkVisibility()"},
		{"/season?since=" + inDays(0) + "&until=" + inDays(20), "document.querySelector('#other-classes tr')"},
		{"/fleet", "document.querySelector('#sleds li')"},
		{"/fleet?sled=fescue", "document.querySelector('#chart-numbers tbody')"},
		{"/fleet?sled=ryegrass&units=m", "document.querySelector('#chart-numbers tbody')"},
		{"/lever?sled=fescue", "document.querySelector('#body tbody tr')"},
		{"/parts?sled=brome", "document.querySelectorAll('#days-table tr').length > 1"},
		{"/parts?sled=fescue&units=m", "document.querySelectorAll('#days-table tr').length > 1"},
		{"/what-if?sled=brome&reference=bluestem&final_ratio=5.5&sprocket_teeth=12",
			"document.querySelector('#options-result tr')"},
		{"/what-if?sled=sedge&units=m", "document.querySelector('#options-form')?.checkVisibility()"},
		{"/weights?sled=fescue", "document.querySelector('#weighings-list tbody')"},
		{"/weights?sled=timothy&units=m", "document.querySelector('#next-list li')"},
		{"/alike?reference=bluestem", "document.querySelectorAll('#ranking tr').length > 1"},
		{"/help", drawn},
		{"/worked-out", drawn},
		{"/measuring", drawn},
		{"/weighing", drawn},
		{"/admin", "document.querySelector('#not-manager button') || document.querySelectorAll('#history-list " +
			"li').length > 2"},
		{"/sign-in", "document.querySelector('#choices button')"},
		{"/note?sled=bluestem", "document.querySelector('#note-gears label')"},
		{"/note?sled=ryegrass&units=m", "document.querySelector('#note-gears label')"},
		{"/inspection?sled=timothy", "document.querySelector('#strangers')?.checkVisibility() || " +
			"document.querySelector('#due-list li')"},
		{"/inspection?sled=sedge", "document.querySelector('#strangers')?.checkVisibility() || " +
			"document.querySelector('#offered label')"},
		{"/docs#getEquivalents", "document.querySelector('#getEquivalents form')"},
	}
}

// see opens a page and waits until all of it is there: what shows that it is, and nothing more asked for.
func (b *tab) see(page look) {
	b.t.Helper()
	b.goTo(page.path)
	b.until(page.ready)
	b.quiet()
}

// unfoldAll opens everything that folds, but for the documentation, where that would be a hundred forms.
func (b *tab) unfoldAll(page look) {
	b.t.Helper()
	if strings.HasPrefix(page.path, "/docs") {
		return
	}
	eval[bool](b, "([...document.querySelectorAll('main details')].forEach((d) => { d.open = true; }), true)")
	b.quiet()
}

// sight is a screen and whether somebody is signed in at it, as a manager; much of what a manager can do is not there
// for others.
type sight struct {
	screen
	signedIn bool
}

func (s sight) String() string {
	if s.signedIn {
		return fmt.Sprintf("%s, signed in", s.screen)
	}
	return s.screen.String()
}

// sights are three widths, light and dark, signed in; and a phone in either hand that is not. Without CI=true they are
// the two that differ most.
func sights() []sight {
	tablet := screen{width: 768, height: 1024}
	dark := func(s screen) screen { s.dark = true; return s }
	return inPart([]sight{
		{phone, true}, {dark(desk), true},
		{phone, false}, {dark(phone), false}, {tablet, true}, {desk, true}, {dark(phone), true}, {dark(tablet), true},
	}, 2)
}

// lookFrom opens a tab of that sight.
func (s site) lookFrom(at sight) *tab {
	s.t.Helper()
	b := s.open(at.screen, "/")
	if at.signedIn {
		b.signIn(managerKey)
	}
	return b
}
