package pagetest

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The pages read lengths as the server does: the same table holds both (internal/fleet).
func TestLengths_AreReadAsTheTableSays(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(phone, "/note")
	table, err := os.ReadFile("../../testdata/lengths.json")
	require.NoError(t, err)
	wrong := await[[]string](b, fmt.Sprintf(`import('/assets/lib/lengths.js').then(({parseLength}) => {
		const table = %s;
		const wrong = table.lengths.filter(({text, units = 'ft', ft, m}) => !(Math.abs(parseLength(text,
			units) - (ft ?? m / 0.3048)) < 1e-12));
		const read = [...table.no_lengths, ...table.read_in_two_ways].filter((text) => parseLength(text,
			'ft') !== null);
		return [...wrong.map(({text}) => text), ...read, ...(table.lengths.length > 50 ? [] : ['the table is empty'])];
	})`, table))
	assert.Empty(t, wrong)
}

// Every field for a length, on every page, reads it in that way: in feet, in inches where they stand beside it.
func TestLengths_AreUnderstoodInEveryField(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	show := harvestPull(s)
	b := s.open(desk, "/")
	b.signIn(managerKey)
	found := map[string]bool{}
	for _, page := range []string{"/", "/pullers?show=" + show, "/fleet", "/fleet?sled=bluestem", "/note?sled=bluestem",
		"/parts?sled=bluestem", "/shows", "/shows?show=" + show} {
		b.goTo(page)
		b.quiet()
		eval[bool](b, `(document.querySelectorAll('main details').forEach((d) => { d.open = true; }), true)`)
		b.quiet()
		got := await[map[string][]string](b, `import('/assets/lib/quantities.js').then(({quantityIn}) => {
			const samples = {"32' 6\"": 32.5, '32 ft 6 in': 32.5, '32 1/2': 32.5, '32½': 32.5, '9,90 m': 9.9 / 0.3048,
				'381 cm': 12.5};
			const wrong = {};
			for (const input of document.querySelectorAll('main input')) {
				const unit = (input.closest('.length, .with-unit, .stepper') ?? input.parentElement)
					.querySelector('.unit, [data-unit], span')?.textContent ?? '';
				const isLength = /^(ft|m|in)\b(?!\/)/.test(unit) || /(_ft|_in|^top_out|^start)$/.test(input.name);
				const isList = input.id === 'try-tire_circumference_ft';
				const isIdle = !location.search && input.closest('#night'); // of a show, of which there is none here
				if (!isLength || input.type === 'radio' || isList || isIdle) continue;
				wrong[input.id || input.name] = Object.entries(samples).filter(([text, feet]) => {
					input.value = text;
					const inches = unit.startsWith('in');
					const want = !inches ? feet : text === '32 1/2' || text === '32½' ? 32.5 : feet * 12;
					return !(Math.abs(quantityIn(input, 'ft') - want) < 1e-9);
				}).map(([text]) => text);
			}
			return wrong;
		})`)
		for field, wrong := range got {
			found[field] = true
			assert.Empty(t, wrong, "%s of %s", field, page)
		}
	}
	for _, field := range []string{"start", "far", "ran-start", "ran-far", "add-travel", "add-take-up", "add-rail-mark",
		"correct-travel", "note-start", "note-distance", "note-end", "note-plus-minus", "parts-chain_pitch_in",
		"parts-box_ft_per_turn", "parts-tire_circumference_ft", "change-travel", "night-distance", "night-start"} {
		assert.True(t, found[field], "%s among %v", field, found)
	}
}

// A list of lengths has commas between, and a length may hold one.
func TestLengths_AreReadFromAList(t *testing.T) {
	t.Parallel()
	b := sharedDemo(t).open(desk, "/parts?sled=bluestem")
	got := await[map[string][]float64](b, `import('/assets/lib/lengths.js').then(({parseLengths}) =>
		Object.fromEntries(["10' 6\", 10' 3\"", '10.5, 10.25', '10.5,10.25', '10.5 10.25', '10,5; 10,25', '10,5, 10,25',
			'10 ft 6 in, 3,2 m', '10 1/2, 10 1/4', '10,5', '10.5,', '', '10.5, far', '10,500'].map((text) => [text,
			parseLengths(text, 'ft').map(({feet}) => feet === null ? -1 : Math.round(feet * 1e6) / 1e6)])))`)
	assert.Equal(t, map[string][]float64{
		`10' 6", 10' 3"`: {10.5, 10.25}, "10.5, 10.25": {10.5, 10.25}, "10.5,10.25": {10.5, 10.25},
		"10.5 10.25": {10.5, 10.25}, "10,5; 10,25": {10.5, 10.25}, "10,5, 10,25": {10.5, 10.25},
		"10 ft 6 in, 3,2 m": {10.5, 10.498688}, "10 1/2, 10 1/4": {10.5, 10.25}, "10,5": {10.5}, "10.5,": {10.5},
		"": {}, "10.5, far": {10.5, -1}, "10,500": {-1},
	}, got)
}
