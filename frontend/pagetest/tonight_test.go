package pagetest

import (
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The parts of the API's answers that the pages are held against.
type (
	answers struct {
		Answers []struct {
			Nearest *struct {
				Gear            string
				TopOutFt        float64 `json:"top_out_ft"`
				DifferenceFt    float64 `json:"difference_ft"`
				DifferenceLowFt float64 `json:"difference_tonight_low_ft"`
				DifferenceHigh  float64 `json:"difference_tonight_high_ft"`
				Confidence      string
			}
			MovedStart *struct {
				Gear           string
				StartFt        float64 `json:"start_ft"`
				RoundedStartFt float64 `json:"rounded_start_ft"`
				TopOutFt       float64 `json:"top_out_ft"`
				WorthIt        bool    `json:"worth_it"`
			} `json:"moved_start"`
		}
		Caution string
	}
)

func TestAnswerPage_AnswersInWords(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/")
	b.pick("#sled", "bluestem")
	b.until(`document.querySelectorAll('#gears input').length === 5`)
	b.pick("#gears input[value=C]", "C")
	b.pick("#on", "fescue")
	b.says("#headline", "on Fescue.")

	var api answers
	s.call("GET", "/v1/equivalents?sled=bluestem&gear=C&on=fescue", nil, &api)
	near := api.Answers[0].Nearest
	require.NotNil(t, near)
	way := "later"
	if near.DifferenceFt < 0 {
		way = "earlier"
	}
	assert.Equal(t, near.Gear+" on Fescue.", b.text("#headline"))
	assert.Contains(t, b.text("#meaning"), fmt.Sprintf("tops out %.0f ft %s (± %.0f ft on one more pull tonight), "+
		"so the weight comes on %[2]s.",
		math.Abs(near.DifferenceFt), way, (near.DifferenceHigh-near.DifferenceLowFt)/2))
	assert.Equal(t, api.Caution, b.text("#caution"))
	assert.Contains(t, eval[string](b, "document.title"), near.Gear+" on Fescue")
	assert.Equal(t, "?sled=bluestem&gear=C&start=0&on=fescue&units=ft", eval[string](b, "location.search"))
	b.says("#fleet-table thead", "Timothy")

	b.until(`[...document.querySelectorAll('#details picture img')].every((i) => i.complete && i.naturalWidth > 0)`)
	assert.Contains(t, eval[string](b, "document.querySelector('#details picture img').alt"),
		"C on Bluestem tops out at")
}

func TestAnswerPage_RestoresTheQuestionFromALinkAndGoingBack(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/?sled=bluestem&gear=C&start=3&on=fescue&units=ft")
	b.says("#asked", "C on Bluestem, from 3 ft forward.")
	assert.Equal(t, "3", eval[string](b, "document.querySelector('#start').value"))
	b.pick("#gears input[value=A]", "A")
	b.says("#asked", "A on Bluestem, from 3 ft forward.")
	b.do(chromedp.NavigateBack())
	b.says("#asked", "C on Bluestem, from 3 ft forward.")
	b.until(`document.querySelector('#gears input[value=C]').checked`)

	// The same sled on both sides is no question: the two change places.
	assert.True(t, eval[bool](b, `document.querySelector('#on option[value=bluestem]').disabled`))
	b.pick("#sled", "fescue")
	b.until(`document.querySelector('#on').value === 'bluestem'`)
}

func TestAnswerPage_ShowsASharedLinkOnAPhoneWithoutScrolling(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	for _, link := range []struct{ what, path string }{
		{"a clear answer", "/?sled=bluestem&gear=C&start=0&on=fescue&units=ft"},
		{"a toss-up", "/?sled=bluestem&gear=C&start=0&on=timothy&units=ft"},
		{"one out of reach", "/?sled=bluestem&gear=A&start=0&on=fescue&units=ft"},
		{"one compared at full back", "/?sled=bluestem&gear=C&start=8&on=sedge&units=m"},
		{"no answer", "/?sled=sedge&gear=3&start=9&on=timothy&units=ft"},
	} {
		b := s.open(phone, link.path)
		b.until("document.querySelector('#asked').checkVisibility()")
		box := eval[struct{ Top, Bottom, Left, Right, Scrolled float64 }](b, `(() => {
			const box = document.querySelector('#answer [aria-live]').getBoundingClientRect();
			const numbers = [...document.querySelectorAll('#rests li')].slice(0, 2)
				.map((li) => li.getBoundingClientRect().bottom);
			return {top: box.top, bottom: Math.max(box.bottom, ...numbers),
				left: box.left, right: box.right, scrolled: scrollY};
		})()`)
		assert.Zero(t, box.Scrolled, link.what)
		assert.Positive(t, box.Top, link.what)
		assert.LessOrEqual(t, box.Bottom, 640.0, link.what)
		assert.GreaterOrEqual(t, box.Left, 0.0, link.what)
		assert.LessOrEqual(t, box.Right, 360.0, link.what)
		b.leave()
	}
}

func TestAnswerPage_IsAskedWithTheKeyboardAlone(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/")
	b.until("document.querySelectorAll('#sled option').length > 3")
	focused := func() string {
		t.Helper()
		return eval[string](b, `(() => { const a = document.activeElement;
			return a.id || a.value || a.textContent.trim(); })()`)
	}
	tabTo := func(want string) {
		t.Helper()
		for range 25 {
			b.do(chromedp.KeyEvent(kb.Tab))
			if focused() == want {
				outline := eval[string](b, `(() => {
					const a = document.activeElement, seen = a.type === 'radio' ? a.nextElementSibling : a,
						style = getComputedStyle(seen);
					return style.outlineStyle + ' ' + style.outlineWidth;
				})()`)
				assert.Equal(t, "solid 3px", outline, "where the focus is must be seen on %s", want)
				return
			}
		}
		require.FailNow(t, "not reached with Tab", want)
	}
	tabTo("Skip to the answer")
	tabTo("sled")
	b.do(chromedp.KeyEvent("Blue"))
	b.until("document.querySelectorAll('#gears input').length === 5")
	tabTo("A")
	b.do(chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.ArrowDown))
	b.until("document.querySelector('#gears input:checked')?.value === 'C'")
	tabTo("start")
	b.do(chromedp.KeyEvent("3"))
	tabTo("on")
	b.do(chromedp.KeyEvent("Fes"))
	b.says("#asked", "C on Bluestem, from 3 ft forward.")
	b.says("#headline", "on Fescue.")
	tabTo("Show the answer")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.until("document.activeElement.id === 'answer'")
}

