package pagetest

import "github.com/stretchr/testify/assert"

// saysEachCautionOnce looks for a caution that stands twice on a page: what is said twice is read by nobody. The footer
// of every page is one of them. It returns how many sentences of caution there are.
func (b *tab) saysEachCautionOnce(where string) int {
	b.t.Helper()
	said := eval[[]string](b, `[...document.querySelectorAll('.caution, .cautions li, .foot > p:first-child')]
		.filter((e) => e.checkVisibility()).flatMap((e) => e.innerText.split(/(?<=[.;])\s+/)).map((text) => text.trim())
		.filter((text) => text.length > 20)`)
	once := map[string]bool{}
	for _, sentence := range said {
		assert.False(b.t, once[sentence], "%s: twice: %q", where, sentence)
		once[sentence] = true
	}
	return len(said)
}
