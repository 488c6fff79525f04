package reply

import (
	"context"
	"net/http"
	"sync"
	"time"

	"github.com/labstack/echo/v4"
)

// Cache holds answers as they were sent, each under its exact question and good for one moment. There are two
// generations: a full young one replaces the old, and what is asked for again moves back to the young one, so that what
// nobody asks for is dropped.
type Cache struct {
	revision func(context.Context) (int64, error)
	now      func() time.Time
	count    func(hit bool)

	mu         sync.Mutex
	half       int // bytes in one generation
	young, old map[string]cached
	youngBytes int
	underWay   map[pending]chan struct{}
}

type cached struct {
	good   moment
	answer Answer
}

// moment is one revision of the fleet within one quarter of an hour. The clock counts because a show is over from some
// hour on though nobody writes; every zone's hours start on a UTC quarter hour.
type moment struct{ revision, quarter int64 }

// pending is a question that somebody is working out.
type pending struct {
	question string
	at       moment
}

const quarterOfAnHour = 15 * 60 // seconds

// NewCache makes a cache of at most so many bytes. revision is the fleet's, which moves with every write; count is told
// by Answer alone, of every question, whether its answer was there.
func NewCache(bytes int, revision func(context.Context) (int64, error), now func() time.Time,
	count func(hit bool)) *Cache {
	return &Cache{
		revision: revision, now: now, count: count, half: bytes / 2,
		young: map[string]cached{}, underWay: map[pending]chan struct{}{},
	}
}

const quarterKey = "quarter of an hour"

// Answer sends a cached answer, or lets the first who asks work it out. The fleet's revision and the time are asked for
// after the request has come, so that the answer is never older than the last write that was acknowledged before.
func (k *Cache) Answer(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		revision, err := k.revision(r.Context())
		if err != nil {
			return err
		}
		quarter := k.now().Unix() / quarterOfAnHour
		question, at := questionOf(r), moment{revision, quarter}
		a, done := k.lookUp(r.Context(), question, at)
		k.count(done == nil)
		if done == nil {
			return Send(c, a)
		}
		defer done()
		c.Set(quarterKey, quarter)
		return next(c)
	}
}

// Send sends an answer worked out at that revision, and holds it as one from when it was asked for.
func (k *Cache) Send(c echo.Context, revision int64, a Answer) error {
	quarter, _ := c.Get(quarterKey).(int64)
	a = a.fitFor(c.Request())
	k.put(questionOf(c.Request()), moment{revision, quarter}, a)
	return Send(c, a)
}

// SendJSON encodes what was worked out at that revision, sends and holds it.
func (k *Cache) SendJSON(c echo.Context, revision int64, v any) error {
	a, err := encoded(http.StatusOK, v)
	if err != nil {
		return err
	}
	return k.Send(c, revision, a)
}

// Part is a part of a list that is too long to be held whole, and the cursor of the one after it, as they are at the
// present revision of the fleet or later. read makes it, once for all who read the list at that revision.
func (k *Cache) Part(
	ctx context.Context, question string, read func() (part []byte, next string, err error),
) (part []byte, next string, err error) {
	revision, err := k.revision(ctx)
	if err != nil {
		return nil, "", err
	}
	at := moment{revision: revision}
	a, done := k.lookUp(ctx, question, at)
	if done == nil {
		return a.Body, a.next, nil
	}
	defer done()
	if part, next, err = read(); err == nil {
		k.put(question, at, Answer{Body: part, next: next})
	}
	return part, next, err
}

// questionOf is everything that an answer depends on besides the fleet: the path and the query as they were written,
// and whether it may be compressed.
func questionOf(r *http.Request) string {
	zip := ""
	if TakesGzip(r.Header) {
		zip = "gzip"
	}
	return zip + " " + r.URL.EscapedPath() + "?" + r.URL.RawQuery
}

func (k *Cache) get(question string, now moment) (Answer, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if found, ok := k.young[question]; ok {
		return found.answer, found.good == now
	}
	found, ok := k.old[question]
	if !ok || found.good != now {
		return Answer{}, false
	}
	k.add(question, found)
	return found.answer, true
}

func (k *Cache) put(question string, now moment, a Answer) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.add(question, cached{now, a})
}

func (k *Cache) add(question string, a cached) {
	const overhead = 300 // bytes beside question and body, roughly
	size := func(a cached) int { return len(question) + len(a.answer.Body) + overhead }
	if size(a) > k.half {
		return
	}
	if was, ok := k.young[question]; ok {
		k.youngBytes -= size(was)
	} else if k.youngBytes+size(a) > k.half {
		k.old, k.young, k.youngBytes = k.young, map[string]cached{}, 0
	}
	k.young[question] = a
	k.youngBytes += size(a)
}

// lookUp gives a cached answer, or else a done for the caller to call once it has worked the answer out. It coalesces:
// whoever asks meanwhile waits for the first who asked, and works it out only where that came to nothing. After a write
// a thousand phones ask the same.
func (k *Cache) lookUp(ctx context.Context, question string, at moment) (a Answer, done func()) {
	if a, ok := k.get(question, at); ok {
		return a, nil
	}
	of := pending{question, at}
	k.mu.Lock()
	wait, others := k.underWay[of]
	if !others {
		k.underWay[of] = make(chan struct{})
	}
	k.mu.Unlock()
	if !others {
		return Answer{}, func() {
			k.mu.Lock()
			close(k.underWay[of])
			delete(k.underWay, of)
			k.mu.Unlock()
		}
	}
	select {
	case <-wait:
	case <-ctx.Done():
	}
	if a, ok := k.get(question, at); ok {
		return a, nil
	}
	return Answer{}, func() {}
}
