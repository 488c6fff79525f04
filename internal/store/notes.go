package store

import (
	"fmt"
	"slices"
	"strings"

	"gorm.io/gorm"

	"evenpull/internal/fleet"
)

// Notes is a sled with what the arithmetic takes of all its readings, and its weighings, in the order they were
// written.
type Notes struct {
	Sled      fleet.Sled // as it is today
	Timeline  fleet.Timeline
	Readings  []fleet.Figure
	Weighings []fleet.Weighing
}

// sortedTogether is how many sleds' readings are sorted by one query, in memory.
const sortedTogether = 20

// Load returns those of the sleds that are there, by id, with all their readings and weighings: five queries for a few
// sleds.
func (r *Reads) Load(ids []string) ([]Notes, error) {
	readings := map[string][]fleet.Figure{}
	for some := range slices.Chunk(ids, sortedTogether) {
		if err := r.figures(r.db.Where("sled_id IN ?", some), readings); err != nil {
			return nil, err
		}
	}
	return r.notes(ids, readings)
}

// LoadAll is Load of every sled there is. It goes through the readings once in the order they are stored in: nothing is
// sorted, and no row is held.
func (r *Reads) LoadAll() ([]Notes, error) {
	var ids []string
	if err := r.db.Model(&sledRow{}).Order("id").Pluck("id", &ids).Error; err != nil {
		return nil, fmt.Errorf("loading sleds: %w", err)
	}
	readings := make(map[string][]fleet.Figure, len(ids))
	for some := range slices.Chunk(ids, chunk) {
		counts, err := r.countReadings(some)
		if err != nil {
			return nil, err
		}
		for id, n := range counts {
			readings[id] = make([]fleet.Figure, 0, n)
		}
	}
	if err := r.figures(r.db, readings); err != nil {
		return nil, err
	}
	return r.notes(ids, readings)
}

// notes puts sleds together with their readings.
func (r *Reads) notes(ids []string, readings map[string][]fleet.Figure) ([]Notes, error) {
	var all []Notes
	for some := range slices.Chunk(ids, chunk) {
		var sleds []sledRow
		if err := r.db.Where("id IN ?", some).Order("id").Find(&sleds).Error; err != nil {
			return nil, fmt.Errorf("loading sleds: %w", err)
		}
		gears, err := r.gears(some)
		if err != nil {
			return nil, err
		}
		weighings, err := r.weighingsOf(some)
		if err != nil {
			return nil, err
		}
		timelines, err := r.timelines(sleds, gears, func(id string) noted {
			return noted{len(readings[id]), len(weighings[id])}
		})
		if err != nil {
			return nil, err
		}
		for _, t := range timelines {
			all = append(all, Notes{t.Today(), t, readings[t.Base.ID], weighings[t.Base.ID]})
		}
	}
	return all, nil
}

// figures adds what the arithmetic takes of some readings to those of their sleds, in the order they were written. It
// scans by hand, a row at a time: a fleet may have hundreds of thousands, and the mapper would hold their rows as well.
func (r *Reads) figures(some *gorm.DB, bySled map[string][]fleet.Figure) error {
	rows, err := some.Model(&readingRow{}).Select("sled_id, id, gear_id, start_ft, distance_ft, ended, end_ft, " +
		"plus_minus_ft, measured_on, day, noted_by, created_at, set_aside_at IS NOT NULL, with_batch, " +
		"confirmed_at IS NOT NULL, from_owner").Order("seq").Rows()
	if err != nil {
		return fmt.Errorf("loading readings: %w", err)
	}
	defer rows.Close()
	var sled, by string
	var plusMinus *float64
	var createdAt int64
	var f fleet.Figure
	into := []any{&sled, &f.ID, &f.GearID, &f.StartFt, &f.DistanceFt, &f.Ended, &f.EndFt, &plusMinus,
		&f.MeasuredOn, &f.Day, &by, &createdAt, &f.SetAside, &f.WithBatch, &f.Confirmed, &f.FromOwner}
	known := interned{}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return fmt.Errorf("loading readings: %w", err)
		}
		for _, text := range []*string{&sled, &f.GearID, (*string)(&f.Ended), &f.MeasuredOn, &f.Day} {
			*text = known.text(*text)
		}
		f.Word = nil
		if f.Ended == fleet.Stated && plusMinus != nil {
			f.Word = &fleet.Word{By: by, PlusMinusFt: *plusMinus, NotedAt: timeOf(createdAt)}
		}
		bySled[sled] = append(bySled[sled], f)
	}
	return wrapped(rows.Err(), "loading readings")
}

// interned holds a text once however often it is read: days and people come again and again.
type interned map[string]string

func (i interned) text(text string) string {
	known, ok := i[text]
	if !ok {
		known = strings.Clone(text)
		i[known] = known
	}
	return known
}
