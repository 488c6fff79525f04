package main

import (
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/reply"
	"evenpull/internal/book"
)

// resource is a kind of document that is changed with If-Match: T as the book gives it, Out as it is sent.
type resource[T, Out any] struct {
	path   string         // in front of the id of each; empty where it has no address of its own
	id     func(T) string // nil without a path
	encode func(T) Out
	state  func(T) (name, state string)
	// match makes the check of an If-Match header: reply.IfMatch where a change needs one, else reply.IfMatchGiven.
	match func(header *string, state func(T) (name, state string)) (func(T) error, error)
}

// answer is a document as it stands now. A new one says where it can be read.
func (r resource[T, Out]) answer(status int, document T, err error) (reply.Answer, error) {
	if err != nil {
		return reply.Answer{}, err
	}
	_, state := r.state(document)
	a, err := reply.Document(status, r.encode(document), state)
	if status == http.StatusCreated && r.path != "" {
		a.Location = r.path + url.PathEscape(r.id(document))
	}
	return a, err
}

// send sends a document that was read.
func (r resource[T, Out]) send(c echo.Context, document T, err error) error {
	a, err := r.answer(http.StatusOK, document, err)
	if err != nil {
		return err
	}
	return reply.Send(c, a)
}

// add carries out what the body of a POST asks for, once for each Idempotency-Key, and sends what was added.
func add[In, T, Out any](s *server, c echo.Context, r resource[T, Out], do func(*book.Writer, In) (T, error)) error {
	return create(s, c, func(w *book.Writer, in In) (reply.Answer, error) {
		document, err := do(w, in)
		return r.answer(http.StatusCreated, document, err)
	})
}

// change carries out what the body of a PUT or PATCH asks for, and sends the document as it is then. do has to ask
// match about the document as it was.
func change[In, T, Out any](s *server, c echo.Context, r resource[T, Out], ifMatch *string,
	do func(w *book.Writer, match func(T) error, in In) (T, error)) error {
	match, err := r.match(ifMatch, r.state)
	if err != nil {
		return err
	}
	in, err := contract.Decode[In](c)
	if err != nil {
		return err
	}
	return s.write(c, func(w *book.Writer) (reply.Answer, error) {
		document, err := do(w, match, in)
		return r.answer(http.StatusOK, document, err)
	})
}

// drop carries out a DELETE. do has to ask match about the document as it was.
func drop[T, Out any](s *server, c echo.Context, r resource[T, Out], ifMatch *string,
	do func(w *book.Writer, match func(T) error) error) error {
	match, err := r.match(ifMatch, r.state)
	if err != nil {
		return err
	}
	return s.write(c, func(w *book.Writer) (reply.Answer, error) { return reply.NoContent(), do(w, match) })
}
