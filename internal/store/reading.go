package store

import (
	"fmt"
	"slices"
	"time"

	"evenpull/internal/fleet"
)

type readingRow struct {
	Seq           int64 `gorm:"primaryKey"`
	ID            string
	SledID        string
	GearID        string
	StartFt       float64
	DistanceFt    float64
	Ended         string
	EndFt         *float64
	PlusMinusFt   *float64
	MeasuredOn    string
	Day           string
	Place         string
	NotedBy       string
	Note          string
	MarkedBy      string
	TakenWith     string
	Surface       string
	Weights       string
	TirePSI       *float64
	SpeedMPH      *float64
	Replaces      *string
	SetAside      asideColumns `gorm:"embedded;embeddedPrefix:set_aside_"`
	WithBatch     bool
	ConfirmedAt   *int64
	Batch         *string
	CreatedAt     int64 `gorm:"autoCreateTime:false"`
	FromOwner     bool
	OwnerSetAside asideColumns `gorm:"embedded;embeddedPrefix:owner_set_aside_"`
}

func (readingRow) TableName() string { return "readings" }

func readingRowOf(r fleet.Reading) readingRow {
	return readingRow{
		ID: r.ID, SledID: r.Sled, GearID: r.GearID, StartFt: r.StartFt, DistanceFt: r.DistanceFt,
		Ended: string(r.Ended), EndFt: r.EndFt, PlusMinusFt: r.PlusMinusFt, MeasuredOn: r.MeasuredOn, Day: r.Day,
		Place: r.Place, NotedBy: r.By, Note: r.Note, MarkedBy: r.MarkedBy, TakenWith: r.TakenWith, Surface: r.Surface,
		Weights: r.Weights, TirePSI: r.TirePSI, SpeedMPH: r.SpeedMPH, ConfirmedAt: microsOf(r.ConfirmedAt),
		CreatedAt: r.CreatedAt.UnixMicro(), FromOwner: r.FromOwner, Replaces: orNull(r.Replaces),
		SetAside: asideColumnsOf(r.SetAside), WithBatch: r.SetAside != nil && r.SetAside.WithBatch,
		Batch: orNull(r.Batch), OwnerSetAside: asideColumnsOf(r.OwnerSetAside),
	}
}

func (r readingRow) reading(gear string) fleet.Reading {
	reading := fleet.Reading{
		ID: r.ID, Sled: r.SledID, GearID: r.GearID, Gear: gear, StartFt: r.StartFt, DistanceFt: r.DistanceFt,
		Ended: fleet.Ended(r.Ended), EndFt: r.EndFt, PlusMinusFt: r.PlusMinusFt, MeasuredOn: r.MeasuredOn, Day: r.Day,
		Place: r.Place, By: r.NotedBy, Note: r.Note, MarkedBy: r.MarkedBy, TakenWith: r.TakenWith, Surface: r.Surface,
		Weights: r.Weights, TirePSI: r.TirePSI, SpeedMPH: r.SpeedMPH, ConfirmedAt: momentOf(r.ConfirmedAt),
		CreatedAt: timeOf(r.CreatedAt), FromOwner: r.FromOwner, Replaces: orEmpty(r.Replaces),
		SetAside: r.SetAside.aside(), Batch: orEmpty(r.Batch), OwnerSetAside: r.OwnerSetAside.aside(),
	}
	if reading.SetAside != nil {
		reading.SetAside.WithBatch = r.WithBatch
	}
	return reading
}

// Reading returns a reading, or NotFound.
func (r *Reads) Reading(id string) (fleet.Reading, error) {
	return one(r, "reading", id, r.labeledReadings)
}

// Readings lists a sled's readings, newest first, and returns the cursor of the next part, "" at the end. A sled that
// is not there is NotFound, a cursor of another list Invalid.
func (r *Reads) Readings(sled, after string, limit int) ([]fleet.Reading, string, error) {
	return r.readings(sled, after, limit, newestFirst)
}

// ReadingsOldestFirst lists them as a notebook is written. Its cursors are its own.
func (r *Reads) ReadingsOldestFirst(sled, after string, limit int) ([]fleet.Reading, string, error) {
	return r.readings(sled, after, limit, oldestFirst)
}

func (r *Reads) readings(sled, after string, limit int, in order) ([]fleet.Reading, string, error) {
	query, err := datedPart(r.db.Where("sled_id = ?", sled), readingCursor, "measured_on", after, in)
	if err != nil {
		return nil, "", err
	}
	labels, err := r.labels(sled)
	if err != nil {
		return nil, "", err
	}
	if len(labels) == 0 { // every sled has a gear
		return nil, "", NoSled(sled)
	}
	return part(query, limit, "the readings of "+sled, readingCursor,
		func(row readingRow) string { return datedPosition(row.MeasuredOn, row.Seq) }, labeling(labels))
}

