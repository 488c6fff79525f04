package store

import (
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
	return inspectionRow{
		ID: i.ID, SledID: i.Sled, ItemID: i.Item, What: i.What, Well: i.Well, Note: i.Note, Done: i.Done, MadeOn: i.On,
		ShowID: orNull(i.Show), NotedBy: i.By, SignedBy: i.SignedBy, CreatedAt: i.CreatedAt.UnixMicro(),
	}
}

func (r inspectionRow) inspection() fleet.Inspection {
	return fleet.Inspection{
		ID: r.ID, Sled: r.SledID, Item: r.ItemID, What: r.What, Well: r.Well, Note: r.Note, Done: r.Done, On: r.MadeOn,
		Show: orEmpty(r.ShowID), By: r.NotedBy, SignedBy: r.SignedBy, CreatedAt: timeOf(r.CreatedAt),
	}
}

func (r inspectionListRow) list() (fleet.InspectionList, error) {
	items, err := readDocument[[]fleet.InspectionItem]("the inspection list of "+r.SledID, r.Items)
	return fleet.InspectionList{Sled: r.SledID, Items: items, Revision: r.Revision, CreatedAt: timeOf(r.CreatedAt),
		UpdatedAt: timeOf(r.UpdatedAt)}, err
}

// InspectionList returns the list of a sled, of revision 0 where nobody has written one.
func (r *Reads) InspectionList(sled string) (fleet.InspectionList, error) {
	row, err := find[inspectionListRow](r.db.Where("sled_id = ?", sled))
	if row == nil || err != nil {
		return fleet.InspectionList{Sled: sled, Items: []fleet.InspectionItem{}},
			wrapped(err, "reading the inspection list of %s", sled)
	}
	return row.list()
}

// PutInspectionList stores the list of a sled. It moves no revision of the fleet: no answer says anything of it.
func (tx *Tx) PutInspectionList(l fleet.InspectionList) error {
	document, err := writeDocument("the inspection list of "+l.Sled, append([]fleet.InspectionItem{}, l.Items...))
	if err != nil {
		return err
	}
	row := inspectionListRow{l.Sled, document, l.Revision, l.CreatedAt.UnixMicro(), l.UpdatedAt.UnixMicro()}
	return wrapped(tx.db.Clauses(clause.OnConflict{UpdateAll: true}).Create(&row).Error,
		"storing the inspection list of %s", l.Sled)
}

// AllInspections returns every inspection of a sled, in the order of writing.
func (r *Reads) AllInspections(sled string) ([]fleet.Inspection, error) {
	var rows []inspectionRow
	err := r.db.Where("sled_id = ?", sled).Order("seq").Find(&rows).Error
	return mapSlice(rows, inspectionRow.inspection), wrapped(err, "reading the inspections of %s", sled)
}

func inspectionsOf(rows []inspectionRow) ([]fleet.Inspection, error) {
	return mapSlice(rows, inspectionRow.inspection), nil
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
	query := r.db.Where("sled_id = ?", sled).Order(direction)
	if show != "" {
		query = query.Where("show_id = ?", show)
	}
	if after != "" {
		seq, err := decodeSeqCursor(inspectionCursor, after)
		if err != nil {
			return nil, "", err
		}
		query = query.Where(beyond, seq)
	}
	return part(query, limit, "the inspections of "+sled, inspectionCursor,
		func(row inspectionRow) string { return seqPosition(row.Seq) }, inspectionsOf)
}

// Inspection returns an inspection, or NotFound.
func (r *Reads) Inspection(id string) (fleet.Inspection, error) {
	row, err := take[inspectionRow](r, "inspection", id)
	return row.inspection(), err
}

// CountInspectionsFor counts the inspections for a show, of whatever sled.
func (r *Reads) CountInspectionsFor(show string) (int, error) {
	n, err := count(r.db.Model(&inspectionRow{}).Where("show_id = ?", show))
	return n, wrapped(err, "counting the inspections for %s", show)
}

// AddInspections stores inspections, in that order.
func (tx *Tx) AddInspections(all []fleet.Inspection) error {
	return wrapped(tx.db.CreateInBatches(mapSlice(all, inspectionRowOf), chunk).Error, "storing inspections")
}

// DeleteInspection removes an inspection.
func (tx *Tx) DeleteInspection(id string) error {
	return wrapped(tx.db.Where("id = ?", id).Delete(&inspectionRow{}).Error, "removing inspection %s", id)
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
		inspectionsOf, do)
}
