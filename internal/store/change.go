package store

import (
	"cmp"
	"fmt"

	"evenpull/internal/fleet"
)

type changeRow struct {
	ID            string `gorm:"primaryKey"`
	SledID        string
	MadeOn        string
	What          string
	Driveline     string
	TravelFt      *float64
	Gears         string
	Effect        string
	EndsWeighings bool
	CreatedAt     int64 `gorm:"autoCreateTime:false"`
}

func (changeRow) TableName() string { return "changes" }

func changeRowOf(c fleet.Change) (changeRow, error) {
	driveline, errDriveline := writeDocument("a drive line", c.Driveline)
	gears, errGears := writeGears(c.Gears)
	return changeRow{
		ID: c.ID, SledID: c.Sled, MadeOn: c.MadeOn, What: c.What, Driveline: driveline, TravelFt: c.TravelFt,
		Gears: gears, Effect: string(c.Effect), EndsWeighings: c.EndsWeighings, CreatedAt: c.CreatedAt.UnixMicro(),
	}, cmp.Or(errDriveline, errGears)
}

func (r changeRow) change(labels map[string]string) (fleet.Change, error) {
	driveline, errDriveline := readDocument[fleet.Driveline]("a drive line", r.Driveline)
	gears, errGears := readGears(r.Gears, labels)
	return fleet.Change{
		ID: r.ID, Sled: r.SledID, MadeOn: r.MadeOn, What: r.What, Driveline: driveline, TravelFt: r.TravelFt,
		Gears: gears, Effect: fleet.Effect(r.Effect), EndsWeighings: r.EndsWeighings, CreatedAt: timeOf(r.CreatedAt),
	}, wrapped(cmp.Or(errDriveline, errGears), "change %s", r.ID)
}

// changes are those of some sleds, in order, with the labels that their gears have today.
func (r *Reads) changes(sleds []string, gears map[string][]fleet.Gear) (map[string][]fleet.Change, error) {
	var rows []changeRow
	if err := r.db.Where("sled_id IN ?", sleds).Order("sled_id, made_on, created_at, id").
		Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("reading changes of parts: %w", err)
	}
	changes := map[string][]fleet.Change{}
	for _, row := range rows {
		c, err := row.change(labelsIn(gears[row.SledID]))
		if err != nil {
			return nil, err
		}
		changes[row.SledID] = append(changes[row.SledID], c)
	}
	return changes, nil
}

// SledOfChange is the id of the sled that a change was made on, or NotFound.
func (r *Reads) SledOfChange(id string) (string, error) {
	row, err := take[changeRow](r, "change", id)
	return row.SledID, err
}

// AddChange stores a new change of a sled's parts.
func (tx *Tx) AddChange(c fleet.Change) error {
	row, err := changeRowOf(c)
	if err != nil {
		return err
	}
	tx.touch(c.Sled)
	return wrapped(tx.db.Create(&row).Error, "storing change %s", c.ID)
}

// ReplaceChange stores a change as it should have been noted.
func (tx *Tx) ReplaceChange(c fleet.Change) error {
	row, err := changeRowOf(c)
	if err != nil {
		return err
	}
	tx.touch(c.Sled)
	return wrapped(tx.db.Select("*").Updates(&row).Error, "storing change %s", c.ID)
}

// DeleteChange takes a change of a sled back.
func (tx *Tx) DeleteChange(sled, id string) error {
	tx.touch(sled)
	err := tx.db.Where("sled_id = ? AND id = ?", sled, id).Delete(&changeRow{}).Error
	return wrapped(err, "removing change %s", id)
}
