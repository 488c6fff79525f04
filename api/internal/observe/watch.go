package observe

import (
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strconv"
	"sync/atomic"
	"time"

	"github.com/labstack/echo/v4"
	"golang.org/x/time/rate"

	"evenpull/internal/fleet"
)

// Watch counts every request, and logs those that write or fail. What is read without trouble is only counted, and so
// is what was refused for coming too often: a flood of it must not fill the log. Of what strangers are refused the log
// has samples, each with the number of those left out before it.
type Watch struct {
	*Metrics
	log     *slog.Logger
	who     func(echo.Context) fleet.Actor
	start   string // makes request ids differ from one start to the next
	number  atomic.Uint64
	refused sampler
}

// How many refusals of strangers the log has: so many at once, and so many a second after that. Our own choice: half a
// megabyte an hour at most, whatever comes.
const (
	refusalsAtOnce  = 100
	refusalsASecond = 1

	// of what strangers make up, in characters
	longestPathInLog   = 200
	longestMethodInLog = 20
)

// NewWatch makes a watch; who tells who sent a request, once that is known.
func NewWatch(log *slog.Logger, m *Metrics, who func(echo.Context) fleet.Actor, now func() time.Time) *Watch {
	return &Watch{Metrics: m, log: log, who: who, start: rand.Text()[:6],
		refused: sampler{limit: rate.NewLimiter(refusalsASecond, refusalsAtOnce), now: now}}
}

// sampler lets so many pass, and counts the rest.
type sampler struct {
	limit   *rate.Limiter
	now     func() time.Time
	skipped atomic.Int64
}

// pass says whether this one passes, and how many have not since the last that has.
func (s *sampler) pass() (ok bool, skipped int64) {
	if !s.limit.AllowN(s.now(), 1) {
		s.skipped.Add(1)
		return false, 0
	}
	return true, s.skipped.Swap(0)
}

// Requests gives each request an id, answers its error, and counts and logs it.
func (w *Watch) Requests(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		began := time.Now()
		w.inFlight.Inc()
		defer w.inFlight.Dec()
		id := w.start + "-" + strconv.FormatUint(1<<32|w.number.Add(1), 16)[1:] // of one length
		c.Response().Header().Set(echo.HeaderXRequestID, id)
		c.SetRequest(c.Request().WithContext(withRequestID(c.Request().Context(), id)))
		err := next(c)
		if err != nil {
			c.Error(err)
		}
		took := time.Since(began)
		r, status := c.Request(), c.Response().Status
		route, method := labels(c)
		w.requests.WithLabelValues(route, method, strconv.Itoa(status)).Inc()
		w.duration.WithLabelValues(route).Observe(took.Seconds())
		if status < http.StatusBadRequest && (method == http.MethodGet || method == http.MethodHead) ||
			status == http.StatusTooManyRequests {
			return nil
		}
		var skipped int64
		if status < http.StatusInternalServerError && status >= http.StatusBadRequest && w.who(c) == (fleet.Actor{}) {
			var ok bool
			if ok, skipped = w.refused.pass(); !ok {
				w.unlogged.Inc()
				return nil
			}
		}
		entry := []any{"method", fleet.Shortened(r.Method, longestMethodInLog), "path",
			fleet.Shortened(r.URL.Path, longestPathInLog), "status", status, "took", took, "from", c.RealIP()}
		if skipped > 0 {
			entry = append(entry, "not_logged_before", skipped)
		}
		if err != nil && status < http.StatusInternalServerError { // others are logged where they are answered
			entry = append(entry, "error", err)
		}
		if who := w.who(c); who.Name != "" {
			entry = append(entry, "by", cmp.Or(who.KeyID, who.Name), "role", who.Role)
		}
		w.log.InfoContext(r.Context(), "request", entry...)
		return nil
	}
}

// labels keeps what strangers make up out of the metrics, of which each label costs memory.
func labels(c echo.Context) (route, method string) {
	route, method = c.Path(), c.Request().Method
	if route == "" {
		route = "none"
	}
	switch method {
	case "GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS":
	default:
		method = "other"
	}
	return route, method
}

// Recovered turns a panic into an error, so that it is answered, logged and counted like any other.
func Recovered(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) (err error) {
		defer func() {
			switch r := recover(); {
			case r == nil:
			case r == http.ErrAbortHandler: // the server's own way to hang up
				panic(r)
			default:
				err = errors.Join(err, fmt.Errorf("panic: %v\n%s", r, debug.Stack()))
			}
		}()
		return next(c)
	}
}
