package pagetest

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// set notes a setting in an open class panel.
func (b *tab) set(panel, hook, gear, why string) {
	b.t.Helper()
	before := eval[int](b, fmt.Sprintf("document.querySelectorAll('%s .lines li[data-line]').length", panel))
	b.write(panel+" input[name=from_hook]", hook)
	b.pick(panel+" .set [data-at=gear] input[value='"+gear+"']", gear)
	b.pick(panel+" .set [data-at=pull_off] input[value='"+why+"']", why)
	if why == "Pull-off" { // which takes the planned gear of the pull-off: what was really set is chosen after it
		b.pick(panel+" .set [data-at=gear] input[value='"+gear+"']", gear)
	}
	b.press(panel + " .set button[type=submit]")
	if eval[bool](b, "document.documentElement.dataset.role === undefined") {
		b.giveKey(managerKey)
	}
	b.until(fmt.Sprintf("document.querySelectorAll('%s .lines li[data-line]').length === %d", panel, before+1))
}

func TestShowPage_TakesWhatWasSetAndHowItWent(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	class := s.class("Farm stock 9,500 lb", "C", "D")
	id := s.evening("Harvest pull", 10, "fescue", class)
	b := s.open(phone, "/shows?part=run&show="+id)
	b.expectRefusals()
	panel := "#run-" + class
	b.until("document.querySelector('" + panel + "').open") // the class that is on
	assert.Equal(t, "1", eval[string](b, "document.querySelector('"+panel+" input[name=from_hook]').value"))
	assert.Equal(t, "2", eval[string](b, "document.querySelector('"+panel+" .set [data-at=gear] input:checked').value"),
		"what was planned is filled in")

	b.set(panel, "1", "2", "As planned")
	b.says(panel+" .lines", "From hook 1 on: gear 2 from full back")
	b.set(panel, "15", "3", "Test pull went full")
	b.says(panel+" .lines", "Hooks 1 to 14: gear 2 from full back")
	b.says(panel+" .lines", "From hook 15 on: gear 3 from full back")
	assert.Contains(t, b.text(panel+" .lines"), "“Test pull went full”")
	assert.Contains(t, b.text(panel+" .state"), "set: 3 from full back")
	b.set(panel, "21", "4", "Pull-off")
	b.says(panel+" .lines", "Hooks 15 to 20: gear 3 from full back")
	b.says(panel+" .lines", "Pull-off, from hook 21 on: gear 4 from full back")
	b.press("#show-parts [data-part=sheet]")
	b.says("#sheet-body tbody tr", "hooks 1 to 14: 2 from full back")
	b.press("#show-parts [data-part=run]")
	b.until("document.querySelector('" + panel + "')?.open")

	// What is wrong stays in the form with the reason beside it.
	b.write(panel+" input[name=from_hook]", "fifteen")
	b.press(panel + " .set button[type=submit]")
	b.says(panel+" .set", "A whole number, 1 to 500.")
	b.write(panel+" input[name=from_hook]", "22")
	b.write(panel+" .set input[name=start_ft]", "60")
	b.press(panel + " .set button[type=submit]")
	// past the travel
	b.until("document.querySelector('" + panel + " .set input[name=start_ft]').getAttribute('aria-invalid') === 'true'")
	b.write(panel+" .set input[name=start_ft]", "0")

	// A line noted by mistake is taken back, and the hooks close up again.
	b.press(panel + " .lines li:nth-child(2) [aria-label^='Take back']")
	b.press("dialog[open] .primary")
	b.says(panel+" .lines", "Hooks 1 to 20: gear 2 from full back")

	b.press(panel + " .went summary")
	b.write(panel+" input[name=hooks]", "18")
	b.write(panel+" input[name=full_pulls]", "19")
	b.write(panel+" input[name=longest_ft]", "312.5")
	b.pick(panel+" .felt input[value=hard]", "hard")
	b.press(panel + " .went button[type=submit]")
	b.until("document.querySelector('" + panel + " input[name=full_pulls]').getAttribute('aria-invalid') === 'true'")
	b.write(panel+" input[name=full_pulls]", "2")
	b.press(panel + " .went button[type=submit]")
	b.says(panel+" .went summary", "How it went: 18 hooks · 2 full · longest 312.5 ft · felt too hard")

	var sheet showSheet
	s.call("GET", "/v1/shows/"+id+"/sheet", nil, &sheet)
	row := sheet.Rows[0]
	require.Len(t, row.AsRun, 2)
	assert.Equal(t, "2", row.AsRun[0].Gear)
	assert.True(t, row.AsRun[1].PullOff)
	require.NotNil(t, row.Outcome)
	assert.Equal(t, "hard", row.Outcome.Felt)
	assert.InDelta(t, 312.5, *row.Outcome.LongestFt, 1e-9)
}

