package store

import (
	"fmt"
	"strconv"

	"gorm.io/gorm/clause"

	"evenpull/internal/fleet"
)

// inspectionCursor is the kind of cursor that Inspections hands out; its position is the seq of the last one.
const inspectionCursor = "inspection:"

type inspectionListRow struct {
	SledID    string `gorm:"primaryKey"`
	Items     string
	Revision  int64
	CreatedAt int64 `gorm:"autoCreateTime:false"`
	UpdatedAt int64 `gorm:"autoUpdateTime:false"`
}

func (inspectionListRow) TableName() string { return "inspection_lists" }

type inspectionRow struct {
	Seq       int64 `gorm:"primaryKey"`
	ID        string
	SledID    string
	ItemID    string
	What      string
	Well      bool
	Note      string
	Done      string
	MadeOn    string
	ShowID    *string
	NotedBy   string
	SignedBy  string
	CreatedAt int64 `gorm:"autoCreateTime:false"`
}

func (inspectionRow) TableName() string { return "inspections" }

func inspectionRowOf(i fleet.Inspection) inspectionRow {
	row := inspectionRow{
		ID: i.ID, SledID: i.Sled, ItemID: i.Item, What: i.What, Well: i.Well, Note: i.Note, Done: i.Done, MadeOn: i.On,
		NotedBy: i.By, SignedBy: i.SignedBy, CreatedAt: i.CreatedAt.UnixMicro(),
	}
	if i.Show != "" {
		row.ShowID = &i.Show
	}
	return row
}

func (r inspectionRow) inspection() fleet.Inspection {
	i := fleet.Inspection{
		ID: r.ID, Sled: r.SledID, Item: r.ItemID, What: r.What, Well: r.Well, Note: r.Note, Done: r.Done, On: r.MadeOn,
		By: r.NotedBy, SignedBy: r.SignedBy, CreatedAt: timeOf(r.CreatedAt),
	}
	if r.ShowID != nil {
		i.Show = *r.ShowID
	}
	return i
}

func (r inspectionListRow) list() (fleet.InspectionList, error) {
	items, err := readDocument[[]fleet.InspectionItem]("the inspection list of "+r.SledID, r.Items)
	return fleet.InspectionList{Sled: r.SledID, Items: items, Revision: r.Revision, CreatedAt: timeOf(r.CreatedAt),
		UpdatedAt: timeOf(r.UpdatedAt)}, err
}

// InspectionList returns the list of a sled, of revision 0 where nobody has written one.
func (r *Reads) InspectionList(sled string) (fleet.InspectionList, error) {
	var rows []inspectionListRow
	if err := r.db.Where("sled_id = ?", sled).Find(&rows).Error; err != nil {
		return fleet.InspectionList{}, fmt.Errorf("reading the inspection list of %s: %w", sled, err)
	}
	if len(rows) == 0 {
		return fleet.InspectionList{Sled: sled, Items: []fleet.InspectionItem{}}, nil
	}
	return rows[0].list()
}

// PutInspectionList stores the list of a sled. It moves no revision of the fleet: no answer says anything of it.
func (tx *Tx) PutInspectionList(l fleet.InspectionList) error {
	document, err := writeDocument("the inspection list of "+l.Sled, append([]fleet.InspectionItem{}, l.Items...))
	if err != nil {
		return err
	}
	row := inspectionListRow{l.Sled, document, l.Revision, l.CreatedAt.UnixMicro(), l.UpdatedAt.UnixMicro()}
	if err := tx.db.Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error; err != nil {
		return fmt.Errorf("storing the inspection list of %s: %w", l.Sled, err)
	}
	return nil
}

// AllInspections returns every inspection of a sled, in the order of writing.
func (r *Reads) AllInspections(sled string) ([]fleet.Inspection, error) {
	var rows []inspectionRow
	if err := r.db.Where("sled_id = ?", sled).Order("seq").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("reading the inspections of %s: %w", sled, err)
	}
	return inspectionsOf(rows), nil
}

func inspectionsOf(rows []inspectionRow) []fleet.Inspection {
	all := make([]fleet.Inspection, len(rows))
	for i, row := range rows {
		all[i] = row.inspection()
	}
	return all
}

