package pagetest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestLeverPage_SaysWhatTheChartAndTheTableSay(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	var chart struct {
		Gears []struct {
			Label   string
			TopOuts []struct {
				StartFt     float64 `json:"start_ft"`
				TopOutFt    float64 `json:"top_out_ft"`
				TonightLow  float64 `json:"tonight_low_ft"`
				TonightHigh float64 `json:"tonight_high_ft"`
			} `json:"top_outs"`
		}
	}
	s.call("GET", "/v1/sleds/fescue/chart?start_ft=0&start_ft=4", nil, &chart)
	var table struct {
		Rows []struct {
			On map[string]struct{ Gear string }
		}
	}
	s.call("GET", "/v1/table?reference=fescue", nil, &table)

	b := s.open(desk, "/fleet?sled=fescue")
	b.says("#sled-name", "Fescue")
	b.press("#lever-link")
	b.until("location.pathname === '/lever' && document.querySelectorAll('#body tbody tr').length === 6")
	// most classes of the demo are used to Bluestem, and Fescue was read at 3 and 4 ft forward
	assert.Equal(t, "Gear Full back, ft 3 ft forward, ft 4 ft forward, ft Nearest on Bluestem", b.text("#body thead"))
	for i, gear := range chart.Gears {
		row := b.text(fmt.Sprintf("#body tbody tr:nth-child(%d)", i+1))
		assert.True(t, strings.HasPrefix(row, gear.Label+" "), row)
		for _, at := range gear.TopOuts {
			assert.Contains(t, row, fmt.Sprintf("%.0f ± %.0f", at.TopOutFt, (at.TonightHigh-at.TonightLow)/2))
		}
		assert.Regexp(t, " "+table.Rows[i].On["bluestem"].Gear+" (level|[0-9])", row)
	}
	assert.Contains(t, b.text("#holds"), "Holds from "+time.Now().Format("Jan 2, 2006")+" in place of any earlier card")
	assert.Contains(t, b.text(".changed"), "slow runs with an empty box")

	b.write("#mark-1", "2' 6\"")
	b.pick("#mark-2", "")
	b.pick("#mark-3", "")
	b.press("#question [type=submit]")
	b.until("document.querySelectorAll('#body thead th').length === 4 && location.search.includes('start=2.5')")
	b.pick("#reference", "timothy")
	b.says("#body thead", "2.5 ft forward, ft Nearest on Timothy")
	b.press("input[name=frame-units][value=m]")
	b.says("#body thead", "0.76 m forward, m")
	assert.NotContains(t, b.text("#body"), " ft")
	b.goTo(eval[string](b, "location.pathname + location.search"))
	b.says("#body thead", "0.76 m forward, m Nearest on Timothy")
}

// A changed part and what was only stated are said on the card.
func TestLeverPage_SaysSinceWhenAndWhatItRestsOn(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/lever?sled=brome")
	b.says("#holds", "parts as since Jun 20, 2026: Other ring and pinion in the final drive")
	b.says("#footnotes", "From before the change.")
	b.goTo("/lever?sled=ryegrass")
	b.says("#holds", "never measured")
	b.says("#footnotes", "Stated by owner of Ryegrass.")
	b.goTo("/lever?sled=bluestem") // which most classes are used to: there is nothing to translate
	b.until("document.querySelector('#body tbody tr')")
	assert.Equal(t, "no other sled", b.text("#reference option:checked"))
	assert.NotContains(t, b.text("#body thead"), "Nearest")
}

func TestLeverPage_PrintsOnOnePage(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	gears := make([]any, 16)
	for i := range gears {
		gears[i] = map[string]any{"label": fmt.Sprintf("high range %d", i+1)}
	}
	name := strings.Repeat("Long-named sled of the county ", 3)
	s.call("POST", "/v1/sleds", map[string]any{"name": name, "travel_ft": 33, "gears": gears}, nil)
	const long = "long-named-sled-of-the-county-long-named-sled-of-the-county-long-named-sled-of-the-county"
	for i := range gears {
		s.call("POST", "/v1/sleds/"+long+"/readings", map[string]any{"gear": fmt.Sprintf("high range %d", i+1),
			"distance_ft": 310 - 6*i, "measured_on": []string{"2026-05-09", "2026-05-11"}[i%2]}, nil)
	}
	s.call("POST", "/v1/sleds/"+long+"/changes", map[string]any{"made_on": "2026-05-10", "effect": "unknown",
		"what": strings.Repeat("The whole final drive out and another in. ", 11)}, nil)
	b := s.open(desk, "/fleet")
	for _, page := range []string{"fescue", "timothy", "brome", "sedge", "ryegrass", "bluestem&reference=timothy",
		long + "&start=1.25&start=2.5&start=3.75&units=m"} {
		b.goTo("/lever?sled=" + page)
		b.until("document.querySelector('#body tbody tr')")
		for name, paper := range papers {
			assert.Equal(t, 1, b.pages(paper), "%s on %s", page, name)
		}
	}
	assert.Equal(t, 16, eval[int](b, "document.querySelectorAll('#body tbody tr').length"))
	b.media("prefers-color-scheme", "dark")
	paper := eval[[]string](b, `[...document.styleSheets].flatMap((sheet) => [...sheet.cssRules])
		.filter((rule) => rule.conditionText === 'print').map((rule) => rule.cssText)`)
	assert.Contains(t, strings.Join(paper, ""), "--ground: #fff", "black on white, whatever the screen is")
}

func TestLeverPage_FitsAPhoneAndSaysWhatIsMissing(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/lever?sled=timothy")
	b.until("document.querySelector('#body tbody tr')")
	b.fits(phone)
	assert.Equal(t, "Full back, ft", eval[string](b, "getComputedStyle(document.querySelector('#body td'), '::before')"+
		".content.replaceAll('\"', '').trim()"))
	b.expectRefusals()
	b.goTo("/lever")
	b.says("#whole-page", "Which sled?")
	b.goTo("/lever?sled=nobody")
	b.says("#whole-page", "nobody")
}
