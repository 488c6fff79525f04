package store

import (
	"fmt"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"evenpull/internal/fleet"
)

// Show is a show as stored. Over says that its sheet is closed.
type Show struct {
	fleet.Show
	Reopened bool // somebody opened it again after it was over
}

type showRow struct {
	ID         string `gorm:"primaryKey"`
	Name       string
	Date       string
	Place      string
	Zone       string
	Promoter   string
	SledID     *string // nil while none is booked
	Replaces   string
	FullPullFt *float64
	Notes      string
	Closed     bool
	Reopened   bool
	Revision   int64
	CreatedAt  int64 `gorm:"autoCreateTime:false"`
	UpdatedAt  int64 `gorm:"autoUpdateTime:false"`
}

func (showRow) TableName() string { return "shows" }

type showClassRow struct {
	ShowID   string `gorm:"primaryKey"`
	ClassID  string `gorm:"primaryKey"`
	Position int
}

func (showClassRow) TableName() string { return "show_classes" }

func showRowOf(s Show) showRow {
	return showRow{
		ID: s.ID, Name: s.Name, Date: s.Date, Place: s.Place, Zone: s.Zone, Promoter: s.Promoter,
		SledID: orNull(s.Sled), Replaces: s.Replaces, FullPullFt: s.FullPullFt, Notes: s.Notes,
		Closed: s.Over, Reopened: s.Reopened, Revision: s.Revision,
		CreatedAt: s.CreatedAt.UnixMicro(), UpdatedAt: s.UpdatedAt.UnixMicro(),
	}
}

func (r showRow) show(classes []string) Show {
	return Show{fleet.Show{
		ID: r.ID, Name: r.Name, Date: r.Date, Place: r.Place, Zone: r.Zone, Promoter: r.Promoter,
		Sled: orEmpty(r.SledID), Replaces: r.Replaces, Classes: classes, FullPullFt: r.FullPullFt,
		Notes: r.Notes, Over: r.Closed, Revision: r.Revision, CreatedAt: timeOf(r.CreatedAt),
		UpdatedAt: timeOf(r.UpdatedAt),
	}, r.Reopened}
}

// Show returns a show, or NotFound.
func (r *Reads) Show(id string) (Show, error) {
	return one(r, "show", id, r.listed)
}

// Shows lists shows, newest date first, and returns the cursor of the next part, "" at the end. A cursor of another
// list is Invalid.
func (r *Reads) Shows(after string, limit int) ([]Show, string, error) {
	query := r.db.Order("date DESC, id")
	if after != "" {
		date, id, err := decodeDated(showCursor, after)
		if err != nil {
			return nil, "", err
		}
		query = query.Where("date < @date OR (date = @date AND id > @id)", map[string]any{"date": date, "id": id})
	}
	return part(query, limit, "shows", showCursor,
		func(row showRow) string { return row.Date + ":" + row.ID }, r.listed)
}

// ShowsBetween lists the shows from one date to another, both included, oldest first.
func (r *Reads) ShowsBetween(from, to string) ([]Show, error) {
	return r.shows(r.db.Where("date BETWEEN ? AND ?", from, to))
}

// ShowsOn lists the shows that a sled is booked for, oldest first.
func (r *Reads) ShowsOn(sled string) ([]Show, error) { return r.shows(r.db.Where("sled_id = ?", sled)) }

// ShowsByID lists those of the shows that are there, oldest first.
func (r *Reads) ShowsByID(ids []string) ([]Show, error) { return r.shows(r.db.Where("id IN ?", ids)) }

// OpenShows lists the shows up to a date whose sheet is not closed and that nobody opened again, oldest first.
func (r *Reads) OpenShows(until string) ([]Show, error) {
	return r.shows(r.db.Where("NOT closed AND NOT reopened AND date <= ?", until))
}

func (r *Reads) shows(query *gorm.DB) ([]Show, error) {
	var rows []showRow
	if err := query.Order("date, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("looking for shows: %w", err)
	}
	return r.listed(rows)
}

// NewestShow is the date of the newest show, "" where there is none.
func (r *Reads) NewestShow() (string, error) {
	date, _, err := first[string](r.db.Model(&showRow{}).Order("date DESC"), "date")
	return date, wrapped(err, "looking for the newest show")
}

