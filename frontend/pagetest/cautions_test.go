package pagetest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Each caution stands once on a page: what is said twice is read by nobody. The footer of every page is one of them.
func TestEveryPage_SaysEachCautionOnce(t *testing.T) {
	t.Parallel()
	s := sharedDemo(t)
	b := s.lookFrom(sight{desk, true})
	cautions := 0
	for _, page := range looks() {
		b.see(page)
		said := eval[[]string](b, `[...document.querySelectorAll('.caution, .cautions li, .foot > p:first-child')]
			.filter((e) => e.checkVisibility()).flatMap((e) => e.innerText.split(/(?<=[.;])\s+/)).map((text) => text.trim())
			.filter((text) => text.length > 20)`)
		cautions += len(said)
		once := map[string]bool{}
		for _, sentence := range said {
			assert.False(t, once[sentence], "%s: twice: %q", page.path, sentence)
			once[sentence] = true
		}
	}
	assert.Greater(t, cautions, len(looks()))
}
