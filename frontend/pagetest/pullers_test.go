package pagetest

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPullersPage_ShowsTheAnswerOnAPhoneWithoutScrolling(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	show := demo.harvest
	for _, ran := range []struct{ what, query string }{
		{"a clear answer", "sled=bluestem&gear=D"},
		{"a level one", "sled=bluestem&gear=C"},
		{"out of reach", "sled=bluestem&gear=A"},
		{"a label of two words", "sled=timothy&gear=high+1"},
		{"from a moved start", "sled=timothy&gear=low+2&start=3"},
		{"a stated one", "sled=ryegrass&gear=3rd"},
		{"not known there", "sled=sedge&gear=3&start=9"},
		{"the same sled", "sled=fescue&gear=3"},
	} {
		b := s.open(phone, "/pullers?show="+show+"&"+ran.query)
		b.says("#headline .gear", "")
		b.until("document.querySelector('#headline .gear')")
		box := eval[struct{ Top, Bottom, Left, Right, Scrolled, Size float64 }](b, `(() => {
			const line = document.querySelector('#headline'), box = line.getBoundingClientRect(),
				sure = document.querySelector('#sure');
			const bottom = sure.hidden ? box.bottom : sure.getBoundingClientRect().bottom;
			return {top: box.top, bottom, left: box.left, right: box.right, scrolled: scrollY,
				size: parseFloat(getComputedStyle(line).fontSize)};
		})()`)
		assert.Zero(t, box.Scrolled, ran.what)
		assert.Positive(t, box.Top, ran.what)
		assert.LessOrEqual(t, box.Bottom, 640.0, ran.what)
		assert.GreaterOrEqual(t, box.Left, 0.0, ran.what)
		assert.LessOrEqual(t, box.Right, 360.0, ran.what)
		assert.GreaterOrEqual(t, box.Size, 28.0, "%s: to be read in the sun", ran.what)
		assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), 360, ran.what)
		b.leave()
	}
}

func TestPullersPage_SaysWhatTheAPISays(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	show := demo.harvest
	b := s.open(phone, "/pullers?show="+show)
	b.says("#show", "Sled: Fescue Harvest Pull, Jul 18, 2099")
	assert.Equal(t, "bluestem", eval[string](b, "document.querySelector('#ran-sled').value"),
		"the sled most classes are used to")
	assert.Contains(t, b.text("#classes-list"), "Farm 9500 2 from full back, tops out about")
	for _, gear := range []string{"B", "D", "E"} {
		b.pick("#ran-gear", gear)
		var api answers
		s.call("GET", "/v1/equivalents?sled=bluestem&gear="+gear+"&on=fescue", nil, &api)
		near := api.Answers[0].Nearest
		require.NotNil(t, near)
		way, weight := "later", "lighter"
		if near.DifferenceFt < 0 {
			way, weight = "earlier", "heavier"
		}
		if near.DifferenceLowFt < 0 && near.DifferenceHigh > 0 {
			weight = "if anything " + weight
		}
		if math.Round(math.Abs(near.DifferenceFt)) == 0 {
			way = "level"
		}
		want := fmt.Sprintf("%s on Fescue tops out about %.0f ft: ", near.Gear, near.TopOutFt)
		half := (near.DifferenceHigh - near.DifferenceLowFt) / 2
		if way == "level" {
			want += fmt.Sprintf("level, ± %.0f ft, so the same on the way.", half)
		} else {
			want += fmt.Sprintf("%.0f ± %.0f ft %s, so %s on the way.", math.Abs(near.DifferenceFt), half, way, weight)
		}
		b.says("#headline", want)
		assert.Equal(t, want, b.text("#headline"))
		assert.Equal(t, api.Caution, b.text("#caution"))
		assert.Equal(t, "?show="+show+"&sled=bluestem&gear="+gear+"&units=ft", eval[string](b, "location.search"))
	}
	// The link asks the same again, on another phone.
	link := strings.TrimPrefix(eval[string](b, "location.href"), b.base)
	assert.Equal(t, b.text("#headline"), func() string {
		other := s.open(phone, link)
		other.says("#headline", "on Fescue")
		return other.text("#headline")
	}())
	b.says("#next-step", "Send this answer as a link")
}

