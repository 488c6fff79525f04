package pagetest

import (
	"fmt"
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Names that would do something if a page took them for markup, or a spreadsheet for a formula.
const (
	hostile = `<img src=x onerror=alert(1)>`
	formula = `=HYPERLINK(1)`
	asLabel = `<b onclick=x()>` // as long as a gear's label may be
)

// named makes one such name of its own for a field, so that it is seen which of them are on a page.
func named(field string) string { return hostile + formula + " " + field }

// hostileFleet fills a fleet with such names in every field that takes text, and returns the ids of its show and its
// sleds.
func hostileFleet(s site) (show, sled, other string) {
	s.t.Helper()
	add := func(path string, body map[string]any) string {
		s.t.Helper()
		var made struct{ ID string }
		s.call("POST", path, body, &made)
		return made.ID
	}
	sled = add("/v1/sleds", map[string]any{
		"name": named("sled"), "owner": named("owner"), "notes": named("sled note"), "travel_ft": 34,
		"gears": []any{map[string]any{"label": asLabel, "ratio": 1.3},
			map[string]any{"label": formula, "ratio": 1.1}},
		"driveline": map[string]any{"sprocket_teeth": 12, "chain_pitch_in": 2, "final_ratio": 5.3,
			"tire_circumference_ft": 10.2},
	})
	other = add("/v1/sleds", map[string]any{"name": named("other sled"), "travel_ft": 32,
		"gears": []any{map[string]any{"label": asLabel}, map[string]any{"label": formula}}})
	for _, on := range []string{sled, other} {
		for day := range 3 {
			for i, gear := range []string{asLabel, formula} {
				add("/v1/sleds/"+on+"/readings", map[string]any{
					"gear": gear, "distance_ft": 290 - 30*i + day, "measured_on": fmt.Sprintf("2026-05-%02d", 9+day),
					"day": named("day") + fmt.Sprint(day), "place": named("place"),
					"by": named("by"), "note": named("note"), "marked_by": named("marked by"),
					"taken_with": named("taken with"), "surface": named("surface"), "weights": named("weights"),
				})
			}
		}
	}
	add("/v1/sleds/"+other+"/readings",
		map[string]any{"gear": asLabel, "distance_ft": 291, "ended": "stated", "by": named("stated by"),
			"measured_on": "2026-05-01"})
	var list readingList
	s.call("GET", "/v1/sleds/"+sled+"/readings?limit=1", nil, &list)
	s.call("PATCH", "/v1/readings/"+list.Items[0].ID,
		map[string]any{"set_aside": map[string]any{"reason": named("reason")}}, nil)
	add("/v1/sleds/"+sled+"/changes",
		map[string]any{"made_on": "2026-05-10", "what": named("change"), "effect": "by-ratio",
			"driveline": map[string]any{"final_ratio": 5.1}})
	setting := map[string]any{"sled": sled, "gear": asLabel}
	class := add("/v1/classes", map[string]any{"name": named("class"), "setting": setting,
		"pull_off": map[string]any{"sled": sled, "gear": formula},
		"weights":  named("class weights"), "notes": named("class note"), "used_by": named("used by")})
	show = add("/v1/shows", map[string]any{"name": named("show"), "date": inDays(3), "place": named("fairground"),
		"promoter": named("promoter"), "sled": other,
		"classes": []string{class}, "notes": named("show note")})
	at := "/v1/shows/" + show + "/classes/" + class
	s.call("POST", at+"/as-run", map[string]any{"from_hook": 1, "gear": formula, "weights": named("as-run weights"),
		"note": named("as-run note")}, nil)
	s.call("PUT", at+"/outcome", map[string]any{"hooks": 3, "full_pulls": 1, "felt": "hard",
		"note": named("outcome note")}, nil)
	s.newKey(named("key"), "operator")
	return show, sled, other
}

// Without CI=true on a phone, and on the first of the pages.
func TestEveryPage_ShowsANameThatLooksLikeMarkupAsText(t *testing.T) {
	t.Parallel()
	s := serve(t, "--public-url", "https://sleds.example")
	show, sled, other := hostileFleet(s)
	s.call("POST", "/v1/sleds/"+sled+"/weighings", map[string]any{"weighed_on": "2026-05-09", "box_at_ft": 0,
		"pan_lb": 12000, "scale": named("scale"), "place": named("weighed at"), "by": named("weighed by"),
		"note": named("weighing note")}, nil)
	pages := []struct {
		path string
		text []string // what has to stand there as it was typed
	}{
		{"/?sled=" + sled + "&gear=" + url.QueryEscape(asLabel) + "&start=0&on=" + other,
			[]string{named("other sled"), asLabel}},
		{"/fleet", []string{named("sled"), named("other sled"), named("owner"), asLabel, formula}},
		{"/fleet?sled=" + sled, []string{named("sled"), named("owner"), named("sled note"), named("place"), named("by"),
			named("note"), named("marked by"), named("taken with"),
			named("surface"), named("weights"), named("reason"), asLabel}},
		{"/fleet?sled=" + other, []string{named("stated by")}},
		{"/note?sled=" + sled, []string{named("sled"), asLabel, formula}},
		{"/lever?sled=" + sled, []string{named("sled"), named("change"), named("other sled"), asLabel}},
		{"/parts?sled=" + sled, []string{named("sled"), named("change")}},
		{"/what-if?sled=" + sled, []string{named("sled")}},
		{"/weights?sled=" + sled, []string{named("sled"), named("scale"), named("weighed at"), named("weighed by"),
			named("weighing note")}},
		{"/alike?reference=" + sled, []string{named("other sled")}},
		{"/shows", []string{named("show"), named("class"), named("class note"), named("used by"),
			named("class weights")}},
		{"/shows?show=" + show, []string{named("show"), named("fairground"), named("other sled"), named("class"),
			named("show note")}},
		{"/shows?part=run&show=" + show, []string{named("show"), named("class"), named("as-run note"),
			named("as-run weights")}},
		{"/shows?part=book&show=" + show, []string{named("show"), named("other sled")}},
		{"/shows?part=settings&show=" + show, []string{named("show"), named("class")}},
		{"/sheet?show=" + show, []string{named("show"), named("class"), named("other sled")}},
		{"/fence?show=" + show, []string{named("show"), named("class")}},
		{"/pullers?show=" + show + "&sled=" + sled + "&gear=" + url.QueryEscape(asLabel),
			[]string{named("other sled"), named("class")}},
		{"/season?since=" + inDays(0) + "&until=" + inDays(20), []string{named("class"), named("show")}},
		{"/admin", []string{named("key"), named("sled"), named("class"), named("show"), named("change"),
			named("reason")}},
		{"/docs", nil}, {"/help", nil}, {"/measuring", nil}, {"/weighing", nil}, {"/worked-out", nil},
	}
	own, _ := s.newKey(named("manager"), "manager")
	for _, on := range inPart([]screen{phone, desk}, 1) {
		b := s.open(on, "/")
		b.signIn(own)
		for _, look := range inPart(pages, 12) {
			b.goTo(look.path)
			b.until("[...document.querySelectorAll('h1')].some((h) => h.checkVisibility() && h.textContent)")
			b.says("#who", "Signed in as "+named("manager")+", manager.")
			// What is folded away or filled in is on the page too.
			b.until("(document.body.textContent + [...document.querySelectorAll('input, textarea')].map((f) => " +
				"f.value).join(' ')).length > 500")
			for _, text := range look.text {
				b.until(fmt.Sprintf(`document.querySelector('main').textContent.replace(/\s+/g, ' ').includes(%q)`,
					text))
			}
			eval[bool](b, "([...document.querySelectorAll('main details')].forEach((d) => { d.open = true; }), true)")
			b.quiet()
			assert.Zero(t, eval[int](b, `document.querySelectorAll('img[src="x"], [onerror], [onclick], [onload], ' +
				'main b[onclick]').length`), look.path)
			assert.Empty(t, eval[[]string](b,
				`[...document.images].filter((i) => i.naturalWidth === 0).map((i) => i.src)`), look.path)
			assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), int(on.width), "%s at %s",
				look.path, on)
		}
	}

	// The dialogs that repeat a name.
	b := s.admin(phone, own)
	b.press(fmt.Sprintf("#keys-list [aria-label=%q]", "End the key of "+named("key")))
	b.says("dialog[open]", "End the key of "+named("key")+"?")
	b.press("dialog[open] button[type=button]")
	b.goTo("/shows")
	b.press(fmt.Sprintf("#classes-list details:has([aria-label=%q]) summary", "Delete "+named("class")))
	b.press(fmt.Sprintf("#classes-list [aria-label=%q]", "Delete "+named("class")))
	b.says("dialog[open]", "Delete "+named("class")+"?")
}
