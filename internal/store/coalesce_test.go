package store

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// However many ask, nobody hears of an older revision than the one that stood when he asked.
func TestCoalescedReads_GiveNoOlderRevision(t *testing.T) {
	t.Parallel()
	var a coalescedReads
	var revision, questions atomic.Int64
	question := func(context.Context) (int64, error) { questions.Add(1); return revision.Load(), nil }
	const people, times = 32, 500
	var wg sync.WaitGroup
	for range people {
		wg.Go(func() {
			for range times {
				stood := revision.Add(1)
				got, err := a.revision(context.Background(), question)
				if !assert.NoError(t, err) || !assert.GreaterOrEqual(t, got, stood) {
					return
				}
			}
		})
	}
	wg.Wait()
	assert.LessOrEqual(t, questions.Load(), int64(people*times))
}

// Those who come while a question is under way are answered by the one after it, all together; who has gone away holds
// nobody up, and a question that failed is no answer to the next.
func TestCoalescedReads_AreDoneOnceForAllWhoWait(t *testing.T) {
	t.Parallel()
	var a coalescedReads
	begun, goOn := make(chan struct{}), make(chan struct{})
	var questions atomic.Int64
	question := func(context.Context) (int64, error) {
		n := questions.Add(1)
		if n == 1 {
			close(begun)
			<-goOn
			return 0, errors.New("no answer")
		}
		return n, nil
	}
	first := make(chan error, 1)
	go func() { _, err := a.revision(context.Background(), question); first <- err }()
	<-begun
	gone, leave := context.WithCancel(context.Background())
	leave()
	_, err := a.revision(gone, question)
	require.ErrorIs(t, err, context.Canceled)
	var wg sync.WaitGroup
	for range 10 {
		a.mu.Lock()
		waits := a.next
		a.mu.Unlock()
		require.NotNil(t, waits)
		wg.Go(func() {
			<-waits.answered
			assert.EqualValues(t, 2, waits.revision)
			assert.NoError(t, waits.err)
		})
	}
	close(goOn)
	require.ErrorContains(t, <-first, "no answer")
	wg.Wait()
	assert.EqualValues(t, 2, questions.Load())
}
