package store

import "fmt"

// Batch is what came and goes together.
type Batch struct{ Sleds, Classes, Shows []string }

// Invented lists the sleds of the demo, and the classes and shows that were stored by the same write. What another
// crew invented and gave away is a guest like any other.
func (r *Reads) Invented() (t Batch, err error) {
	const (
		demo     = "invented AND guest IS NULL"
		together = "created_at IN (SELECT created_at FROM sleds WHERE " + demo + ")"
	)
	for _, of := range []struct {
		row   any
		where string
		ids   *[]string
	}{
		{&sledRow{}, demo, &t.Sleds}, {&classRow{}, together, &t.Classes}, {&showRow{}, together, &t.Shows},
	} {
		if err := r.db.Model(of.row).Where(of.where).Order("id").Pluck("id", of.ids).Error; err != nil {
			return Batch{}, fmt.Errorf("looking for what is invented: %w", err)
		}
	}
	return t, nil
}

// Dependents lists the classes and shows that are not in t and refer to something that is.
func (r *Reads) Dependents(t Batch) (dependents Batch, err error) {
	err = r.db.Model(&classRow{}).Where("id NOT IN ? AND (setting_sled_id IN ? OR pull_off_sled_id IN ?)",
		neverEmpty(t.Classes), neverEmpty(t.Sleds), neverEmpty(t.Sleds)).
		Order("id").Pluck("id", &dependents.Classes).Error
	if err != nil {
		return Batch{}, fmt.Errorf("looking for classes that would be left without a sled: %w", err)
	}
	listed := r.db.Model(&showClassRow{}).Select("show_id").Where("class_id IN ?", neverEmpty(t.Classes))
	run := r.db.Model(&asRunRow{}).Select("show_id").Where("sled_id IN ?", neverEmpty(t.Sleds))
	err = r.db.Model(&showRow{}).Where("id NOT IN ? AND (sled_id IN ? OR id IN (?) OR id IN (?))", neverEmpty(t.Shows),
		neverEmpty(t.Sleds), listed, run).
		Order("id").Pluck("id", &dependents.Shows).Error
	return dependents, wrapped(err, "looking for shows that would be left without a sled")
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
	// Those of other sleds keep their date.
	if err := tx.db.Model(&inspectionRow{}).Where("show_id IN ? AND sled_id NOT IN ?", neverEmpty(t.Shows),
		neverEmpty(t.Sleds)).Update("show_id", nil).Error; err != nil {
		return fmt.Errorf("taking inspections off the shows that go: %w", err)
	}
	for _, of := range []struct {
		row   any
		where string
		ids   []string
	}{
		{&inspectionRow{}, "sled_id IN ?", t.Sleds}, {&inspectionListRow{}, "sled_id IN ?", t.Sleds},
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
