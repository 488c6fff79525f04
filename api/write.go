package main

import (
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/guard"
	"evenpull/api/internal/reply"
	"evenpull/internal/book"
	"evenpull/internal/fleet"
)

// create carries out what the body of a POST asks for, once for each Idempotency-Key, and sends its answer.
func create[In any](s *server, c echo.Context, do func(*book.Writer, In) (reply.Answer, error)) error {
	in, err := contract.Decode[In](c)
	if err != nil {
		return err
	}
	return s.once(c, contract.Digest(c), func(w *book.Writer) (reply.Answer, error) { return do(w, in) })
}

// once carries out a write and sends its answer. With an Idempotency-Key the answer is recorded in the same
// transaction, and the same request gets it again without being carried out again. A failure is not recorded: it
// changed nothing, and the same request may succeed another time.
func (s *server) once(c echo.Context, bodyDigest [sha256.Size]byte, do func(*book.Writer) (reply.Answer, error)) error {
	return s.onceRecording(c, bodyDigest, func(w *book.Writer) (a, recorded reply.Answer, err error) {
		a, err = do(w)
		return a, a, err
	})
}

// onceRecording is once for an answer that is not recorded as it is sent.
func (s *server) onceRecording(c echo.Context, bodyDigest [sha256.Size]byte,
	do func(*book.Writer) (a, recorded reply.Answer, err error)) error {
	key := c.Request().Header.Get("Idempotency-Key")
	digest, who := requestDigest(c, bodyDigest), guard.ActorOf(c)
	sender := cmp.Or(who.KeyID, who.Name)
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		if key == "" {
			a, _, err := do(w)
			return a, err
		}
		first, err := w.IdempotencyRecord(key)
		if err != nil {
			return reply.Answer{}, err
		}
		if first != nil {
			return again(*first, digest, sender)
		}
		a, recorded, err := do(w)
		if err != nil {
			return reply.Answer{}, err
		}
		return a, w.AddIdempotencyRecord(key, book.IdempotencyRecord{
			Request: digest, Sender: sender, Status: recorded.Status, ContentType: recorded.ContentType,
			ETag: recorded.ETag, Location: recorded.Location, Body: recorded.Body,
		})
	})
}

// requestDigest tells one request from another under the same Idempotency-Key: by method, address and body.
func requestDigest(c echo.Context, bodyDigest [sha256.Size]byte) [sha256.Size]byte {
	r := c.Request()
	return sha256.Sum256(fmt.Appendf(nil, "%s %s?%s %x", r.Method, r.URL.EscapedPath(), r.URL.RawQuery, bodyDigest))
}

// again is the first answer, for the same request of the same sender. Another sender learns that it was carried out and
// not what came of it.
func again(first book.IdempotencyRecord, digest [sha256.Size]byte, sender string) (reply.Answer, error) {
	switch {
	case first.Request != digest:
		return reply.Answer{}, fleet.InvalidField("Idempotency-Key",
			"was used before, for another request; a new request needs a new key")
	case first.Sender != sender:
		return reply.Answer{}, &fleet.Error{
			Kind: fleet.Conflict, Codes: []fleet.FaultCode{fleet.AlreadySent},
			Detail: "the same was sent before with another key, and is stored; nothing was changed now",
			Faults: []fleet.Fault{{At: "Idempotency-Key", Code: fleet.AlreadySent,
				Detail: "came before, with the same request, from somebody else"}},
		}
	}
	return reply.Answer{
		Status: first.Status, ContentType: first.ContentType, ETag: first.ETag, Location: first.Location,
		Body: first.Body,
	}, nil
}

// write carries out a write in one transaction and sends its answer.
func (s *server) write(c echo.Context, do func(*book.Writer) (reply.Answer, error)) error {
	var a reply.Answer
	err := s.timed(c.Request().Context(), guard.ActorOf(c), s.book.Write, func(w *book.Writer) (err error) {
		a, err = do(w)
		return err
	})
	if err != nil {
		return err
	}
	return reply.Send(c, a)
}

// timed carries out a write of the book for who, and measures how long it waited for those before it and how long it
// then took.
func (s *server) timed(ctx context.Context, who fleet.Actor,
	write func(context.Context, fleet.Actor, func(*book.Writer) error) error, do func(*book.Writer) error) error {
	came := time.Now()
	var began time.Time
	err := write(ctx, who, func(w *book.Writer) error {
		began = time.Now()
		return do(w)
	})
	if !began.IsZero() { // else its turn never came
		s.metrics.Wrote(came, began)
	}
	return err
}
