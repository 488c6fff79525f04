package frontend_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The parts of the API's lists that the Fleet page is held against.
type (
	sledList struct {
		Items []struct {
			ID       string
			Readings int
		}
	}
	readingList struct {
		Items []struct {
			ID         string
			Gear       string
			DistanceFt float64 `json:"distance_ft"`
			Ended      string
		}
	}
)

func TestAManagerAddsASledAndSeesTheAnswerMove(t *testing.T) {
	s := serve(t, "--demo")
	b := s.open(phone, "/fleet")
	b.expectRefusals()
	b.write("#add-name", "Foxtail")
	b.write("#add-gears", "X, Y")
	b.write("#add-travel", "32")
	b.press("#add-form button[type=submit]")
	b.giveKey("this-key-is-a-wrong-one")
	b.says("dialog[open]", "what you typed is still here")
	b.giveKey(managerKey)
	b.until("location.search === '?sled=foxtail' && document.querySelectorAll('#enter-gears input').length === 2")

	enter := func(gear, distance string) {
		t.Helper()
		before := eval[int](b, "document.querySelectorAll('#entered li').length")
		b.pick("#enter-gears input[value="+gear+"]", gear)
		b.write("#enter-distance", distance)
		b.pick("#enter-form input[value=topped-out]", "topped-out")
		b.press("#enter-form button[type=submit]")
		b.until(fmt.Sprintf("document.querySelectorAll('#entered li').length === %d", before+1))
		b.says("#entered li:first-child", "The chart now says")
		b.until("document.activeElement.id === 'enter-distance' && document.activeElement.value === ''")
	}
	other := s.open(desk, "/?sled=bluestem&gear=C&start=0&on=foxtail&units=ft")
	other.says("#headline", "No answer yet.")

	enter("X", "240")
	other.goTo("/?sled=bluestem&gear=C&start=0&on=foxtail&units=ft")
	other.says("#headline", "X on Foxtail.")

	enter("Y", "256")
	enter("Y", "258")
	assert.Contains(t, b.text("#entered li:first-child"), "2 ft later than the chart, which said 256 ±")
	assert.False(t, eval[bool](b, "[...document.querySelectorAll('#enter-form input[name=ended]')].some((i) => i.checked)"), "how a pull ended is never guessed")
	other.goTo("/?sled=bluestem&gear=C&start=0&on=foxtail&units=ft")
	other.says("#headline", "Y on Foxtail.")
}

func TestABadRowOfACSVIsNamedAndNothingKept(t *testing.T) {
	s := serve(t, "--demo")
	b := s.open(desk, "/fleet")
	b.expectRefusals()
	file := filepath.Join(t.TempDir(), "readings.csv")
	put := func(content string) {
		t.Helper()
		require.NoError(t, os.WriteFile(file, []byte(content), 0o600))
		b.until("document.querySelector('#import-file').checkVisibility()")
		b.do(chromedp.SetUploadFiles(chromedp.CSS("#import-file"), []string{file}))
		b.press("#import-form button[type=submit]")
	}
	readings := func() int {
		t.Helper()
		var list sledList
		s.call("GET", "/v1/sleds", nil, &list)
		sum := 0
		for _, sled := range list.Items {
			sum += sled.Readings
		}
		return sum
	}
	before := readings()

	put("sled,gear,start_ft,distance_ft,measured_on\nbluestem,C,0,255,2026-05-09\nbluestem,Q,0,250,2026-05-09\n")
	b.giveKey(managerKey)
	b.says("#import-result", "Nothing was kept. 1 fault")
	assert.Regexp(t, `^3 gear .*"Q"`, b.text("#import-result tbody tr"))
	assert.Equal(t, before, readings())

	put("sled,gear,start_ft,distance_ft,measured_on\nbluestem,C,0,255,2026-05-09\n")
	b.says("#import-result", "every row fits. Nothing is kept yet.")
	assert.Equal(t, before, readings())
	b.press("#import-result button")
	b.says("#import-result", "1 reading kept.")
	assert.Equal(t, before+1, readings())
}

