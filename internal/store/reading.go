package store

import (
	"fmt"
	"slices"
	"time"

	"evenpull/internal/fleet"
)

type readingRow struct {
	Seq                 int64 `gorm:"primaryKey"`
	ID                  string
	SledID              string
	GearID              string
	StartFt             float64
	DistanceFt          float64
	Ended               string
	EndFt               *float64
	PlusMinusFt         *float64
	MeasuredOn          string
	Day                 string
	Place               string
	NotedBy             string
	Note                string
	MarkedBy            string
	TakenWith           string
	Surface             string
	Weights             string
	TirePSI             *float64
	SpeedMPH            *float64
	Replaces            *string
	SetAsideReason      *string
	SetAsideAt          *int64
	WithBatch           bool
	ConfirmedAt         *int64
	Batch               *string
	CreatedAt           int64 `gorm:"autoCreateTime:false"`
	FromOwner           bool
	OwnerSetAsideReason *string
	OwnerSetAsideAt     *int64
}

func (readingRow) TableName() string { return "readings" }

func readingRowOf(r fleet.Reading) readingRow {
	row := readingRow{
		ID: r.ID, SledID: r.Sled, GearID: r.GearID, StartFt: r.StartFt, DistanceFt: r.DistanceFt,
		Ended: string(r.Ended), EndFt: r.EndFt, PlusMinusFt: r.PlusMinusFt, MeasuredOn: r.MeasuredOn, Day: r.Day,
		Place: r.Place, NotedBy: r.By, Note: r.Note, MarkedBy: r.MarkedBy, TakenWith: r.TakenWith, Surface: r.Surface,
		Weights: r.Weights, TirePSI: r.TirePSI, SpeedMPH: r.SpeedMPH, ConfirmedAt: microsOf(r.ConfirmedAt),
		CreatedAt: r.CreatedAt.UnixMicro(), FromOwner: r.FromOwner,
	}
	if r.Replaces != "" {
		row.Replaces = &r.Replaces
	}
	if r.SetAside != nil {
		at := r.SetAside.At.UnixMicro()
		row.SetAsideReason, row.SetAsideAt, row.WithBatch = &r.SetAside.Reason, &at, r.SetAside.WithBatch
	}
	if r.Batch != "" {
		row.Batch = &r.Batch
	}
	if r.OwnerSetAside != nil {
		at := r.OwnerSetAside.At.UnixMicro()
		row.OwnerSetAsideReason, row.OwnerSetAsideAt = &r.OwnerSetAside.Reason, &at
	}
	return row
}

func (r readingRow) reading(gear string) fleet.Reading {
	reading := fleet.Reading{
		ID: r.ID, Sled: r.SledID, GearID: r.GearID, Gear: gear, StartFt: r.StartFt, DistanceFt: r.DistanceFt,
		Ended: fleet.Ended(r.Ended), EndFt: r.EndFt, PlusMinusFt: r.PlusMinusFt, MeasuredOn: r.MeasuredOn, Day: r.Day,
		Place: r.Place, By: r.NotedBy, Note: r.Note, MarkedBy: r.MarkedBy, TakenWith: r.TakenWith, Surface: r.Surface,
		Weights: r.Weights, TirePSI: r.TirePSI, SpeedMPH: r.SpeedMPH, ConfirmedAt: momentOf(r.ConfirmedAt),
		CreatedAt: timeOf(r.CreatedAt), FromOwner: r.FromOwner,
	}
	if r.Replaces != nil {
		reading.Replaces = *r.Replaces
	}
	if r.SetAsideReason != nil && r.SetAsideAt != nil {
		reading.SetAside = &fleet.SetAside{Reason: *r.SetAsideReason, At: timeOf(*r.SetAsideAt), WithBatch: r.WithBatch}
	}
	if r.Batch != nil {
		reading.Batch = *r.Batch
	}
	if r.OwnerSetAsideReason != nil && r.OwnerSetAsideAt != nil {
		reading.OwnerSetAside = &fleet.SetAside{Reason: *r.OwnerSetAsideReason, At: timeOf(*r.OwnerSetAsideAt)}
	}
	return reading
}

// Reading returns a reading, or NotFound.
func (r *Reads) Reading(id string) (fleet.Reading, error) {
	row, err := take[readingRow](r, "reading", id)
	if err != nil {
		return fleet.Reading{}, err
	}
	labels, err := r.labels(row.SledID)
	if err != nil {
		return fleet.Reading{}, err
	}
	return row.reading(labels[row.GearID]), nil
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
	query, err := datedPart(r.db.Where("sled_id = ?", sled), readingCursor, "measured_on", after, limit, in)
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
	var rows []readingRow
	if err := query.Find(&rows).Error; err != nil {
		return nil, "", fmt.Errorf("listing the readings of %s: %w", sled, err)
	}
	next := ""
	if len(rows) > limit {
		rows = rows[:limit]
		next = encodeDatedCursor(readingCursor, rows[limit-1].MeasuredOn, rows[limit-1].Seq)
	}
	readings := make([]fleet.Reading, len(rows))
	for i, row := range rows {
		readings[i] = row.reading(labels[row.GearID])
	}
	return readings, next, nil
}

// labels maps the ids of a sled's gears to their labels.
func (r *Reads) labels(sled string) (map[string]string, error) {
	gears, err := r.gears([]string{sled})
	if err != nil {
		return nil, err
	}
	labels := make(map[string]string, len(gears[sled]))
	for _, g := range gears[sled] {
		labels[g.ID] = g.Label
	}
	return labels, nil
}

// AddReadings stores new readings in that order.
func (tx *Tx) AddReadings(readings []fleet.Reading) error {
	rows := make([]readingRow, len(readings))
	for i, r := range readings {
		rows[i] = readingRowOf(r)
		tx.touch(r.Sled)
	}
	if err := tx.db.CreateInBatches(rows, chunk).Error; err != nil {
		return fmt.Errorf("storing readings: %w", err)
	}
	return nil
}

// SetAside leaves a reading out of the chart, or counts it again where aside is nil.
func (tx *Tx) SetAside(r fleet.Reading, aside *fleet.SetAside) error {
	values := asideValues(aside)
	values["with_batch"] = aside != nil && aside.WithBatch
	if err := tx.db.Model(&readingRow{}).Where("id = ?", r.ID).Updates(values).Error; err != nil {
		return fmt.Errorf("setting reading %s aside: %w", r.ID, err)
	}
	tx.touch(r.Sled)
	return nil
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
	byGear, err := countByGear[readingRow](r, sled)
	if err != nil {
		return nil, fmt.Errorf("counting the readings of %s: %w", sled, err)
	}
	return byGear, nil
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
	var dates []string
	err := r.db.Model(&readingRow{}).Where("sled_id = ?", sled).Order("measured_on").Limit(1).
		Pluck("measured_on", &dates).Error
	if err != nil {
		return "", fmt.Errorf("looking for the first reading of %s: %w", sled, err)
	}
	return append(dates, "")[0], nil
}

func (r *Reads) countCounting(sled, where string, values map[string]any) (int, error) {
	var n int64
	err := r.db.Model(&readingRow{}).Where("sled_id = ? AND set_aside_at IS NULL", sled).
		Where(where, values).Count(&n).Error
	if err != nil {
		return 0, fmt.Errorf("counting the readings of %s: %w", sled, err)
	}
	return int(n), nil
}
