package main

import (
	"errors"
	"log/slog"
	"net/http"
	"os"
	"time"

	"github.com/labstack/echo/v4"

	"evenpull/api/internal/contract"
	"evenpull/api/internal/guard"
	"evenpull/api/internal/observe"
	"evenpull/api/internal/reply"
	"evenpull/internal/book"
)

// server answers requests. Its handlers implement the routes generated from the contract: each decodes, makes one
// call into the book, and encodes.
type server struct {
	book      *book.Book
	keys      *guard.Credentials
	cache     *reply.Cache
	listParts *reply.Cache // of lists as CSV
	streams   *reply.Streams
	contract  *contract.Contract
	metrics   *observe.Metrics
	private   bool // nothing is shown to who has no key
	// publicURL is where the pages are seen from outside, empty when nobody said so.
	publicURL string
	now       func() time.Time
	log       *slog.Logger
}

// readerPatience is how long a reader of a stream may take nothing, and compressedAtOnce how many streams are
// compressed at the same time: 26 MB for the compressors.
const (
	readerPatience   = 30 * time.Second
	compressedAtOnce = 32
)

// bulkTime is how long a large import or export may take, beyond what other requests get.
const bulkTime = 10 * time.Minute

// longer gives a request the time that a large import or export may take.
func (s *server) longer(c echo.Context) {
	clock := http.NewResponseController(c.Response())
	until := time.Now().Add(bulkTime)
	if err := errors.Join(clock.SetReadDeadline(until), clock.SetWriteDeadline(until)); err != nil {
		s.log.WarnContext(c.Request().Context(), "a large request keeps the usual time limit", "error", err)
	}
}

// brokeOff notes that a stream was not sent to its end. Whoever asked has mostly gone away.
func (s *server) brokeOff(c echo.Context) func(error) {
	return func(err error) {
		ctx, level := c.Request().Context(), slog.LevelError
		if ctx.Err() != nil || errors.Is(err, os.ErrDeadlineExceeded) {
			level = slog.LevelInfo
		}
		s.log.Log(ctx, level, "an export broke off", "error", err)
	}
}
