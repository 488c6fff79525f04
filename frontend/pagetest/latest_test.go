package pagetest

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

// delay makes the page get its next answer of an address only after letThrough: as it was when it was asked for.
func (b *tab) delay(begin string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`(() => {
		const fetched = window.fetch;
		window.fetch = async (at, options) => {
			const answer = fetched(at, options);
			if ((options?.method ?? 'GET') !== 'GET' || !String(at).startsWith(%q)) return answer;
			window.fetch = fetched;
			await answer;
			window.delayed = true;
			await new Promise((resolve) => { window.letThrough = () => resolve(true); });
			return answer;
		};
		return true;
	})()`, begin))
}

// Two things are sent, and the page loads itself again after each: the answer to the first comes last.
func TestPages_ShowTheLatestOfTwoAnswers(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := s.evening("Harvest pull", 0, "fescue", s.class("Farm 9500", "C", ""))
	sheet := "/v1/shows/" + show + "/sheet"
	reading := func(n int) map[string]any {
		return map[string]any{"gear": "3", "distance_ft": 247 + n, "measured_on": inDays(0), "day": show}
	}
	line := func(n int) map[string]any {
		return map[string]any{"from_hook": n, "gear": "3", "note": fmt.Sprintf("line %d", n)}
	}
	const readings = "/v1/sleds/fescue/readings"
	b := s.open(desk, "/worked-out")
	b.signIn(managerKey)
	for _, page := range []struct {
		path, delayed, sends, place string
		thing                       func(n int) map[string]any
		says                        string
	}{
		{"/shows?show=" + show, sheet, readings, "#night-says", reading, "After 2 pulls tonight"},
		{"/shows?part=run&show=" + show, sheet, "/v1/shows/" + show + "/classes/farm-9500/as-run", "#run-classes", line,
			"line 2"},
		{"/fleet?sled=fescue", "/v1/sleds/fescue", readings, "#sled-facts", reading,
			fmt.Sprintf("%d readings", len(s.readings("fescue"))+4)},
	} {
		t.Run(page.path, func(t *testing.T) {
			b.goTo(page.path)
			b.quiet()
			b.delay(page.delayed)
			assert.Equal(t, "sent", b.record(page.sends, page.thing(1), "one"))
			b.until("window.delayed")
			assert.Equal(t, "sent", b.record(page.sends, page.thing(2), "two"))
			b.says(page.place, page.says)
			eval[bool](b, "(letThrough(), true)")
			b.quiet()
			assert.Contains(t, b.text(page.place), page.says)
		})
	}
}

func TestShowPage_ComparesTheSledThatWasAskedForLast(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(desk, "/shows?part=book&show="+demo.harvest)
	b.until("document.querySelector('[data-sled=timothy] button')")
	b.delay("/v1/shows/" + demo.harvest + "/sheet?sled=timothy")
	b.press("[data-sled=timothy] button")
	b.until("window.delayed")
	b.press("[data-sled=bluestem] button")
	b.says("#changes-heading", "Bluestem instead of Fescue")
	eval[bool](b, "(letThrough(), true)")
	b.quiet()
	assert.Equal(t, "Bluestem instead of Fescue", b.text("#changes-heading"))
}

// The lines of one sled are not signed for another that was chosen, while its own are not there yet.
func TestInspectionPage_ShowsNoLinesOfAnotherSled(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.inspected("fescue", "Chains")
	s.inspected("bluestem", "Guards")
	b := s.open(phone, "/worked-out")
	b.signIn(managerKey)
	b.goTo("/inspection?sled=fescue")
	b.dueCount(1)
	b.quiet()
	b.delay("/v1/sleds/bluestem/due")
	b.pick("#sled", "bluestem")
	b.until("window.delayed")
	assert.False(t, eval[bool](b, "document.querySelector('#due').checkVisibility()"))
	eval[bool](b, "(letThrough(), true)")
	b.until("document.querySelector('#due').checkVisibility()")
	b.says("#due-list", "Guards")
}
