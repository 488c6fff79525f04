package main

import (
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
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// watch counts every request, and logs those that write or fail. What is read without trouble is only counted.
type watch struct {
	log      *slog.Logger
	registry *prometheus.Registry
	count    *prometheus.CounterVec
	duration *prometheus.HistogramVec
	start    string // makes request ids differ from one start to the next
	number   atomic.Uint64
}

func newWatch(log *slog.Logger) *watch {
	w := &watch{
		log:      log,
		registry: prometheus.NewRegistry(),
		count: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "evenpull_http_requests_total", Help: "Requests answered, by route, method and status.",
		}, []string{"route", "method", "status"}),
		duration: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "evenpull_http_request_duration_seconds", Help: "Time to answer, by route.",
			Buckets: []float64{.0001, .0005, .001, .005, .01, .05, .1, .5, 1, 5, 30},
		}, []string{"route"}),
		start: rand.Text()[:6],
	}
	w.registry.MustRegister(w.count, w.duration,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return w
}

// requests gives each request an id, answers its error, and counts and logs it.
func (w *watch) requests(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		began := time.Now()
		id := w.start + "-" + strconv.FormatUint(1<<32|w.number.Add(1), 16)[1:] // of one length
		c.Response().Header().Set(echo.HeaderXRequestID, id)
		err := next(c)
		if err != nil {
			c.Error(err)
		}
		took := time.Since(began)
		r, status := c.Request(), c.Response().Status
		route, method := labels(c)
		w.count.WithLabelValues(route, method, strconv.Itoa(status)).Inc()
		w.duration.WithLabelValues(route).Observe(took.Seconds())
		if status < http.StatusBadRequest && (method == http.MethodGet || method == http.MethodHead) {
			return nil
		}
		entry := []any{"request", id, "method", r.Method, "path", r.URL.Path, "status", status, "took", took, "from", c.RealIP()}
		if err != nil && status < http.StatusInternalServerError { // others are logged where they are answered
			entry = append(entry, "error", err)
		}
		w.log.Info("request", entry...)
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

// recovered turns a panic into an error, so that it is answered, logged and counted like any other.
func recovered(next echo.HandlerFunc) echo.HandlerFunc {
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

// secured sets what browsers must not do with these pages: run or load anything that is not ours, show them in
// another page's frame, tell others where a reader came from.
func secured(next echo.HandlerFunc) echo.HandlerFunc {
	const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
		"manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
	return func(c echo.Context) error {
		h := c.Response().Header()
		h["Content-Security-Policy"] = []string{policy}
		h["X-Content-Type-Options"] = []string{"nosniff"}
		h["Referrer-Policy"] = []string{"no-referrer"}
		h["Cross-Origin-Opener-Policy"] = []string{"same-origin"}
		h["Cross-Origin-Resource-Policy"] = []string{"same-origin"}
		return next(c)
	}
}
