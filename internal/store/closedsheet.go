package store

import (
	"encoding/json"
	"fmt"

	"evenpull/internal/fleet"
)

// closedSheetRow is a closed sheet. What its document holds is not the store's business.
type closedSheetRow struct {
	ShowID   string `gorm:"primaryKey"`
	Format   int
	Document string
}

func (closedSheetRow) TableName() string { return "closed_sheets" }

// ClosedSheets returns the closed sheets of shows, by show.
func (r *Reads) ClosedSheets(shows []string) (map[string]fleet.ClosedSheet, error) {
	sheets := map[string]fleet.ClosedSheet{}
	err := eachOf(r.db, "show_id", shows, func(row closedSheetRow) {
		sheets[row.ShowID] = fleet.ClosedSheet{Format: row.Format, Document: json.RawMessage(row.Document)}
	})
	return sheets, wrapped(err, "reading closed sheets")
}

// AddClosedSheet closes a show with the sheet it was run with.
func (tx *Tx) AddClosedSheet(show string, s fleet.ClosedSheet) error {
	if err := tx.db.Create(&closedSheetRow{show, s.Format, string(s.Document)}).Error; err != nil {
		return fmt.Errorf("storing the closed sheet of %s: %w", show, err)
	}
	tx.move()
	closed := map[string]any{"closed": true, "reopened": false}
	return wrapped(tx.db.Model(&showRow{}).Where("id = ?", show).Updates(closed).Error, "closing show %s", show)
}

// DeleteClosedSheet removes the closed sheet of a show that is opened again. The show itself is to be replaced.
func (tx *Tx) DeleteClosedSheet(show string) error {
	tx.move()
	return wrapped(tx.db.Delete(&closedSheetRow{ShowID: show}).Error, "removing the closed sheet of %s", show)
}