// labels maps the ids of a sled's gears to their labels.
func (r *Reads) labels(sled string) (map[string]string, error) {
	gears, err := r.gears([]string{sled})
	if err != nil {
		return nil, err
	}
	return labelsIn(gears[sled]), nil
}

func labelsIn(gears []fleet.Gear) map[string]string {
	labels := make(map[string]string, len(gears))
	for _, g := range gears {
		labels[g.ID] = g.Label
	}
	return labels
}

// labeling makes readings of rows, with the labels that their gears have today.
func labeling(labels map[string]string) func([]readingRow) ([]fleet.Reading, error) {
	return func(rows []readingRow) ([]fleet.Reading, error) {
		return mapSlice(rows, func(row readingRow) fleet.Reading { return row.reading(labels[row.GearID]) }), nil
	}
}

// labeledReadings is labeling of rows of any sleds.
func (r *Reads) labeledReadings(rows []readingRow) ([]fleet.Reading, error) {
	labels, err := r.labelsOf(mapSlice(rows, func(row readingRow) string { return row.GearID }))
	if err != nil {
		return nil, err
	}
	return labeling(labels)(rows)
}

// AddReadings stores new readings in that order.
func (tx *Tx) AddReadings(readings []fleet.Reading) error {
	rows := make([]readingRow, len(readings))
	for i, r := range readings {
		rows[i] = readingRowOf(r)
		tx.touch(r.Sled)
	}
	return wrapped(tx.db.CreateInBatches(rows, chunk).Error, "storing readings")
}

// SetAside leaves a reading out of the chart, or counts it again where aside is nil.
func (tx *Tx) SetAside(r fleet.Reading, aside *fleet.SetAside) error {
	tx.touch(r.Sled)
	values := asideValues(aside)
	values["with_batch"] = aside != nil && aside.WithBatch
	return wrapped(tx.db.Model(&readingRow{}).Where("id = ?", r.ID).Updates(values).Error, "setting reading %s aside",
		r.ID)
}

// asideValues are the columns that say why a reading or a weighing does not count.
func asideValues(aside *fleet.SetAside) map[string]any {
	if aside == nil {
		return map[string]any{"set_aside_reason": nil, "set_aside_at": nil}
	}
	return map[string]any{"set_aside_reason": aside.Reason, "set_aside_at": aside.At.UnixMicro()}
}

// Confirm notes of readings of a sled when somebody said that they count though they stand out, or that nobody does
// where at is nil.
func (tx *Tx) Confirm(sled string, ids []string, at *time.Time) error {
	var value any
	if at != nil {
		value = at.UnixMicro()
	}
	for some := range slices.Chunk(ids, chunk) {
		if err := tx.db.Model(&readingRow{}).Where("id IN ?", some).Update("confirmed_at", value).Error; err != nil {
			return fmt.Errorf("confirming readings of %s: %w", sled, err)
		}
	}
	tx.touch(sled)
	return nil
}

// CountReadingsByGear counts a sled's readings, those set aside included, by the id of their gear.
func (r *Reads) CountReadingsByGear(sled string) (map[string]int, error) {
	byGear, err := countBy(r.db.Model(&readingRow{}).Where("sled_id = ?", sled), "gear_id")
	return byGear, wrapped(err, "counting the readings of %s", sled)
}

// CountReadingsPast counts the readings of a sled that are not set aside, have a date from one day on and before
// another, and whose start, or where the box stopped short, is at or past a travel. A date of "" is no limit.
func (r *Reads) CountReadingsPast(sled, from, before string, travelFt float64) (int, error) {
	where := "(start_ft >= @ft OR end_ft >= @ft) AND measured_on >= @from"
	if before != "" {
		where += " AND measured_on < @before"
	}
	return r.countCounting(sled, where, map[string]any{"ft": travelFt, "from": from, "before": before})
}

// CountReadingsWithin counts the readings of a sled that are not set aside and whose distance is at most a take-up.
func (r *Reads) CountReadingsWithin(sled string, takeUpFt float64) (int, error) {
	return r.countCounting(sled, "distance_ft <= @ft", map[string]any{"ft": takeUpFt})
}

// FirstReadingOn is the date of a sled's first reading, those set aside included, "" without any.
func (r *Reads) FirstReadingOn(sled string) (string, error) {
	on, _, err := first[string](r.db.Model(&readingRow{}).Where("sled_id = ?", sled).Order("measured_on"),
		"measured_on")
	return on, wrapped(err, "looking for the first reading of %s", sled)
}

func (r *Reads) countCounting(sled, where string, values map[string]any) (int, error) {
	n, err := count(r.db.Model(&readingRow{}).Where("sled_id = ? AND set_aside_at IS NULL", sled).Where(where, values))
	return n, wrapped(err, "counting the readings of %s", sled)
}
