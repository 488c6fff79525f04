package main

import (
	"net/http"
	"sync"

	"github.com/labstack/echo/v4"
)

// keptBytes is how much the kept answers may take up.
const keptBytes = 32 << 20

// keptAnswers holds answers as they were sent, each under its exact question and good for one revision of the
// fleet. There are two generations: a full young one replaces the old, and what is asked for again moves back to
// the young one, so that what nobody asks for is dropped.
type keptAnswers struct {
	mu         sync.Mutex
	half       int // bytes in one generation
	young, old map[string]keptAnswer
	youngBytes int
}

type keptAnswer struct {
	revision int64
	answer   answer
}

func newKeptAnswers(bytes int) *keptAnswers {
	return &keptAnswers{half: bytes / 2, young: map[string]keptAnswer{}}
}

func (k *keptAnswers) get(question string, revision int64) (answer, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if found, ok := k.young[question]; ok {
		return found.answer, found.revision == revision
	}
	found, ok := k.old[question]
	if !ok || found.revision != revision {
		return answer{}, false
	}
	k.add(question, found)
	return found.answer, true
}

func (k *keptAnswers) put(question string, revision int64, a answer) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.add(question, keptAnswer{revision, a})
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

// questionOf is everything an answer depends on besides the fleet: the path and the query as they were written,
// the type that is wanted, and whether it may be compressed.
func questionOf(r *http.Request, media string) string {
	zip := ""
	if takesGzip(r.Header) {
		zip = "+gzip"
	}
	return media + zip + " " + r.URL.EscapedPath() + "?" + r.URL.RawQuery
}

// wantedMedia is what kind of answer is wanted, where there is a choice.
func wantedMedia(c echo.Context) string {
	if c.Path() != "/v1/table" {
		return ""
	}
	return negotiate(c.Request().Header, typeJSON, typeCSV)
}

// answeredBefore sends a kept answer. The fleet's revision is asked for after the request has come, so that the
// answer is never older than the last write that was acknowledged before.
func (s *server) answeredBefore(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		revision, err := s.book.Revision(r.Context())
		if err != nil {
			return err
		}
		if a, ok := s.kept.get(questionOf(r, wantedMedia(c)), revision); ok {
			return send(c, a)
		}
		return next(c)
	}
}

// sendKept sends an answer worked out at that revision and keeps it.
func (s *server) sendKept(c echo.Context, revision int64, a answer) error {
	a = a.fitFor(c.Request())
	s.kept.put(questionOf(c.Request(), wantedMedia(c)), revision, a)
	return send(c, a)
}