// Inspections lists the inspections of a sled, for one show or for all of them where show is "", newest first, and
// returns the cursor of the next part, "" at the end. A cursor of another list is Invalid.
func (r *Reads) Inspections(sled, show, after string, limit int) ([]fleet.Inspection, string, error) {
	return r.inspections(sled, show, after, limit, newestFirst)
}

// InspectionsOldestFirst lists those for all shows as they were written. Its cursors are its own.
func (r *Reads) InspectionsOldestFirst(sled, after string, limit int) ([]fleet.Inspection, string, error) {
	return r.inspections(sled, "", after, limit, oldestFirst)
}

func (r *Reads) inspections(sled, show, after string, limit int, in order) ([]fleet.Inspection, string, error) {
	direction, beyond := "seq DESC", "seq < ?"
	if in == oldestFirst {
		direction, beyond = "seq", "seq > ?"
	}
	query := r.db.Where("sled_id = ?", sled).Order(direction).Limit(limit + 1)
	if show != "" {
		query = query.Where("show_id = ?", show)
	}
	if after != "" {
		position, err := decodeCursor(inspectionCursor, after)
		if err != nil {
			return nil, "", err
		}
		seq, err := strconv.ParseInt(position, 10, 64)
		if err != nil || seq <= 0 {
			return nil, "", badCursor()
		}
		query = query.Where(beyond, seq)
	}
	var rows []inspectionRow
	if err := query.Find(&rows).Error; err != nil {
		return nil, "", fmt.Errorf("listing the inspections of %s: %w", sled, err)
	}
	next := ""
	if len(rows) > limit {
		rows = rows[:limit]
		next = encodeCursor(inspectionCursor, strconv.FormatInt(rows[limit-1].Seq, 10))
	}
	return inspectionsOf(rows), next, nil
}

// Inspection returns an inspection, or NotFound.
func (r *Reads) Inspection(id string) (fleet.Inspection, error) {
	row, err := take[inspectionRow](r, "inspection", id)
	if err != nil {
		return fleet.Inspection{}, err
	}
	return row.inspection(), nil
}

// CountInspectionsFor counts the inspections for a show, of whatever sled.
func (r *Reads) CountInspectionsFor(show string) (int, error) {
	var n int64
	if err := r.db.Model(&inspectionRow{}).Where("show_id = ?", show).Count(&n).Error; err != nil {
		return 0, fmt.Errorf("counting the inspections for %s: %w", show, err)
	}
	return int(n), nil
}

// AddInspections stores inspections, in that order.
func (tx *Tx) AddInspections(all []fleet.Inspection) error {
	rows := make([]inspectionRow, len(all))
	for i, one := range all {
		rows[i] = inspectionRowOf(one)
	}
	if err := tx.db.CreateInBatches(rows, chunk).Error; err != nil {
		return fmt.Errorf("storing inspections: %w", err)
	}
	return nil
}

// DeleteInspection removes an inspection.
func (tx *Tx) DeleteInspection(id string) error {
	if err := tx.db.Where("id = ?", id).Delete(&inspectionRow{}).Error; err != nil {
		return fmt.Errorf("removing inspection %s: %w", id, err)
	}
	return nil
}

// EachInspectionList goes through the lists of all sleds, by the id of the sled.
func (r *Reads) EachInspectionList(do func(fleet.InspectionList) error) error {
	return eachPart(r.db, "the inspection lists", "sled_id", partSleds,
		func(row inspectionListRow) string { return row.SledID },
		func(rows []inspectionListRow) ([]fleet.InspectionList, error) {
			lists := make([]fleet.InspectionList, len(rows))
			for i, row := range rows {
				var err error
				if lists[i], err = row.list(); err != nil {
					return nil, err
				}
			}
			return lists, nil
		}, do)
}

// EachInspection goes through the inspections of all sleds, in the order of writing.
func (r *Reads) EachInspection(do func(fleet.Inspection) error) error {
	return eachPart(r.db, "the inspections", "seq", partReadings, func(row inspectionRow) int64 { return row.Seq },
		func(rows []inspectionRow) ([]fleet.Inspection, error) { return inspectionsOf(rows), nil }, do)
}
