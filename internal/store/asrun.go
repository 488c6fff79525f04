package store

import (
	"fmt"
	"slices"

	"evenpull/internal/fleet"
)

// ShowClass is one class at one show.
type ShowClass struct{ Show, Class string }

type asRunRow struct {
	Seq         int64 `gorm:"primaryKey"`
	ID          string
	ShowID      string
	ClassID     string
	SledID      string
	GearID      string
	StartFt     float64
	FromHook    int
	PullOff     bool
	Weights     string
	InBoxLb     *float64
	OnPanLb     *float64
	Note        string
	TopOutFt    *float64
	ShowChanged bool
	CreatedAt   int64 `gorm:"autoCreateTime:false"`
}

func (asRunRow) TableName() string { return "as_run" }

func asRunRowOf(a fleet.AsRun) asRunRow {
	return asRunRow{
		ID: a.ID, ShowID: a.Show, ClassID: a.Class, SledID: a.Sled, GearID: a.GearID, StartFt: a.StartFt,
		FromHook: a.FromHook, PullOff: a.PullOff, Weights: a.Weights, InBoxLb: a.InBoxLb, OnPanLb: a.OnPanLb,
		Note: a.Note, TopOutFt: a.TopOutFt,
		ShowChanged: a.Changed, CreatedAt: a.CreatedAt.UnixMicro(),
	}
}

func (r asRunRow) asRun(labels map[string]string) fleet.AsRun {
	return fleet.AsRun{
		ID: r.ID, Show: r.ShowID, Class: r.ClassID, Sled: r.SledID, GearID: r.GearID, Gear: labels[r.GearID],
		StartFt: r.StartFt, FromHook: r.FromHook, PullOff: r.PullOff, Weights: r.Weights, InBoxLb: r.InBoxLb,
		OnPanLb: r.OnPanLb, Note: r.Note,
		TopOutFt: r.TopOutFt, Changed: r.ShowChanged, CreatedAt: timeOf(r.CreatedAt),
	}
}

// AsRun returns what was noted as run at shows: by hook, and then in the order it was noted.
func (r *Reads) AsRun(shows []string) (map[ShowClass][]fleet.AsRun, error) {
	lines := map[ShowClass][]fleet.AsRun{}
	for some := range slices.Chunk(shows, chunk) {
		var rows []asRunRow
		if err := r.db.Where("show_id IN ?", some).Order("from_hook, seq").Find(&rows).Error; err != nil {
			return nil, fmt.Errorf("reading what was run: %w", err)
		}
		labels, err := r.labelsOf(mapSlice(rows, func(row asRunRow) string { return row.GearID }))
		if err != nil {
			return nil, err
		}
		for _, row := range rows {
			at := ShowClass{row.ShowID, row.ClassID}
			lines[at] = append(lines[at], row.asRun(labels))
		}
	}
	return lines, nil
}

// CountAsRunByGear counts what was noted as run on a sled, by the id of the gear.
func (r *Reads) CountAsRunByGear(sled string) (map[string]int, error) {
	byGear, err := countBy(r.db.Model(&asRunRow{}).Where("sled_id = ?", sled), "gear_id")
	return byGear, wrapped(err, "counting what was run on %s", sled)
}

// AddAsRun stores a new line.
func (tx *Tx) AddAsRun(a fleet.AsRun) error {
	tx.move()
	return wrapped(tx.db.Create(new(asRunRowOf(a))).Error, "storing what was run in %s at %s", a.Class, a.Show)
}

// DeleteAsRun removes a line of a class at a show, or is NotFound.
func (tx *Tx) DeleteAsRun(at ShowClass, id string) error {
	done := tx.db.Where("show_id = ? AND class_id = ? AND id = ?", at.Show, at.Class, id).Delete(&asRunRow{})
	if done.Error != nil {
		return fmt.Errorf("removing line %s: %w", id, done.Error)
	}
	if done.RowsAffected == 0 {
		return fleet.Errorf(fleet.NotFound, "there is no line %q of class %q at show %q", id, at.Class, at.Show)
	}
	tx.move()
	return nil
}
