package pagetest

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"github.com/stretchr/testify/assert"
)

// On a phone, signed in: what is worth a look, the drawing, what to measure next; then the readings, of which the last
// day is open.
func TestSledPage_OpensWithWhatIsWorthALookAndIsShort(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.call("POST", "/v1/sleds/bluestem/readings",
		map[string]any{"gear": "C", "distance_ft": 224.5, "measured_on": inDays(-400)}, nil)
	b := s.open(phone, "/")
	b.signIn(managerKey)
	for _, sled := range []string{"brome", "fescue", "ryegrass", "sedge", "timothy", "bluestem"} {
		b.see(look{"/fleet?sled=" + sled, "document.querySelector('#advice-list li') && " +
			"document.querySelector('#readings-list details')"})
		assert.Less(t, eval[int](b, "document.documentElement.scrollHeight"), 4000, sled)
		assert.Equal(t, []bool{true}, eval[[]bool](b, "[...document.querySelectorAll('#readings-list details')]"+
			".flatMap((d, place) => (place === 0 || d.open ? [d.open] : []))"), "%s: the last day alone is open", sled)
	}
	tops := eval[[]float64](b, "['#checks', '#chart-body img', '#advice', '#readings']"+
		".map((part) => document.querySelector(part).getBoundingClientRect().top)")
	assert.IsIncreasing(t, tops)
	assert.Less(t, tops[0], 640.0, "what is worth a look is in sight at once")

	// What is asked about is found in its day, and stays there.
	asked := fmt.Sprintf("document.querySelector('#reading-%s')", s.reading("bluestem", 224.5).ID)
	assert.False(t, eval[bool](b, asked+".checkVisibility()"))
	b.press("#checks .plain")
	b.until(asked + ".checkVisibility() && document.activeElement === " + asked)
	b.press("#" + eval[string](b, asked+".id") + " [aria-label^='Set aside']")
	b.reply("the wrong gear")
	b.until(asked + "?.checkVisibility() && " + asked + ".classList.contains('aside')")
}

func TestSheets_SayWhatTheyReplaceAfterASwap(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	id := s.evening("Harvest pull", 10, "fescue")
	b := s.open(phone, "/shows?show="+id)
	b.says("#sheet-heading", "Tonight on Fescue")
	assert.NotContains(t, b.text("main"), "In place of")
	s.change(id, map[string]any{"sled": "timothy"})
	for page, place := range map[string]string{"/shows": "#sheet-replaces", "/sheet": "#replaces",
		"/fence": "#replaces"} {
		b.goTo(page + "?show=" + id)
		b.says(place, "In place of Fescue: ")
	}
	b.goTo("/sheet?show=" + id)
	b.says("#replaces", "In place of Fescue: ")
	for name, paper := range papers {
		assert.Equal(t, 1, b.pages(paper), name)
	}
}

// Letters that are written by hand with a glove on are about 6 mm high. An assumption of our own.
func TestSheetPage_HasRoomForAPen(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(screen{width: 733, height: 1060}, // A4 within its margins
		"/sheet?show="+s.evening("Harvest pull", 10, "fescue"))
	b.until("document.querySelectorAll('#body tbody tr').length === 8")
	b.do(chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		return err
	}))
	b.until("matchMedia('print').matches && document.querySelector('#body .room').checkVisibility()")
	const mm = 96 / 25.4
	for place, want := range map[string][2]float64{".weights .box": {22, 8}, ".room": {24, 18}} {
		sizes := eval[[][2]float64](b, fmt.Sprintf(`[...document.querySelectorAll('#body tbody %s')].map((e) => {
			const box = e.getBoundingClientRect();
			return [box.width, box.height];
		})`, place))
		assert.Len(t, sizes, 8, place)
		for _, size := range sizes {
			assert.GreaterOrEqual(t, size[0]/mm, want[0], "%s, mm wide", place)
			assert.GreaterOrEqual(t, size[1]/mm, want[1], "%s, mm high", place)
		}
	}
}

// A chart that moves within the ± of what a class stands for is no news.
func TestShowsPage_NagsAboutADriftBeyondItsPlusMinusOnly(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.class("Farm stock 9,500 lb", "C", "")
	b := s.open(desk, "/shows")
	moved := func(byFt float64) {
		t.Helper()
		var class struct {
			Setting struct {
				Stood float64 `json:"stood_for_ft"`
				Today float64 `json:"today_ft"`
				PM    float64 `json:"plus_minus_ft"`
			}
		}
		s.call("GET", "/v1/classes/farm-stock-9-500-lb", nil, &class)
		by := class.Setting.Today - class.Setting.Stood
		b.goTo("/shows")
		b.says("#class-farm-stock-9-500-lb", "C on Bluestem")
		beyond := by > class.Setting.PM || -by > class.Setting.PM
		assert.Equal(t, beyond, strings.Contains(b.text("#class-farm-stock-9-500-lb"), "today’s chart says"),
			"%.2f ± %.2f", by, class.Setting.PM)
		assert.Equal(t, byFt > 3, beyond, "%.2f ± %.2f", by, class.Setting.PM)
	}
	for i, distance := range []float64{258, 262} {
		s.call("POST", "/v1/sleds/bluestem/readings",
			map[string]any{"gear": "C", "distance_ft": distance, "measured_on": inDays(-9 + i)}, nil)
	}
	moved(1)
	for i := range 6 {
		for gear, distance := range map[string]float64{"A": 306, "B": 293, "C": 273, "D": 260, "E": 239} {
			s.call("POST", "/v1/sleds/bluestem/readings",
				map[string]any{"gear": gear, "distance_ft": distance, "measured_on": inDays(-7 + i)}, nil)
		}
	}
	moved(9)
}