func TestShowPage_TellsTheOperatorThatTheShowWasChanged(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	class := s.class("Farm stock 9,500 lb", "C", "")
	id := s.evening("Harvest pull", 10, "fescue", class)
	b := s.open(phone, "/shows?part=run&show="+id)
	b.expectRefusals()
	panel := "#run-" + class
	b.until("document.querySelector('" + panel + "').open") // the class that is on
	s.change(id, map[string]any{"promoter": "Somebody Else"})
	b.set(panel, "1", "2", "As planned")
	b.says(panel, "The show was changed since you opened the sheet: look again.")

	// Another sled has other gears: the line is refused, with what happened, and stays in the form.
	s.change(id, map[string]any{"sled": "timothy"})
	b.write(panel+" input[name=from_hook]", "5")
	b.press(panel + " .set button[type=submit]")
	b.says(panel+" .set", "The sled was changed to Timothy since this sheet")
	b.press(panel + " .set [role=status] button")
	b.says("#show-sled", "Timothy is booked.")
	assert.Equal(t, "5", eval[string](b, "document.querySelector('"+panel+" input[name=from_hook]').value"),
		"what was typed stays")
	assert.Equal(t, 1, eval[int](b,
		"document.querySelectorAll('"+panel+" .set [data-at=gear] input[value=\"low 1\"]').length"))
	b.until("!document.querySelector('#run-queue').checkVisibility()")
}

func TestShowPage_MakesAPullAReading(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	class := s.class("Farm stock 9,500 lb", "C", "")
	id := s.evening("Spring pull", -3, "fescue", class)
	b := s.open(phone, "/shows?part=run&show="+id)
	panel := "#run-" + class
	b.press(panel + " summary") // of a show that is over none is on
	b.set(panel, "1", "2", "As planned")

	for _, pull := range []struct{ ended, distance, end string }{{"topped-out", "262", ""},
		{"stopped-short", "180", "20.5"}, {"past-top", "301", ""}} {
		b.press(panel + " .lines [aria-label^='Note a pull as a reading']")
		assert.False(t, eval[bool](b, "[...document.querySelectorAll('"+panel+" .pull input[type=radio]')].some((i) "+
			"=> i.checked)"), "how a pull ended is never guessed")
		b.pick(panel+" .pull input[value="+pull.ended+"]", pull.ended)
		b.write(panel+" .pull input[name=distance_ft]", pull.distance)
		if pull.end != "" {
			b.write(panel+" .pull input[name=end_ft]", pull.end)
		}
		b.press(panel + " .pull button[type=submit]")
		b.says(panel, "Kept: 2 on Fescue, "+pull.distance+" ft")
	}
	var list struct {
		Items []struct {
			Gear, Ended, Day, Place, Note string
			MeasuredOn                    string   `json:"measured_on"`
			DistanceFt                    float64  `json:"distance_ft"`
			EndFt                         *float64 `json:"end_ft"`
		}
	}
	s.call("GET", "/v1/sleds/fescue/readings?limit=3", nil, &list)
	ended := map[string]float64{}
	for _, r := range list.Items {
		ended[r.Ended] = r.DistanceFt
		assert.Equal(t, "2", r.Gear)
		assert.Equal(t, id, r.Day, "all pulls of a show share its day")
		assert.Equal(t, inDays(-3), r.MeasuredOn)
		assert.Equal(t, "Alder Fairground", r.Place)
		if r.Ended == "stopped-short" {
			require.NotNil(t, r.EndFt)
			assert.InDelta(t, 20.5, *r.EndFt, 1e-9)
		}
	}
	assert.Equal(t, map[string]float64{"topped-out": 262, "stopped-short": 180, "past-top": 301}, ended)
}

func TestSeasonPage_PointsOutTheClassThatKeepsBeingMoved(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	moved, kept := s.class("Hot farm 9,500 lb", "C", ""), s.class("Antique 5,500 lb", "E", "")
	for week := range 6 {
		id := s.evening("Friday pull", -60+7*week, "bluestem", kept, moved)
		s.call("POST", "/v1/shows/"+id+"/classes/"+moved+"/as-run", map[string]any{"from_hook": 1, "gear": "D"}, nil)
		s.call("POST", "/v1/shows/"+id+"/classes/"+kept+"/as-run", map[string]any{"from_hook": 1, "gear": "E"}, nil)
		s.call("PUT", "/v1/shows/"+id+"/classes/"+moved+"/outcome",
			map[string]any{"hooks": 12, "full_pulls": 0, "felt": "hard"}, nil)
	}
	from, to := inDays(-60), inDays(-25)
	b := s.open(desk, "/season?since="+from+"&until="+to)
	b.says("#moved h3", "Hot farm 9,500 lb")
	assert.Contains(t, b.text("#moved .says"), "Set earlier than planned at 6 of 6 shows")
	assert.Equal(t, 1, eval[int](b, "document.querySelectorAll('#moved h3').length"))
	assert.Equal(t, "Antique 5,500 lb", b.text("#others h3"))
	assert.Contains(t, b.text("#others .says"), "Set as planned")
	for _, part := range []string{"Friday pull", "Bluestem", "C from full back", "D from full back", "earlier",
		"12 hooks · 0 full · felt too hard"} {
		assert.Contains(t, b.text("#moved tbody tr"), part)
	}
	b.press("input[name=frame-units][value=m]")
	b.until(`/\d\.\d\d\sm earlier/.test(document.querySelector('#moved tbody tr').textContent)`)

	b.pick("#until", inDays(-70))
	b.press("#span button")
	b.says("#span", "The first day lies after the last.")
	b.pick("#since", inDays(-80))
	b.press("#span button")
	b.says("#about", "No shows in that time.")
}
