package store

import (
	"fmt"
	"time"

	"evenpull/internal/fleet"
)

// Batch is what was stored in one write.
type Batch struct{ Sleds, Classes, Shows []string }

// BatchAt lists the sleds, classes and shows that were stored by the write at that time.
func (r *Reads) BatchAt(at time.Time) (t Batch, err error) {
	for _, of := range []struct {
		row any
		ids *[]string
	}{{&sledRow{}, &t.Sleds}, {&classRow{}, &t.Classes}, {&showRow{}, &t.Shows}} {
		if err := r.db.Model(of.row).Where("created_at = ?", at.UnixMicro()).Order("id").
			Pluck("id", of.ids).Error; err != nil {
			return Batch{}, fmt.Errorf("looking for what came together: %w", err)
		}
	}
	return t, nil
}

// Dependents lists the names of classes and shows that are not in t and refer to something that is.
func (r *Reads) Dependents(t Batch) (names []string, err error) {
	var classes, shows []string
	err = r.db.Model(&classRow{}).Where("id NOT IN ? AND (setting_sled_id IN ? OR pull_off_sled_id IN ?)",
		neverEmpty(t.Classes), neverEmpty(t.Sleds), neverEmpty(t.Sleds)).
		Order("id").Pluck("name", &classes).Error
	if err != nil {
		return nil, fmt.Errorf("looking for classes that would be left without a sled: %w", err)
	}
	listed := r.db.Model(&showClassRow{}).Select("show_id").Where("class_id IN ?", neverEmpty(t.Classes))
	run := r.db.Model(&asRunRow{}).Select("show_id").Where("sled_id IN ?", neverEmpty(t.Sleds))
	err = r.db.Model(&showRow{}).Where("id NOT IN ? AND (sled_id IN ? OR id IN (?) OR id IN (?))", neverEmpty(t.Shows),
		neverEmpty(t.Sleds), listed, run).
		Order("id").Pluck("name", &shows).Error
	if err != nil {
		return nil, fmt.Errorf("looking for shows that would be left without a sled: %w", err)
	}
	return append(classes, shows...), nil
}

// neverEmpty replaces an empty list, which SQL does not allow in IN (). No id is "".
func neverEmpty(ids []string) []string {
	if len(ids) == 0 {
		return []string{""}
	}
	return ids
}

// DeleteBatch removes a batch with everything that belongs to it, the readings and weighings included. Its dependents
// must be removed before.
func (tx *Tx) DeleteBatch(t Batch) error {
	for _, of := range []struct {
		row   any
		where string
		ids   []string
	}{
		{&asRunRow{}, "show_id IN ?", t.Shows}, {&outcomeRow{}, "show_id IN ?", t.Shows},
		{&closedSheetRow{}, "show_id IN ?", t.Shows}, {&showClassRow{}, "show_id IN ?", t.Shows},
		{&showRow{}, "id IN ?", t.Shows}, {&classRow{}, "id IN ?", t.Classes},
		{&readingRow{}, "sled_id IN ?", t.Sleds}, {&weighingRow{}, "sled_id IN ?", t.Sleds},
		{&changeRow{}, "sled_id IN ?", t.Sleds},
		{&gearRow{}, "sled_id IN ?", t.Sleds}, {&sledRow{}, "id IN ?", t.Sleds},
	} {
		if err := tx.db.Where(of.where, neverEmpty(of.ids)).Delete(of.row).Error; err != nil {
			return fmt.Errorf("removing what came together: %w", err)
		}
	}
	for _, id := range t.Sleds {
		tx.touch(id)
	}
	tx.move()
	return nil
}

// LastEntry is the newest entry of a kind, or nil.
func (r *Reads) LastEntry(kind string) (*fleet.Entry, error) {
	var rows []historyRow
	if err := r.db.Where("kind = ?", kind).Order("seq DESC").Limit(1).Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("looking for the last entry about a %s: %w", kind, err)
	}
	if len(rows) == 0 {
		return nil, nil
	}
	e := rows[0].entry()
	return &e, nil
}
