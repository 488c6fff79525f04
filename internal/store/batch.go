package store

import (
	"fmt"

	"evenpull/internal/fleet"
)

// Batch returns the readings that came with one request, sled by sled, each in the order they were written: none where
// there is no such request.
func (r *Reads) Batch(id string) ([]fleet.Reading, error) {
	var rows []readingRow
	if err := r.db.Where("batch = ?", id).Order("sled_id, seq").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("reading the readings of batch %s: %w", id, err)
	}
	return r.labeledReadings(rows)
}

// BatchCount is how many readings of a batch are of one sled.
type BatchCount struct {
	Sled     string
	Readings int
	SetAside int // of these, how many are set aside
}

// BatchCounts counts a batch, sled by sled: nothing where there is no such request.
func (r *Reads) BatchCounts(id string) (counts []BatchCount, err error) {
	err = r.db.Model(&readingRow{}).Where("batch = ?", id).Group("sled_id").Order("sled_id").
		Select("sled_id AS sled, COUNT(*) AS readings, COUNT(set_aside_at) AS set_aside").Scan(&counts).Error
	return counts, wrapped(err, "counting the readings of batch %s", id)
}

// SetBatchAside leaves the readings of a batch that count out of their charts.
func (tx *Tx) SetBatchAside(id string, aside fleet.SetAside) error {
	values := map[string]any{"set_aside_reason": aside.Reason, "set_aside_at": aside.At.UnixMicro(), "with_batch": true}
	return tx.changeBatch(id, "set_aside_at IS NULL", values)
}

// BringBatchBack counts those again that were set aside with their batch.
func (tx *Tx) BringBatchBack(id string) error {
	return tx.changeBatch(id, "with_batch",
		map[string]any{"set_aside_reason": nil, "set_aside_at": nil, "with_batch": false})
}

func (tx *Tx) changeBatch(id, which string, values map[string]any) error {
	var sleds []string
	of := tx.db.Model(&readingRow{}).Where("batch = ?", id).Where(which)
	if err := of.Distinct().Pluck("sled_id", &sleds).Error; err != nil {
		return fmt.Errorf("looking for the sleds of batch %s: %w", id, err)
	}
	for _, sled := range sleds {
		tx.touch(sled)
	}
	err := tx.db.Model(&readingRow{}).Where("batch = ?", id).Where(which).Updates(values).Error
	return wrapped(err, "changing batch %s", id)
}
