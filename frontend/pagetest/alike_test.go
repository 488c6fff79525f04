package pagetest

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAlikePage_RanksTheSledsAsTheAPIDoes(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	var api struct {
		Items []struct {
			Name      string
			MeanFt    float64 `json:"mean_ft"`
			WorstFt   float64 `json:"worst_ft"`
			WorstGear string  `json:"worst_gear"`
		}
	}
	s.call("GET", "/v1/fleet/how-alike?reference=bluestem", nil, &api)
	require.Len(t, api.Items, 5)

	b := s.open(phone, "/alike?reference=bluestem")
	b.until("document.querySelectorAll('#ranking tbody tr').length === 5")
	for i, item := range api.Items {
		row := b.text(fmt.Sprintf("#ranking tbody tr:nth-child(%d)", i+1))
		assert.Contains(t, row, fmt.Sprintf("%d. %s", i+1, item.Name))
		assert.Contains(t, row, fmt.Sprintf("%.1f ft", item.MeanFt))
		assert.Contains(t, row, fmt.Sprintf("%.1f ft, for %s", item.WorstFt, item.WorstGear))
	}
	b.says("#gears", "± ")
	b.until("document.querySelector('#ladders img')?.naturalWidth > 0")
	b.fits(phone)

	b.pick("#question input[value=true]", "true")
	b.until("location.search.includes('used_only=true')")
	var used struct{ Gears []string }
	s.call("GET", "/v1/fleet/how-alike?reference=bluestem&used_only=true", nil, &used)
	b.until(fmt.Sprintf("document.querySelectorAll('#gears tbody tr').length === %d", len(used.Gears)))

	eval[bool](b, "(document.querySelector('input[name=frame-units][value=m]').click(), true)")
	b.says("#ranking", " m")
	assert.NotContains(t, b.text("#ranking"), " ft")

	b.pick("#reference", "fescue")
	b.until("location.search.includes('reference=fescue')")
	b.says("#about", "Fescue")
	for name, paper := range papers {
		assert.LessOrEqual(t, b.pages(paper), 2, name)
	}
	b.press("#ranking tbody tr:first-child a")
	b.until("location.pathname === '/what-if' && document.querySelector('#reference')?.value === 'fescue'")
}

// Twelve sleds are too many for a phone: their ladders are shown with letters as large as in any drawing, and scroll by
// themselves.
func TestAlikePage_LaddersOfManySledsCanBeReadOnAPhone(t *testing.T) {
	t.Parallel()
	s := serve(t)
	for i := range 12 {
		name := fmt.Sprintf("Pasture %d", i+1)
		s.call("POST", "/v1/sleds", map[string]any{"name": name, "travel_ft": 32,
			"gears": []any{map[string]any{"label": "A"}, map[string]any{"label": "B"}}}, nil)
		for k, gear := range []string{"A", "B"} {
			s.call("POST", fmt.Sprintf("/v1/sleds/pasture-%d/readings", i+1),
				map[string]any{"gear": gear, "distance_ft": 290 - 2*i - 20*k, "measured_on": "2026-05-09"}, nil)
		}
	}
	for _, on := range []screen{phone, desk} {
		b := s.open(on, "/alike?reference=pasture-1")
		b.until("document.querySelector('#ladders .drawing')?.complete")
		b.quiet()
		size := eval[[]float64](b, "(({ naturalWidth, clientWidth, clientHeight, naturalHeight }) => [naturalWidth, "+
			"clientWidth, naturalHeight / naturalWidth - clientHeight / "+
			"clientWidth])(document.querySelector('#ladders .drawing'))")
		assert.Greater(t, size[0], 720.0, "it is wider than others")
		assert.GreaterOrEqual(t, size[1], size[0]/2, "%s: letters of 24 units are 12 px or more", on)
		assert.InDelta(t, 0, size[2], 0.01, on)
		b.fits(on)
		assert.True(t, eval[bool](b, "document.querySelector('#ladders "+
			"figure').matches('[role=region][tabindex=\"0\"][aria-label]')"), "the keyboard can scroll it")
	}
}

func TestAlikePage_SaysWhatIsMissing(t *testing.T) {
	t.Parallel()
	s := serve(t)
	s.call("POST", "/v1/sleds", map[string]any{"name": "Foxtail", "gears": []any{map[string]any{"label": "A"}}}, nil)
	b := s.open(desk, "/alike")
	b.says("#about", "It takes two sleds to compare.")
	s.call("POST", "/v1/sleds", map[string]any{"name": "Melick", "gears": []any{map[string]any{"label": "A"}}}, nil)
	b.goTo("/alike?reference=melick")
	b.says("#about", "Nothing is known yet of where Melick tops out from full back.")
}
