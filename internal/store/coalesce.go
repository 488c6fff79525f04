package store

import (
	"context"
	"sync"
)

// coalescedReads answers all who want to know the revision at the same time with one query. Who comes while a query is
// running waits for the next one: it starts later, and so returns every write that was acknowledged before.
type coalescedReads struct {
	mu       sync.Mutex
	underWay bool
	next     *pendingRead
}

type pendingRead struct {
	answered chan struct{}
	revision int64
	err      error
}

// revision waits for the result of a query that starts after the call. The query belongs to no single caller, so it
// does not get the caller's context; it must bring its own timeout.
func (a *coalescedReads) revision(ctx context.Context, question func(context.Context) (int64, error)) (int64, error) {
	a.mu.Lock()
	if a.next == nil {
		a.next = &pendingRead{answered: make(chan struct{})}
	}
	mine := a.next
	if !a.underWay {
		a.underWay = true
		go a.ask(context.WithoutCancel(ctx), question)
	}
	a.mu.Unlock()
	select {
	case <-mine.answered:
		return mine.revision, mine.err
	case <-ctx.Done():
		return 0, ctx.Err()
	}
}

// ask repeats the query as long as somebody waits.
func (a *coalescedReads) ask(ctx context.Context, question func(context.Context) (int64, error)) {
	for {
		a.mu.Lock()
		now := a.next
		a.next, a.underWay = nil, now != nil
		a.mu.Unlock()
		if now == nil {
			return
		}
		now.revision, now.err = question(ctx)
		close(now.answered)
	}
}