// On the sled that the puller ran there is nothing to translate, and feet to be told.
func TestPullersPage_GivesFeetOnTheSameSledToo(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/pullers?show="+demo.harvest+"&sled=fescue&gear=3")
	var api answers
	s.call("GET", "/v1/equivalents?sled=fescue&gear=3&on=fescue", nil, &api)
	want := fmt.Sprintf("3 on Fescue tops out about %.0f ft. It is the same sled tonight.",
		api.Answers[0].Nearest.TopOutFt)
	b.until("document.querySelector('#next-step button')")
	assert.Equal(t, want, b.text("#headline"))
	assert.Empty(t, b.text("#sure"))
	b.pick("#ran-gear", "2")
	b.says("#headline", "2 on Fescue tops out about")
}

// A toss-up is two gears, both in large type, and fits the screen with how far each is off and how sure it is.
func TestPullersPage_ShowsATossUpOnAPhoneWithoutScrolling(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	want := s.worded("sled=bluestem&gear=C&on=timothy").ForPullers
	b := s.open(phone, "/pullers?show="+demo.evening+"&sled=bluestem&gear=C")
	b.until("document.querySelector('#answer').dataset.level === 'toss-up'")
	b.says("#headline", plain(want.Headline+" "+want.Meaning))
	assert.Contains(t, b.text("#headline .gear"), " or ")
	assert.LessOrEqual(t, eval[float64](b, "document.querySelector('#sure').getBoundingClientRect().bottom"), 640.0)
}

func TestPullersPage_ShowsTheNextShowWithoutALink(t *testing.T) {
	t.Parallel()
	s := serve(t)
	b := s.open(phone, "/pullers")
	b.says("#headline", "No show is entered yet.")

	s.call("POST", "/v1/sleds", map[string]any{"name": "Bluestem", "gears": []any{map[string]any{"label": "C"}}}, nil)
	enter := func(name string, days int) {
		t.Helper()
		date := time.Now().AddDate(0, 0, days).Format(time.DateOnly)
		s.call("POST", "/v1/shows", map[string]any{"name": name, "date": date, "sled": "bluestem",
			"classes": []string{}}, nil)
	}
	for _, show := range []struct {
		name  string
		days  int
		shown string
	}{
		{"An earlier one", -60, "An earlier one"},
		{"The latest so far", -30, "The latest so far"},
		{"One that is far off", 90, "One that is far off"},
		{"The next one", 7, "The next one"},
		{"One after that", 14, "The next one"},
		{"Tonight", 0, "Tonight"},
	} {
		enter(show.name, show.days)
		b.goTo("/pullers")
		b.says("#show", show.shown)
	}
}

func TestPullersPage_SaysWhatItDoesNotKnow(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	show := demo.harvest
	b := s.open(phone, "/pullers")
	b.expectRefusals()
	b.goTo("/pullers?show=" + show + "&sled=sedge&gear=3&start=9")
	b.says("#headline", "Not known. It is not known where 3 on Sedge tops out from 9 ft forward.")
	b.goTo("/pullers?show=" + show + "&sled=ryegrass&gear=3rd")
	b.says("#why", "3rd on Ryegrass is stated by")
	b.goTo("/pullers?show=no-such-show")
	b.says("#headline", "That cannot be answered.")
}

