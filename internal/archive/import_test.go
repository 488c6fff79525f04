package archive

import (
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// repeating is a text that is never in memory: a head, then the same piece over and over.
type repeating struct {
	head, piece string
	times       int
	peak        uint64 // of the heap while it was read
	unseen      int    // bytes since the heap was looked at
}

func (r *repeating) Read(p []byte) (int, error) {
	if r.unseen > 1<<20 {
		r.unseen = 0
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		r.peak = max(r.peak, m.HeapAlloc)
	}
	for len(r.head) < len(p) && r.times > 0 {
		n := min(r.times, 1+(len(p)-len(r.head))/len(r.piece))
		r.head += strings.Repeat(r.piece, n)
		r.times -= n
	}
	if r.head == "" {
		return 0, io.EOF
	}
	n := copy(p, r.head)
	r.unseen += n
	r.head = r.head[n:]
	return n, nil
}

// However much of whatever sort comes in is refused in words, and never held in memory. Alone, so that the heap is its
// own.
func TestImport_TakesNoMoreMemoryThanItsLongestItem(t *testing.T) {
	const much = 64 << 20
	small := `{"id":"a","name":"A","gears":[{"id":"x","label":"1"}],"take_up_ft":0,"rail_mark_ft":1,"revision":0},`
	for what, c := range map[string]struct{ head, piece string }{
		"ten million gears": {head + `"sleds": [{"id": "a", "name": "A", "gears": [`,
			`{"id":"x","label":"1"},`},
		"a name without end":         {head + `"sleds": [{"name": "`, "endless "},
		"a number without end":       {head + `"sleds": [{"travel_ft": 3`, "0123456789"},
		"a section without a name":   {head + `"`, "sleds"},
		"nothing but space":          {head + `"sleds": [`, "        "},
		"space after the end":        {head + `"sleds": []}`, "        "},
		"nesting":                    {head + `"history": [{"after": `, `{"after":`},
		"a list in the history":      {head + `"history": [{"after": [`, "1,"},
		"sleds without end, all bad": {head + `"sleds": [`, small},
		"things that are none":       {head + `"readings": [`, "0,"},
		"readings of a sled not here": {head + `"readings": [`,
			`{"sled":"a","id":"` + strings.Repeat("x", 4000) + `"},`},
		"faults that quote": {head + `"readings": [`,
			`{"measured_on":"` + strings.Repeat("soon ", 100_000) + `"},`},
	} {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		text := &repeating{head: c.head, piece: c.piece, times: much / len(c.piece)}
		_, _, err := Import(text, new(memory), noon, anySheet)
		var e *fleet.Error
		require.ErrorAs(t, err, &e, what)
		assert.Contains(t, []fleet.Kind{fleet.Unreadable, fleet.Invalid}, e.Kind, "%s: %v", what, e)
		held := int64(text.peak) - int64(m.HeapAlloc)
		assert.Less(t, held, int64(200<<20), what)
		t.Logf("%s: %d MiB; %.150s", what, held>>20, e.Error())
		size := 0
		for _, f := range e.Faults {
			size += len(f.At) + len(f.Detail)
		}
		assert.Less(t, size, 2<<20, "%s: an answer of that length", what)
	}
}
