package pagetest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A sled and a gear have names in letters that are written from right to left. The distance after them stays behind
// them, in its own order.
func TestNames_FromRightToLeftLeaveTheNumbersBesideThemInOrder(t *testing.T) {
	t.Parallel()
	s := serve(t)
	const name, label = "שלום", "ב"
	var sled struct{ ID string }
	s.call("POST", "/v1/sleds", map[string]any{"name": name, "travel_ft": 34,
		"gears": []any{map[string]any{"label": label}}}, &sled)
	b := s.noting(phone, "/note?sled="+sled.ID)
	b.tap("#note-gears input")
	b.padded("255")
	b.tap("#note-form button[value=topped-out]")
	b.says("#note-latest .what", "255 ft")
	b.state("sent")
	// Where each piece of the line is on the screen, from left to right.
	order := eval[[]string](b, `(() => {
		const text = document.querySelector('#note-latest .what');
		const nodes = document.createTreeWalker(text, NodeFilter.SHOW_TEXT), places = [];
		for (let node = nodes.nextNode(); node; node = nodes.nextNode()) {
			for (const piece of ['שלום', 'ב', '2', '55', 'ft']) {
				const at = node.data.indexOf(piece, piece === '2' ? node.data.indexOf('255') : 0);
				if (at < 0) continue;
				const range = document.createRange();
				range.setStart(node, at);
				range.setEnd(node, at + piece.length);
				places.push([range.getBoundingClientRect().left, piece]);
			}
		}
		return places.sort(([a], [b]) => a - b).map(([, piece]) => piece);
	})()`)
	assert.Equal(t, []string{name, label, "2", "55", "ft"}, order)
}
