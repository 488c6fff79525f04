package pagetest

import (
	"fmt"
	"testing"

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

func TestFleetPage_AddsASledAndItsReadingsMoveTheAnswer(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(phone, "/fleet")
	b.expectRefusals()
	b.write("#add-name", "Foxtail")
	b.write("#add-gears", "X, Y")
	b.write("#add-travel", "32")
	b.press("#add-form button[type=submit]")
	b.giveKey("this-key-is-a-wrong-one")
	b.says("dialog[open] .fault", "what you typed on the page is still here")
	b.giveKey(managerKey)
	b.until("location.search === '?sled=foxtail' && document.querySelector('#enter-link')?.checkVisibility()")
	b.press("#enter-link")
	b.until("document.querySelectorAll('#note-gears input').length === 2")

	enter := func(gear, distance string) {
		t.Helper()
		b.note(gear, distance)
		b.until(fmt.Sprintf("document.querySelector('#note-latest .what')?.textContent.includes('Foxtail %s, %s') "+
			"&& document.querySelector('#note-latest').dataset.state === 'sent'", gear, distance))
		b.until("document.activeElement.id === 'note-distance' && document.activeElement.value === ''")
	}
	other := s.open(desk, "/?sled=bluestem&gear=C&start=0&on=foxtail&units=ft")
	other.says("#headline", "No answer yet.")

	enter("X", "240")
	other.goTo("/?sled=bluestem&gear=C&start=0&on=foxtail&units=ft")
	other.says("#headline", "X on Foxtail.")

	enter("Y", "256")
	enter("Y", "258")
	assert.Regexp(t, `Fits: 2 ± \d+ ft later than the (chart|one before)\.`, b.text("#note-latest .fit"))
	other.goTo("/?sled=bluestem&gear=C&start=0&on=foxtail&units=ft")
	other.says("#headline", "Y on Foxtail.")
}

// Gears with nothing but spaces between are so many gears, or one with spaces in its label: somebody has to say. A
// travel is typed as the tape reads.
func TestFleetPage_AsksOnceWhetherGearsAreOneOrMany(t *testing.T) {
	t.Parallel()
	s := serve(t)
	b := s.open(phone, "/fleet")
	b.signIn(managerKey)
	b.expectRefusals()
	labels := func(sled string) (found []string) {
		var got struct {
			Gears  []struct{ Label string }
			Travel float64 `json:"travel_ft"`
		}
		s.call("GET", "/v1/sleds/"+sled, nil, &got)
		assert.InDelta(t, 32.5, got.Travel, 1e-9)
		for _, gear := range got.Gears {
			found = append(found, gear.Label)
		}
		return found
	}
	for _, typed := range []struct {
		name, gears, pressed string
		want                 []string
	}{
		{"each", "1 2 3 4 5", "each", []string{"1", "2", "3", "4", "5"}},
		{"one", "3 low", "one", []string{"3 low"}},
		{"commas", "3 low, 3 high", "", []string{"3 low", "3 high"}},
		{"lines", "3 low\n3 high", "", []string{"3 low", "3 high"}},
		{"single", " D ", "", []string{"D"}},
	} {
		b.goTo("/fleet")
		b.until("document.querySelector('#add-form')?.checkVisibility()")
		b.write("#add-name", typed.name)
		b.write("#add-gears", typed.gears)
		b.write("#add-travel", `32' 6"`)
		b.press("#add-form button[type=submit]")
		if typed.pressed != "" {
			b.says("dialog[open]", "gears, or one?")
			b.press("dialog[open] button:not([value])") // Cancel
			b.says("#add-form .fault", "Write commas between the gears, or one on each line.")
			b.press("#add-form button[type=submit]")
			b.press("dialog[open] button[value=" + typed.pressed + "]")
		}
		b.until("location.search === '?sled=" + typed.name + "'")
		assert.Equal(t, typed.want, labels(typed.name), typed.gears)
	}

	// The form that corrects a sled asks the same of a new gear, and of none that it had.
	b.goTo("/fleet?sled=one")
	b.press("#correct-fold summary")
	b.press("#correct-add-gear")
	b.write("#correct-gears li:last-child input", "4 5")
	b.press("#correct-form button[type=submit]")
	b.press("dialog[open] button:not([value])")
	b.says("#correct-form .fault", "Write commas between the gears, or one on each line.")
	b.press("#correct-form button[type=submit]")
	b.press("dialog[open] button[value=each]")
	b.says("#correct-changed", "Saved.")
	assert.Equal(t, []string{"3 low", "4", "5"}, labels("one"))
}

func TestSledPage_SetsAReadingAsideAndBringsItBack(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	var list readingList
	s.call("GET", "/v1/sleds/brome/readings", nil, &list)
	b := s.open(desk, "/fleet?sled=brome")
	b.until("document.querySelector('#chart-numbers tbody')")
	before := b.text("#chart-numbers tbody")
	drawn := eval[string](b, "document.querySelector('#chart-body img').src")

	item := "#reading-" + list.Items[0].ID
	b.press(item + " button")
	b.reply("the lever stood between two gears")
	b.giveKey(managerKey)
	b.says(item, "Set aside: The lever stood between two gears.")
	b.until(fmt.Sprintf("document.querySelector('#chart-numbers tbody').innerText.replace(/\\s+/g, ' ').trim() !== %q",
		before))
	assert.NotEqual(t, drawn, eval[string](b, "document.querySelector('#chart-body img').src"),
		"the drawing must be fetched again")

	b.press(item + " button")
	b.until(fmt.Sprintf("!document.querySelector(%q).classList.contains('aside')", item))
	b.until(fmt.Sprintf("document.querySelector('#chart-numbers tbody').innerText.replace(/\\s+/g, ' ').trim() === %q",
		before))
}

func TestSledPage_OverwritesNoCorrectionMadeMeanwhile(t *testing.T) {
	t.Parallel()
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
	b.says("#chart-numbers tbody", "A1")
	assert.Contains(t, b.text("#chart-numbers tbody tr"), "A1 full back", "a renamed gear keeps its readings")
}

func TestNotePage_SendsInFeetWhatIsTypedInMeters(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(phone, "/note?sled=brome&units=m")
	b.note("A", "81,5")
	b.giveKey(managerKey)
	b.says("#note-latest", "Brome A, 81.5 m, topped out")
	b.until("document.querySelector('#note-latest').dataset.state === 'sent'")
	var list readingList
	s.call("GET", "/v1/sleds/brome/readings?limit=1", nil, &list)
	// 1 ft = 0.3048 m exactly: NIST Special Publication 811, Appendix B.
	assert.InDelta(t, 81.5/0.3048, list.Items[0].DistanceFt, 1e-9)
}

func TestSledPage_SaysWhatToMeasureNext(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
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
	assert.Equal(t, fmt.Sprintf("Gear %s from full back: ± %.1f ft now, ± %.1f ft after this reading.", first.Gear,
		*first.PlusMinusFt, first.ThenFt), b.text("#advice-list li"))
	b.goTo("/fleet?sled=ryegrass") // known by its owner's word alone
	b.until("document.querySelectorAll('#advice-list li').length > 0")
}

func TestSledPage_SavesReadingsAsASpreadsheet(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/fleet?sled=brome")
	b.until("document.querySelector('#chart-numbers tbody')")
	eval[bool](b, `(URL.createObjectURL = (file) => { file.text().then((text) => { document.body.dataset.saved = text;
		}); return 'data:,'; }, true)`)
	b.press("#readings-csv")
	b.until("document.body.dataset.saved")
	saved := eval[string](b, "document.body.dataset.saved")
	assert.Regexp(t, `^sled,gear,`, saved)
	assert.Contains(t, saved, "brome,A,")
}