func TestPullersPage_IsReadInTheSun(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	show := demo.harvest
	for _, dark := range []bool{false, true} {
		b := s.open(screen{width: 360, height: 640, dark: dark}, "/pullers?show="+show+"&sled=bluestem&gear=D")
		b.says("#headline", "on Fescue")
		// Contrast by WCAG 2.2, definition of relative luminance; 21 is black on white, 7 is level AAA.
		faint := eval[[]string](b, `(() => {
			const luminance = (text) => {
				const [r, g, b] = text.match(/[\d.]+/g).map((v) => { const c = v / 255;
					return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; });
				return 0.2126 * r + 0.7152 * g + 0.0722 * b;
			};
			const ground = luminance(getComputedStyle(document.body).backgroundColor);
			const contrast = (e) => { const l = luminance(getComputedStyle(e).color);
				return (Math.max(l, ground) + 0.05) / (Math.min(l, ground) + 0.05); };
			return [...document.querySelectorAll('main p, main h1, main h2, main li, main a, ' +
				'footer p, footer a')].filter((e) => e.checkVisibility())
				.filter((e) => contrast(e) < (e.matches('a') ? 7 : 20)).map((e) => contrast(e)
					.toFixed(1) + ' ' + e.outerHTML.slice(0, 80));
		})()`)
		assert.Empty(t, faint)
		small := eval[[]string](b, `[...document.querySelectorAll('button, select, summary, .units label, .foot a')]
			.filter((e) => e.checkVisibility()).filter((e) => { const box = e.getBoundingClientRect();
				return box.height < 44 || box.width < 44; }).map((e) => e.outerHTML.slice(0, 80))`)
		assert.Empty(t, small, "targets under 44 px")
	}
}

// A first visit on a phone with little signal: everything that page and worker fetch.
func TestPullersPage_FirstVisitIsUnder100Kilobytes(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	var classes []string
	for i := range 20 {
		gear := string(rune('A' + i%5))
		var made struct{ ID string }
		s.call("POST", "/v1/classes", map[string]any{"name": fmt.Sprintf("Class %d", i),
			"setting":  map[string]any{"sled": "bluestem", "gear": gear},
			"pull_off": map[string]any{"sled": "bluestem", "gear": gear, "start_ft": 2}}, &made)
		classes = append(classes, made.ID)
	}
	var show struct{ ID string }
	s.call("POST", "/v1/shows", map[string]any{"name": "Harvest Pull", "date": "2099-07-18", "sled": "fescue",
		"classes": classes}, &show)
	phone := s.device(phone)
	b := phone.at("/pullers?show="+show.ID, true)
	b.says("#classes-list", "Class 19")
	b.pick("#ran-gear", "D")
	b.says("#headline", "on Fescue")
	b.hasOfflineCopy()
	b.mu.Lock()
	received := b.received
	b.mu.Unlock()
	t.Logf("the page received %.1f kB, page and worker together %.1f kB", received/1000,
		float64(phone.wire.received.Load())/1000)
	assert.Greater(t, received, 5_000.0, "the browser must have counted")
	assert.Less(t, received, 100_000.0)
	assert.Less(t, phone.wire.received.Load(), int64(100_000))
	assert.Less(t, phone.wire.same.Load(), int64(12), "the worker asks again for what the page has just loaded")
}

// At one in the morning the show of the evening before is still being pulled.
func TestPullersPage_OpensOnTheShowThatIsStillBeingPulled(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	ahead := 1 - time.Now().UTC().Hour() // of a zone where it is one in the morning
	if ahead < -12 {
		ahead += 24
	}
	there := time.FixedZone("there", ahead*3600)
	id := s.evening("Long pull", 10, "fescue")
	s.change(id, map[string]any{"date": time.Now().In(there).AddDate(0, 0, -1).Format(time.DateOnly),
		"zone": fmt.Sprintf("Etc/GMT%+d", -ahead)})
	b := s.open(phone, "/pullers")
	b.says("#show", "Long pull")
}

func TestDistance_ThatIsNoLengthIsSaidToBe(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(phone, "/help")
	for _, page := range [][3]string{
		{"/pullers?top_out=250&show=" + demo.harvest, "#ran-far", "#ran-far-hint"},
		{"/?top_out=250&on=fescue", "#far", "#far-fault"},
	} {
		b.goTo(page[0])
		invalid := fmt.Sprintf("document.querySelector(%q).ariaInvalid", page[1])
		b.until(fmt.Sprintf("document.querySelector(%q).value === '250'", page[1]))
		before := b.text(page[2])
		b.write(page[1], "far")
		b.says(page[2], "“far” is no length.")
		assert.Equal(t, "true", eval[string](b, invalid), page[0])
		b.write(page[1], "255")
		b.until(invalid + " === 'false'")
		assert.Equal(t, before, b.text(page[2]))
	}
}
