package pagetest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// nightSheet is what the API says of a show's night.
type nightSheet struct {
	Night *struct {
		Detail string
		Pulls  int
		Others int
	}
}

func TestShowPage_FirstHooksMoveTonightsSheet(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := s.evening("Harvest pull", 0, "fescue")
	b := s.open(phone, "/worked-out")
	b.signIn(managerKey)
	b.expectRefusals()
	b.goTo("/shows?show=" + show)
	b.until("document.querySelectorAll('#night-gears button').length === 6")
	assert.NotContains(t, b.text("#sheet-body"), "usually")
	b.write("#night-distance", "269\r") // Enter says no gear: nothing is noted before the gears are tapped
	for _, hook := range []struct{ gear, distance, after string }{
		{"2", "269", "After 1 pull tonight: "}, {"3", "248", "After 2 pulls tonight: "},
		{"4", "237", "After 3 pulls tonight: "},
	} {
		b.write("#night-distance", hook.distance)
		b.tap("#night-gears button[value='" + hook.gear + "']") // one tap a hook
		b.says("#night-status", "Kept: Fescue "+hook.gear+" from full back, "+hook.distance+" ft.")
		b.says("#night-says", hook.after)
	}
	var api nightSheet
	s.call("GET", "/v1/shows/"+show+"/sheet", nil, &api)
	assert.Equal(t, plain(api.Night.Detail), b.text("#night-says"))
	assert.Regexp(t, `^After 3 pulls tonight: \d+ ft later than usual\.$`, b.text("#night-says"))
	assert.Regexp(t, `^Nearest now: .* for .* \(usually `, b.text("#night-changed"))
	assert.Contains(t, b.text("#sheet-body"), "usually")
	assert.Equal(t, show, s.reading("fescue", 248).Day)

	// A slip is taken back, and one beyond belief is asked about.
	b.tap("#night-status button")
	b.says("#night-says", "After 2 pulls tonight: ")
	b.write("#night-distance", "2370")
	b.tap("#night-gears button[value='4']")
	b.says("#night-status", "2370 ft (722.4 m)? This sled's slowest gear tops out near")
	b.press("#night-status button") // Correct
	b.until("document.activeElement.id === 'night-distance' && document.activeElement.value === '2370'")
	assert.Equal(t, "After 2 pulls tonight", b.text("#night-says")[:21])

	// One far off moves nothing until somebody says that it is right.
	b.write("#night-distance", "252")
	b.tap("#night-gears button[value='4']")
	b.says("#night-says", "lies far from what the other days say")
	b.press("#night-strays button")
	b.says("#night-says", "After 3 pulls tonight: ")
	b.press("#night-status button") // Undo
	b.says("#night-says", "After 2 pulls tonight: ")

	// What was not entered from the show joins only when ticked, on the printed sheet too.
	s.call("POST", "/v1/sleds/fescue/readings",
		map[string]any{"gear": "4", "distance_ft": 236, "measured_on": inDays(0)}, nil)
	b.goTo("/shows?show=" + show)
	b.says("#night-others", "Take in 1 reading of this date that was not entered from here")
	b.says("#night-says", "After 2 pulls tonight: ")
	b.press("#night-date")
	b.says("#night-says", "After 3 pulls tonight: ")
	b.press("#to-sheet")
	b.says("#night", "After 3 pulls tonight: ")
	b.goTo("/fence?show=" + show)
	b.says("#night", "After 2 pulls tonight: ")
	b.goTo("/pullers?show=" + show + "&sled=bluestem&gear=C")
	b.says("#show", "After 2 pulls tonight: ")
	var moved answers
	s.call("GET", "/v1/equivalents?sled=bluestem&gear=C&on=fescue&day="+show, nil, &moved)
	b.says("#headline", moved.Answers[0].Nearest.Gear+" on Fescue")
}

func TestShowPage_AsksForNoHooksBeforeItsDay(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/shows?show="+demo.evening)
	b.until("document.querySelector('#sheet-body tbody tr')")
	assert.False(t, eval[bool](b, "document.querySelector('#night').checkVisibility()"))
}

// The pages of a night with pulls of its own, and of a sled with a reading that counts nowhere, which the shared demo
// has not. Without CI=true on a phone.
func TestPagesThatAsk_AreSoundOnEveryScreen(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	axe := ""
	t.Run("axe-core is there", func(t *testing.T) { axe = axeInFull(t) })
	show := s.evening("Harvest pull", 0, "fescue")
	for _, r := range []map[string]any{
		{"gear": "3", "distance_ft": 248, "day": show}, {"gear": "2", "distance_ft": 268, "day": show},
		{"gear": "4", "distance_ft": 252, "day": show}, {"gear": "5", "distance_ft": 219},
	} {
		r["measured_on"] = inDays(0)
		s.call("POST", "/v1/sleds/fescue/readings", r, nil)
	}
	s.call("POST", "/v1/sleds/bluestem/readings",
		map[string]any{"gear": "C", "distance_ft": 226, "measured_on": inDays(0)}, nil)
	for _, on := range inPart(sights(), 1) {
		b := s.in(t).lookFrom(on)
		for _, page := range []look{
			{"/shows?show=" + show, "document.querySelector('#night-says')?.checkVisibility()"},
			{"/sheet?show=" + show, "document.querySelector('#night')?.checkVisibility()"},
			{"/fence?show=" + show, "document.querySelector('#night')?.checkVisibility()"},
			{"/pullers?show=" + show, "document.querySelector('#classes-list li')"},
			{"/fleet?sled=bluestem", "document.querySelector('#checks .hollow') && " +
				"document.querySelector('#readings-list .hollow')"},
		} {
			where := page.path + " at " + on.String()
			b.see(page)
			b.breaksNoGuideline(axe, where)
			b.isSound(where, on)
		}
		b.leave()
	}
}
