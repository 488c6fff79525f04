package pagetest

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inWords are the sentences of an answer.
type inWords struct {
	Headline, Meaning, Sure string
	ForPullers              struct{ Headline, Meaning, Line string } `json:"for_pullers"`
}

// worded is the first answer in sentences.
func (s site) worded(question string) inWords {
	s.t.Helper()
	var api struct {
		Answers []struct {
			InWords inWords `json:"in_words"`
		}
	}
	s.call("GET", "/v1/equivalents?"+question, nil, &api)
	require.Len(s.t, api.Answers, 1)
	return api.Answers[0].InWords
}

// The pages show the sentences of the API, word for word, and ask for them again when somebody counts in other units.
func TestUnits_TheSentencesOfThePagesAreThoseOfTheAPI(t *testing.T) {
	s := serve(t, "--demo")
	show := harvestPull(s)
	choose := func(units string) string { return "input[name=frame-units][value=" + units + "]" }
	for name, question := range map[string]string{
		"clear": "sled=bluestem&gear=C&on=fescue", "toss-up": "sled=bluestem&gear=C&on=timothy",
		"out-of-reach": "sled=bluestem&gear=A&on=fescue",
	} {
		b := s.open(desk, "/?"+question+"&start=0")
		b.until("document.querySelector('#answer').dataset.level === '" + name + "'")
		for _, units := range []string{"m", "ft"} {
			b.press(choose(units))
			want := s.worded(question + "&units=" + units)
			b.says("#meaning", plain(want.Meaning))
			assert.Equal(t, want.Headline, eval[string](b, "document.querySelector('#headline').textContent"))
			assert.Equal(t, want.Sure, eval[string](b, "document.querySelector('#sure').textContent"))
		}
	}

	b := s.open(phone, "/pullers?show="+show+"&sled=bluestem&gear=D&units=m")
	want := s.worded("sled=bluestem&gear=D&on=fescue&units=m").ForPullers
	b.says("#headline", plain(want.Meaning))
	assert.Equal(t, want.Headline+" "+want.Meaning, eval[string](b, "document.querySelector('#headline').textContent"))
	assert.Contains(t, eval[string](b, "document.title"), want.Line)

	// A reading out of line: the sled's page says so in whichever units.
	s.call("POST", "/v1/sleds/bluestem/readings",
		map[string]any{"gear": "C", "distance_ft": 300, "measured_on": "2026-07-18"}, nil)
	b = s.open(desk, "/fleet?sled=bluestem&units=ft")
	b.says(".checks", "300 ft noted in gear C from full back")
	b.press(choose("m"))
	b.says(".checks", "91.4 m noted in gear C from full back")
	b.says("#advice-list", " m after this reading.")
}

// What somebody chose last counts on the next page too, and the answer is fetched ahead in those units, once.
func TestUnits_AreRememberedAndTheAnswerIsFetchedAheadInThem(t *testing.T) {
	s := serve(t, "--demo")
	b := s.open(desk, "/healthz") // which keeps no page
	eval[string](b, "document.cookie = 'evenpull-units=m; path=/'")
	b.goTo("/?sled=bluestem&gear=C&start=0&on=fescue")
	b.says("#meaning", " m later")
	fetchedAhead := func(b *tab) (name string) {
		asked := eval[[]struct{ Name, Initiator string }](b, `performance.getEntriesByType('resource')
			.filter(({name}) => name.includes('/v1/equivalents?'))
				.map(({name, initiatorType}) => ({name, initiator: initiatorType}))`)
		require.Len(t, asked, 1)
		assert.Equal(t, "link", asked[0].Initiator, "by the page's head, before its scripts")
		return asked[0].Name
	}
	assert.Contains(t, fetchedAhead(b), "&units=m")
	show := harvestPull(s)
	other := s.open(phone, "/pullers?show="+show+"&sled=bluestem&gear=C&units=m") // without a worker yet
	other.says("#headline", "on Fescue")
	assert.Contains(t, fetchedAhead(other), "&units=m&day="+show, "the answer on the night of the show")

	b.press("input[name=frame-units][value=ft]")
	b.says("#meaning", " ft later")
	b.goTo("/pullers")
	b.until("document.querySelector('input[name=frame-units][value=ft]').checked")
}

// Without signal the same answer in the other units is better than none, and the page says what it is.
func TestUnits_WithoutSignalTheAnswerInTheOtherUnitsIsShown(t *testing.T) {
	s := serve(t, "--demo")
	phone := s.device(phone)
	first := phone.at("/?sled=bluestem&gear=C&start=0&on=fescue&units=ft", true)
	first.says("#meaning", " ft later")
	first.hasOfflineCopy()
	first.leave()

	again := phone.at("/?sled=bluestem&gear=C&start=0&on=fescue&units=m", false)
	again.says("#meaning", " ft later")
	again.says("#details", " m")
	again.says("#offline-notice", "no signal: this was stored in feet.")
	again.press("input[name=frame-units][value=ft]")
	again.until("!document.querySelector('#offline-notice').textContent.includes('stored in')")
	again.says("#offline-notice", "no signal.")
}

func TestUnits_ChosenWhileAPageLoadsAreThoseItShows(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := s.evening("Harvest pull", 0, "fescue")
	s.call("POST", "/v1/sleds/fescue/readings",
		map[string]any{"gear": "3", "distance_ft": 248, "measured_on": inDays(0), "day": show}, nil)
	for _, page := range []struct{ path, asks, place string }{
		{"/note?sled=bluestem", "/v1/sleds?", "#note-plus-minus-default"},
		{"/shows", "/v1/classes?", "#class-farm-stock-9-500-lb summary"},
		{"/shows?show=" + show, "/v1/shows/" + show + "/sheet", "#night-says"},
		{"/sheet?show=" + show, "/v1/shows/" + show + "/sheet", "#night"},
		{"/fence?show=" + show, "/v1/shows/" + show + "/sheet", "#night"},
		{"/fleet", "/v1/sleds?", "#sleds"},
		{"/fleet?sled=brome", "/v1/sleds/brome/chart", "#sled-facts"},
	} {
		t.Run(page.path, func(t *testing.T) {
			b := s.in(t).open(desk, "/help")
			b.hold(page.asks)
			b.goTo(page.path)
			b.until("window.letThrough")
			b.press("input[name=frame-units][value=m]")
			eval[bool](b, "(letThrough(), true)")
			in := func(units string) string {
				return fmt.Sprintf(`/\d\s%s\b/.test(document.querySelector(%q)?.textContent ?? '')`, units, page.place)
			}
			b.until(in("m"))
			b.press("input[name=frame-units][value=ft]")
			b.until(in("ft"))
		})
	}
}
