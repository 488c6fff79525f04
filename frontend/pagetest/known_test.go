package pagetest

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// known are the readings of a sled as the grid stores them.
func (s site) known(sled string) (list []struct {
	Gear, Ended, Day, By string
	StartFt              float64  `json:"start_ft"`
	DistanceFt           float64  `json:"distance_ft"`
	PlusMinusFt          *float64 `json:"plus_minus_ft"`
	Batch                string
}) {
	s.t.Helper()
	var page struct{ Items any }
	page.Items = &list
	s.call("GET", "/v1/sleds/"+sled+"/readings?limit=500", nil, &page)
	return list
}

func TestKnownChart_IsSavedInOneGoAsSomebodysWord(t *testing.T) {
	t.Parallel()
	s := serve(t)
	s.call("POST", "/v1/sleds", map[string]any{"name": "Foxtail", "travel_ft": 32,
		"gears": []any{map[string]any{"label": "A"}, map[string]any{"label": "B"}, map[string]any{"label": "C"}}}, nil)
	b := s.open(phone, "/fleet?sled=foxtail#known")
	b.expectRefusals()
	b.signIn(managerKey)
	b.press("#known-form [type=submit]")
	b.says("#known-form", "Were they measured, or is it somebody’s word?")
	b.pick("#known-form input[value=stated]", "stated")
	b.write("#known-by", "the owner")
	b.write("#known-form [name=cell_0_0]", "286' 6\"")
	b.write("#known-form [name=cell_1_0]", "270")
	b.write("#known-form [name=cell_1_1]", "240")
	b.write("#known-form [name=cell_2_0]", "far")
	b.press("#known-form [type=submit]")
	b.says("#known-form td:has([name=cell_2_0])", "“far” is no length.")
	b.says("#known-form th:has([name=start_1])", "From which start position?")
	b.write("#known-form [name=cell_2_0]", "250")
	b.write("#known-form [name=start_1]", "33") // past the travel: the server says so, at the cell's column
	b.press("#known-form [type=submit]")
	b.says("#known-form th:has([name=start_1])", "travel")
	assert.Empty(t, s.known("foxtail"), "all or nothing")
	assert.Equal(t, "286' 6\"", eval[string](b, "document.querySelector('[name=cell_0_0]').value"), "nothing is lost")
	b.fits(phone)

	b.write("#known-form [name=start_1]", "4")
	// the answer to the first press is lost on its way; the second finds that it was saved
	eval[bool](b, `(() => {
		const real = fetch;
		window.fetch = async (...of) => {
			const response = await real(...of);
			if (of[1]?.method !== 'POST') return response;
			window.fetch = real;
			throw new TypeError('gone');
		};
		return true;
	})()`)
	b.press("#known-form [type=submit]")
	b.says("#known-form", "Nothing you typed is lost")
	require.Len(t, s.known("foxtail"), 4)
	b.press("#known-form [type=submit]")
	b.says("#known-status", "4 readings saved as one day.")
	got := s.known("foxtail")
	require.Len(t, got, 4, "pressed twice, saved once")
	for _, r := range got {
		assert.Equal(t, "stated", r.Ended)
		assert.Equal(t, "the owner", r.By)
		assert.Equal(t, got[0].Day, r.Day)
		assert.Equal(t, got[0].Batch, r.Batch)
		assert.Equal(t, 8.0, *r.PlusMinusFt)
	}
	b.press("#chart-fold summary")
	b.says("#chart-numbers", "stated by the owner")
	assert.Empty(t, eval[string](b, "document.querySelector('[name=cell_0_0]').value"))
}

func TestKnownChart_AsksAboutWhatIsBeyondBelief(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	before := len(s.known("bluestem"))
	b := s.open(desk, "/fleet?sled=bluestem#known")
	b.expectRefusals()
	b.signIn(managerKey)
	b.pick("#known-form input[value=measured]", "measured")
	b.press("#known-more")
	b.press("input[name=frame-units][value=m]")
	b.write("#known-form [name=cell_0_0]", "28.6") // 94 ft where the chart says 286
	b.write("#known-form [name=cell_1_0]", "83.5")
	b.press("#known-form [type=submit]")
	b.says("#known-form td:has([name=cell_0_0]) .fault", "28.6 m")
	assert.Empty(t, b.text("#known-form td:has([name=cell_1_0]) .fault"))
	assert.Len(t, s.known("bluestem"), before)
	b.press("#known-status button")
	b.says("#known-status", "2 readings saved as one day.")
	assert.Len(t, s.known("bluestem"), before+2)
}

func TestKnownChart_KeepsWhatIsTypedWithItsGearWhenTheSledIsCorrected(t *testing.T) {
	t.Parallel()
	s := serve(t)
	s.call("POST", "/v1/sleds", map[string]any{"name": "Foxtail", "travel_ft": 32,
		"gears": []any{map[string]any{"label": "A"}, map[string]any{"label": "B"}}}, nil)
	b := s.open(desk, "/fleet?sled=foxtail#known")
	b.signIn(managerKey)
	b.write("#known-form [name=cell_1_0]", "270")
	b.press("#correct-fold summary")
	b.press("#correct-gears li:first-child button")
	b.press("#correct-add-gear")
	b.write("#correct-gears li:last-child input", "C")
	b.press("#correct-form button.primary")
	b.says("#correct-changed", "Saved.")
	b.says("#known-grid tbody tr:nth-child(2)", "C")
	b.pick("#known-form input[value=measured]", "measured")
	b.write("#known-form [name=cell_1_0]", "255")
	b.press("#known-form [type=submit]")
	b.says("#known-status", "2 readings saved as one day.")
	got := map[string]float64{}
	for _, r := range s.known("foxtail") {
		got[r.Gear] = r.DistanceFt
	}
	assert.Equal(t, map[string]float64{"B": 270, "C": 255}, got)
}

func TestKnownChart_SaysThatItCouldNotBeLoaded(t *testing.T) {
	t.Parallel()
	w := &wire{}
	b := sharedDemo(t).over(w).open(desk, "/fleet?sled=brome")
	b.signIn(managerKey)
	b.until("document.querySelector('#chart-numbers tbody')")
	b.expectNoSignal()
	w.cut.Store(true)
	b.press("#known summary")
	b.says("#known-problem", "The form could not be loaded.")
	w.cut.Store(false)
	b.press("#known summary")
	b.press("#known summary")
	b.until("document.querySelector('#known-grid input') && document.querySelector('#known-problem').hidden")
}
