package store

import (
	"fmt"
	"slices"

	"evenpull/internal/fleet"
)

// guestDocument is the mark of a guest as stored: only what is known.
type guestDocument struct {
	Owner             string  `json:"owner"`
	AsOf              int64   `json:"as_of"` // µs since 1970
	DayPct            float64 `json:"day_pct"`
	ReadingPct        float64 `json:"reading_pct"`
	DayDF             float64 `json:"day_df,omitempty"`
	ReadingDF         float64 `json:"reading_df,omitempty"`
	AssumedReadingPct float64 `json:"assumed_reading_pct"`
	WeighingLb        float64 `json:"weighing_lb"`
	WeighingDF        float64 `json:"weighing_df"`
}

func writeGuest(g *fleet.Guest) (*string, error) {
	if g == nil {
		return nil, nil
	}
	document, err := writeDocument("a guest", guestDocument{
		g.Owner, g.AsOf.UnixMicro(), g.DayPct, g.ReadingPct, g.DayDF, g.ReadingDF, g.AssumedReadingPct, g.WeighingLb,
		g.WeighingDF,
	})
	return &document, err
}

func readGuest(document *string) (*fleet.Guest, error) {
	if document == nil {
		return nil, nil
	}
	d, err := readDocument[guestDocument]("a guest", *document)
	return &fleet.Guest{
		Owner: d.Owner, AsOf: timeOf(d.AsOf), DayPct: d.DayPct, ReadingPct: d.ReadingPct, DayDF: d.DayDF,
		ReadingDF: d.ReadingDF, AssumedReadingPct: d.AssumedReadingPct, WeighingLb: d.WeighingLb,
		WeighingDF: d.WeighingDF,
	}, err
}

// SledsOfGears are the ids of all sleds that have any of these gears, ascending.
func (r *Reads) SledsOfGears(ids []string) ([]string, error) {
	return r.sledsHaving(&gearRow{}, "gears", ids)
}

// SledsOfReadings are the ids of all sleds that have any of these readings, ascending.
func (r *Reads) SledsOfReadings(ids []string) ([]string, error) {
	return r.sledsHaving(&readingRow{}, "readings", ids)
}

// SledsOfWeighings are the ids of all sleds that have any of these weighings, ascending.
func (r *Reads) SledsOfWeighings(ids []string) ([]string, error) {
	return r.sledsHaving(&weighingRow{}, "weighings", ids)
}

// SledsOfChanges are the ids of all sleds that have any of these changes, ascending.
func (r *Reads) SledsOfChanges(ids []string) ([]string, error) {
	return r.sledsHaving(&changeRow{}, "changes", ids)
}

func (r *Reads) sledsHaving(table any, what string, ids []string) (sleds []string, err error) {
	for some := range slices.Chunk(ids, chunk) {
		var more []string
		if err := r.db.Model(table).Where("id IN ?", some).Distinct().Pluck("sled_id", &more).Error; err != nil {
			return nil, fmt.Errorf("looking for %s: %w", what, err)
		}
		sleds = append(sleds, more...)
	}
	slices.Sort(sleds)
	return slices.Compact(sleds), nil
}

// AllReadings are all readings of a sled in the order they were written.
func (r *Reads) AllReadings(sled string) (all []fleet.Reading, err error) {
	labels, err := r.labels(sled)
	if err != nil {
		return nil, err
	}
	err = r.eachReadingOf(sled, labels, func(reading fleet.Reading) error {
		all = append(all, reading)
		return nil
	})
	return all, err
}

// AllWeighings are all weighings of a sled in the order they were written.
func (r *Reads) AllWeighings(sled string) ([]fleet.Weighing, error) {
	weighings, err := r.weighingsOf([]string{sled})
	return weighings[sled], err
}

// ReplaceReading stores a reading of a guest as a newer document of its owner has it.
func (tx *Tx) ReplaceReading(r fleet.Reading) error {
	tx.touch(r.Sled)
	return wrapped(tx.replaceWritten(&readingRow{}, r.ID, new(readingRowOf(r))), "storing reading %s", r.ID)
}

// ReplaceWeighing stores a weighing of a guest likewise.
func (tx *Tx) ReplaceWeighing(w fleet.Weighing) error {
	tx.touch(w.Sled)
	return wrapped(tx.replaceWritten(&weighingRow{}, w.ID, new(weighingRowOf(w))), "storing weighing %s", w.ID)
}

// replaceWritten stores a row as it now is, at its place in the order of writing.
func (tx *Tx) replaceWritten(table any, id string, row any) error {
	return tx.db.Model(table).Where("id = ?", id).Select("*").Omit("seq", "id").Updates(row).Error
}
