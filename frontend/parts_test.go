package frontend_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The chart of a sled as the API gives it.
type chartOf struct {
	Gears []struct {
		Label   string
		TopOuts []struct {
			TopOutFt *float64 `json:"top_out_ft"`
			Basis    string
		} `json:"top_outs"`
	}
}

func (s site) chart(sled string) chartOf {
	s.t.Helper()
	var c chartOf
	s.call("GET", "/v1/sleds/"+sled+"/chart?start_ft=0", nil, &c)
	return c
}

func TestAManagerNotesAChangeSeesTheChartCarriedAndTakesItBack(t *testing.T) {
	s := serve(t, "--demo")
	before := s.chart("bluestem")
	b := s.open(phone, "/parts?sled=bluestem")
	b.says("#change-list", "No change is noted.")
	b.says("#factor", "cannot be compared yet")

	// What was noted wrongly is put right, and carries nothing.
	b.write("#final_ratio", "5.29")
	b.press("#parts-form button[type=submit]")
	b.giveKey(managerKey)
	b.until("document.querySelector('#final_ratio').value === '5.29' && !document.querySelector('dialog[open]')")
	assert.Equal(t, before, s.chart("bluestem"))

	eval[bool](b, "(document.querySelector('#changes details').open = true)")
	b.write("#what", "Ring and pinion")
	b.write("#new_final_ratio", "nonsense")
	b.press("#change-form button[type=submit]")
	b.says("#change-form", "is not a number")
	b.says("#change-form", "On which day?")
	assert.Equal(t, "Ring and pinion", eval[string](b, "document.querySelector('#what').value"), "what was typed stays")

	b.write("#new_final_ratio", "5.819") // a tenth more
	eval[bool](b, "(document.querySelector('#made_on').value = '2026-10-01', true)")
	b.press("#change-form button[type=submit]")
	b.says("#change-list", "It moved every top-out by 10.0 %, later; earlier readings are carried.")
	carried := s.chart("bluestem")
	for i, g := range carried.Gears {
		require.NotNil(t, g.TopOuts[0].TopOutFt)
		assert.Equal(t, "carried", g.TopOuts[0].Basis)
		assert.InEpsilon(t, 1.1, *g.TopOuts[0].TopOutFt / *before.Gears[i].TopOuts[0].TopOutFt, 1e-9)
	}
	eval[bool](b, "(document.querySelector('#as_of').value = '2026-09-30', true)")
	b.press("#as-of-form button[type=submit]")
	b.says("#as-of", "measured")

	b.says("#change-list", "test day") // beside its test days
	b.press("#change-list button")
	b.press("dialog[open] button[type=submit]")
	b.says("#change-list", "No change is noted.")
	assert.Equal(t, before, s.chart("bluestem"))
}

func TestTheCutOffSaysWhatIsUnknown(t *testing.T) {
	s := serve(t, "--demo")
	b := s.open(phone, "/parts?sled=bluestem")
	b.says("#heading", "Bluestem")
	b.press("#cutoff-form button[type=submit]")
	b.says("#cutoff-form", "Without a measured time there is no answer.")
	b.write("#ground_speed_mph", "15")
	b.write("#release_s", "0.3")
	b.press("#cutoff-form button[type=submit]")
	b.says("#cutoff-result", "certifies nothing")
	b.says("#cutoff-result", "unknown")
	b.write("#brake_ft_s2", "4")
	b.press("#cutoff-form button[type=submit]")
	b.until("!document.querySelector('#cutoff-result').textContent.includes('unknown')")
	assert.NotContains(t, b.text("#cutoff-result"), "margin")
	assert.NotContains(t, b.text("#cutoff-result"), "safe")
}

func TestPartOptionsAreRankedAndPrint(t *testing.T) {
	s := serve(t, "--demo")
	b := s.open(desk, "/parts?sled=brome")
	b.until("document.querySelectorAll('#reference option').length > 1")
	b.pick("#reference", "bluestem")
	b.write("#try_final", "5.1, 5.5, 6.1")
	b.write("#try_sprocket", "12, 14")
	b.press("#options-form button[type=submit]")
	b.says("#options-result", "12 combinations tried.")
	b.says("#options-result", "qualified check")
	rows := eval[int](b, "document.querySelectorAll('#options-result tbody tr').length")
	assert.Equal(t, 12, rows)
	for name, paper := range papers {
		eval[bool](b, "(document.body.classList.add('options-only'), true)") // as the button does; after printing it goes
		assert.LessOrEqual(t, b.pages(paper), 2, name)
	}
	b.write("#try_axle", "four")
	b.press("#options-form button[type=submit]")
	b.says("#options-form", "Numbers with commas between")
}

func TestHowAlikeTheFleetIs(t *testing.T) {
	s := serve(t, "--demo")
	b := s.open(phone, "/alike?reference=bluestem")
	b.until("document.querySelectorAll('#ranking tbody tr').length === 5")
	b.says("#gears", "earlier")
	b.pick("#reference", "fescue")
	b.until("location.search.includes('reference=fescue')")
	b.says("#about", "Fescue")
	b.until("document.querySelector('#ladders img')?.naturalWidth > 0")
}
