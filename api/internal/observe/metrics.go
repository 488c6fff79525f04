package observe

import (
	"net/http"
	"runtime"
	"runtime/debug"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promauto"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Metrics are what an operator of the service would graph.
type Metrics struct {
	registry    *prometheus.Registry
	requests    *prometheus.CounterVec
	duration    *prometheus.HistogramVec
	inFlight    prometheus.Gauge
	cacheHits   prometheus.Counter
	cacheMisses prometheus.Counter
	failures    *prometheus.CounterVec
	wrongKeys   prometheus.Counter
	unlogged    prometheus.Counter
	slowed      *prometheus.CounterVec
	writeWait   prometheus.Observer
	writeTook   prometheus.Observer
}

// NewMetrics makes metrics with all counters at 0: one that is not there yet cannot be graphed. slowedBecause are the
// reasons that Slowed will be told of.
func NewMetrics(slowedBecause ...string) *Metrics {
	registry := prometheus.NewRegistry()
	registered := promauto.With(registry)
	counters := func(name, help string, labels ...string) *prometheus.CounterVec {
		return registered.NewCounterVec(prometheus.CounterOpts{Name: name, Help: help}, labels)
	}
	seconds := func(name, help string, labels ...string) *prometheus.HistogramVec {
		return registered.NewHistogramVec(prometheus.HistogramOpts{Name: name, Help: help,
			Buckets: []float64{.0001, .0005, .001, .005, .01, .05, .1, .5, 1, 5, 30}}, labels)
	}
	cache := counters("evenpull_cached_answers_total", "Answers that take arithmetic, by whether the cache had one.",
		"outcome")
	m := &Metrics{
		registry: registry,
		requests: counters("evenpull_http_requests_total", "Requests answered, by route, method and status.",
			"route", "method", "status"),
		duration: seconds("evenpull_http_request_duration_seconds", "Time to answer, by route.", "route"),
		inFlight: registered.NewGauge(prometheus.GaugeOpts{
			Name: "evenpull_http_requests_in_flight", Help: "Requests that are being answered now.",
		}),
		cacheHits: cache.WithLabelValues("hit"), cacheMisses: cache.WithLabelValues("miss"),
		failures: counters("evenpull_failures_total", "Requests that failed inside: unavailable (503) and full (507) "+
			"are the storage's, internal is everything else.", "kind"),
		wrongKeys: counters("evenpull_wrong_keys_total", "Keys that came and are not valid.").WithLabelValues(),
		unlogged: counters("evenpull_unlogged_refusals_total",
			"Refused requests of strangers that the log leaves out, as it has samples of such only.").WithLabelValues(),
		slowed: counters("evenpull_slowed_total", "Requests refused with 429, by why.", "why"),
		writeWait: seconds("evenpull_write_wait_seconds",
			"Time that a write waits for those before it.").WithLabelValues(),
		writeTook: seconds("evenpull_write_duration_seconds",
			"Time that a write takes from its turn until it is stored or undone.").WithLabelValues(),
	}
	for _, kind := range []string{"unavailable", "full", "internal"} {
		m.failures.WithLabelValues(kind)
	}
	for _, why := range slowedBecause {
		m.slowed.WithLabelValues(why)
	}
	registry.MustRegister(buildInfo(), collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

// Handler answers with all of them, as Prometheus reads them.
func (m *Metrics) Handler() http.Handler {
	return promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{})
}

// Add adds metrics that are worked out when they are asked for.
func (m *Metrics) Add(more prometheus.Collector) { m.registry.MustRegister(more) }

// Cached counts an answer that the cache had, or had not.
func (m *Metrics) Cached(hit bool) {
	if hit {
		m.cacheHits.Inc()
	} else {
		m.cacheMisses.Inc()
	}
}

// Failed counts a request that failed inside.
func (m *Metrics) Failed(kind string) { m.failures.WithLabelValues(kind).Inc() }

// WrongKey counts a key that is not valid.
func (m *Metrics) WrongKey() { m.wrongKeys.Inc() }

// Slowed counts a request refused with 429.
func (m *Metrics) Slowed(because string) { m.slowed.WithLabelValues(because).Inc() }

// Wrote measures a write: when it came, and when its turn began.
func (m *Metrics) Wrote(came, began time.Time) {
	m.writeWait.Observe(began.Sub(came).Seconds())
	m.writeTook.Observe(time.Since(began).Seconds())
}

// buildInfo is always 1; what was built is in its labels.
func buildInfo() prometheus.Collector {
	version, revision := "unknown", "unknown"
	if built, ok := debug.ReadBuildInfo(); ok {
		version = built.Main.Version
		for _, s := range built.Settings {
			if s.Key == "vcs.revision" {
				revision = s.Value
			}
		}
	}
	return prometheus.NewGaugeFunc(prometheus.GaugeOpts{
		Name: "evenpull_build_info", Help: "What was built, in the labels.",
		ConstLabels: prometheus.Labels{"version": version, "revision": revision, "go": runtime.Version()},
	}, func() float64 { return 1 })
}
