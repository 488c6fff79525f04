package pagetest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Before anything is asked: the question in one row on a desk and first on a phone, the next show with its sheet, the
// ladders as a drawing and as links. A gear asks about itself.
func TestFirstPage_ShowsTheNextShowAndTheLadders(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	for _, on := range []screen{phone, desk} {
		b := s.open(on, "/")
		b.says("#next-show .name", "Harvest pull")
		b.says("#next-show", "Timothy · 8 classes")
		assert.Equal(t, "/shows?show="+demo.evening,
			eval[string](b, "document.querySelector('#next-show a').getAttribute('href')"))
		b.says("#ladders-list", "Ryegrass")
		b.until("document.querySelector('#ladders-drawing img').naturalWidth > 0")
		assert.Equal(t, 6, eval[int](b, "document.querySelectorAll('.ladder').length"))
		tops := eval[[]float64](b, `['#question', '#next-show', '#ladders', '#sled', '#start', '#on']
			.map((id) => document.querySelector(id).getBoundingClientRect().top)`)
		question, show, ladders := tops[0], tops[1], tops[2]
		if on.width == desk.width {
			assert.Less(t, show, question)
			assert.InDelta(t, tops[3], tops[5], 1, "one row")
			assert.InDelta(t, tops[3], tops[4], 10, "one row")
		} else {
			assert.Less(t, question, show, "on a phone the question comes first")
		}
		assert.Less(t, max(question, show), ladders)
		b.press(".ladder a[href*='sled=bluestem'][href*='gear=C']")
		b.says("#asked", "C on Bluestem, from full back. Nearest on Timothy:") // the sled of the next show
		assert.False(t, eval[bool](b, "document.querySelector('#ladders').checkVisibility()"))
		b.leave()
	}
}

func TestFirstPage_WithoutShowsSaysWhatToDoNext(t *testing.T) {
	t.Parallel()
	s := serve(t)
	for _, name := range []string{"Ours", "Theirs", "Third"} {
		s.call("POST", "/v1/sleds", map[string]any{"name": name, "gears": []map[string]any{{"label": "A"}}}, nil)
	}
	for _, sled := range []string{"ours", "theirs"} {
		s.call("POST", "/v1/sleds/"+sled+"/readings",
			map[string]any{"gear": "A", "distance_ft": 240, "measured_on": "2026-05-09"}, nil)
	}
	b := s.open(desk, "/")
	b.says("#next-show", "Third has no readings yet.")
	b.says("#ladders-list", "Ours")
	assert.NotContains(t, b.text("#ladders-list"), "Third", "nothing is known of it")
	b.press("#ladders-list li a")
	b.says("#meaning", "Still to pick: tonight’s sled.")
	assert.Equal(t, "ours", eval[string](b, "document.querySelector('#sled').value"))
}