// listed adds the classes in running order.
func (r *Reads) listed(rows []showRow) ([]Show, error) {
	ids := mapSlice(rows, func(row showRow) string { return row.ID })
	classes := make(map[string][]string, len(rows))
	err := eachOf(r.db.Order("show_id, position"), "show_id", ids, func(c showClassRow) {
		classes[c.ShowID] = append(classes[c.ShowID], c.ClassID)
	})
	if err != nil {
		return nil, fmt.Errorf("reading the classes of shows: %w", err)
	}
	return mapSlice(rows, func(row showRow) Show { return row.show(classes[row.ID]) }), nil
}

// ShowsOfClass lists the shows that list a class, newest first, without their running orders.
func (r *Reads) ShowsOfClass(class string) ([]Show, error) {
	var rows []showRow
	err := r.db.Joins("JOIN show_classes ON show_id = id").Where("class_id = ?", class).Order("date DESC, id").
		Find(&rows).Error
	return mapSlice(rows, func(row showRow) Show { return row.show(nil) }),
		wrapped(err, "looking for the shows of %s", class)
}

// Places lists every place a show was at before a date, as it was written each time.
func (r *Reads) Places(before string) ([]string, error) {
	var places []string
	err := r.db.Model(&showRow{}).Where("date < ?", before).Distinct().Pluck("place", &places).Error
	return places, wrapped(err, "listing the places of shows")
}

// LastShows finds for each class the last show before a date that lists it, at one of the places, or anywhere where
// places is nil. Classes without one are not in it.
func (r *Reads) LastShows(classes []string, before string, places []string) (map[string]string, error) {
	query := r.db.Table("show_classes").Joins("JOIN shows ON shows.id = show_id").
		Select("class_id, show_id, ROW_NUMBER() OVER (PARTITION BY class_id ORDER BY date DESC, show_id DESC) AS back").
		Where("class_id IN ? AND date < ?", classes, before)
	if places != nil {
		query = query.Where("place IN ?", places)
	}
	var rows []showClassRow
	err := r.db.Table("(?) AS runs", query).Where("back = 1").Find(&rows).Error
	last := make(map[string]string, len(rows))
	for _, row := range rows {
		last[row.ClassID] = row.ShowID
	}
	return last, wrapped(err, "looking for earlier shows")
}

// AddShow stores a new show, or is a Conflict when its id is taken.
func (tx *Tx) AddShow(s Show) error {
	if err := tx.db.Create(new(showRowOf(s))).Error; err != nil {
		return fmt.Errorf("storing show %s: %w", s.ID, err)
	}
	tx.move()
	return tx.list(s.Show)
}

// ReplaceShow stores a show as it now is. A class that is no longer listed must have nothing noted of it.
func (tx *Tx) ReplaceShow(s Show) error {
	if err := tx.db.Select("*").Updates(new(showRowOf(s))).Error; err != nil {
		return fmt.Errorf("storing show %s: %w", s.ID, err)
	}
	gone := tx.db.Where("show_id = ?", s.ID)
	if len(s.Classes) > 0 {
		gone = gone.Where("class_id NOT IN ?", s.Classes)
	}
	if err := gone.Delete(&showClassRow{}).Error; err != nil {
		return fmt.Errorf("removing classes of show %s: %w", s.ID, err)
	}
	tx.move()
	return tx.list(s.Show)
}

// list stores the running order.
func (tx *Tx) list(s fleet.Show) error {
	if len(s.Classes) == 0 {
		return nil
	}
	rows := make([]showClassRow, len(s.Classes))
	for i, c := range s.Classes {
		rows[i] = showClassRow{ShowID: s.ID, ClassID: c, Position: i}
	}
	upsert := clause.OnConflict{
		Columns:   []clause.Column{{Name: "show_id"}, {Name: "class_id"}},
		DoUpdates: clause.AssignmentColumns([]string{"position"}),
	}
	return wrapped(tx.db.Clauses(upsert).Create(rows).Error, "storing the classes of show %s", s.ID)
}

// DeleteShow removes a show of which nothing is noted, with its sheet.
func (tx *Tx) DeleteShow(id string) error {
	for _, row := range []any{&closedSheetRow{}, &showClassRow{}} {
		if err := tx.db.Where("show_id = ?", id).Delete(row).Error; err != nil {
			return fmt.Errorf("removing what belongs to show %s: %w", id, err)
		}
	}
	tx.move()
	return wrapped(tx.db.Delete(&showRow{ID: id}).Error, "removing show %s", id)
}
