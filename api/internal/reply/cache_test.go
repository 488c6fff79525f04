package reply

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCache_TakesUpBoundedMemory(t *testing.T) {
	t.Parallel()
	k := NewCache(100_000, nil, nil, nil)
	body := bytes.Repeat([]byte("a"), 1000)
	for i := range 1000 {
		k.put(fmt.Sprint(i), moment{revision: 1}, Answer{Body: body})
		k.put("asked again and again", moment{revision: 1}, Answer{Body: body})
		held := 0
		for _, generation := range []map[string]cached{k.young, k.old} {
			for q, a := range generation {
				held += len(q) + len(a.answer.Body)
			}
		}
		require.LessOrEqual(t, held, 100_000)
		_, ok := k.get("asked again and again", moment{revision: 1})
		require.True(t, ok)
	}
	_, ok := k.get("0", moment{revision: 1})
	assert.False(t, ok, "what nobody asks for is dropped")
	_, ok = k.get("999", moment{revision: 2})
	assert.False(t, ok, "another revision")
	k.put("vast", moment{revision: 1}, Answer{Body: make([]byte, 60_000)})
	_, ok = k.get("vast", moment{revision: 1})
	assert.False(t, ok, "more than a generation")
}
