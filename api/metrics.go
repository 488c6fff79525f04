package main

import (
	"runtime"
	"runtime/debug"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// metrics are what an operator of the service would graph.
type metrics struct {
	registry  *prometheus.Registry
	requests  *prometheus.CounterVec
	duration  *prometheus.HistogramVec
	inFlight  prometheus.Gauge
	keptHits  prometheus.Counter
	keptMiss  prometheus.Counter
	failures  *prometheus.CounterVec
	wrongKeys prometheus.Counter
	slowed    *prometheus.CounterVec
	writeWait prometheus.Histogram
	writeTook prometheus.Histogram
}

func newMetrics() *metrics {
	inSeconds := []float64{.0001, .0005, .001, .005, .01, .05, .1, .5, 1, 5, 30}
	kept := prometheus.NewCounterVec(prometheus.CounterOpts{
		Name: "evenpull_kept_answers_total", Help: "Answers that take arithmetic, by whether one was at hand from before.",
	}, []string{"outcome"})
	m := &metrics{
		registry: prometheus.NewRegistry(),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "evenpull_http_requests_total", Help: "Requests answered, by route, method and status.",
		}, []string{"route", "method", "status"}),
		duration: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "evenpull_http_request_duration_seconds", Help: "Time to answer, by route.", Buckets: inSeconds,
		}, []string{"route"}),
		inFlight: prometheus.NewGauge(prometheus.GaugeOpts{
			Name: "evenpull_http_requests_in_flight", Help: "Requests that are being answered now.",
		}),
		keptHits: kept.WithLabelValues("hit"), keptMiss: kept.WithLabelValues("miss"),
		failures: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "evenpull_failures_total", Help: "Requests that failed inside: unavailable (503) and full (507) are the storage's, internal is everything else.",
		}, []string{"kind"}),
		wrongKeys: prometheus.NewCounter(prometheus.CounterOpts{
			Name: "evenpull_wrong_keys_total", Help: "Keys that came and are not valid.",
		}),
		slowed: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "evenpull_slowed_total", Help: "Requests refused with 429, by why.",
		}, []string{"why"}),
		writeWait: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: "evenpull_write_wait_seconds", Help: "Time that a write waits for those before it.", Buckets: inSeconds,
		}),
		writeTook: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: "evenpull_write_duration_seconds", Help: "Time that a write takes from its turn until it is stored or undone.", Buckets: inSeconds,
		}),
	}
	for _, kind := range []string{"unavailable", "full", "internal"} { // a counter that is not there yet cannot be graphed
		m.failures.WithLabelValues(kind)
	}
	for _, why := range []string{slowedWrongKeys, slowedReads, slowedWrites} {
		m.slowed.WithLabelValues(why)
	}
	m.registry.MustRegister(m.requests, m.duration, m.inFlight, kept, m.failures, m.wrongKeys, m.slowed, m.writeWait, m.writeTook,
		buildInfo(), collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

// Why a request was refused with 429.
const (
	slowedWrongKeys = "wrong keys"
	slowedReads     = "reads"
	slowedWrites    = "writes"
)

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