func TestAnswerPage_LeadsToTheFirstSled(t *testing.T) {
	t.Parallel()
	s := serve(t)
	b := s.open(phone, "/")
	b.says("#headline", "No sleds yet.")
	b.says(".first-steps .demo", "an invented fleet")
	b.press(".first-steps a.primary")
	b.until("location.pathname === '/fleet' && document.querySelector('#add-name')?.checkVisibility()")
}

// A start position is understood as people write it: 2.5 ft and 30 in both mean 2' 6".
func TestAnswerPage_ReadsAStartPositionAsPeopleWriteIt(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/?sled=bluestem&gear=C&start=0&on=fescue&units=ft")
	b.says("#asked", "from full back")
	for text, start := range map[string]string{`2' 6"`: "2.5", "2 ft 3 in": "2.25", "30 in": "2.5", "0.762 m": "2.5",
		"1,75": "1.75"} {
		b.write("#start", text)
		b.until(fmt.Sprintf("new URLSearchParams(location.search).get('start') === %q", start))
		b.says("#asked", start+" ft forward")
		b.write("#start", "0")
		b.says("#asked", "from full back")
	}
}

// On a desk the gears of an answer stand side by side as a whole, whatever they are known from.
func TestAnswerPage_ShowsEveryGearAsAWholeOnADesk(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/")
	for _, path := range []string{
		"/?sled=bluestem&gear=C&start=0&on=fescue", "/?sled=bluestem&gear=C&start=0&on=ryegrass",
		"/?sled=bluestem&gear=C&start=0&on=brome&units=m", "/?sled=ryegrass&gear=3rd&start=2&on=timothy&units=m",
	} {
		b.goTo(path)
		b.until("document.querySelector('#details .figures')")
		b.quiet()
		over := eval[float64](b,
			"(({scrollWidth, clientWidth}) => scrollWidth - clientWidth)(document.querySelector('#details .scroll'))")
		assert.LessOrEqual(t, over, 0.0, "%s: px cut off", path)
	}
}

// What is refused of the weight leaves the gear's answer as it is, and what was typed where it was typed.
func TestTonight_AnswersTheGearWhereTheWeightIsRefused(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(phone, "/?sled=bluestem&gear=C&start=0&on=fescue")
	b.expectRefusals()
	b.says("#headline", "on Fescue")
	answer := b.text("#headline")
	b.write("#in-box", "900000")
	b.press("#how-much button[type=submit]")
	b.says("#how-much .fault", "Must be 0 to 200000")
	assert.Equal(t, answer, b.text("#headline"))
	assert.Equal(t, "900000", eval[string](b, "document.querySelector('#in-box').value"))
	b.write("#in-box", "12000")
	b.press("#how-much button[type=submit]")
	b.until("!document.querySelector('#how-much .fault') && document.querySelector('#how-much img')")
}