func TestSettingAReadingAsideChangesTheChartAndBringingItBackUndoesIt(t *testing.T) {
	s := serve(t, "--demo")
	var list readingList
	s.call("GET", "/v1/sleds/brome/readings", nil, &list)
	b := s.open(desk, "/fleet?sled=brome")
	b.until("document.querySelector('#chart-body tbody')")
	before := b.text("#chart-body tbody")
	drawn := eval[string](b, "document.querySelector('#chart-body img').src")

	item := "#reading-" + list.Items[0].ID
	b.press(item + " button")
	b.giveKey("the lever stood between two gears")
	b.giveKey(managerKey)
	b.says(item, "Set aside: The lever stood between two gears.")
	b.until(fmt.Sprintf("document.querySelector('#chart-body tbody').innerText.replace(/\\s+/g, ' ').trim() !== %q", before))
	assert.NotEqual(t, drawn, eval[string](b, "document.querySelector('#chart-body img').src"), "the drawing must be fetched again")

	b.press(item + " button")
	b.until(fmt.Sprintf("!document.querySelector(%q).classList.contains('aside')", item))
	b.until(fmt.Sprintf("document.querySelector('#chart-body tbody').innerText.replace(/\\s+/g, ' ').trim() === %q", before))
}

func TestACorrectionMadeMeanwhileIsNotOverwrittenAndNothingTypedIsLost(t *testing.T) {
	s := serve(t, "--demo")
	b := s.open(desk, "/fleet?sled=brome")
	b.expectRefusals()
	b.press("#correct-fold summary")
	b.write("#correct-gears li:first-child input", "A1")

	// Somebody else corrects the owner first, in a tab of their own.
	other := s.open(desk, "/fleet?sled=brome")
	other.press("#correct-fold summary")
	other.write("#correct-owner", "Somebody Else")
	other.press("#correct-form button[type=submit]")
	other.giveKey(managerKey)
	other.says("#correct-changed", "Saved.")

	b.press("#correct-form button.primary")
	b.giveKey(managerKey)
	b.says("#correct-changed", "what you typed is still here")
	b.press("#correct-changed button")
	b.says("#correct-changed", "Kept as you typed them: gears.")
	assert.Equal(t, "Somebody Else", eval[string](b, "document.querySelector('#correct-owner').value"))
	b.press("#correct-form button.primary")
	b.says("#correct-changed", "Saved.")
	b.says("#enter-gears", "A1")
	assert.Contains(t, b.text("#chart-body tbody tr"), "A1 full back", "a renamed gear keeps its readings")
}

func TestWhatIsTypedInMetresArrivesInFeet(t *testing.T) {
	s := serve(t, "--demo")
	b := s.open(phone, "/fleet?sled=brome&units=m")
	b.pick("#enter-gears input[value=A]", "A")
	b.write("#enter-distance", "81,5")
	b.pick("#enter-form input[value=topped-out]", "topped-out")
	b.press("#enter-form button[type=submit]")
	b.giveKey(managerKey)
	b.says("#entered li:first-child", "81.5 m from full back")
	var list readingList
	s.call("GET", "/v1/sleds/brome/readings?limit=1", nil, &list)
	// 1 ft = 0.3048 m exactly: NIST Special Publication 811, Appendix B.
	assert.InDelta(t, 81.5/0.3048, list.Items[0].DistanceFt, 1e-9)
}

func TestTheSledPageSaysWhatToMeasureNext(t *testing.T) {
	s := serve(t, "--demo")
	var api struct {
		Items []struct {
			Gear        string
			PlusMinusFt *float64 `json:"plus_minus_ft"`
			ThenFt      float64  `json:"then_ft"`
		}
	}
	s.call("GET", "/v1/sleds/bluestem/advice", nil, &api)
	require.GreaterOrEqual(t, len(api.Items), 3)
	b := s.open(phone, "/fleet?sled=bluestem")
	b.until(fmt.Sprintf("document.querySelectorAll('#advice-list li').length === %d", len(api.Items)))
	first := api.Items[0]
	require.NotNil(t, first.PlusMinusFt)
	assert.Equal(t, fmt.Sprintf("%s from full back: ± %.1f ft now, ± %.1f ft then.", first.Gear, *first.PlusMinusFt, first.ThenFt), b.text("#advice-list li"))
	b.goTo("/fleet?sled=ryegrass") // known by its owner's word alone
	b.until("document.querySelectorAll('#advice-list li').length > 0")
}

func TestReadingsAreSavedAsASpreadsheet(t *testing.T) {
	s := serve(t, "--demo")
	b := s.open(desk, "/fleet?sled=brome")
	b.until("document.querySelector('#chart-body tbody')")
	eval[bool](b, `(URL.createObjectURL = (file) => { file.text().then((text) => { document.body.dataset.saved = text; }); return 'data:,'; }, true)`)
	b.press("#readings-csv")
	b.until("document.body.dataset.saved")
	saved := eval[string](b, "document.body.dataset.saved")
	assert.Regexp(t, `^sled,gear,`, saved)
	assert.Contains(t, saved, "brome,A,")
}
