package main

import (
	"net/http"
	"sync"

	"github.com/labstack/echo/v4"
)

// keptBytes is how much the kept answers may take up.
const keptBytes = 32 << 20

// keptAnswers holds answers as they were sent, each under its exact question and good for one moment. There are two generations: a full young one replaces the old, and what is asked for again moves back to
// the young one, so that what nobody asks for is dropped.
type keptAnswers struct {
	mu         sync.Mutex
	half       int // bytes in one generation
	young, old map[string]keptAnswer
	youngBytes int
	underWay   map[openQuestion]chan struct{}
}

type keptAnswer struct {
	good   moment
	answer answer
}

// moment is one revision of the fleet within one quarter of an hour. The clock counts because a show is over from some
// hour on though nobody writes; in every time zone hours begin on a quarter of one of UTC's.
type moment struct{ revision, quarter int64 }

const quarterOfAnHour = 15 * 60 // seconds

func newKeptAnswers(bytes int) *keptAnswers {
	return &keptAnswers{half: bytes / 2, young: map[string]keptAnswer{}, underWay: map[openQuestion]chan struct{}{}}
}

func (k *keptAnswers) get(question string, now moment) (answer, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if found, ok := k.young[question]; ok {
		return found.answer, found.good == now
	}
	found, ok := k.old[question]
	if !ok || found.good != now {
		return answer{}, false
	}
	k.add(question, found)
	return found.answer, true
}

func (k *keptAnswers) put(question string, now moment, a answer) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.add(question, keptAnswer{now, a})
}

func (k *keptAnswers) add(question string, a keptAnswer) {
	const overhead = 300 // bytes beside question and body, roughly
	size := func(a keptAnswer) int { return len(question) + len(a.answer.body) + overhead }
	if size(a) > k.half {
		return
	}
	if was, ok := k.young[question]; ok {
		k.youngBytes -= size(was)
	} else if k.youngBytes+size(a) > k.half {
		k.old, k.young, k.youngBytes = k.young, map[string]keptAnswer{}, 0
	}
	k.young[question] = a
	k.youngBytes += size(a)
}

// workOut lets the first who asks a question at a moment work it out, and be done at the end; whoever else asks meanwhile gets
// something to wait for. After a write a thousand phones ask the same.
func (k *keptAnswers) workOut(question string, at moment) (wait <-chan struct{}, done func()) {
	of := openQuestion{question, at}
	k.mu.Lock()
	defer k.mu.Unlock()
	if under, ok := k.underWay[of]; ok {
		return under, nil
	}
	under := make(chan struct{})
	k.underWay[of] = under
	return nil, func() {
		k.mu.Lock()
		delete(k.underWay, of)
		k.mu.Unlock()
		close(under)
	}
}

type openQuestion struct {
	question string
	at       moment
}

// questionOf is everything an answer depends on besides the fleet: the path and the query as they were written, and whether it may be
// compressed.
func questionOf(r *http.Request) string {
	zip := ""
	if takesGzip(r.Header) {
		zip = "gzip"
	}
	return zip + " " + r.URL.EscapedPath() + "?" + r.URL.RawQuery
}

const quarterKey = "quarter of an hour"

// answeredBefore sends a kept answer. The fleet's revision and the time are asked for after the request has come, so that
// the answer is never older than the last write that was acknowledged before.
func (s *server) answeredBefore(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		revision, err := s.book.Revision(r.Context())
		if err != nil {
			return err
		}
		quarter := s.now().Unix() / quarterOfAnHour
		question, at := questionOf(r), moment{revision, quarter}
		if a, ok := s.kept.get(question, at); ok {
			s.metrics.keptHits.Inc()
			return send(c, a)
		}
		if wait, done := s.kept.workOut(question, at); done != nil {
			defer done()
		} else {
			select {
			case <-wait:
			case <-r.Context().Done():
			}
			if a, ok := s.kept.get(question, at); ok {
				s.metrics.keptHits.Inc()
				return send(c, a)
			}
		}
		s.metrics.keptMiss.Inc()
		c.Set(quarterKey, quarter)
		return next(c)
	}
}

// sendKept sends an answer worked out at that revision and keeps it as one from when it was asked for.
func (s *server) sendKept(c echo.Context, revision int64, a answer) error {
	quarter, _ := c.Get(quarterKey).(int64)
	a = a.fitFor(c.Request())
	s.kept.put(questionOf(c.Request()), moment{revision, quarter}, a)
	return send(c, a)
}
