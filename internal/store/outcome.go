package store

import (
	"gorm.io/gorm/clause"

	"evenpull/internal/fleet"
)

type outcomeRow struct {
	ShowID  string        `gorm:"primaryKey"`
	ClassID string        `gorm:"primaryKey"`
	Outcome fleet.Outcome `gorm:"embedded"`
}

func (outcomeRow) TableName() string { return "outcomes" }

// Outcomes returns how the classes of shows went.
func (r *Reads) Outcomes(shows []string) (map[ShowClass]fleet.Outcome, error) {
	outcomes := map[ShowClass]fleet.Outcome{}
	err := eachOf(r.db, "show_id", shows, func(row outcomeRow) {
		outcomes[ShowClass{row.ShowID, row.ClassID}] = row.Outcome
	})
	return outcomes, wrapped(err, "reading how classes went")
}

// PutOutcome stores how a class went.
func (tx *Tx) PutOutcome(at ShowClass, o fleet.Outcome) error {
	tx.move()
	err := tx.db.Clauses(clause.OnConflict{UpdateAll: true}).Create(&outcomeRow{at.Show, at.Class, o}).Error
	return wrapped(err, "storing how %s went at %s", at.Class, at.Show)
}

// DeleteOutcome removes what was noted of how a class went.
func (tx *Tx) DeleteOutcome(at ShowClass) error {
	tx.move()
	err := tx.db.Delete(&outcomeRow{ShowID: at.Show, ClassID: at.Class}).Error
	return wrapped(err, "removing how %s went at %s", at.Class, at.Show)
}
