package reply

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
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

// Whoever reads a list while others do gets the parts that were made for them, until something is written.
func TestCache_MakesAPartOnceForAllReaders(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	var revision, made atomic.Int64
	k := NewCache(100_000, func(context.Context) (int64, error) { return revision.Load(), nil }, nil, nil)
	begun, goOn := make(chan struct{}), make(chan struct{})
	var once sync.Once
	read := func() ([]byte, string, error) {
		once.Do(func() { close(begun) })
		<-goOn
		return fmt.Appendf(nil, "part %d", made.Add(1)), "the next", nil
	}
	ask := func(want string) {
		part, next, err := k.Part(ctx, "list", read)
		assert.NoError(t, err)
		assert.Equal(t, []string{want, "the next"}, []string{string(part), next})
	}
	var readers sync.WaitGroup
	readers.Go(func() { ask("part 1") })
	<-begun
	for range 20 {
		readers.Go(func() { ask("part 1") })
	}
	close(goOn)
	readers.Wait()
	revision.Add(1)
	ask("part 2")
	ask("part 2")

	broken := errors.New("the disk")
	for range 2 { // an error is nobody else's
		_, _, err := k.Part(ctx, "another", func() ([]byte, string, error) { return nil, "", broken })
		assert.ErrorIs(t, err, broken)
	}
	_, _, err := k.Part(ctx, "another", read)
	assert.NoError(t, err)
}
