package main

import (
	"context"
	"crypto/sha256"
	"fmt"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/internal/book"
	"evenpull/internal/fleet"
)

// requestDigest tells one request from another under the same Idempotency-Key: by method, address and body.
func requestDigest(c echo.Context, bodyDigest [sha256.Size]byte) [sha256.Size]byte {
	r := c.Request()
	return sha256.Sum256(fmt.Appendf(nil, "%s %s?%s %x", r.Method, r.URL.EscapedPath(), r.URL.RawQuery, bodyDigest))
}

// once carries out a write and sends its answer. With an Idempotency-Key the answer is kept in the same
// transaction, and the same request gets it again without being carried out again. Failures are not kept: they
// changed nothing, and may succeed another time.
func (s *server) once(c echo.Context, bodyDigest [sha256.Size]byte, do func(*book.Writer) (answer, error)) error {
	key := c.Request().Header.Get("Idempotency-Key")
	if key == "" {
		return s.write(c, do)
	}
	digest := requestDigest(c, bodyDigest)
	return s.write(c, func(w *book.Writer) (answer, error) {
		kept, err := w.Kept(key)
		if err != nil {
			return answer{}, err
		}
		if kept != nil {
			return again(*kept, digest)
		}
		a, err := do(w)
		if err != nil {
			return answer{}, err
		}
		return a, w.Keep(key, book.Kept{
			Request: digest, Status: a.status, ContentType: a.contentType, ETag: a.etag, Location: a.location, Body: a.body,
		})
	})
}

// write carries out a write in one transaction and sends its answer.
func (s *server) write(c echo.Context, do func(*book.Writer) (answer, error)) error {
	var a answer
	err := s.timed(c.Request().Context(), actorOf(c), func(w *book.Writer) (err error) {
		a, err = do(w)
		return err
	})
	if err != nil {
		return err
	}
	return send(c, a)
}

// timed carries out a write for who, and measures how long it waited for those before it and how long it then took.
func (s *server) timed(ctx context.Context, who fleet.Actor, do func(*book.Writer) error) error {
	came := time.Now()
	var began time.Time
	err := s.book.Write(ctx, who, func(w *book.Writer) error {
		began = time.Now()
		return do(w)
	})
	if !began.IsZero() { // else its turn never came
		s.metrics.writeWait.Observe(began.Sub(came).Seconds())
		s.metrics.writeTook.Observe(time.Since(began).Seconds())
	}
	return err
}

func again(kept book.Kept, digest [sha256.Size]byte) (answer, error) {
	if kept.Request != digest {
		faults := new(fleet.Faults)
		faults.Add("Idempotency-Key", "was used before, for another request; a new request needs a new key")
		return answer{}, faults.Err()
	}
	return answer{status: kept.Status, contentType: kept.ContentType, etag: kept.ETag, location: kept.Location, body: kept.Body}, nil
}
