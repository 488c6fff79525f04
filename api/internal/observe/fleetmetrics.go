package observe

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// Fleet is what the metrics tell of the fleet and of its copies.
type Fleet struct {
	Revision   func(context.Context) (int64, error)
	Count      func(context.Context) (sleds, readings int, err error)
	LastBackup func() time.Time // when the last good copy was made, zero for never; nil where none are made
}

// fleetMetrics ask about the fleet when they are asked for. Sleds and readings are counted again only when the fleet
// has changed.
type fleetMetrics struct {
	Fleet
	log *slog.Logger

	mu              sync.Mutex
	counted         bool
	at              int64 // the revision it was counted at
	sleds, readings int

	revisionDesc, sledsDesc, readingsDesc, backupDesc *prometheus.Desc
}

// NewFleetMetrics makes the metrics of a fleet.
func NewFleetMetrics(of Fleet, log *slog.Logger) prometheus.Collector {
	desc := func(name, help string) *prometheus.Desc { return prometheus.NewDesc(name, help, nil, nil) }
	return &fleetMetrics{
		Fleet: of, log: log,
		revisionDesc: desc("evenpull_revision", "The fleet's revision, which moves with every write."),
		sledsDesc:    desc("evenpull_sleds", "Sleds, retired ones included."),
		readingsDesc: desc("evenpull_readings", "Readings, those set aside included."),
		backupDesc: desc("evenpull_last_backup_timestamp_seconds",
			"When the last good copy was made; 0 while there is none."),
	}
}

// Describe implements prometheus.Collector.
func (f *fleetMetrics) Describe(out chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{f.revisionDesc, f.sledsDesc, f.readingsDesc, f.backupDesc} {
		out <- d
	}
}

// How long counting may take before it is left out.
const countingTime = 5 * time.Second

// Collect implements prometheus.Collector. What the database does not tell is left out; the rest is told all the same.
func (f *fleetMetrics) Collect(out chan<- prometheus.Metric) {
	gauge := func(d *prometheus.Desc, value float64) {
		out <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, value)
	}
	if f.LastBackup != nil {
		at := 0.0
		if last := f.LastBackup(); !last.IsZero() {
			at = float64(last.UnixMilli()) / 1000
		}
		gauge(f.backupDesc, at)
	}
	ctx, cancel := context.WithTimeout(context.Background(), countingTime)
	defer cancel()
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.count(ctx); err != nil {
		f.log.Warn("the fleet was not counted for the metrics", "error", err)
		return
	}
	gauge(f.revisionDesc, float64(f.at))
	gauge(f.sledsDesc, float64(f.sleds))
	gauge(f.readingsDesc, float64(f.readings))
}

func (f *fleetMetrics) count(ctx context.Context) error {
	revision, err := f.Revision(ctx)
	if err != nil || f.counted && revision == f.at {
		return err
	}
	sleds, readings, err := f.Count(ctx)
	if err != nil {
		return err
	}
	f.counted, f.at, f.sleds, f.readings = true, revision, sleds, readings
	return nil
}
