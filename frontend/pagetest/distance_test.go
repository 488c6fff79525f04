package pagetest

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
)

func TestAnswerPage_AnswersForADistance(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/")
	b.pick("#sled", "-")
	b.until("document.querySelector('#far').checkVisibility() && " +
		"!document.querySelector('#gear-field').checkVisibility()")
	b.pick("#on", "fescue")
	b.says("#meaning", "Still to pick: the distance.")
	b.write("#far", "255 ft")
	b.says("#asked", "255 ft. Nearest on Fescue, from full back:")
	var api answers
	s.call("GET", "/v1/equivalents?top_out_ft=255&on=fescue", nil, &api)
	b.says("#headline", api.Answers[0].Nearest.Gear+" on Fescue.")
	b.says("#rests", "Asked: 255 ft.")
	b.until("document.querySelector('#details img')?.naturalWidth > 0 && " +
		"document.querySelector('#details img').alt.includes('The distance asked about is 255')")
	assert.Equal(t, "?top_out=255&start=0&on=fescue&units=ft", eval[string](b, "location.search"))
	assert.False(t, eval[bool](b, "document.querySelector('#fleet-table').checkVisibility()"))
	b.write("#far", "far")
	b.says("#far-fault", "is no length")
	b.write("#far", "300")
	b.says("#asked", "300 ft.")
	b.pick("#sled", "bluestem")
	b.says("#meaning", "Still to pick: its gear.")
	b.do(chromedp.NavigateBack())
	b.says("#asked", "300 ft.")

	other := s.open(phone, "/?top_out=255&start=0&on=fescue&units=m")
	other.says("#asked", "77.72 m. Nearest on Fescue")
	assert.Equal(t, "77.72", eval[string](other, "document.querySelector('#far').value"))
}

func TestPullersPage_TakesADistanceOfASledThatIsNotListed(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(phone, "/pullers?show="+demo.harvest)
	b.pick("#ran-sled", "-")
	b.says("#headline", "Where did your box top out?")
	b.says("#ran-far-hint", "Not where you stopped")
	b.write("#ran-far", "255")
	var api answers
	s.call("GET", "/v1/equivalents?top_out_ft=255&one_pull=true&on=fescue", nil, &api)
	b.says("#headline", api.Answers[0].Nearest.Gear+" on Fescue")
	b.until("location.search === '?show=" + demo.harvest + "&top_out=255&units=ft'")
	assert.Contains(t, b.text("#next-step"), "Send this answer as a link")
	words := b.text("#headline")
	b.goTo("/pullers?show=" + demo.harvest + "&top_out=255&units=ft")
	b.says("#headline", words)
	b.pick("#ran-sled", "bluestem")
	b.until("!document.querySelector('#ran-far').checkVisibility() && " +
		"document.querySelector('#ran-gear').checkVisibility()")
}

func TestShowPages_SetAClassToADistance(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	b := s.open(desk, "/worked-out")
	b.signIn(managerKey)
	b.goTo("/shows")
	b.press("#to-new-class")
	b.write("#new-class input[name=name]", "Open by distance")
	b.pick("#new-class select[name='setting.sled']", "-")
	b.press("#new-class button[type=submit]")
	b.says("#new-class", "Where does the box top out?")
	b.write("#new-class input[name='setting.top_out_ft']", "240")
	b.press("#new-class button[type=submit]")
	b.says("#class-open-by-distance", "240 ft, from full back: a distance, whatever the sled")
	b.press("#class-open-by-distance summary")
	b.press("#class-open-by-distance [aria-label^=Change]")
	b.until("document.querySelector('#class-open-by-distance input[name=\"setting.top_out_ft\"]').value === '240'")
	b.write("#class-open-by-distance input[name='setting.top_out_ft']", "245")
	b.press("#class-open-by-distance button[type=submit]")
	b.says("#class-open-by-distance", "245 ft, from full back")
	show := s.evening("Harvest pull", 5, "fescue", "open-by-distance")
	for page, place := range map[string]string{"/shows": "#sheet-body", "/sheet": "#body"} {
		b.goTo(page + "?show=" + show)
		b.says(place, "245 ft")
	}
}
