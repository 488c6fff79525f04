package pagetest

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Everything that can be read is asked for from the page, with what its fields hold to begin with: on the demo fleet
// every address answers, but those that take an id nobody can know beforehand.
func TestDocsPage_WritesOutTheAPIAndTriesIt(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.open(desk, "/docs")
	b.until("document.querySelectorAll('details.operation').length > 40")
	b.expectRefusals() // of a reading and a sled that are not there
	var contract struct {
		Paths map[string]map[string]any
	}
	s.call("GET", "/openapi.json", nil, &contract)
	operations := 0
	for _, item := range contract.Paths {
		for method := range item {
			if method != "parameters" {
				operations++
			}
		}
	}
	assert.Equal(t, operations, eval[int](b, "document.querySelectorAll('details.operation').length"),
		"every operation has its place")

	got := await[[][]string](b, `(async () => {
		const answers = [];
		for (const part of document.querySelectorAll('details.operation')) {
			part.open = true;
			await new Promise((done) => part.addEventListener('toggle', done, { once: true }));
			const form = part.querySelector('form.try');
			if (!form) continue;
			form.querySelector('button').click();
			while (!form.querySelector('pre ~ p, pre ~ [role=alert]')) await new Promise(requestAnimationFrame);
			answers.push([part.id, form.querySelector('pre ~ p').textContent, form.querySelector('pre').textContent]);
		}
		return answers;
	})()`)
	require.Greater(t, len(got), 25)
	grounds := eval[[]string](b,
		"[...document.querySelectorAll('.try img')].map((image) => getComputedStyle(image).backgroundColor)")
	assert.Equal(t, []string{"rgb(255, 255, 255)"}, slices.Compact(grounds), "drawings have no ground of their own")
	for _, one := range got {
		if slices.Contains([]string{"getReading", "getBatch", "getWeighing"}, one[0]) {
			assert.Contains(t, one[1], "404", "none of them has an id that is known beforehand")
			continue
		}
		assert.True(t, strings.HasPrefix(one[1], "200"), "%v", one)
		assert.Contains(t, one[2], "curl -s '"+b.base+"/")
	}

	// Every document that is named has its place, and a link opens it.
	broken := eval[[]string](b, `[...document.querySelectorAll('main a[href^="#"]')].map((a) => a.getAttribute('href')
		.slice(1)).filter((id) => !document.getElementById(id))`)
	assert.Empty(t, broken)
	b.goTo("/docs#schema-Reading")
	b.until("document.querySelector('#schema-Reading').open && document.querySelector('#schema-Reading tbody')")
	assert.Contains(t, b.text("#schema-Reading"), "distance_ft")

	// No answer is taken for a page.
	assert.Contains(t, await[string](b,
		`(async () => { const { tryForm } = await import('/assets/docs/try.js');
			const form = tryForm('/v1/sleds/{sled}', [{ name: 'sled', in: 'path', required: true,
			schema: { type: 'string' } }], {}); document.body.append(form); form.querySelector('input')
			.value = '<img src=x onerror=alert(1)>'; form.querySelector('button').click();
			while (!form.querySelector('pre ~ pre')) await new Promise(requestAnimationFrame);
			return form.querySelector('pre ~ pre').textContent; })()`), "there is no sled")
}

func TestDocsPage_IsSoundOnEveryScreen(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	for _, on := range inPart([]screen{phone, desk, {width: 360, height: 640, dark: true}}, 2) {
		b := s.open(on, "/docs#getEquivalents")
		b.until("document.querySelector('#getEquivalents form.try')")
		b.press("#getEquivalents form.try button")
		b.until("document.querySelector('#getEquivalents pre ~ pre')")
		assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), int(on.width), "%s", on)
		small := eval[[]string](b, `[...document.querySelectorAll('button, select, summary, nav a, ' +
			'input:not([type=radio]), ' +
			'.foot a')]
			.filter((e) => e.checkVisibility() && !e.closest('.scroll')).filter((e) => e.getBoundingClientRect()
				.height < 44).map((e) => e.outerHTML.slice(0, 80))`)
		assert.Empty(t, small, "%s: targets under 44 px", on)
		b.leave()
	}
}

func TestDocsPage_OpensWithoutSignalOnceSeenAndElseSaysWhyNot(t *testing.T) {
	t.Parallel()
	phone := sharedDemo(t).device(phone)
	other := phone.at("/", true)
	other.hasOfflineCopy()
	other.leave()
	never := phone.at("/docs", false)
	never.says("#whole-page", "The server could not be reached.")
	never.leave()
	first := phone.at("/docs", true)
	first.until("document.querySelectorAll('details.operation').length > 40")
	first.hasOfflineCopy()
	first.leave()
	again := phone.at("/docs", false)
	again.until("document.querySelectorAll('details.operation').length > 40")
	again.says("#offline-notice", "no signal")
}
