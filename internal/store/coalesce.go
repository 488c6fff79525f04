package store

import (
	"context"
	"sync"
)

// coalescedReads lets all who want to know the revision at the same time ask for it with one question to the server.
// Who comes while a question is under way waits for the next: that one is asked after he came, and so knows of every
// write that was acknowledged before.
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

// revision waits for the answer to a question that begins after now. The question is nobody's own, so its context is
// not either; it must bring its own limit of time.
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

// ask goes on as long as somebody waits.
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
