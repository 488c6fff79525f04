package store

import (
	"fmt"
	"slices"
)

// ClosedSheet is the sheet of a show that is over, as a JSON document, which the store does not read.
type ClosedSheet struct {
	Format   int // how to read the document
	Document string
}

type closedSheetRow struct {
	ShowID   string `gorm:"primaryKey"`
	Format   int
	Document string
}

func (closedSheetRow) TableName() string { return "closed_sheets" }

// ClosedSheets returns the closed sheets of shows, by show.
func (r *Reads) ClosedSheets(shows []string) (map[string]ClosedSheet, error) {
	sheets := map[string]ClosedSheet{}
	for some := range slices.Chunk(shows, chunk) {
		var rows []closedSheetRow
		if err := r.db.Where("show_id IN ?", some).Find(&rows).Error; err != nil {
			return nil, fmt.Errorf("reading kept sheets: %w", err)
		}
		for _, row := range rows {
			sheets[row.ShowID] = ClosedSheet{row.Format, row.Document}
		}
	}
	return sheets, nil
}

// CloseShow closes a show with the sheet it was run with.
func (tx *Tx) CloseShow(show string, s ClosedSheet) error {
	if err := tx.db.Create(&closedSheetRow{show, s.Format, s.Document}).Error; err != nil {
		return fmt.Errorf("keeping the sheet of %s: %w", show, err)
	}
	closed := map[string]any{"closed": true, "reopened": false}
	if err := tx.db.Model(&showRow{}).Where("id = ?", show).Updates(closed).Error; err != nil {
		return fmt.Errorf("closing show %s: %w", show, err)
	}
	tx.move()
	return nil
}

// DeleteClosedSheet removes the sheet of a show that is opened again. The caller replaces the show itself.
func (tx *Tx) DeleteClosedSheet(show string) error {
	if err := tx.db.Delete(&closedSheetRow{ShowID: show}).Error; err != nil {
		return fmt.Errorf("removing the sheet of %s: %w", show, err)
	}
	tx.move()
	return nil
}
