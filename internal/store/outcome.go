package store

import (
	"fmt"
	"slices"

	"gorm.io/gorm/clause"

	"evenpull/internal/fleet"
)

type outcomeRow struct {
	ShowID    string `gorm:"primaryKey"`
	ClassID   string `gorm:"primaryKey"`
	LongestFt *float64
	Hooks     *int
	FullPulls *int
	Felt      string
	Note      string
}

func (outcomeRow) TableName() string { return "outcomes" }

// Outcomes returns how the classes of shows went.
func (r *Reads) Outcomes(shows []string) (map[ShowClass]fleet.Outcome, error) {
	outcomes := map[ShowClass]fleet.Outcome{}
	for some := range slices.Chunk(shows, chunk) {
		var rows []outcomeRow
		if err := r.db.Where("show_id IN ?", some).Find(&rows).Error; err != nil {
			return nil, fmt.Errorf("reading how classes went: %w", err)
		}
		for _, o := range rows {
			outcomes[ShowClass{o.ShowID, o.ClassID}] = fleet.Outcome{
				LongestFt: o.LongestFt, Hooks: o.Hooks, FullPulls: o.FullPulls, Felt: fleet.Felt(o.Felt), Note: o.Note,
			}
		}
	}
	return outcomes, nil
}

// PutOutcome stores how a class went.
func (tx *Tx) PutOutcome(at ShowClass, o fleet.Outcome) error {
	row := outcomeRow{at.Show, at.Class, o.LongestFt, o.Hooks, o.FullPulls, string(o.Felt), o.Note}
	if err := tx.db.Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error; err != nil {
		return fmt.Errorf("storing how %s went at %s: %w", at.Class, at.Show, err)
	}
	tx.move()
	return nil
}

// DeleteOutcome removes what was noted of how a class went.
func (tx *Tx) DeleteOutcome(at ShowClass) error {
	if err := tx.db.Delete(&outcomeRow{ShowID: at.Show, ClassID: at.Class}).Error; err != nil {
		return fmt.Errorf("removing how %s went at %s: %w", at.Class, at.Show, err)
	}
	tx.move()
	return nil
}
